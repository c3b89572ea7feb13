"""Books made for the tests, and read back with poppler: their words, their pages as pictures."""

from __future__ import annotations

import re
import subprocess
from datetime import date
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from hollowglow.book import BookRequest, make_book, stamp_of
from hollowglow.plan import Plan

DPI = 300
MM_PER_PIXEL = 25.4 / DPI
DAY = date(2026, 11, 25)
PLAIN = BookRequest(date=DAY)


def written(plan: Plan, folder: Path, request: BookRequest = PLAIN) -> Path:
    """The book of a plan as a file in a folder, stamped as if the display file were one line."""
    source = folder / "display.yaml"
    source.write_text("display: a test\n", encoding="utf-8")
    place = folder / "book.pdf"
    place.write_bytes(make_book(plan, stamp_of(source, request), request))
    return place


def pages(pdf: Path) -> list[str]:
    """The words of every page."""
    done = subprocess.run(["pdftotext", "-q", str(pdf), "-"], capture_output=True, check=True, timeout=300)
    return done.stdout.decode("utf-8").split("\f")[:-1]


def overprinted(pdf: Path) -> list[tuple[int, str, str]]:
    """Pairs of words that lie one over the other, with their page from 1."""
    done = subprocess.run(["pdftotext", "-q", "-bbox", str(pdf), "-"], capture_output=True, check=True, timeout=60)
    found = []
    for number, page in enumerate(done.stdout.decode("utf-8").split("<page ")[1:], 1):
        words = re.findall(r'<word xMin="(\S+)" yMin="(\S+)" xMax="(\S+)" yMax="(\S+)">(.*?)</word>', page)
        boxes = np.array([[float(n) for n in word[:4]] for word in words]).reshape(-1, 4)
        left, top, right, foot = boxes.T
        # Boxes reach from the highest to the lowest letter of the font, so lines that are set close touch a little.
        wide = np.minimum(right[:, None], right) - np.maximum(left[:, None], left)
        high = np.minimum(foot[:, None], foot) - np.maximum(top[:, None], top)
        least = np.minimum((foot - top)[:, None], foot - top)
        for a, b in np.argwhere(np.triu((wide > 1.0) & (high > 0.5 * least), 1)).tolist():
            found.append((number, words[a][4], words[b][4]))
    return found


def squeezed(text: str) -> str:
    """Text without anything that tells where its lines were broken."""
    return re.sub(r"[\s\u200b\u00ad]+", "", text)


def drawn(pdf: Path, page: int, dpi: int = DPI) -> NDArray[np.uint8]:
    """One page (from 1) as red, green, blue of every pixel."""
    command = ["pdftoppm", "-q", "-r", str(dpi), "-f", str(page), "-l", str(page), "-png", str(pdf)]
    done = subprocess.run(command, capture_output=True, check=True, timeout=300)
    picture = cv2.imdecode(np.frombuffer(done.stdout, np.uint8), cv2.IMREAD_COLOR)
    assert picture is not None
    return np.asarray(picture[..., ::-1], dtype=np.uint8)


def all_drawn(pdf: Path, dpi: int) -> list[NDArray[np.uint8]]:
    """Every page as grey pixels."""
    command = ["pdftoppm", "-q", "-r", str(dpi), "-gray", str(pdf), str(pdf.with_suffix(""))]
    subprocess.run(command, check=True, timeout=300)
    made = sorted(pdf.parent.glob(f"{pdf.stem}-*.pgm"))
    return [np.asarray(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE), dtype=np.uint8) for path in made]
