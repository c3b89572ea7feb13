"""Shells as solids: distances by hand, and against their own definition at random points."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.prop.inside.frame import room_m, sagitta_m, seat_m
from hollowglow.analysis.prop.inside.shapes import BoxFrame, LatheFrame, SphereFrame, frame_of
from hollowglow.file.model.kind import Shell
from tests.analysis.prop.making.samples import BALL, BOX, CONE, DROP, DRUM, kind_of


def at(*points: tuple[float, float, float]) -> np.ndarray:
    return np.array(points)


def test_a_ball_lies_on_its_base() -> None:
    ball = frame_of(Shell.model_validate(BALL))
    assert ball.height_m == pytest.approx(0.140)
    assert ball.radius_at(0.070) == pytest.approx(0.070)
    # Chord at 10 mm: sqrt(10 x 130) = 36.056 mm.
    assert ball.radius_at(0.010) == pytest.approx(math.sqrt(0.010 * 0.130))
    np.testing.assert_allclose(
        ball.distance_m(at((0, 0, 0.07), (0, 0, 0), (0.1, 0, 0.07))), [0.07, 0.0, -0.03], atol=1e-12
    )
    np.testing.assert_allclose(room_m(ball, at((0, 0, 0.07))), [0.068])


def test_a_cylinder_has_flat_ends() -> None:
    drum = frame_of(Shell.model_validate(DRUM))
    np.testing.assert_allclose(
        drum.distance_m(at((0, 0, 0.06), (0, 0.045, 0.06), (0, 0, 0.01), (0, 0, 0.13), (0.06, 0, 0.06))),
        [0.05, 0.005, 0.01, -0.01, -0.01],
        atol=1e-12,
    )
    assert drum.flat_m("base") == drum.flat_m("tip") == pytest.approx((0.1, 0.1))
    assert drum.bend_m("base") == math.inf
    assert drum.bend_m("side") == pytest.approx(0.05)
    assert drum.widest_height_m == pytest.approx(0.06)


def test_a_cone_narrows_to_its_tip() -> None:
    cone = frame_of(Shell.model_validate(CONE))
    assert cone.radius_at(0.1) == pytest.approx(0.03)
    # Distance of the axis to the slope: r cos(half angle), tan(half angle) = 60/200.
    expected = 0.03 * math.cos(math.atan(60 / 200))
    np.testing.assert_allclose(cone.distance_m(at((0, 0, 0.1))), [expected])
    assert cone.widest_height_m == 0.0
    assert cone.flat_m("tip") == (0.0, 0.0)


def test_a_lathe_profile_may_be_given_from_either_end() -> None:
    drop = frame_of(Shell.model_validate(DROP))
    turned = frame_of(Shell.model_validate({**DROP, "profile": DROP["profile"][::-1]}))
    raised = [[r, f"{float(z.split()[0]) + 30} mm"] for r, z in DROP["profile"]]
    lifted = frame_of(Shell.model_validate({**DROP, "profile": raised}))
    for height in (0.0, 0.02, 0.05, 0.1, 0.15):
        assert drop.radius_at(height) == pytest.approx(turned.radius_at(height))
        assert drop.radius_at(height) == pytest.approx(lifted.radius_at(height))
    assert drop.radius_at(0.025) == pytest.approx(0.040)
    assert drop.widest_m == pytest.approx(0.060)
    assert drop.widest_height_m == pytest.approx(0.050)


def test_a_box_has_its_width_along_x() -> None:
    box = frame_of(Shell.model_validate(BOX))
    np.testing.assert_allclose(
        box.distance_m(at((0, 0, 0.08), (0.05, 0, 0.08), (0, 0.06, 0.08), (0, 0, 0.17))),
        [0.05, 0.01, -0.01, -0.01],
        atol=1e-12,
    )
    assert box.flat_m("base") == pytest.approx((0.12, 0.1))


@given(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1), st.floats(-0.02, 0.2))
def test_a_ball_turned_from_many_points_is_a_ball(x: float, y: float, z: float) -> None:
    angle = np.linspace(-np.pi / 2, np.pi / 2, 400)
    profile = tuple(zip((0.07 * np.cos(angle)).tolist(), (0.07 + 0.07 * np.sin(angle)).tolist(), strict=True))
    point = at((x, y, z))
    # The chords of 400 points leave at most R (1 - cos(step / 2)) = 0.55 µm.
    np.testing.assert_allclose(LatheFrame(profile).distance_m(point), SphereFrame(0.14).distance_m(point), atol=6e-7)


@pytest.mark.parametrize("shell", [BALL, DRUM, CONE, DROP, BOX])
@given(st.floats(0.001, 0.03))
def test_a_seat_is_where_a_disc_just_fits(shell: dict[str, object], radius: float) -> None:
    kind, _ = kind_of({"shell": shell})
    assert kind.shell is not None
    frame = frame_of(kind.shell)
    seat = seat_m(frame, radius)
    assert room_m(frame, at((radius, 0.0, seat)))[0] >= -1e-6
    if seat > frame.wall_m + 1e-6:
        assert room_m(frame, at((radius, 0.0, seat)))[0] == pytest.approx(0.0, abs=1e-6)


def test_sagitta_is_that_of_a_circle() -> None:
    # R = 50 mm, chord 60 mm: 50 - sqrt(50² - 30²) = 50 - 40 = 10 mm.
    assert sagitta_m(0.050, 0.060) == pytest.approx(0.010)
    assert sagitta_m(math.inf, 0.060) == 0.0
    assert sagitta_m(0.010, 0.060) == math.inf


def test_an_end_that_runs_to_the_axis_bends_like_the_ball_it_is_cut_from() -> None:
    angle = np.linspace(-np.pi / 2, np.pi / 2, 2001)
    profile = tuple(zip((0.07 * np.cos(angle)).tolist(), (0.07 + 0.07 * np.sin(angle)).tolist(), strict=True))
    ball = LatheFrame(((0.0, profile[0][1]), *profile[1:-1], (0.0, profile[-1][1])))
    assert ball.bend_m("tip") == pytest.approx(0.07, rel=1e-3)
    assert ball.bend_m("base") == pytest.approx(0.07, rel=1e-3)
    assert BoxFrame((0.1, 0.1, 0.1)).bend_m("side") == math.inf
