"""Labels for props, cable ends, supplies and boxes, with a code that a phone reads."""

from strandwright.labels.codes import code_text, modules
from strandwright.labels.sheets import SHEETS, sheet_size
from strandwright.labels.things import labels

__all__ = ["SHEETS", "code_text", "labels", "modules", "sheet_size"]
