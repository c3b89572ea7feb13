"""Saving a display file whole or not at all, with the versions around it kept so that edits can be undone and redone."""

from __future__ import annotations

import hashlib
import json
import os
import re
import time
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from hollowglow.file.reading.load import load_text
from hollowglow.file.store.atomic import whole
from hollowglow.file.store.files import read_text
from hollowglow.file.text.edit import Edit, edited, from_json, merged, words_of
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import visible

FOLDER = ".hollowglow"
MOST_VERSIONS = 20
# Edits of one place that follow each other within this time become one, such as those of a slider that is dragged.
MERGE_S = 2.0
# Some editors begin a UTF-8 file with this.
_MARK = b"\xef\xbb\xbf"
_VERSION = re.compile(r"(\d{6})\.json")
_UNDONE = re.compile(r"(\d{6})\.undone\.json")
_KEYS = ("why", "before", "after")


def change(path: Path | str, edits: Sequence[Edit], why: str = "", merge: bool = False) -> str:
    """Carry out edits on a display file, check that a display comes out, save it, and return the new text.

    Args:
        path: of the display file.
        edits: what to do; edits that change nothing write nothing.
        why: the same in a few words; their own words where empty.
        merge: whether a single edit may become one with the last saved one, where that was of the same place just now.

    Raises:
        DisplayError: when the file cannot be read, or what comes out is no display; the file is then as it was.
        Refusal: when an edit does not fit the file, or it cannot be written.
    """
    path = Path(path)
    name = visible(str(path))
    text = read_text(path)
    made = edited(text, edits, name)
    if made != text:
        load_text(made, name)
        save(path, text, made, edits, why or words_of(tuple(edits)), merge)
    return made


def save(path: Path, before: str, after: str, edits: Sequence[Edit], why: str, merge: bool = False) -> None:
    """Write a new text into a display file and keep the old one.

    Args:
        path: of the display file; where it is a link, what it points at is written.
        before: the text that the edits were made on.
        after: the text to write.
        edits: what was done, for the record.
        why: the same in a few words.
        merge: as for `change`.

    Raises:
        Refusal: when the file has changed meanwhile, or cannot be written; nothing is changed then.
    """
    path = Path(os.path.realpath(path))
    if read_text(path) != before:
        raise Refusal(f"{visible(str(path))} was changed meanwhile, so nothing was written. Run the command again.")
    place = _place(path)
    kept = _versions(place)
    record = {"why": why, "at": time.time(), "edits": [e.to_json() for e in edits], "before": before}
    number = kept[-1][0] + 1 if kept else 1
    if merge and kept and len(edits) == 1:
        one = _merged(kept[-1][1], edits[0], before)
        if one is not None:
            number = kept[-1][0]
            record |= {"why": one[0].words(), "edits": [one[0].to_json()], "before": one[1]}
    _write(place / f"{number:06d}.json", json.dumps(record | {"after": _digest(after)}, ensure_ascii=False, indent=1))
    _write(path, after)
    for _, old in kept[: max(0, len(_versions(place)) - MOST_VERSIONS)]:
        with suppress(OSError):
            old.unlink()
    for _, undone in _versions(place, _UNDONE):
        with suppress(OSError):
            undone.unlink()


def _merged(last: Path, edit: Edit, before: str) -> tuple[Edit, str] | None:
    """Return one edit for the last saved one and the one after it, and the text before both; None where two stay."""
    try:
        record = _read(last)
        (old,) = record["edits"]
        if record["after"] != _digest(before) or not 0.0 <= time.time() - float(record["at"]) <= MERGE_S:
            return None
        one = merged(from_json(old), edit)
    except (Refusal, KeyError, TypeError, ValueError):
        return None
    return None if one is None else (one, str(record["before"]))


def undo(path: Path) -> str:
    """Bring back the text before the last saved edit and return what that edit was.

    Raises:
        Refusal: when there is none, or the file has been changed by hand since.
    """
    path = Path(os.path.realpath(path))
    text = read_text(path)
    place = _place(path, make=False)
    kept = _versions(place)
    name = visible(str(path))
    if not kept:
        raise Refusal(f"{name} has no edit of Hollowglow to undo.")
    number, last = kept[-1]
    record = _read(last)
    if record["after"] != _digest(text):
        raise Refusal(
            f"{name} was changed by hand since Hollowglow last wrote it, and undoing would lose that. "
            f"The text before is kept in {visible(str(last))} under before."
        )
    undone = record | {"before": _digest(record["before"]), "after": text}
    _write(place / f"{number:06d}.undone.json", json.dumps(undone, ensure_ascii=False, indent=1))
    _write(path, record["before"])
    last.unlink()
    return str(record["why"])


def redo(path: Path) -> str:
    """Bring back the text that the last undo took away and return what that edit was.

    Raises:
        Refusal: when nothing was undone, or the file has been changed since.
    """
    path = Path(os.path.realpath(path))
    text = read_text(path)
    place = _place(path, make=False)
    kept = _versions(place, _UNDONE)
    name = visible(str(path))
    if not kept:
        raise Refusal(f"{name} has nothing that was taken back, so there is nothing to redo.")
    number, last = kept[0]
    record = _read(last)
    if record["before"] != _digest(text):
        raise Refusal(
            f"{name} was changed by hand since the undo, and redoing would lose that. The text is kept in "
            f"{visible(str(last))} under after."
        )
    done = record | {"before": text, "after": _digest(record["after"])}
    _write(place / f"{number:06d}.json", json.dumps(done, ensure_ascii=False, indent=1))
    _write(path, record["after"])
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
            raise Refusal(
                f"{visible(str(place))} cannot be made, so nothing was written ({error.strerror or error})."
            ) from None
    return place


def _versions(place: Path, pattern: re.Pattern[str] = _VERSION) -> list[tuple[int, Path]]:
    """Return the kept versions, the oldest first."""
    try:
        names = sorted(os.listdir(place))
    except OSError:
        return []
    found = ((pattern.fullmatch(n), place / n) for n in names)
    return [(int(m.group(1)), p) for m, p in found if m is not None]


def _read(path: Path) -> dict[str, Any]:
    try:
        record = json.loads(path.read_text(encoding="utf-8"))
        if isinstance(record, dict) and all(isinstance(record.get(k), str) for k in _KEYS):
            return record
    except (OSError, ValueError):
        pass
    raise Refusal(
        f"{visible(str(path))} cannot be read, so nothing can be undone or redone. Delete it to go on without it."
    )


def _write(path: Path, text: str) -> None:
    try:
        mark = _MARK if path.is_file() and path.read_bytes().startswith(_MARK) else b""
    except OSError as error:
        raise Refusal(f"{visible(str(path))} cannot be read ({error.strerror or error}). It is as it was.") from None
    with whole(path, "It is as it was.") as stream:
        stream.write(mark + text.encode("utf-8"))
