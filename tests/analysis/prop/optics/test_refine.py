"""The mesh is refined until the figures stand still, and fast enough to compare many fills."""

from __future__ import annotations

import numpy as np
import pytest

from hollowglow.analysis.prop.optics import (
    Carrier,
    Disc,
    Plate,
    PointLight,
    Refinement,
    Shell,
    Sphere,
    Wall,
    cone,
    cylinder,
    directions,
    lathe,
)

UP = np.array([0.0, 0.0, 1.0])
WALL = Wall((0.45, 0.42, 0.40), (0.45, 0.48, 0.50))
LIGHTS = [
    PointLight(np.array([0.01, 0.0, 0.055]), UP, 120.0, (1.0, 2.0, 0.5)),
    PointLight(np.array([-0.01, 0.0, 0.045]), -UP, 120.0, (1.0, 2.0, 0.5)),
]
WAIST = lathe([(0.05, 0.0), (0.03, 0.05), (0.05, 0.1)])
CASES: list[tuple[Shell, Carrier | None]] = [
    (Sphere(0.1), None),
    (Sphere(0.1), Disc(np.array([0.0, 0.0, 0.05]), UP, 0.03)),
    (cylinder(0.1, 0.1), Plate(np.array([0.0, 0.0, 0.05]), np.array([0.03, 0, 0]), np.array([0, 0.02, 0]))),
    (cone(0.1, 0.15), None),
    (WAIST, None),
]


@pytest.mark.parametrize(("shell", "carrier"), CASES)
def test_the_figures_settle_within_a_percent(shell: Shell, carrier: Carrier | None) -> None:
    found = Refinement(shell, carrier, WALL, directions(6)).settle(LIGHTS, 12.0)
    assert found.settled, found.spread
    assert max(found.spread.values()) < 0.01
    assert set(found.spread) == {"flux_out", "luminance", "uniformity"}


def test_a_mesh_that_does_not_settle_says_how_much_it_still_moves() -> None:
    found = Refinement(WAIST, None, WALL, directions(4), steps=(60, 120)).settle(LIGHTS, 12.0, limit=1e-9)
    assert not found.settled
    assert max(found.spread.values()) > 1e-9


def test_a_ladder_makes_each_mesh_once() -> None:
    ladder = Refinement(Sphere(0.1), None, WALL, directions(4))
    ladder.settle(LIGHTS, 12.0)
    assert ladder.step(0) is ladder.step(0)


def test_a_view_has_the_same_pixels_on_every_mesh_of_a_shell() -> None:
    ladder = Refinement(WAIST, None, WALL, directions(4))
    (_, coarse), (_, fine) = ladder.step(0), ladder.step(1)
    for one, two in zip(coarse, fine, strict=True):
        np.testing.assert_array_equal(one.shown, two.shown)
        np.testing.assert_allclose(one.straight(LIGHTS), two.straight(LIGHTS), rtol=1e-9, atol=1e-12)
