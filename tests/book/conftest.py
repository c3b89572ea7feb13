"""Books of the demo, each made once for all tests that read it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import pytest

from hollowglow.book import BookRequest, make_book, make_labels, stamp_of
from hollowglow.draw.labels.sheets import sheet_size
from hollowglow.file import load
from hollowglow.jobs.start.demo import write_demo
from hollowglow.plan import Plan, make_plan
from tests.book.reading import DAY, pages

FIRST, MENDED = "landing.yaml", "landing-mended.yaml"


@dataclass
class Books:
    """The demo's two files, their plans and books, made when they are first asked for."""

    folder: Path
    plans: dict[str, Plan] = field(default_factory=dict)
    read: dict[Path, list[str]] = field(default_factory=dict)

    def file(self, name: str) -> Path:
        return self.folder / "demo" / name

    def plan(self, name: str) -> Plan:
        if name not in self.plans:
            self.plans[name] = make_plan(load(self.file(name)))
        return self.plans[name]

    def pdf(self, name: str, request: BookRequest | None = None) -> Path:
        """The book of a file; A4, both units, and the tests' day where no request is told."""
        request = request or BookRequest(date=DAY)
        place = self.folder / f"{name}-{request.paper}-{request.units}-{request.date}.pdf"
        if not place.exists():
            place.write_bytes(make_book(self.plan(name), stamp_of(self.file(name), request), request))
        return place

    def labels(self, name: str, sheet: str, address: str = "") -> Path:
        place = self.folder / f"{name}-{sheet}-{len(address)}.pdf"
        if not place.exists():
            stamp = stamp_of(self.file(name), BookRequest(date=DAY))
            place.write_bytes(make_labels(self.plan(name), stamp, sheet_size(sheet), address))
        return place

    def pages(self, name: str) -> list[str]:
        """The words of every page of a book that nobody wished otherwise."""
        place = self.pdf(name)
        if place not in self.read:
            self.read[place] = pages(place)
        return self.read[place]


@pytest.fixture(scope="session")
def books(tmp_path_factory: pytest.TempPathFactory) -> Books:
    folder = tmp_path_factory.mktemp("books")
    write_demo(folder / "demo")
    return Books(folder)
