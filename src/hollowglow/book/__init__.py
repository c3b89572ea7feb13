"""The door to the build book: everything that goes to the bench, up the ladder and into the storage box, as one PDF."""

from hollowglow.book.measures import Measures
from hollowglow.book.page_data import BookSource
from hollowglow.book.request import PAPERS, UNITS, BookRequest, Stamp, stamp_of
from hollowglow.book.write import book_file, labels_place, make_book, make_labels

__all__ = [
    "PAPERS",
    "UNITS",
    "BookRequest",
    "BookSource",
    "Measures",
    "Stamp",
    "book_file",
    "labels_place",
    "make_book",
    "make_labels",
    "stamp_of",
]
