"""What is measured on paper: the ruler, the holes of the templates, and that nothing runs over an edge."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from hollowglow.book import BookRequest
from hollowglow.book.chapters.bench import template_sheets
from hollowglow.book.request import Paper
from hollowglow.plan import Plan
from tests.assembly.samples import planned, stated
from tests.book.conftest import FIRST, MENDED, Books
from tests.book.reading import DAY, MM_PER_PIXEL, all_drawn, drawn, pages, written

SLACK_MM = 0.2
BALL = {"shape": "sphere", "diameter": "150 mm", "transmittance": 0.4, "reflectance": 0.45}
KIND = {
    "shell": BALL,
    "carrier": {"shape": "disc", "diameter": "90 mm", "above_base": "70 mm"},
    "fill": {"light": "bullet-12mm-12v", "count": 5},
}
WIDE = {
    "shell": {"shape": "box", "width": "420 mm", "height": "420 mm", "depth": "60 mm"},
    "carrier": {"shape": "plate", "width": "380 mm", "height": "380 mm", "above_base": "10 mm"},
    "fill": {"light": "bullet-12mm-12v", "count": 12},
}


@pytest.fixture(scope="module")
def drilled() -> Plan:
    return planned(stated(props="2 * float", kind=KIND))


def ruler_mm(picture: NDArray[np.uint8]) -> float:
    """The distance between the first and the last tick of the ruler: its base line is the longest dark line."""
    dark = picture.max(axis=2) < 90
    best, place = 0, (0, 0)
    for y in range(picture.shape[0] * 3 // 4, picture.shape[0]):
        padded = np.concatenate([[False], dark[y], [False]]).astype(np.int8)
        starts, ends = np.flatnonzero(np.diff(padded) == 1), np.flatnonzero(np.diff(padded) == -1)
        if len(starts):
            k = int((ends - starts).argmax())
            if ends[k] - starts[k] > best:
                best, place = int(ends[k] - starts[k]), (y, int(starts[k]))
    y, x = place
    strip = 255.0 - picture[y + 12 : y + 34].mean(axis=(0, 2))

    def tick(at: int) -> float:
        near = np.arange(at - 8, at + 9)
        weight = strip[near]
        return float((near * weight).sum() / weight.sum())

    return (tick(x + best) - tick(x)) * MM_PER_PIXEL


def template_pages(pdf: Path) -> list[int]:
    return [n for n, page in enumerate(pages(pdf), 1) if "TRUE SIZE" in page]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_ruler_measures_100_mm(drilled: Plan, paper: Paper, tmp_path: Path) -> None:
    request = BookRequest(paper=paper, date=DAY)
    pdf = written(drilled, tmp_path, request)
    found = template_pages(pdf)
    assert found
    for page in found:
        assert ruler_mm(drawn(pdf, page)) == pytest.approx(100.0, abs=SLACK_MM)


def rings(picture: NDArray[np.uint8]) -> list[tuple[float, float, float]]:
    """Every closed ring of ink as (x, y, diameter) in mm: pieces that touch nothing else and are as wide as high."""
    red, blue = picture[..., 0].astype(int), picture[..., 2].astype(int)
    ink = (picture.max(axis=2) < 150) & (blue > red + 8)
    _, _, stats, _ = cv2.connectedComponentsWithStats(ink.astype(np.uint8), connectivity=8)
    found = []
    for left, top, width, height, area in stats[1:].tolist():
        if width > 60 and abs(width - height) <= 4 and area < 0.5 * width * height:
            stroke = 0.35 / MM_PER_PIXEL
            diameter = (width + height) / 2 - stroke
            found.append(
                ((left + width / 2) * MM_PER_PIXEL, (top + height / 2) * MM_PER_PIXEL, diameter * MM_PER_PIXEL)
            )
    return found


def test_the_holes_of_a_carrier_lie_at_their_places(drilled: Plan, tmp_path: Path) -> None:
    plan = drilled
    pdf = written(plan, tmp_path)
    seen = rings(drawn(pdf, template_pages(pdf)[0]))
    (edge,) = [ring for ring in seen if ring[2] == pytest.approx(90.0, abs=2 * SLACK_MM)]
    carrier = plan.making.kinds[0].carrier
    assert carrier is not None
    assert carrier.bore is not None
    (template,) = [t for t in carrier.templates if t.holes]
    assert len(template.holes) == 5
    bores = [ring for ring in seen if ring[2] == pytest.approx(1e3 * carrier.bore.diameter_m, abs=2 * SLACK_MM)]
    assert len(bores) == 5
    for hole in template.holes:
        x, y = edge[0] + 1e3 * hole.u_m, edge[1] - 1e3 * hole.v_m
        assert min(np.hypot(x - ring[0], y - ring[1]) for ring in bores) < SLACK_MM


def marks(plan: Plan, folder: Path) -> list[str]:
    pdf = written(plan, folder)
    return [page for page in pages(pdf) if "TRUE SIZE" in page]


def test_the_largest_template_leaves_the_foot_of_the_smaller_paper_to_the_ruler() -> None:
    # US Letter is 279.4 mm high; the head of a template page takes 12 mm, ruler and foot take 27 mm.
    plan = planned(stated(props="1 * float", kind=WIDE))
    heights = [sheet.height_mm for sheet in template_sheets(plan, 0)]
    assert len(heights) > 3
    assert max(heights) <= 279.4 - 12.0 - 27.0


def test_a_template_larger_than_a_page_is_split_with_marks_to_join_it(tmp_path: Path) -> None:
    read = marks(planned(stated(props="2 * float", kind=WIDE)), tmp_path)
    split = [page for page in read if "too large for one sheet" in page]
    assert len(split) >= 4
    assert all("crosses of the same letter" in " ".join(page.split()) for page in split)


@pytest.mark.parametrize(("paper", "name"), [("a4", MENDED), ("letter", FIRST)])
def test_nothing_runs_over_the_edge_of_a_page(books: Books, paper: Paper, name: str) -> None:
    pdf = books.pdf(name, BookRequest(paper=paper, date=DAY))
    edge = 40 * 8 // 25  # 8 mm, within which printers leave paper white
    for number, picture in enumerate(all_drawn(pdf, 40), 1):
        sides = (picture[:edge], picture[-edge:], picture[:, :edge], picture[:, -edge:])
        assert min(int(side.min()) for side in sides) > 240, f"page {number}"


LATHE = {
    "shell": {
        "shape": "lathe",
        "profile": [["40 mm", "0 mm"], ["60 mm", "30 mm"], ["70 mm", "80 mm"], ["50 mm", "130 mm"], ["0 mm", "150 mm"]],
    },
    "fill": {"light": "bullet-12mm-12v", "count": 3},
    "gland": {"part": "gland-pg7", "count": 2, "at": "side"},
}


def test_a_turned_shell_gets_a_strip_to_wrap_round_it_with_angles_and_heights(tmp_path: Path) -> None:
    (sheet, *_) = marks(planned(stated(props="2 * float", kind=LATHE)), tmp_path)[-1:]
    words = " ".join(sheet.split())
    # 2 pi 70 mm = 439.8 mm; two glands stand opposite each other where the shell is widest, 80 mm above its base.
    assert "once round: 440 mm" in words
    assert "gland: 90.0°, 80.0 mm" in words
    assert "gland: 270.0°, 80.0 mm" in words


def test_the_title_page_is_one_page_however_long_its_words_are(tmp_path: Path) -> None:
    name = "Lichterwald am Weiher " * 9
    plan = planned(stated(props="2 * float", kind=WIDE, display=name, about=name))
    for paper in ("a4", "letter"):
        read = pages(written(plan, tmp_path, BookRequest(paper=paper, date=DAY)))
        assert "hours of work" in read[0]
        assert "Contents" in read[1]


def test_a_template_that_must_not_be_drilled_yet_says_so_where_a_printer_prints(tmp_path: Path) -> None:
    # Pigtails with plugs at spans that are spliced: a stop of the kind, so of every sheet of it.
    kind = {**KIND, "pigtail": {"cable": "cable-3x18awg", "length": "150 mm", "plug": "plug-3pin-18awg"}}
    span = {"cable": "cable-3x18awg", "length": "1 m", "joint": "splice-gel"}
    plan = planned(stated(props="2 * float", kind=kind, string={"span": span}))
    assert any("float" in f.where for f in plan.findings if f.severity == "stop")
    for paper in ("a4", "letter"):
        pdf = written(plan, tmp_path, BookRequest(paper=paper, date=DAY))
        for page in template_pages(pdf):
            assert "DO NOT BUILD YET" in pages(pdf)[page - 1]
            picture = drawn(pdf, page, 80)
            assert picture[: int(8 * 80 / 25.4)].min() > 240
            assert picture[int(8 * 80 / 25.4) : int(12 * 80 / 25.4)].min() < 100
