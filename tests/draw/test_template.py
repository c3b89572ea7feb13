"""Drill templates: true size on every sheet, every hole once whole or shared by sheets that overlap."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.draw.prop.template import PAGE_MM, DrillHole, FaceOutline, FaceTemplate, drill_template
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Circle, Drawing, Line, Polyline, Text
from hollowglow.draw.sheet.tiles import clipped, tiles
from tests.draw.glow_samples import TEMPLATES, ring


def words(drawing: Drawing) -> list[str]:
    return [record.text for record in drawing.records if isinstance(record, Text)]


def holes(drawing: Drawing) -> list[Circle]:
    return [record for record in drawing.records if isinstance(record, Circle) and record.role == "bore"]


def outline(drawing: Drawing) -> PageBox:
    return record_box(next(r for r in drawing.records if isinstance(r, Polyline) and r.role == "edge"))


def test_outline_and_holes_are_at_true_size() -> None:
    (sheet,) = drill_template(TEMPLATES["round"])
    face = outline(sheet)
    assert (face.right - face.left, face.bottom - face.top) == pytest.approx((80.0, 80.0))
    x, y = (face.left + face.right) / 2, (face.top + face.bottom) / 2
    for hole, drawn in zip(TEMPLATES["round"].holes, holes(sheet), strict=True):
        assert drawn.radius == pytest.approx(6.1)
        assert (drawn.x - x, y - drawn.y) == pytest.approx((1e3 * hole.at_m[0], 1e3 * hole.at_m[1]))


@pytest.mark.parametrize("name", TEMPLATES)
def test_the_check_bars_are_50_mm_and_2_in(name: str) -> None:
    sheet = drill_template(TEMPLATES[name])[0]
    labels = {record.text: record for record in sheet.records if isinstance(record, Text)}
    level = [r for r in sheet.records if isinstance(r, Line) and r.role == "edge" and r.y1 == r.y2]
    for text, length in (("50 mm", 50.0), ("2 in", 50.8)):
        (bar,) = [line for line in level if abs(line.y1 - labels[text].y) < 1.5]
        assert bar.x2 - bar.x1 == pytest.approx(length)
    assert any(word.startswith("TRUE SIZE: print at 100 %") for word in words(sheet))


def test_webs_are_those_of_plane_geometry() -> None:
    (sheet,) = drill_template(TEMPLATES["round"])
    # Five holes of 12.2 mm on a circle of 22 mm: a chord of 2 * 22 sin(36 deg) = 25.86 mm; 40 - 22 - 6.1 mm to the edge.
    chord = 2 * 22 * math.sin(math.radians(36)) - 12.2
    assert f"{chord:.1f} mm / {chord / 25.4:.2f} in" in words(sheet)
    assert words(sheet).count("11.9 mm / 0.47 in to the edge") == 5


def test_a_thin_web_is_marked_in_words() -> None:
    face = FaceOutline(0.08, 0.08, round=True)
    (sheet,) = drill_template(FaceTemplate("Plate", face, ring(5, 0.022), least_web_m=0.012))
    marked = [r for r in sheet.records if isinstance(r, Text) and r.text.endswith(", thin")]
    assert len(marked) == 5
    assert {record.role for record in marked} == {"warn"}


def test_holes_that_run_into_each_other_or_the_edge_are_said_to() -> None:
    pair = (DrillHole((0.0, 0.0), 0.012), DrillHole((0.01, 0.0), 0.012))
    assert "breaks into hole 2" in words(drill_template(FaceTemplate("Plate", FaceOutline(0.06, 0.06), pair))[0])
    out = (DrillHole((0.028, 0.0), 0.012),)
    assert "breaks into the edge" in words(drill_template(FaceTemplate("Plate", FaceOutline(0.06, 0.06), out))[0])


def test_diameters_come_with_the_nearest_inch_drill() -> None:
    (sheet,) = drill_template(TEMPLATES["round"])
    # 31/64 in is 12.303 mm.
    assert words(sheet).count("12.2 mm, drill 31/64 in (+0.10 mm)") == 5


def test_a_list_of_holes_tells_one_measure_where_one_is_asked_for() -> None:
    # 10 mm is 0.3937 in; 12.2 mm is 0.480 in, and 31/64 in is 0.484 in.
    template = FaceTemplate("Plate", FaceOutline(0.1, 0.1), (DrillHole((0.01, -0.01), 0.0122),))
    (metric,), (us,) = (drill_template(replace(template, units=units)) for units in ("metric", "us"))
    assert {"+10.0, −10.0 mm", "12.2 mm", "33.9 mm to the edge", "50 mm"} <= set(words(metric))
    assert {"+0.394, −0.394 in", "0.48 in, drill 31/64 in (+0.004 in)", "1.33 in to the edge", "2 in"} <= set(words(us))


def test_a_large_face_goes_on_over_sheets_at_true_size() -> None:
    sheets = drill_template(TEMPLATES["split"])
    drawn = [sheet for sheet in sheets if any(isinstance(record, Circle) for record in sheet.records)]
    assert len(drawn) == 9
    assert {round(hole.radius, 6) for sheet in drawn for hole in holes(sheet)} == {6.1}
    assert all(any("too large for one sheet" in word for word in words(sheet)) for sheet in drawn)
    numbers = {word for sheet in drawn for word in words(sheet) if word.isdigit()}
    assert numbers == {str(k) for k in range(1, len(TEMPLATES["split"].holes) + 1)}


def test_crosses_to_join_lie_on_two_sheets_each_and_at_one_place() -> None:
    first, second = drill_template(FaceTemplate("Strip", FaceOutline(0.3, 0.05), ()))[:2]

    def cross(sheet: Drawing) -> list[float]:
        return [r.x1 + 3.0 for r in sheet.records if isinstance(r, Line) and r.role == "stop" and r.y1 == r.y2]

    assert len(cross(first)) == len(cross(second)) == 2
    # Sheets are 180 mm of face wide, so the second begins 120 mm along; both start 5 mm from the edge of the paper.
    assert cross(first)[0] - 5.0 == pytest.approx(cross(second)[0] - 5.0 + 120.0)


def test_every_hole_is_listed_once() -> None:
    rows = [w for sheet in drill_template(TEMPLATES["split"]) for w in words(sheet) if re.search(r"drill \d", w)]
    assert len(rows) == len(TEMPLATES["split"].holes)


@given(
    st.floats(0.01, 0.7),
    st.floats(0.01, 0.7),
    st.booleans(),
    st.lists(st.tuples(st.floats(-0.5, 0.5), st.floats(-0.5, 0.5), st.floats(0.001, 0.05)), max_size=12),
    st.text(max_size=60),
)
@settings(max_examples=40, deadline=None)
def test_any_face_stays_on_paper_that_a4_and_letter_hold(
    wide: float, high: float, is_round: bool, places: list[tuple[float, float, float]], title: str
) -> None:
    face = FaceOutline(wide, wide if is_round else high, round=is_round)
    found = tuple(DrillHole((x * face.width_m, y * face.height_m), d) for x, y, d in places)
    for sheet in drill_template(FaceTemplate(title, face, found, 0.003, (title,))):
        assert sheet.width_mm <= PAGE_MM[0]
        assert sheet.height_mm <= PAGE_MM[1] + 1e-9
        # A4 is 210 by 297 mm (ISO 216), Letter 215.9 by 279.4 mm (ANSI Y14.1).
        assert sheet.width_mm <= 210 - 20
        assert sheet.height_mm <= 279.4 - 25
        page = PageBox(0.0, 0.0, sheet.width_mm, sheet.height_mm)
        for record in sheet.records:
            assert record_box(record).inside(page), record


@given(st.floats(1.0, 2000.0), st.floats(1.0, 2000.0))
def test_tiles_cover_all_and_overlap(width: float, height: float) -> None:
    found = tiles(width, height, 180.0, 199.0, 12.0)
    for column, other in ((t, u) for t in found for u in found if t.row == u.row and u.column == t.column + 1):
        assert other.left <= column.left + column.width - 12.0 + 1e-6
    assert found[0].left == found[0].top == 0.0
    assert found[-1].left + found[-1].width == pytest.approx(width)
    assert found[-1].top + found[-1].height == pytest.approx(height)
    assert all(tile.width <= 180.0 and tile.height <= 199.0 for tile in found)


def test_a_line_is_cut_where_the_sheet_ends() -> None:
    (tile,) = tiles(10.0, 10.0, 180.0, 199.0, 12.0)
    runs = clipped([(-5.0, 5.0), (15.0, 5.0), (15.0, 8.0), (5.0, 8.0)], tile)
    assert runs == [[(0.0, 5.0), (10.0, 5.0)], [(10.0, 8.0), (5.0, 8.0)]]


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: FaceOutline(0.0, 0.1), r"^a face is 0\.0 m by 0\.1 m, expected both above 0$"),
        (lambda: FaceOutline(0.1, 0.2, round=True), r"expected one diameter$"),
        (lambda: DrillHole((0.0, 0.0), 0.0), r"expected finite and above 0$"),
        (lambda: tiles(10.0, 10.0, 5.0, 5.0, 6.0), r"expected less than a sheet$"),
    ],
)
def test_what_cannot_be_drilled_is_refused(make: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        make()  # type: ignore[operator]
