"""Drains and old switches for each way a prop hangs."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.prop.making.drain import USUAL_M
from tests.analysis.prop.making.samples import BALL, BOX, CONE, DISC, DROP, DRUM, codes, made

MM = 1e-3
SHELLS = [BALL, DRUM, CONE, DROP, BOX]
HANGS = ["tip down", "tip up", "on its side"]


@pytest.mark.parametrize(
    ("hangs", "lowest", "point_mm"),
    [("tip down", "tip", (0, 0, 120)), ("tip up", "base", (0, 0, 0)), ("on its side", "side", (50, 0, 60))],
)
def test_the_lowest_point_of_a_drum(hangs: str, lowest: str, point_mm: tuple[float, float, float]) -> None:
    drain = made({"shell": DRUM, "hangs": hangs}).drain
    assert (drain.place, drain.lowest) == (lowest, lowest)
    assert drain.standing_m == 0.0
    np.testing.assert_allclose(drain.point_m, np.array(point_mm) * MM, atol=1e-12)


# A drum of 100 x 120 mm with a wall of 2 mm and a drain of 4 mm: 116 mm inside, halfway up 60 - 2 - 2, on its side
# 50 - 2 - 2.
@pytest.mark.parametrize(
    ("hangs", "at", "standing_mm"),
    [
        ("tip down", "base", 116.0),
        ("tip down", "side", 56.0),
        ("tip up", "tip", 116.0),
        ("tip up", "side", 56.0),
        ("on its side", "base", 46.0),
        ("on its side", "tip", 46.0),
    ],
)
def test_how_deep_water_stands_behind_a_hole_that_is_too_high(hangs: str, at: str, standing_mm: float) -> None:
    kind = {"shell": DRUM, "hangs": hangs, "drain": {"at": at}}
    assert made(kind).drain.standing_m == pytest.approx(standing_mm * MM)
    assert "drain-not-lowest" in codes(kind)


@pytest.mark.parametrize("shell", SHELLS)
@given(hangs=st.sampled_from(HANGS), diameter=st.floats(3.2, 4.7), stated=st.booleans())
def test_a_drain_at_the_lowest_point_gives_no_finding(
    shell: dict[str, Any], hangs: str, diameter: float, stated: bool
) -> None:
    lowest = {"tip down": "tip", "tip up": "base", "on its side": "side"}[hangs]
    drain = {"diameter": f"{diameter:.3f} mm", "at": lowest if stated else "lowest"}
    assert [c for c in codes({"shell": shell, "hangs": hangs, "drain": drain}) if c.startswith("drain")] == []


# Common practice, no source: a drain of 1/8 to 3/16 in.
def test_the_drain_that_is_taken_is_of_the_usual_size() -> None:
    assert pytest.approx((3.175 * MM, 4.7625 * MM)) == USUAL_M
    drain = made({"shell": BALL}).drain
    assert USUAL_M[0] <= drain.diameter_m <= USUAL_M[1]
    assert (drain.metric.name, drain.inch.name) == ("4 mm", "5/32 in")


def test_a_drain_steps_aside_for_glands_at_the_lowest_point() -> None:
    kind = {"shell": DRUM, "hangs": "tip up", "gland": {"part": "nut", "count": 2}}
    kind["fill"] = {"light": "lamp", "positions": [["0 mm", "0 mm", "60 mm"]]}
    one = made(kind)
    # Half a flange of 18.75 mm, 1 mm, half a drain of 4 mm.
    assert one.drain.beside_m == pytest.approx(12.375 * MM)
    assert one.cables is not None
    assert one.cables.points_m is not None
    assert one.drain.point_m is not None
    assert np.linalg.norm(one.cables.points_m - one.drain.point_m, axis=1).min() > (18.75 + 4) / 2 * MM
    assert one.drain.beside_standing_m == 0.0
    ball = made({**kind, "shell": BALL}).drain
    # On a ball the hole's lower rim is 10.375 mm off: 70 - sqrt(70² - 10.375²) = 0.773 mm of water.
    assert ball.beside_standing_m == pytest.approx(0.77313 * MM, rel=1e-4)


SWITCH = {"diameter": "12 mm", "depth": "14 mm", "sealed": True}


@pytest.mark.parametrize(
    ("switch", "kind", "why"),
    [
        ({}, {}, ()),
        ({"sealed": False}, {}, ("rain can pass it",)),
        ({}, {"hangs": "tip up"}, ("it sits at the lowest point, where the drain goes and water stands",)),
        ({"at": "side"}, {}, ()),
        ({"at": "side", "depth": "30 mm"}, {}, ("it reaches into the carrier",)),
        ({"depth": "62 mm"}, {}, ("it reaches into the carrier", "it reaches into a light")),
        ({"depth": "60 mm"}, {"carrier": None}, ("it reaches into a light",)),
    ],
)
def test_when_the_old_switch_may_stay(switch: dict[str, Any], kind: dict[str, Any], why: tuple[str, ...]) -> None:
    data = {
        "shell": {**DRUM, "switch": {**SWITCH, **switch}},
        "carrier": {**DISC, "above_base": "60 mm"},
        "fill": {"light": "lamp", "positions": [["0 mm", "0 mm", "80 mm"]], "axes": [[0, 0, 1]]},
        **kind,
    }
    old = made({k: v for k, v in data.items() if v is not None}).switch
    assert old is not None
    assert old.reasons == why
    assert old.stays == (not why)
    assert old.plug_m == pytest.approx(12 * MM)


def test_a_shell_without_a_switch_says_nothing_of_it() -> None:
    assert made({"shell": DRUM}).switch is None
    assert made({}).switch is None
