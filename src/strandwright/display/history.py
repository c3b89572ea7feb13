"""Saving a display file whole or not at all, with the versions before it kept so that edits can be undone."""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

from strandwright.display.edit import Put
from strandwright.display.files import read_text
from strandwright.display.words import visible
from strandwright.errors import UseError

FOLDER = ".strandwright"
MOST_VERSIONS = 20
# Some editors begin a UTF-8 file with this.
_MARK = b"\xef\xbb\xbf"
_VERSION = re.compile(r"(\d{6})\.json")


def save(path: Path, before: str, after: str, edits: Iterable[Put], why: str) -> None:
    """Write a new text into a display file and keep the old one.

    Args:
        path: of the display file; where it is a link, what it points at is written.
        before: the text that the edits were made on.
        after: the text to write.
        edits: what was done, for the record.
        why: the same in a few words.

    Raises:
        UseError: when the file has changed meanwhile, or cannot be written; nothing is changed then.
    """
    path = Path(os.path.realpath(path))
    if read_text(path) != before:
        raise UseError(f"{visible(str(path))} was changed meanwhile, so nothing was written. Run the command again.")
    place = _place(path)
    kept = _versions(place)
    number = kept[-1][0] + 1 if kept else 1
    record = {"why": why, "edits": [e.plain() for e in edits], "before": before, "after": _digest(after)}
    _write(place / f"{number:06d}.json", json.dumps(record, ensure_ascii=False, indent=1))
    _write(path, after)
    for _, old in kept[: max(0, len(kept) + 1 - MOST_VERSIONS)]:
        with suppress(OSError):
            old.unlink()


def undo(path: Path) -> str:
    """Bring back the text before the last saved edit and return what that edit was.

    Raises:
        UseError: when there is none, or the file has been changed by hand since.
    """
    path = Path(os.path.realpath(path))
    text = read_text(path)
    kept = _versions(_place(path, make=False))
    name = visible(str(path))
    if not kept:
        raise UseError(f"{name} has no edit of Strandwright to undo.")
    _, last = kept[-1]
    record = _read(last)
    if record["after"] != _digest(text):
        raise UseError(
            f"{name} was changed by hand since Strandwright last wrote it, and undoing would lose that. "
            f"The text before is kept in {visible(str(last))} under before."
        )
    _write(path, record["before"])
    last.unlink()
    return str(record["why"])


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _place(path: Path, make: bool = True) -> Path:
    place = path.parent / FOLDER / path.name
    if make:
        try:
            place.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise UseError(
                f"{visible(str(place))} cannot be made, so nothing was written ({error.strerror or error})."
            ) from None
    return place


def _versions(place: Path) -> list[tuple[int, Path]]:
    """Return the kept versions, the oldest first."""
    try:
        names = sorted(os.listdir(place))
    except OSError:
        return []
    found = ((_VERSION.fullmatch(n), place / n) for n in names)
    return [(int(m.group(1)), p) for m, p in found if m is not None]


def _read(path: Path) -> dict[str, Any]:
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(record, dict) and all(isinstance(record.get(k), str) for k in ("why", "before", "after")):
            return record
    except (OSError, ValueError):
        pass
    raise UseError(f"{visible(str(path))} cannot be read, so nothing can be undone. Delete it to go on without it.")


def _write(path: Path, text: str) -> None:
    temporary: Path | None = None
    try:
        there = path.exists()
        mode = path.stat().st_mode & 0o777 if there else None
        mark = _MARK if there and path.read_bytes().startswith(_MARK) else b""
        with tempfile.NamedTemporaryFile("wb", dir=path.parent, prefix=f".{path.name}.", delete=False) as stream:
            temporary = Path(stream.name)
            stream.write(mark + text.encode("utf-8"))
            stream.flush()
            os.fsync(stream.fileno())
        if mode is not None:
            os.chmod(temporary, mode)
        os.replace(temporary, path)
        temporary = None
    except OSError as error:
        raise UseError(f"{visible(str(path))} cannot be written ({error.strerror or error}).") from None
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()
