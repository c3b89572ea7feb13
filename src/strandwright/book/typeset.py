"""Plain data and pictures typeset as PDF; what a person wrote stays data, so that none of it is ever read as markup."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from typing import Any

# A word as long as this is wider than a column of a table: an invisible place to break it stands after each such piece.
_LONG = re.compile(r"(\S{22})(?=\w)")
_BREAK = "\u200b"
# What no font draws and no reader needs: controls, and characters that turn the direction of what follows.
_UNSEEN = re.compile("[\u0000-\u0009\u000b-\u001f\u007f-\u009f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")


def typeset(content: Mapping[str, Any], pictures: Mapping[str, bytes], day: date, main: str = "main.typ") -> bytes:
    """Return the PDF of a book: the same bytes for the same content, pictures and day, on every machine.

    Args:
        content: plain data, as the templates of this package want it.
        pictures: SVG by file name, as the content names them.
        day: noted in the PDF as the day of its making.
        main: the template to begin with.
    """
    import typst  # only who makes a book waits for it

    text = json.dumps(_printable(content), ensure_ascii=False, allow_nan=False)
    files: dict[str, Any] = dict(pictures)
    pages = templates()
    files |= pages | {"main.typ": pages[main]} | {"content.json": text.encode("utf-8")}
    # Its stubs know no files by name, which it takes all the same.
    compiler: Any = typst.compile
    made: bytes = compiler(
        files,
        ignore_system_fonts=True,
        timestamp=int(datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()),
    )
    return made


def templates() -> dict[str, bytes]:
    """Return the Typst templates by file name."""
    folder = resources.files("strandwright.book") / "pages"
    return {entry.name: entry.read_bytes() for entry in sorted(folder.iterdir(), key=lambda e: e.name)}


def _printable(value: Any) -> Any:
    if isinstance(value, str):
        return _LONG.sub(rf"\1{_BREAK}", _UNSEEN.sub("\ufffd", value))
    if isinstance(value, Mapping):
        return {key: _printable(one) for key, one in value.items()}
    return [_printable(one) for one in value] if isinstance(value, (list, tuple)) else value
