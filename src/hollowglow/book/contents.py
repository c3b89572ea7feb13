"""The chapters of the book as plain data, for whoever lays them out elsewhere than on paper."""

from strandwright.book.addressing import addressing
from strandwright.book.bench import bench
from strandwright.book.front import cautions
from strandwright.book.granted import granted
from strandwright.book.meter import commissioning, repair
from strandwright.book.parts import bill
from strandwright.book.site import hanging
from strandwright.book.strings import strings
from strandwright.book.wiring import wiring

__all__ = [
    "addressing",
    "bench",
    "bill",
    "cautions",
    "commissioning",
    "granted",
    "hanging",
    "repair",
    "strings",
    "wiring",
]
