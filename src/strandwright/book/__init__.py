"""The door to the build book: everything that goes to the bench, up the ladder and into the storage box, as one PDF."""

from strandwright.book.wish import PAPERS, UNITS, BookWish, stamp_of
from strandwright.book.write import book_file, labels_place, make_book, make_labels

__all__ = ["PAPERS", "UNITS", "BookWish", "book_file", "labels_place", "make_book", "make_labels", "stamp_of"]
