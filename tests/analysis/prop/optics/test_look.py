"""What a viewer sees, against closed forms of a sphere and of a Gaussian."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from hollowglow.analysis.prop.optics import (
    BoxShell,
    Enclosure,
    Glow,
    PointLight,
    Sphere,
    Wall,
    appearance,
    blurred,
    cone,
    cylinder,
    directions,
    enclosure,
    hot_spot,
    illuminance_at,
    intensity,
    interior,
    lathe,
    level_ring,
    polar_curve,
    seen_areas_m2,
    view,
)

R = 0.075
UP = np.array([0.0, 0.0, 1.0])
SIDE = np.array([1.0, 0.0, 0.0])
ACORN = lathe([(0.0, 0.0), (0.03, 0.02), (0.04, 0.05), (0.03, 0.06), (0.045, 0.066), (0.02, 0.095), (0.0, 0.1)])


@pytest.fixture(scope="module")
def ball() -> Enclosure:
    return enclosure(Sphere(2 * R), None, 1500)


def lit(
    room: Enclosure, z: float, axis: np.ndarray = UP, beam: float = 120.0, tau: float = 0.4, rho: float = 0.5
) -> Glow:
    return interior(room, Wall((tau,), (rho,))).glow([PointLight(np.array([0.0, 0.0, z]), axis, beam, (10.0,))])


def test_a_ball_lit_from_its_middle_looks_as_the_closed_form_says(ball: Enclosure) -> None:
    glow = lit(ball, R)
    # Lambert's emitter at the centre: E = I0 cos(theta) / R² above, and rho flux / (4 pi R² (1 - rho)) everywhere.
    thrown = 0.5 * 10.0 / (4.0 * math.pi * R * R * 0.5)
    straight = 10.0 / (math.pi * R * R)
    seen = view(ball, SIDE, 200)
    values = seen.luminance(glow)[:, 0] * math.pi / 0.4
    # The mean of z over the upper half of a disc is 4 R / (3 pi), and half of the disc is dark.
    assert values.mean() == pytest.approx(thrown + straight * 2.0 / (3.0 * math.pi), rel=2e-3)
    assert values.min() == pytest.approx(thrown, rel=1e-6)
    assert values.max() == pytest.approx(thrown + straight, rel=5e-3)
    looks = appearance(glow, [seen], 12.0)
    assert looks.uniformity == pytest.approx(thrown / (thrown + straight * 2.0 / (3.0 * math.pi)), rel=2e-3)


def test_a_ball_seen_from_its_dark_side_is_even(ball: Enclosure) -> None:
    looks = appearance(lit(ball, R), [view(ball, -UP)], 12.0)
    assert looks.uniformity == pytest.approx(1.0, rel=1e-6)
    assert looks.spread == pytest.approx(1.0, rel=1e-6)
    assert looks.hot_spot == pytest.approx(0.0, abs=1e-6)


def test_a_lambertian_light_on_the_wall_of_a_ball_lights_it_evenly(ball: Enclosure) -> None:
    looks = appearance(lit(ball, 0.0005), [view(ball, way) for way in directions()], 12.0)
    assert looks.spread < 1.02
    assert looks.hot_spot < 0.02


def test_intensity_of_an_even_ball_is_luminance_times_its_disc(ball: Enclosure) -> None:
    glow = lit(ball, 0.0005)
    expected = glow.mean_luminance_cd_m2 * math.pi * R * R
    angles, strength = polar_curve(glow)
    assert len(angles) == 72
    np.testing.assert_allclose(strength, expected, rtol=0.015)


@pytest.mark.parametrize(
    "room",
    [
        enclosure(s, None, 1200)
        for s in (Sphere(0.15), cylinder(0.1, 0.1), cone(0.1, 0.15), BoxShell(0.1, 0.2, 0.05), ACORN)
    ],
    ids=lambda r: type(r.shell).__name__,
)
def test_picture_and_patches_agree_on_intensity(room: Enclosure) -> None:
    glow = lit(room, 0.03)
    for way in directions(3, (-40.0, 10.0, 80.0)):
        seen = view(room, way, 128)
        whole = float(seen.picture(glow).sum()) * seen.pixel_m**2
        assert whole == pytest.approx(float(intensity(glow, way[None])[0, 0]), rel=0.02)
        np.testing.assert_allclose(np.asarray(seen.weights.sum(axis=1)), 1.0, rtol=1e-9)


@pytest.mark.parametrize(
    "room", [enclosure(s, None, 1200) for s in (Sphere(0.15), cylinder(0.15, 0.15), cone(0.15, 0.15))]
)
def test_the_intensity_of_all_directions_holds_the_flux(room: Enclosure) -> None:
    glow = lit(room, 0.05)
    at, weight = np.polynomial.legendre.leggauss(24)
    turn = np.arange(24) * 2.0 * math.pi / 24
    ways = np.array(
        [[math.sqrt(1 - c * c) * math.cos(t), math.sqrt(1 - c * c) * math.sin(t), c] for c in at for t in turn]
    )
    flux = float((intensity(glow, ways)[:, 0].reshape(24, 24).mean(axis=1) * weight).sum()) * 2.0 * math.pi
    assert flux == pytest.approx(float(glow.flux_out_lm.sum()), rel=5e-3)


@pytest.mark.parametrize("shell", [Sphere(0.15), BoxShell(0.02, 0.1, 0.1)])
def test_ten_diameters_off_the_inverse_square_holds(shell: Sphere | BoxShell) -> None:
    room = enclosure(shell, None, 2000)
    even = replace(lit(room, 0.05), luminance_cd_m2=np.full((room.wall_count, 1), 20.0))
    distance = 10 * 2 * shell.reach_m
    # A flat or round source that gives by Lambert's law is within (radius / distance)² = 0.25 % of a point there.
    there = illuminance_at(even, room.shell.middle + distance * SIDE) * (distance - _face(shell)) ** 2
    assert there == pytest.approx(float(intensity(even, SIDE[None])[0, 0]), rel=3e-3)


def _face(shell: Sphere | BoxShell) -> float:
    return shell.width_m / 2.0 if isinstance(shell, BoxShell) else 0.0


def test_one_arcminute_is_the_width_at_half_height_of_the_blur() -> None:
    picture, shown = np.zeros((401, 401)), np.ones((401, 401), dtype=bool)
    picture[200, 200] = 1.0
    pixel = 12.0 * math.radians(1.0 / 60.0) / 40.0
    image = blurred(picture, shown, pixel, 12.0)
    assert image[200, 220] / image[200, 200] == pytest.approx(0.5, rel=1e-3)
    assert image.sum() == pytest.approx(1.0, rel=1e-3)


def test_from_near_a_spot_stands_out_and_from_far_it_does_not(ball: Enclosure) -> None:
    seen = view(ball, UP)
    glow = lit(ball, 0.135)
    picture = seen.picture(glow).sum(axis=2)
    sharp = float(picture.max() / picture[seen.shown].mean()) - 1.0
    contrast = [hot_spot(picture, seen.shown, seen.pixel_m, d) for d in (0.01, 3.0, 12.0, 50.0, 200.0, 1e5)]
    assert contrast[0] == pytest.approx(sharp, rel=1e-9)
    assert contrast == sorted(contrast, reverse=True)
    assert contrast[-1] < 1e-3


def test_a_turned_shell_looks_alike_from_all_sides_when_lit_on_its_axis() -> None:
    room = enclosure(ACORN, None, 1200)
    glow = lit(room, 0.03)
    looks = [appearance(glow, [view(room, way)], 12.0) for way in directions(4, (0.0,))]
    for one in looks[1:]:
        assert one.uniformity == pytest.approx(looks[0].uniformity, rel=5e-3)
        assert one.mean_cd_m2 == pytest.approx(looks[0].mean_cd_m2, rel=5e-3)


def test_the_area_that_a_shell_shows_is_that_of_its_shadow() -> None:
    ring = level_ring("tip down")
    # A ball shows a disc, a drum on its end a rectangle, a box on average the sum of its sides' areas times 1/pi (Cauchy).
    assert seen_areas_m2(Sphere(2 * R), ring) == pytest.approx(math.pi * R**2, rel=0.01)
    assert seen_areas_m2(cylinder(0.08, 0.16), ring) == pytest.approx(0.08 * 0.16, rel=0.01)
    box = seen_areas_m2(BoxShell(0.2, 0.04, 0.2), ring)
    assert box.mean() == pytest.approx(0.2 * (0.2 + 0.04) * 2.0 / math.pi, rel=0.02)
    assert box.max() <= 0.2 * math.hypot(0.2, 0.04) * 1.01
    # On its side a drum is seen on its ends too.
    turned = seen_areas_m2(cylinder(0.08, 0.16), level_ring("on its side"))
    assert turned.min() == pytest.approx(math.pi * 0.04**2, rel=0.01)
    assert turned.max() == pytest.approx(0.08 * 0.16, rel=0.2)
