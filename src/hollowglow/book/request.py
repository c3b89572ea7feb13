"""What a person wishes of a book, and what a book is told by: its file's fingerprint and date."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Literal

from hollowglow.quantity.reader import Units

Paper = Literal["a4", "letter"]
PAPERS: tuple[Paper, ...] = ("a4", "letter")
UNITS: tuple[Units, ...] = ("both", "metric", "us")
_GROUP = 4
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class BookRequest:
    """How a book is to be made.

    Attributes:
        paper: size of its pages.
        units: how lengths are told.
        date: on every page; the display file's own where it is None.
        labels: name of the sheet that labels are printed on, None for none.
        address: of the phone page that the codes of the labels open, empty where they hold the id alone.
    """

    paper: Paper = "a4"
    units: Units = "both"
    date: date | None = None
    labels: str | None = None
    address: str = ""


@dataclass(frozen=True, slots=True)
class Stamp:
    """What tells one state of a display file from another: the start of its SHA-256 in groups of four, and its date."""

    fingerprint: str
    date: date


def stamp_of(path: Path, request: BookRequest) -> Stamp:
    """Return fingerprint and date of a display file; the date is when it was last changed, in UTC, unless one is wished."""
    changed = datetime.fromtimestamp(path.stat().st_mtime, UTC).date()
    return Stamp(fingerprint_of(path), request.date or changed)


def fingerprint_of(path: Path) -> str:
    """Return the start of a file's SHA-256 in groups of four."""
    digest = hashlib.sha256(path.read_bytes()).hexdigest()[:_SHOWN]
    return " ".join(digest[i : i + _GROUP] for i in range(0, _SHOWN, _GROUP))
