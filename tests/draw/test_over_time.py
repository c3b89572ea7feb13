"""What a show drew over time: places follow values, units and limits are there, nothing is drawn of nothing."""

import pytest

from hollowglow.draw.circuit.over_time import TimePanel, over_time, time_spread
from hollowglow.draw.sheet.records import Line, Polyline, Rect, Text
from hollowglow.draw.sheet.svg import to_svg

SHED = TimePanel("shed", "peak 4 A", "A", (1.0, 2.0, 1.5), (2.0, 4.0, 2.0), 5.0)


def test_a_panel_has_its_curves_its_limit_and_its_units() -> None:
    drawing = over_time([SHED], 90.0, title="Jetty: what its supplies carried")
    (highest,) = (r for r in drawing.records if isinstance(r, Polyline) and r.role == "plus")
    (limit,) = (r for r in drawing.records if isinstance(r, Line) and r.role == "limit")
    (low, top, _) = (y for _, y in highest.points)
    # 5 A lie as far above 4 A as half of what 4 A lie above 2 A.
    assert top - limit.y1 == pytest.approx((low - top) / 2)
    texts = [r.text for r in drawing.records if isinstance(r, Text)]
    assert {"A", "s", "limit", "shed: peak 4 A"} <= set(texts)
    assert "<title>" in to_svg(drawing)


def test_long_shows_are_in_minutes_and_gaps_stay_open() -> None:
    broken = TimePanel("shed", "", "A", (1.0, float("nan"), 1.5), (2.0, float("nan"), 2.0), 5.0)
    drawing = over_time([broken], 600.0, title="x")
    assert "min" in [r.text for r in drawing.records if isinstance(r, Text)]
    assert len([r for r in drawing.records if isinstance(r, Polyline) and r.role == "plus"]) == 2


def test_bars_are_as_high_as_their_share() -> None:
    bars = [r for r in time_spread((0.0, 10.0, 20.0, 30.0), (0.5, 0.0, 0.25), title="x").records if isinstance(r, Rect)]
    assert len(bars) == 2
    assert bars[0].height == pytest.approx(2.0 * bars[1].height)


def test_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one panel"):
        over_time([], 10.0, title="x")
    with pytest.raises(ValueError, match="one edge more"):
        time_spread((), (), title="x")
