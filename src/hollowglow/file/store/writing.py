"""The files that jobs write: whole or not at all, as text, bytes or JSON, in folders that are made."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from hollowglow.file.store.atomic import whole as whole_bytes
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import visible

__all__ = ["file_stem", "folder", "shown", "whole", "whole_bytes", "write_json", "write_text"]

_DEVICES = {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in range(1, 10))}


def shown(path: Path | str) -> str:
    """Return a path as a message shows it: on one line, with nothing invisible."""
    return visible(str(path))


@contextmanager
def whole(path: Path) -> Iterator[IO[str]]:
    """Open a text file for writing that appears under its name only when everything is written.

    Raises:
        Refusal: when the folder is missing, may not be written, or the disk is full.
    """
    with whole_bytes(path) as stream:
        text = io.TextIOWrapper(stream, encoding="utf-8", newline="")
        yield text
        text.flush()
        text.detach()


def write_json(made: dict[str, Any], place: str, stdout: IO[str]) -> None:
    """Write plain data as a JSON file, whole or not at all, or to standard output where `place` is "-"."""
    text = json.dumps(made, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    if place == "-":
        stdout.write(text)
        return
    with whole(Path(place)) as stream:
        stream.write(text)


def folder(path: Path) -> Path:
    """Return a folder, made where it is missing; raises Refusal where it cannot be."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refusal(
            f"{shown(path)} cannot be made a folder ({error.strerror or error}). Choose another place."
        ) from None
    return path


def file_stem(name: str, taken: set[str]) -> str:
    """Return a name that every file system takes, apart from those taken already also where case does not count."""
    plain = re.sub(r"[^\w.-]+", "-", name)
    # Windows takes these for devices, whatever follows the first point.
    stem = plain = f"{plain}_" if plain.partition(".")[0].upper() in _DEVICES else plain
    count = 1
    while stem.casefold() in taken:
        count += 1
        stem = f"{plain}-{count}"
    taken.add(stem.casefold())
    return stem


def write_text(place: Path, name: str, text: str) -> Path:
    """Write a text file, whole or not at all, into a folder and return its path; raises Refusal where that fails."""
    with whole(place / name) as stream:
        stream.write(text)
    return place / name
