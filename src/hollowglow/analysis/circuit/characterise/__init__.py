"""The current-voltage characteristic of a light from what a bench supply showed."""

from hollowglow.analysis.circuit.characterise.analyse import (
    FittedCharacteristic,
    JudgedCharacteristic,
    Parameter,
    analyse,
)
from hollowglow.analysis.circuit.characterise.readings import BenchReading, parse_reading, read_file

__all__ = [
    "BenchReading",
    "FittedCharacteristic",
    "JudgedCharacteristic",
    "Parameter",
    "analyse",
    "parse_reading",
    "read_file",
]
