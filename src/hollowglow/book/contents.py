"""The chapters of the book as plain data, for whoever lays them out elsewhere than on paper."""

from hollowglow.book.chapters.addressing import addressing
from hollowglow.book.chapters.assumptions import assumptions_of
from hollowglow.book.chapters.bench import bench
from hollowglow.book.chapters.commissioning import commissioning, repair
from hollowglow.book.chapters.front import cautions
from hollowglow.book.chapters.hanging import hanging
from hollowglow.book.chapters.shopping import bill
from hollowglow.book.chapters.strings import strings
from hollowglow.book.chapters.wiring import wiring

__all__ = [
    "TITLES",
    "addressing",
    "assumptions_of",
    "bench",
    "bill",
    "cautions",
    "commissioning",
    "hanging",
    "repair",
    "strings",
    "wiring",
]

# In the order of the book; the typesetter and the workbench call them the same.
TITLES = {
    "overview": "This display",
    "cautions": "Before you start",
    "parts": "Parts to buy",
    "kinds": "Build sheets",
    "strings": "Strings",
    "power": "Power",
    "addresses": "Addresses",
    "hanging": "Hanging and packing",
    "commissioning": "Commissioning",
    "repair": "Repair",
    "assumptions": "Assumptions",
}
