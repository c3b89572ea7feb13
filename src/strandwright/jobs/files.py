"""Files written whole or not at all."""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, Any

from strandwright.display.words import visible
from strandwright.errors import UseError


def shown(path: Path | str) -> str:
    """Return a path as a message shows it: on one line, with nothing invisible."""
    return visible(str(path))


@contextmanager
def whole(path: Path) -> Iterator[IO[str]]:
    """Open a text file for writing that appears under its name only when everything is written.

    Raises:
        UseError: when the folder is missing, may not be written, or the disk is full.
    """
    with _whole(path, {"mode": "w", "encoding": "utf-8", "newline": ""}) as stream:
        yield stream


@contextmanager
def whole_bytes(path: Path) -> Iterator[IO[bytes]]:
    """Open a file of bytes as `whole` does one of text."""
    with _whole(path, {"mode": "wb"}) as stream:
        yield stream


@contextmanager
def _whole(path: Path, how: dict[str, Any]) -> Iterator[IO[Any]]:
    temporary: Path | None = None
    try:
        if path.exists() and not path.is_file() and not path.is_dir():
            # A device or a pipe is written into: renaming a file onto it would take its place.
            with path.open(**how) as stream:
                yield stream
            return
        real = Path(os.path.realpath(path))  # a link stays a link: what it points at is replaced
        with tempfile.NamedTemporaryFile(**how, dir=real.parent, prefix=f".{real.name}.", delete=False) as stream:
            temporary = Path(stream.name)
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
        os.replace(temporary, real)
        temporary = None
    except OSError as error:
        raise UseError(f"{shown(path)} cannot be written ({error.strerror or error}). Choose another place.") from None
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()


def write_json(made: dict[str, Any], place: str, stdout: IO[str]) -> None:
    """Write plain data as a JSON file, whole or not at all, or to standard output where `place` is "-"."""
    text = json.dumps(made, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
    if place == "-":
        stdout.write(text)
        return
    with whole(Path(place)) as stream:
        stream.write(text)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def folder(path: Path) -> Path:
    """Return a folder, made where it is missing; raises UseError where it cannot be."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UseError(
            f"{shown(path)} cannot be made a folder ({error.strerror or error}). Choose another place."
        ) from None
    return path


def file_stem(name: str, taken: set[str]) -> str:
    """Return a name that every file system takes, apart from those taken already also where case does not count."""
    stem = plain = re.sub(r"[^\w.-]+", "-", name)
    count = 1
    while stem.casefold() in taken:
        count += 1
        stem = f"{plain}-{count}"
    taken.add(stem.casefold())
    return stem
