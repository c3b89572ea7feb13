"""The fades that are left: one staircase for each kind, as high and as many as its duties say."""

from __future__ import annotations

from itertools import pairwise

import pytest

from hollowglow.draw.prop.fades import Fade, fades
from hollowglow.draw.sheet.records import Polyline, Text
from hollowglow.draw.sheet.svg import to_svg

STAIRS = Fade("float", "level 50 %, 2 steps above dark", (0.0, 0.25, 0.25, 0.5))


def lines(kinds: list[Fade]) -> list[Polyline]:
    return [r for r in fades(kinds).records if isinstance(r, Polyline) and r.role == "plus"]


def test_a_staircase_has_level_treads_and_upright_risers() -> None:
    points = lines([STAIRS])[0].points
    for (x1, y1), (x2, y2) in pairwise(points):
        assert x1 == x2 or y1 == y2
        assert x2 >= x1
        assert y2 <= y1


def test_its_risers_are_as_many_as_its_steps_and_of_their_height() -> None:
    points = lines([STAIRS])[0].points
    risers = [y1 - y2 for (_, y1), (_, y2) in pairwise(points) if y1 != y2]
    assert len(risers) == 2
    assert risers[0] == pytest.approx(risers[1])


def test_all_kinds_share_one_scale() -> None:
    half, full = lines([Fade("a", "", (0.0, 0.5)), Fade("b", "", (0.0, 1.0))])[::2]
    rise = [line.points[0][1] - line.points[-1][1] for line in (half, full)]
    assert rise[1] == pytest.approx(2.0 * rise[0])


def test_it_says_names_notes_and_units() -> None:
    texts = [r.text for r in fades([STAIRS]).records if isinstance(r, Text)]
    assert "float: level 50 %, 2 steps above dark" in texts
    assert "duty in %, the whole fade" in texts
    assert "show value" in texts
    assert "float: level 50 %" in fades([STAIRS]).description
    assert "</svg>" in to_svg(fades([STAIRS]))


def test_a_dark_fade_is_drawn_level() -> None:
    assert len({y for _, y in lines([Fade("a", "", (0.0, 0.0))])[0].points}) == 1


def test_what_makes_no_plot_is_refused() -> None:
    with pytest.raises(ValueError, match="without a kind"):
        fades([])
    with pytest.raises(ValueError, match="100 mm wide was asked for, expected 120 mm or more"):
        fades([STAIRS], width_mm=100.0)
    for duties in ((0.0,), (0.0, 1.5), (0.0, float("nan"))):
        with pytest.raises(ValueError, match="the fade of a was expected as two or more duties from 0 to 1"):
            Fade("a", "", duties)
