"""Beams straight from the lights: their shape, their whole flux, their shadows."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from hollowglow.analysis.prop.optics import (
    Block,
    BoxShell,
    Disc,
    Enclosure,
    Plate,
    PointLight,
    Sphere,
    Tube,
    arrival,
    axial_intensity,
    beam_exponent,
    cone,
    cylinder,
    enclosure,
    lathe,
)
from hollowglow.analysis.prop.optics.beams import at_points, direct

UP = np.array([0.0, 0.0, 1.0])


@pytest.mark.parametrize("beam", [5.0, 30.0, 90.0, 120.0, 160.0])
def test_a_beam_has_half_its_intensity_at_half_its_width(beam: float) -> None:
    ball = enclosure(Sphere(2.0), None, 100)
    turn = math.radians(beam / 2.0)
    spots = np.array([[0.0, 0.0, 2.0], [math.sin(turn), 0.0, 1.0 + math.cos(turn)]])
    light = PointLight(np.array([0.0, 0.0, 1.0]), UP, beam, (1.0,))
    ahead, aside = at_points(ball, [light], spots, np.array([0.0, 0.0, 1.0]) - spots)[:, 0]
    assert aside / ahead == pytest.approx(0.5, rel=1e-3)


@pytest.mark.parametrize("beam", [5.0, 30.0, 120.0, 160.0])
def test_a_beam_holds_its_flux(beam: float) -> None:
    m, peak = beam_exponent(beam), axial_intensity(7.0, beam)
    flux = quad(lambda t: peak * math.cos(t) ** m * 2.0 * math.pi * math.sin(t), 0.0, math.pi / 2.0)[0]
    assert flux == pytest.approx(7.0, rel=1e-6)


def test_120_degrees_is_a_lambertian_source() -> None:
    assert beam_exponent(120.0) == pytest.approx(1.0, rel=1e-12)


def test_illuminance_falls_with_the_square_of_the_distance() -> None:
    for distance in (0.1, 0.2, 0.4):
        drum = enclosure(cylinder(1.0, distance + 0.01), None, 100)
        light = PointLight(np.array([0.0, 0.0, 0.01]), UP, 60.0, (1.0,))
        at = at_points(drum, [light], np.array([[0.0, 0.0, distance + 0.01]]), -UP[None])[0, 0]
        assert at == pytest.approx(axial_intensity(1.0, 60.0) / distance**2, rel=1e-3)


ACORN = lathe([(0.0, 0.0), (0.03, 0.02), (0.04, 0.05), (0.03, 0.06), (0.045, 0.066), (0.02, 0.095), (0.0, 0.1)])
CASES = [
    (enclosure(Sphere(0.15), None, 1000), [(0.02, 0.0, 0.05), (0.0, 0.0, 0.149), (0.0, 0.07, 0.075)]),
    (enclosure(cylinder(0.1, 0.1), None, 1000), [(0.02, 0.0, 0.05), (0.049, 0.0, 0.05), (0.0, 0.0, 0.001)]),
    (enclosure(cone(0.1, 0.2), None, 1000), [(0.01, 0.0, 0.05), (0.0, 0.0, 0.19)]),
    (enclosure(BoxShell(0.1, 0.2, 0.05), None, 1000), [(0.01, 0.0, 0.02), (0.049, 0.0, 0.02)]),
    (enclosure(ACORN, None, 1000), [(0.01, 0.0, 0.03), (0.0, 0.0, 0.09), (0.025, 0.0, 0.06)]),
    (
        enclosure(Sphere(0.15), Plate(np.array([0, 0, 0.07]), np.array([0.03, 0, 0]), np.array([0, 0.02, 0])), 1000),
        [(0.01, 0.0, 0.08), (0.01, 0.0, 0.07), (0.05, 0.0, 0.07)],
    ),
    (enclosure(cylinder(0.1, 0.1), Tube(0.02, 0.01, 0.06), 1000), [(0.025, 0.0, 0.03), (0.0, 0.0, 0.061)]),
]


@pytest.mark.parametrize("room", [c[0] for c in CASES], ids=lambda r: type(r.shell).__name__)
@pytest.mark.parametrize("beam", [30.0, 120.0, 160.0])
def test_all_the_light_lands_on_patches_before_it_is_made_whole(room: Enclosure, beam: float) -> None:
    places = next(p for r, p in CASES if r is room)
    for place in places:
        for axis in (UP, -UP, np.array([1.0, 0.3, 0.1]), np.array([-1.0, 0.0, 0.05])):
            try:
                lit, gap = direct(room, PointLight(np.array(place), axis, beam, (1.0,)))
            except ValueError:
                continue
            assert abs(gap) < 0.02, (place, axis)
            assert float(room.area @ lit) == pytest.approx(1.0, rel=1e-12)
            assert lit.min() >= 0.0


@pytest.mark.parametrize("near", [1e-3, 3e-3, 10e-3])
def test_a_light_near_the_wall_gives_a_patch_what_the_solid_angle_says(near: float) -> None:
    room = enclosure(cylinder(0.1, 0.1), None, 1000)
    lit, _ = direct(room, PointLight(np.array([0.0, 0.0, 0.1 - near]), UP, 120.0, (1.0,)))
    lid = room.wall.normal[:, 2] < -0.9
    # From a Lambertian point to a coaxial disc: sin² of the half angle (Howell B-12).
    assert float(room.area[lid] @ lit[lid]) == pytest.approx(0.05**2 / (0.05**2 + near**2), rel=2e-3)


def test_a_disc_throws_a_shadow_of_the_right_size() -> None:
    room = enclosure(cylinder(0.1, 0.1), Disc(np.array([0.0, 0.0, 0.05]), UP, 0.01), 3000)
    lit, _ = direct(room, PointLight(np.array([0.0, 0.0, 0.08]), -UP, 120.0, (1.0,)))
    floor = room.wall.normal[:, 2] > 0.9
    off = np.hypot(*room.wall.centre[floor, :2].T)
    dark = 0.01 * 0.08 / 0.03
    assert lit[: room.wall_count][floor][off < dark - 0.003].max() == 0.0
    assert lit[: room.wall_count][floor][off > dark + 0.003].min() > 0.0
    caught = float(room.area[room.wall_count :] @ lit[room.wall_count :])
    assert caught == pytest.approx(0.01**2 / (0.01**2 + 0.03**2), rel=5e-3)


def test_a_light_on_a_face_of_the_carrier_leaves_the_other_side_dark() -> None:
    plate = Plate(np.array([0, 0, 0.07]), np.array([0.03, 0, 0]), np.array([0, 0.02, 0]))
    room = enclosure(Sphere(0.15), plate, 1000)
    lit, _ = direct(room, PointLight(np.array([0.0, 0.0, 0.07]), np.array([0.5, 0.0, 1.0]), 120.0, (1.0,)))
    below = room.wall.centre[:, 2] < 0.05
    assert float((room.area * lit)[: room.wall_count][below & (np.abs(room.wall.centre[:, 0]) < 0.03)].sum()) == 0.0


def test_a_block_hides_what_is_behind_it() -> None:
    room = enclosure(BoxShell(0.2, 0.2, 0.1), Block(np.array([-0.02, -0.02, 0.01]), np.array([0.02, 0.02, 0.08])), 2000)
    lit, _ = direct(room, PointLight(np.array([0.06, 0.0, 0.05]), np.array([-1.0, 0.0, 0.0]), 120.0, (1.0,)))
    far = (
        (room.wall.normal[:, 0] > 0.9)
        & (np.abs(room.wall.centre[:, 1]) < 0.07)
        & (np.abs(room.wall.centre[:, 2] - 0.05) < 0.02)
    )
    assert lit[: room.wall_count][far].max() == 0.0


def test_lights_add_up() -> None:
    room = enclosure(Sphere(0.15), None, 500)
    one, two = (
        PointLight(np.array([0.0, 0, 0.05]), UP, 90.0, (1.0, 2.0)),
        PointLight(np.array([0.01, 0, 0.1]), -UP, 60.0, (3.0, 4.0)),
    )
    both = arrival(room, [one, two])
    alone = [arrival(room, [light]).illuminance_lx for light in (one, two)]
    np.testing.assert_allclose(both.illuminance_lx, alone[0] + alone[1], rtol=1e-12)
    np.testing.assert_allclose(both.flux_lm, [4.0, 6.0], rtol=1e-12)
