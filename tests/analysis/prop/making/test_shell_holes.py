"""Cable holes: glands against their standards, seats by hand."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.prop.making.bores.shell_holes import CLEARANCE_M, CableHoles, Seat
from hollowglow.file.reading.load import load_part
from tests.analysis.prop.making.samples import BALL, BOX, CONE, DRUM, made

MM = 1e-3
PIGTAIL = {"cable": "wire", "length": "150 mm"}


def holes(kind: dict[str, Any]) -> CableHoles:
    made_holes = made({"pigtail": PIGTAIL, **kind}).cables
    assert made_holes is not None
    return made_holes


def seat(shell: dict[str, Any], **gland: Any) -> Seat:
    made_seat = holes({"shell": shell, "gland": {"part": "nut", "count": 2, **gland}, "fill": CENTRED}).seat
    assert made_seat is not None
    return made_seat


# In the middle of every shell, out of the way of nuts.
CENTRED = {"light": "lamp", "positions": [["0 mm", "0 mm", "60 mm"]]}


# DIN 40430: PG7 has 12.5 mm outside and 20 threads an inch, PG9 15.2 mm and 18. EN 50262: M12 wants a hole of 12.5 mm.
@pytest.mark.parametrize(
    ("part", "thread_mm", "pitch_mm", "hole_mm"),
    [("gland-pg7", 12.5, 1.27, None), ("gland-pg9", 15.2, 1.411, None), ("gland-m12", 12.0, None, 12.5)],
)
def test_standard_glands(part: str, thread_mm: float, pitch_mm: float | None, hole_mm: float | None) -> None:
    made_holes = holes({"shell": DRUM, "gland": {"part": part, "count": 2}})
    gland = load_part(part).gland
    assert gland is not None
    assert gland.thread_diameter == pytest.approx(thread_mm * MM)
    if pitch_mm is not None:
        assert gland.pitch == pytest.approx(pitch_mm * MM, rel=1e-3)
    assert made_holes.hole_m is not None
    assert made_holes.clearance_m == pytest.approx(made_holes.hole_m - thread_mm * MM)
    assert made_holes.clearance_m is not None
    assert CLEARANCE_M[0] <= made_holes.clearance_m <= CLEARANCE_M[1]
    if hole_mm is not None:
        assert made_holes.hole_m == pytest.approx(hole_mm * MM)
    for drill in (made_holes.metric, made_holes.inch):
        assert drill is not None
        assert thread_mm * MM + CLEARANCE_M[0] - 1e-9 <= drill.diameter_m <= thread_mm * MM + CLEARANCE_M[1]


# Common practice, no source: PG7 for a small three-core cable.
def test_pg7_takes_the_usual_cable() -> None:
    made_holes = holes({"shell": DRUM, "gland": {"part": "gland-pg7", "count": 2}, "pigtail": {"length": "150 mm"}})
    assert made_holes.fitting is not None
    (cable,) = made_holes.cables
    assert cable.diameter_m is not None
    assert made_holes.fitting.clamp[0] <= cable.diameter_m <= made_holes.fitting.clamp[1]


def test_a_hole_without_a_gland_leaves_half_a_millimetre_for_sealant() -> None:
    made_holes = holes({"shell": DRUM})
    assert made_holes.gland is None
    assert made_holes.count == 2
    assert made_holes.hole_m == pytest.approx(5.5 * MM)
    assert made_holes.seat is None
    assert made_holes.points_m is not None
    assert np.linalg.norm(made_holes.points_m[0] - made_holes.points_m[1]) > 5.5 * MM


def test_without_pigtails_the_lead_and_the_spans_go_through() -> None:
    made_holes = made({"shell": DRUM, "gland": {"part": "nut"}}).cables
    assert made_holes is not None
    assert [c.part for c in made_holes.cables] == ["wire"]
    assert made_holes.passing == 2
    assert made({"shell": DRUM}).cables is None


def test_two_glands_need_two_flanges_and_room_for_a_spanner() -> None:
    # Flanges of 1.5 x 12.5 = 18.75 mm, 2 mm between: 39.5 mm in all.
    drum = seat(DRUM)
    assert drum.flange_m == pytest.approx(18.75 * MM)
    assert drum.spacing_m == pytest.approx(20.75 * MM)
    assert drum.needs_m == pytest.approx(39.5 * MM)
    assert drum.has_m == pytest.approx(96 * MM)
    assert drum.hollow_m == 0.0
    assert drum.thread_left_m == pytest.approx(6 * MM)
    one = seat(DRUM, count=1)
    assert one.needs_m == pytest.approx(18.75 * MM)
    # Three on a ring of 20.75 / (2 sin 60°).
    three = seat(DRUM, count=3)
    assert three.needs_m == pytest.approx((20.75 / math.sin(math.pi / 3) + 18.75) * MM)


def test_a_ball_bends_away_under_a_flange() -> None:
    # 70 - sqrt(70² - 9.375²) = 0.6306 mm.
    ball = seat(BALL)
    assert ball.hollow_m == pytest.approx(0.63063 * MM, rel=1e-4)
    assert "file a flat seat" in ball.treatment
    capped = seat({**BALL, "opening": "60 mm"})
    assert capped.hollow_m == 0.0
    assert capped.has_m == pytest.approx(56 * MM)
    assert capped.treatment == "flat as it is"


def test_the_side_of_a_drum_bends_and_the_tip_of_a_cone_has_no_seat() -> None:
    # 50 - sqrt(50² - 9.375²) = 0.88677 mm.
    assert seat(DRUM, at="side").hollow_m == pytest.approx(0.88677 * MM, rel=1e-4)
    assert seat(BOX, at="side").hollow_m == 0.0
    assert seat(CONE, at="tip").hollow_m == math.inf


def test_nuts_keep_clear_of_what_lies_on_the_floor() -> None:
    # A module of 35 mm on the floor, flanges of 18.75 mm: centres at 17.5 + 9.375 mm, 72.5 mm in all.
    made_holes = holes({"shell": DRUM, "gland": {"part": "nut", "count": 2}, "fill": {"light": "coin"}})
    assert made_holes.seat is not None
    assert made_holes.seat.keep_out_m == pytest.approx(17.5 * MM)
    assert made_holes.seat.needs_m == pytest.approx(72.5 * MM)


@pytest.mark.parametrize("shell", [BALL, DRUM, BOX])
@given(place=st.sampled_from(["base", "side", "tip"]), count=st.integers(1, 4))
def test_holes_lie_on_the_shell(shell: dict[str, Any], place: str, count: int) -> None:
    one = made({"shell": shell, "gland": {"part": "nut", "count": count, "at": place}, "fill": CENTRED})
    assert one.frame is not None
    assert one.cables is not None
    assert one.cables.points_m is not None
    assert one.cables.points_m.shape == (count, 3)
    np.testing.assert_allclose(one.frame.distance_m(one.cables.points_m), 0.0, atol=1e-9)
