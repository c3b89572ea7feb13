"""The load law of a light from what a bench supply showed."""

from strandwright.meter.analyse import Judged, Meter, Parameter, analyse
from strandwright.meter.readings import Reading, parse_reading, read_file

__all__ = ["Judged", "Meter", "Parameter", "Reading", "analyse", "parse_reading", "read_file"]
