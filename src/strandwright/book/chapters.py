"""The chapters of the book as plain data, for whoever lays them out elsewhere than on paper."""

from strandwright.book.bench import bench
from strandwright.book.front import cautions
from strandwright.book.meter import commissioning
from strandwright.book.parts import bill
from strandwright.book.site import hanging
from strandwright.book.strings import strings

__all__ = ["bench", "bill", "cautions", "commissioning", "hanging", "strings"]
