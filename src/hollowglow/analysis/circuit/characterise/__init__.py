"""The current-voltage characteristic of a light from what a bench supply showed."""

from hollowglow.analysis.circuit.characterise.analyse import Judged, Meter, Parameter, analyse
from hollowglow.analysis.circuit.characterise.readings import Reading, parse_reading, read_file

__all__ = ["Judged", "Meter", "Parameter", "Reading", "analyse", "parse_reading", "read_file"]
