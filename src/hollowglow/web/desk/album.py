"""The photographs that lie on the workbench: kept in a folder of their own until it is closed."""

from __future__ import annotations

import hashlib
import shutil
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING, BinaryIO

from hollowglow.messages.refusal import Refusal
from hollowglow.web.desk.photo_request import Look

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

MOST = 12
MOST_BYTES = 64 * 2**20
_LONGEST_NAME = 60


@dataclass(frozen=True)
class Picture:
    """One photograph: its name as the person knows it, where its copy is, its size and SHA-256, the exposure typed for it."""

    name: str
    path: Path
    size: int
    digest: str
    exposure: str = ""


class Album:
    """Photographs in the order in which they came; the folder goes away with this object or with `close`."""

    def __init__(self) -> None:
        self.pictures: tuple[Picture, ...] = ()
        self.even_lens = False
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._count = 0

    def add(self, name: str, source: BinaryIO, size: int) -> None:
        """Keep a copy of a photograph.

        Args:
            name: as the browser told it.
            source: to read it from.
            size: in bytes.

        Raises:
            Refusal: too large, empty, one too many, there already, or the disk is full.
        """
        name = plain_name(name)
        if size > MOST_BYTES:
            raise Refusal(
                f"{name}: found {size / 2**20:.1f} MiB, expected 64 MiB at most. Save it smaller, or as JPEG."
            )
        if size == 0:
            raise Refusal(f"{name}: found an empty file, expected a photograph. Copy it from the camera again.")
        digest = _digest(source)
        if any(one.digest == digest for one in self.pictures):
            raise Refusal(f"{name}: this very photograph lies here already.")
        if len(self.pictures) >= MOST:
            raise Refusal(f"{name}: {MOST} photographs lie here already. Take some away first.")
        try:
            if self._folder is None:
                self._folder = tempfile.TemporaryDirectory(prefix="hollowglow-photographs-")
            self._count += 1
            # One folder each: two cameras may name their pictures alike.
            place = Path(self._folder.name) / str(self._count)
            place.mkdir()
            with (place / name).open("wb") as target:
                shutil.copyfileobj(source, target)
        except OSError as error:
            raise Refusal(f"{name}: it could not be kept ({error.strerror or error}). Make room on the disk.") from None
        self.pictures = (*self.pictures, Picture(name, place / name, size, digest))

    def remove(self, place: int) -> None:
        """Take a photograph away by its place, from 0; one that is not there is no error."""
        if 0 <= place < len(self.pictures):
            self.pictures[place].path.unlink(missing_ok=True)
            self.pictures = (*self.pictures[:place], *self.pictures[place + 1 :])

    def note(self, exposures: Mapping[int, str], even_lens: bool) -> None:
        """Remember what was typed about the photographs."""
        self.pictures = tuple(
            replace(one, exposure=exposures.get(i, one.exposure).strip()[:80]) for i, one in enumerate(self.pictures)
        )
        self.even_lens = even_lens

    def look(self) -> Look:
        """Return what to look at."""
        return Look(
            tuple(str(one.path) for one in self.pictures),
            tuple(one.exposure for one in self.pictures),
            self.even_lens,
        )

    @property
    def stamp(self) -> str:
        """Return a fingerprint of what there is to look at."""
        said = [(one.digest, one.exposure) for one in self.pictures]
        return hashlib.sha256(repr((said, self.even_lens)).encode()).hexdigest()[:16]

    def close(self) -> None:
        """Throw the copies away."""
        self.pictures = ()
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None


def _digest(source: BinaryIO) -> str:
    made = hashlib.sha256()
    while chunk := source.read(2**20):
        made.update(chunk)
    source.seek(0)
    return made.hexdigest()


def plain_name(name: str) -> str:
    """Return the last part of a file's name, printable and not too long for any disk.

    >>> plain_name("C:\\\\photos\\\\a.jpg"), plain_name("../.."), plain_name("x" * 100 + ".jpeg")[-8:]
    ('a.jpg', 'photograph', 'xxx.jpeg')
    """
    last = PurePosixPath(name.replace("\\", "/")).name
    last = "".join(c if c.isprintable() and c != "\0" else "?" for c in last)
    if last.strip(". ") == "":
        return "photograph"
    if len(last) <= _LONGEST_NAME:
        return last
    ending = PurePosixPath(last).suffix[:8]
    return last[: _LONGEST_NAME - len(ending)] + ending


def in_words(refused: Sequence[Refusal]) -> str:
    """Return several refusals as one text."""
    return " ".join(str(one) for one in refused)
