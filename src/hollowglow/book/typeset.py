"""Plain data and pictures typeset as PDF; what a person wrote stays data, so that none of it is ever read as markup."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from typing import Any

from hollowglow.book.letters import beyond_ascii, led, printed_instead

# A word as long as this can be wider than a column of a table: it may break behind its slashes and dots, and where that
# is not often enough, every few letters: some letters are three times as wide as others.
_LONG = re.compile(r"\S{23,}")
_ENDS = re.compile(r"([/.])(?=\w)")
_RUN = re.compile(r"[^\s\u200b]{23,}")
_FEW = re.compile(r"(.{3})(?=\w)")
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

    drawn = {name: svg.decode("utf-8") for name, svg in pictures.items()}
    seen = [json.dumps(content, ensure_ascii=False, allow_nan=False), "\ufffd", *drawn.values()]
    instead = printed_instead(beyond_ascii(seen))
    told = _printable({**content, "replaced": bool(instead)}, instead)
    text = json.dumps(told, ensure_ascii=False, allow_nan=False)
    files: dict[str, Any] = {name: led(svg.translate(instead)).encode("utf-8") for name, svg in drawn.items()}
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
    folder = resources.files("hollowglow.book") / "pages"
    return {entry.name: entry.read_bytes() for entry in sorted(folder.iterdir(), key=lambda e: e.name)}


def _breakable(word: re.Match[str]) -> str:
    return _RUN.sub(lambda run: _FEW.sub(rf"\1{_BREAK}", run[0]), _ENDS.sub(rf"\1{_BREAK}", word[0]))


def _printable(value: Any, instead: Mapping[int, str]) -> Any:
    if isinstance(value, str):
        return _LONG.sub(_breakable, led(_UNSEEN.sub("\ufffd", value).translate(instead)))
    if isinstance(value, Mapping):
        return {key: _printable(one, instead) for key, one in value.items()}
    return [_printable(one, instead) for one in value] if isinstance(value, (list, tuple)) else value
