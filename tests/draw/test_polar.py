"""The intensity curve: straight down at the foot, radii in proportion, curves told apart by pattern."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.draw.prop.polar import PolarCurve, polar
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Circle, Drawing, Polyline, Text
from hollowglow.draw.sheet.style import STYLES
from tests.draw.glow_samples import ANGLES, CURVES


def middle(drawing: Drawing) -> tuple[float, float]:
    ring = next(record for record in drawing.records if isinstance(record, Circle))
    return ring.x, ring.y


def curve(drawing: Drawing, role: str) -> list[tuple[float, float]]:
    (line,) = [record for record in drawing.records if isinstance(record, Polyline) and record.role == role]
    return list(line.points)


def test_straight_down_is_at_the_foot_and_ninety_on_the_right() -> None:
    drawing = polar((PolarCurve("ramp", (0.0, 90.0, 180.0, 270.0), (4.0, 3.0, 2.0, 1.0)),))
    x, y = middle(drawing)
    down, right, up, left, _ = curve(drawing, "polar")
    assert down[0] == pytest.approx(x)
    assert down[1] > y > up[1]
    assert right[0] > x > left[0]
    reach = [math.dist((x, y), point) for point in (down, right, up, left)]
    assert [r / reach[3] for r in reach] == pytest.approx([4.0, 3.0, 2.0, 1.0])


def test_a_ring_is_where_its_value_says() -> None:
    drawing = polar((PolarCurve("even", ANGLES, (2.0,) * len(ANGLES)),))
    rings = [record.radius for record in drawing.records if isinstance(record, Circle)]
    assert "0.5" in [record.text for record in drawing.records if isinstance(record, Text)]
    reach = math.dist(middle(drawing), curve(drawing, "polar")[0])
    assert reach == pytest.approx(rings[-1])
    assert rings == pytest.approx([reach * k / 4 for k in (1, 2, 3, 4)])


def test_two_curves_share_a_scale_and_differ_in_pattern() -> None:
    drawing = polar(CURVES)
    first, second = (math.dist(middle(drawing), curve(drawing, role)[0]) for role in ("polar", "polar-two"))
    assert first / second == pytest.approx(3.0)
    assert STYLES["polar"].dash_mm != STYLES["polar-two"].dash_mm
    assert STYLES["polar"].dash_dots != STYLES["polar-two"].dash_dots


def test_the_highest_intensity_is_told_with_its_angle() -> None:
    drawing = polar((PolarCurve("side", (0.0, 300.0, 350.0), (1.0, 2.5, 2.0)),))
    texts = [record.text for record in drawing.records if isinstance(record, Text)]
    assert "side: most 2.50 cd, 60° from straight down" in texts
    assert any("in cd" in text for text in texts)


@given(
    st.lists(st.floats(0.0, 1e6), min_size=3, max_size=40), st.text(max_size=40), st.sampled_from([90.0, 110.0, 180.0])
)
@settings(deadline=None)
def test_any_curve_stays_on_the_page(values: list[float], name: str, width: float) -> None:
    angles = tuple(360.0 * k / len(values) for k in range(len(values)))
    drawing = polar((PolarCurve(name, angles, tuple(values)),), title=name, width_mm=width)
    page = PageBox(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    assert all(record_box(record).inside(page) for record in drawing.records)


@pytest.mark.parametrize(
    ("angles", "values", "message"),
    [
        ((0.0, 1.0), (1.0, 1.0), "three or more"),
        ((0.0, 1.0, 2.0), (1.0, 1.0), "as many of each"),
        ((0.0, 1.0, 2.0), (1.0, -1.0, 1.0), "below 0"),
        ((0.0, 1.0, 2.0), (1.0, math.nan, 1.0), "not finite"),
    ],
)
def test_columns_that_make_no_curve_are_refused(
    angles: tuple[float, ...], values: tuple[float, ...], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        PolarCurve("c", angles, values)


def test_three_curves_are_refused() -> None:
    with pytest.raises(ValueError, match=r"^3 curves of intensity were asked for, expected one or two$"):
        polar((*CURVES, CURVES[0]))
