"""The photograph that the file states lies behind the pictures of the display, and a page says where it cannot."""

from __future__ import annotations

import hashlib
from pathlib import Path

import numpy as np
from PIL import Image

from hollowglow.book import BookRequest, book_file
from tests.assembly.samples import stated
from tests.book.reading import DAY, drawn, pages
from tests.outside.displays import dump

GREEN = (0, 200, 0)


def display() -> str:
    """Four props along the middle of a wall that the photograph shows from (0 m, 0 m) to (6 m, 3 m), 100 pixels a metre."""
    backdrop = {"picture": "wall.png", "points": [[0, 300], [600, 300]], "length": "6 m"}
    line = {"place": {"line": [["1 m", "1.5 m"], ["5 m", "1.5 m"]]}}
    return dump(stated(props="4 * float", string=line, place={"plane": "wall", "backdrop": backdrop}))


def made(folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / "yard.yaml").write_text(display(), encoding="utf-8")
    book_file(folder / "yard.yaml", folder / "book.pdf", BookRequest(date=DAY))
    return folder / "book.pdf"


def greenest(picture: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    """How much greener than red each pixel is."""
    return picture[..., 1].astype(int) - picture[..., 0].astype(int)


def test_the_photograph_lies_behind_the_night_and_behind_the_map(tmp_path: Path) -> None:
    Image.new("RGB", (600, 300), GREEN).save(tmp_path / "wall.png")
    pdf = made(tmp_path)
    read = pages(pdf)
    night, day = 1, next(n for n, page in enumerate(read, 1) if "seen from the front" in page)
    # A moonless evening leaves a twentieth of the light: dark, but green; on paper it is faded, but green.
    dark, faded = greenest(drawn(pdf, night, 50)), greenest(drawn(pdf, day, 50))
    assert 15 < np.median(dark[dark > 10]) < 80
    assert 60 < np.median(faded[faded > 10]) < 180
    # 6 m by 3 m of wall, seen 168 mm wide at 50 dots an inch.
    assert (faded > 10).sum() / (168.0 * 84.0 * (50 / 25.4) ** 2) > 0.6
    digest = hashlib.sha256((tmp_path / "wall.png").read_bytes()).hexdigest()
    words = f"Behind it: wall.png, file {digest[:4]} {digest[4:8]} {digest[8:12]}."
    assert all(words in " ".join(read[number - 1].split()) for number in (night, day))


def test_a_photograph_that_is_not_there_is_told_on_both_pages_and_the_book_is_the_same_everywhere(
    tmp_path: Path,
) -> None:
    first, second = made(tmp_path / "one"), made(tmp_path / "two")
    assert first.read_bytes() == second.read_bytes()
    told = [" ".join(page.split()) for page in pages(first)]
    words = "Drawn without its backdrop wall.png: not there, no picture, or its corners are no rectangle."
    assert [page for page in told if words in page] == [told[0], next(p for p in told if "seen from the front" in p)]
