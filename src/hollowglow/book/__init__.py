"""The door to the build book: everything that goes to the bench, up the ladder and into the storage box, as one PDF."""

from strandwright.book.measures import Measures
from strandwright.book.parcel import Parcel
from strandwright.book.wish import PAPERS, UNITS, BookWish, Stamp, stamp_of
from strandwright.book.write import book_file, labels_place, make_book, make_labels

__all__ = [
    "PAPERS",
    "UNITS",
    "BookWish",
    "Measures",
    "Parcel",
    "Stamp",
    "book_file",
    "labels_place",
    "make_book",
    "make_labels",
    "stamp_of",
]
