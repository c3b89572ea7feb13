"""The current-voltage characteristic of a light from what a bench supply showed."""

from hollowglow.analysis.circuit.characterise.analyse import FittedCharacteristic, Judged, Parameter, analyse
from hollowglow.analysis.circuit.characterise.readings import Reading, parse_reading, read_file

__all__ = ["FittedCharacteristic", "Judged", "Parameter", "Reading", "analyse", "parse_reading", "read_file"]
