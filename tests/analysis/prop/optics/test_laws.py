"""Laws that hold for any light in any shell."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.analysis.prop.optics import (
    BoxShell,
    Carrier,
    Disc,
    Enclosure,
    Plate,
    PointLight,
    Shell,
    Sphere,
    Wall,
    appearance,
    arrival,
    cylinder,
    directions,
    enclosure,
    interior,
    lathe,
    view,
)

UP = np.array([0.0, 0.0, 1.0])
SHELLS: list[tuple[Shell, Carrier | None]] = [
    (Sphere(0.1), None),
    (cylinder(0.1, 0.1), Disc(np.array([0.0, 0.0, 0.01]), UP, 0.03)),
    (lathe([(0.04, 0.0), (0.03, 0.05), (0.05, 0.1)]), None),
    (
        BoxShell(0.1, 0.1, 0.1),
        Plate(np.array([0.0, 0.0, 0.01]), np.array([0.03, 0.0, 0.0]), np.array([0.0, 0.02, 0.0])),
    ),
]
ROOMS = [enclosure(shell, carrier, 300) for shell, carrier in SHELLS]
BALL = enclosure(Sphere(0.1), None, 600)

rooms = st.sampled_from(ROOMS)
unit = st.floats(-1.0, 1.0)
share = st.floats(0.0, 0.95)


@st.composite
def lights(draw: st.DrawFn) -> PointLight:
    place = np.array([0.018 * draw(unit), 0.018 * draw(unit), 0.05 + 0.03 * draw(unit)])
    axis = np.array([draw(unit), draw(unit), draw(unit)])
    axis = axis if np.linalg.norm(axis) > 0.1 else UP
    flux = tuple(draw(st.floats(0.1, 100.0)) for _ in range(3))
    return PointLight(place, axis, draw(st.floats(10.0, 170.0)), flux)


@st.composite
def walls(draw: st.DrawFn) -> Wall:
    rho = [draw(share) for _ in range(3)]
    tau = [draw(st.floats(0.01, 1.0)) * (1.0 - r) for r in rho]
    return Wall(tuple(tau), tuple(rho))


@settings(max_examples=60, deadline=None)
@given(rooms, walls(), share, st.lists(lights(), min_size=1, max_size=3))
def test_what_goes_in_comes_out_or_is_absorbed(
    room: Enclosure, wall: Wall, carrier: float, lamps: list[PointLight]
) -> None:
    glow = interior(room, wall, carrier).glow(lamps)
    accounted = glow.flux_out_lm + glow.wall_absorbed_lm + glow.carrier_absorbed_lm
    np.testing.assert_allclose(accounted, glow.flux_in_lm, rtol=1e-8)
    assert (glow.irradiance_lx >= glow.direct_lx - 1e-9 * glow.irradiance_lx.max()).all()


@settings(max_examples=40, deadline=None)
@given(rooms, walls(), lights())
def test_twice_the_flux_gives_twice_the_luminance(room: Enclosure, wall: Wall, lamp: PointLight) -> None:
    double = PointLight(lamp.position_m, lamp.axis, lamp.beam_deg, tuple(2.0 * f for f in lamp.flux_lm))
    inside = interior(room, wall)
    np.testing.assert_allclose(
        inside.glow([double]).luminance_cd_m2, 2.0 * inside.glow([lamp]).luminance_cd_m2, rtol=1e-8, atol=1e-9
    )


@settings(max_examples=40, deadline=None)
@given(lights(), share, share)
def test_more_reflectance_is_never_less_even_in_a_ball(lamp: PointLight, one: float, two: float) -> None:
    low, high = sorted((one, two))
    seen = []
    direct = arrival(BALL, [lamp])
    for rho in (low, high):
        glow = interior(BALL, Wall((0.05,) * 3, (rho,) * 3)).glow_of(direct)
        total = glow.irradiance_lx.sum(axis=1)
        seen.append(total.min() / (BALL.wall.area @ total / BALL.wall.area.sum()))
    assert seen[1] >= seen[0] - 1e-9


@settings(max_examples=20, deadline=None)
@given(st.sampled_from(ROOMS[1:]), share, share)
def test_more_reflectance_is_never_less_even_with_a_lamp_that_makes_a_spot(
    room: Enclosure, one: float, two: float
) -> None:
    low, high = sorted((one, two))
    direct = arrival(room, [PointLight(np.array([0.0, 0.0, 0.05]), UP, 60.0, (1.0,))])
    seen = []
    for rho in (low, high):
        total = interior(room, Wall((0.05,), (rho,))).glow_of(direct).irradiance_lx[:, 0]
        seen.append(total.min() / (room.wall.area @ total / room.wall.area.sum()))
    assert seen[1] >= seen[0] - 1e-9


VIEWS = [view(BALL, way, 48) for way in directions(4)]


@settings(max_examples=25, deadline=None)
@given(st.floats(0.0, 0.9), st.floats(0.0, 0.9), st.floats(20.0, 150.0), st.floats(0.0, 0.9), st.floats(0.0, math.pi))
def test_a_lamp_nearer_the_wall_it_lights_is_never_more_even_in_a_ball(
    one: float, two: float, beam: float, rho: float, turn: float
) -> None:
    axis = np.array([math.sin(turn), 0.0, math.cos(turn)])
    even, peak = [], []
    for off in sorted((one, two)):
        lamp = PointLight(np.array([0.0, 0.0, 0.05]) + 0.05 * off * axis, axis, beam, (10.0,))
        glow = interior(BALL, Wall((0.05,), (rho,))).glow([lamp])
        total = glow.irradiance_lx[:, 0]
        mean = BALL.wall.area @ total / BALL.wall.area.sum()
        even.append(total.min() / mean)
        peak.append(appearance(glow, VIEWS, 1.0).peak_cd_m2)
    assert even[1] <= even[0] + 1e-9


def test_turning_the_lamps_by_a_sector_turns_the_light() -> None:
    room = ROOMS[1]
    sectors = room.wall.sectors
    step = 2.0 * math.pi / sectors
    turned = np.array([[math.cos(step), -math.sin(step), 0], [math.sin(step), math.cos(step), 0], [0, 0, 1.0]])
    inside = interior(room, Wall((0.3,), (0.6,)))
    place, axis = np.array([0.02, 0.01, 0.04]), np.array([0.5, 0.2, 1.0])
    one = inside.glow([PointLight(place, axis, 90.0, (1.0,))]).irradiance_lx.reshape(-1, sectors)
    two = inside.glow([PointLight(turned @ place, turned @ axis, 90.0, (1.0,))]).irradiance_lx.reshape(-1, sectors)
    np.testing.assert_allclose(np.roll(one, 1, axis=1), two, rtol=1e-9)


def test_a_shell_that_is_asked_often_answers_as_it_did_at_first() -> None:
    shell, carrier = SHELLS[3]
    inside = interior(enclosure(shell, carrier, 300), Wall((0.3, 0.2, 0.3), (0.6, 0.75, 0.6)))
    light = PointLight(np.array([0.02, 0.01, 0.06]), np.array([1.0, 0.3, 0.2]), 90.0, (1.0, 2.0, 3.0))
    answers = [inside.glow([light]).irradiance_lx for _ in range(5)]
    for answer in answers[1:]:
        np.testing.assert_allclose(answer, answers[0], rtol=1e-10)
