"""Form factors against closed forms of Howell's catalogue (A Catalog of Radiation Heat Transfer Configuration Factors)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from hollowglow.analysis.prop.optics import (
    Block,
    BoxShell,
    Carrier,
    Disc,
    Enclosure,
    Plate,
    PointLight,
    Shell,
    Sphere,
    Tube,
    Wall,
    cone,
    cylinder,
    enclosure,
    interior,
    lathe,
)
from hollowglow.analysis.prop.optics.enclosure.contour import exchange_area, from_points
from hollowglow.analysis.prop.optics.enclosure.exchange import Exchange, RoundExchange

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])


def coaxial_discs(r1: float, r2: float, apart: float) -> float:
    """Howell C-41: from a disc to a parallel one on the same axis."""
    a, b = r1 / apart, r2 / apart
    x = 1.0 + (1.0 + b * b) / (a * a)
    return 0.5 * (x - math.sqrt(x * x - 4.0 * (b / a) ** 2))


def perpendicular_rectangles(common: float, own: float, other: float) -> float:
    """Howell C-14: from a rectangle to one at a right angle that shares an edge."""
    h, w = other / common, own / common
    hh, ww = h * h, w * w
    root = math.sqrt(hh + ww)
    product = (1 + ww) * (1 + hh) / (1 + ww + hh)
    product *= (ww * (1 + ww + hh) / ((1 + ww) * (ww + hh))) ** ww
    product *= (hh * (1 + hh + ww) / ((1 + hh) * (hh + ww))) ** hh
    arcs = w * math.atan(1 / w) + h * math.atan(1 / h) - root * math.atan(1 / root)
    return (arcs + 0.25 * math.log(product)) / (math.pi * w)


def opposite_rectangles(a: float, b: float, apart: float) -> float:
    """Howell C-11: from a rectangle to an equal one straight opposite."""
    x, y = a / apart, b / apart
    p, q = math.sqrt(1 + x * x), math.sqrt(1 + y * y)
    total = math.log(p * q / math.sqrt(1 + x * x + y * y))
    total += x * q * math.atan(x / q) + y * p * math.atan(y / p) - x * math.atan(x) - y * math.atan(y)
    return 2.0 * total / (math.pi * x * y)


def outer_to_inner_cylinder(r1: float, r2: float, length: float) -> float:
    """Howell C-91: from the inside of a cylinder to the outside of a coaxial one of the same length within it."""
    x, h = r2 / r1, length / r1
    a, b = h * h + x * x - 1.0, h * h - x * x + 1.0
    rest = (
        math.sqrt((a + 2.0) ** 2 - (2.0 * x) ** 2) * math.acos(b / (x * a)) + b * math.asin(1.0 / x) - math.pi * a / 2.0
    )
    return 1.0 / x - (math.acos(b / a) - rest / (2.0 * h)) / (math.pi * x)


def between(room: Enclosure, one: NDArray[np.bool_], two: NDArray[np.bool_]) -> float:
    """Return the factor from one group of patches to another."""
    factors = room.exchange.factors()
    return float(room.area[one] @ factors[np.ix_(one, two)].sum(axis=1) / room.area[one].sum())


ROOMS = {
    "ball": lambda: enclosure(Sphere(0.15), None, 700),
    "drum": lambda: enclosure(cylinder(0.1, 0.1), None, 700),
    "cone": lambda: enclosure(cone(0.1, 0.2), None, 700),
    "box": lambda: enclosure(BoxShell(0.1, 0.2, 0.05), None, 700),
    "waist": lambda: enclosure(lathe([(0.05, 0.0), (0.02, 0.05), (0.05, 0.1)]), None, 700),
    "ball with disc": lambda: enclosure(Sphere(0.15), Disc(np.array([0, 0, 0.06]), UP, 0.04), 700),
    "drum with tube": lambda: enclosure(cylinder(0.1, 0.1), Tube(0.02, 0.01, 0.06), 700),
    "ball with plate": lambda: enclosure(
        Sphere(0.15), Plate(np.array([0.0, 0.01, 0.07]), np.array([0.03, 0, 0]), np.array([0, 0, 0.02])), 700
    ),
    "box with block": lambda: enclosure(
        BoxShell(0.1, 0.2, 0.1), Block(np.array([-0.02, -0.05, 0.02]), np.array([0.01, 0.02, 0.05])), 700
    ),
    "waist with plate": lambda: enclosure(
        lathe([(0.05, 0.0), (0.02, 0.05), (0.05, 0.1)]),
        Plate(np.array([0, 0, 0.02]), np.array([0.02, 0, 0]), np.array([0, 0.01, 0])),
        700,
    ),
}


@pytest.mark.parametrize("name", ROOMS)
def test_rows_sum_to_one_and_exchange_is_mutual(name: str) -> None:
    room = ROOMS[name]()
    factors = room.exchange.factors()
    assert np.abs(factors.sum(axis=1) - 1.0).max() < 1e-9
    shared = factors * room.area[:, None]
    assert np.abs(shared - shared.T).max() < 1e-12 * shared.max()
    assert factors.min() >= 0.0


@pytest.mark.parametrize("name", ROOMS)
def test_closing_moves_little_of_the_light(name: str) -> None:
    assert ROOMS[name]().exchange.moved < 0.01


def test_sphere_factors_are_the_share_of_its_area() -> None:
    room = enclosure(Sphere(0.15), None, 700)
    expected = np.broadcast_to(room.area / (4.0 * math.pi * 0.075**2), (len(room.area), len(room.area)))
    np.testing.assert_allclose(room.exchange.factors(), expected, rtol=1e-9)


@pytest.mark.parametrize("height", [0.04, 0.1, 0.3])
def test_drum_factors_follow_from_coaxial_discs(height: float) -> None:
    room = enclosure(cylinder(0.1, height), None, 2000)
    floor, lid = room.wall.normal[:, 2] > 0.9, room.wall.normal[:, 2] < -0.9
    side = ~(floor | lid)
    ends = coaxial_discs(0.05, 0.05, height)
    round_to_end = (1.0 - ends) * 0.05**2 / (0.1 * height)
    assert between(room, floor, lid) == pytest.approx(ends, rel=2e-3)
    assert between(room, floor, side) == pytest.approx(1.0 - ends, rel=2e-3)
    assert between(room, side, floor) == pytest.approx(round_to_end, rel=2e-3)
    assert between(room, side, side) == pytest.approx(1.0 - 2.0 * round_to_end, rel=3e-3)
    assert between(room, floor, floor) == pytest.approx(0.0, abs=1e-9)


def test_cone_factors_follow_from_its_areas() -> None:
    room = enclosure(cone(0.1, 0.12), None, 2000)
    base = room.wall.normal[:, 2] > 0.9
    assert between(room, ~base, base) == pytest.approx(0.05 / 0.13, rel=2e-3)


def test_box_factors_are_those_of_rectangles() -> None:
    room = enclosure(BoxShell(0.1, 0.2, 0.05), None, 1000)
    normal = room.wall.normal
    floor, lid, left = normal[:, 2] > 0.9, normal[:, 2] < -0.9, normal[:, 0] > 0.9
    assert between(room, floor, lid) == pytest.approx(opposite_rectangles(0.1, 0.2, 0.05), rel=1e-5)
    assert between(room, floor, left) == pytest.approx(perpendicular_rectangles(0.2, 0.1, 0.05), rel=1e-4)
    assert room.exchange.gap < 1e-4


def test_a_disc_in_a_drum_sees_the_ends_as_coaxial_discs() -> None:
    room = enclosure(cylinder(0.1, 0.1), Disc(np.array([0.0, 0.0, 0.03]), UP, 0.03), 2000)
    assert room.inner is not None
    count = room.wall_count
    top = np.zeros(len(room.area), dtype=bool)
    top[count:] = room.inner.normal[:, 2] > 0.0
    bottom = np.zeros(len(room.area), dtype=bool)
    bottom[count:] = room.inner.normal[:, 2] < 0.0
    floor, lid = np.zeros_like(top), np.zeros_like(top)
    floor[:count], lid[:count] = room.wall.normal[:, 2] > 0.9, room.wall.normal[:, 2] < -0.9
    assert between(room, top, lid) == pytest.approx(coaxial_discs(0.03, 0.05, 0.07), rel=3e-3)
    assert between(room, bottom, floor) == pytest.approx(coaxial_discs(0.03, 0.05, 0.03), rel=3e-3)
    assert between(room, lid, top) == pytest.approx(coaxial_discs(0.05, 0.03, 0.07), rel=3e-3)
    assert between(room, top, floor) == pytest.approx(0.0, abs=1e-12)


def test_a_disc_across_a_sphere_parts_its_halves() -> None:
    room = enclosure(Sphere(0.15), Disc(np.array([0.0, 0.0, 0.075]), UP, 0.0749), 1200)
    count = room.wall_count
    high, low, disc = (np.zeros(len(room.area), dtype=bool) for _ in range(3))
    high[:count], low[:count] = room.wall.centre[:, 2] > 0.075, room.wall.centre[:, 2] < 0.075
    disc[count:] = True
    assert between(room, high, low) < 5e-3
    assert between(room, high, high) == pytest.approx(0.5, abs=5e-3)
    assert between(room, high, disc) == pytest.approx(0.5, abs=5e-3)


def test_the_round_and_the_general_way_agree() -> None:
    exact = enclosure(Sphere(0.15), Disc(np.array([0.0, 0.0, 0.06]), UP, 0.04), 1500)
    other = enclosure(Sphere(0.15), Disc(np.array([1e-7, 0.0, 0.06]), UP, 0.04), 1500)
    assert isinstance(exact.exchange, RoundExchange)
    assert isinstance(other.exchange, Exchange)
    wall = Wall((0.3,), (0.65,))
    light = PointLight(np.array([0.01, 0.0, 0.06]), np.array([0.2, 0.0, 1.0]), 120.0, (1.0,))
    one, two = (interior(room, wall, 0.8).glow([light]) for room in (exact, other))
    thrown = [glow.irradiance_lx - glow.direct_lx for glow in (one, two)]
    np.testing.assert_allclose(thrown[0], thrown[1], rtol=0.01)
    assert one.light_output_ratio == pytest.approx(two.light_output_ratio, rel=1e-3)


def test_contours_give_unit_squares_their_catalogue_factors() -> None:
    floor = np.array([[[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]], dtype=np.float64)
    above = floor[:, ::-1] + UP
    wall = np.array([[[0, 0, 0], [0, 0, 1], [1, 0, 1], [1, 0, 0]]], dtype=np.float64)
    assert exchange_area(floor, above, 4)[0] == pytest.approx(opposite_rectangles(1, 1, 1), rel=1e-8)
    assert exchange_area(floor, wall, 12)[0] == pytest.approx(perpendicular_rectangles(1, 1, 1), rel=1e-4)


def test_what_is_behind_a_plane_is_not_seen() -> None:
    wall = np.array([[[0, 0, -1], [0, 0, 1], [1, 0, 1], [1, 0, -1]]], dtype=np.float64)
    half = np.array([[[0, 0, 0], [0, 0, 1], [1, 0, 1], [1, 0, 0]]], dtype=np.float64)
    spot, normal = np.array([[0.3, 0.5, 0.0]]), UP[None]
    assert from_points(spot, normal, wall)[0] == pytest.approx(from_points(spot, normal, half)[0], rel=1e-12)
    assert from_points(spot, normal, half - 2.0 * UP)[0] == 0.0


@pytest.mark.parametrize(
    ("shell", "carrier"),
    [
        (cylinder(0.1, 0.1), Tube(0.02, 0.0, 0.1)),
        (cylinder(0.1, 0.1), Disc(np.array([0.0, 0.0, 0.05]), UP, 0.05)),
        (BoxShell(0.1, 0.1, 0.1), Block(np.array([-0.02, -0.02, 0.0]), np.array([0.02, 0.02, 0.03]))),
        (BoxShell(0.1, 0.1, 0.1), Plate(np.array([0, 0, 0.05]), np.array([0.05, 0, 0]), np.array([0, 0.05, 0]))),
    ],
)
def test_a_carrier_may_stand_on_the_wall(shell: Shell, carrier: Carrier) -> None:
    room = enclosure(shell, carrier, 500)
    assert np.abs(room.exchange.factors().sum(axis=1) - 1.0).max() < 1e-9
    glow = interior(room, Wall((0.3,), (0.6,)), 0.8).glow([PointLight(np.array([0.03, 0.0, 0.05]), UP, 120.0, (1.0,))])
    spent = glow.flux_out_lm + glow.wall_absorbed_lm + glow.carrier_absorbed_lm
    np.testing.assert_allclose(spent, 1.0, rtol=1e-8)
    assert abs(glow.gap) < 0.02


def test_a_tube_from_floor_to_lid_sees_the_drum_as_coaxial_cylinders_do() -> None:
    room = enclosure(cylinder(0.1, 0.1), Tube(0.025, 0.0, 0.1), 2000)
    count = room.wall_count
    side, outer = np.zeros(len(room.area), dtype=bool), np.zeros(len(room.area), dtype=bool)
    assert room.inner is not None
    side[count:] = np.abs(room.inner.normal[:, 2]) < 0.1
    outer[:count] = np.abs(room.wall.normal[:, 2]) < 0.1
    assert between(room, outer, side) == pytest.approx(outer_to_inner_cylinder(0.025, 0.05, 0.1), rel=3e-3)
