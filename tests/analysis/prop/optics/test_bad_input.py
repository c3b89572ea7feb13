"""Shells, carriers, walls and lights that cannot be are refused with the number that is wrong."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from hollowglow.analysis.prop.optics import (
    Block,
    BoxShell,
    Disc,
    OpticsError,
    Plate,
    PointLight,
    Sphere,
    Tube,
    Wall,
    appearance,
    arrival,
    beam_exponent,
    cone,
    cylinder,
    enclosure,
    interior,
    lathe,
    view,
)

UP = np.array([0.0, 0.0, 1.0])


def at(x: float, y: float, z: float) -> np.ndarray:
    return np.array([x, y, z])


def light(place: np.ndarray, axis: np.ndarray = UP, flux: tuple[float, ...] = (1.0,)) -> PointLight:
    return PointLight(place, axis, 120.0, flux)


BALL = Sphere(0.1)
CASES: list[tuple[Callable[[], object], str]] = [
    (lambda: Sphere(0.0), "the diameter of the sphere is 0 mm, but must be more than 0"),
    (lambda: cylinder(0.1, -0.02), "the height of the cylinder is -20 mm, but must be more than 0"),
    (lambda: cone(math.nan, 0.1), "the diameter of the cone is nan mm"),
    (lambda: BoxShell(0.1, 0.0, 0.1), "the depth of the box is 0 mm"),
    (lambda: lathe([(0.01, 0.0)]), "at least 2 points"),
    (lambda: lathe([(0.01, 0.0), (-0.02, 0.05)]), "point 2 of the profile has the radius -20 mm"),
    (
        lambda: lathe([(0.01, 0.0), (math.inf, 0.05)]),
        "point 2 of the profile has a radius or height that is not a number",
    ),
    (lambda: lathe([(0.01, 0.0), (0.02, 0.03), (0.0, 0.05), (0.02, 0.1)]), "touches its axis at the height 50 mm"),
    (lambda: lathe([(0.0, 0.0), (0.0, 0.1)]), "encloses no space"),
    (
        lambda: lathe([(0.0, 0.0), (0.04, 0.0), (0.03, 500.0), (0.0, 0.09)]),
        "80 mm wide and 5e.05 mm high, too thin for its light to be followed .at least 600 mm wide",
    ),
    (lambda: cylinder(0.00001, 50.0), "0.01 mm wide and 5e.04 mm high, too thin"),
    (
        lambda: lathe([(0.0, 0.0), (0.05, 0.0), (0.01, 0.06), (0.05, 0.06), (0.02, 0.0), (0.02, 0.1)]),
        "the profile crosses itself at the radius",
    ),
    (lambda: Disc(at(0, 0, 0.05), UP, 0.0), "a disc needs a radius of more than 0"),
    (lambda: Plate(at(0, 0, 0.05), at(0.01, 0, 0), at(0.01, 0.01, 0)), "a plate needs two edges at right angles"),
    (lambda: Block(at(0, 0, 0.05), at(0.01, 0.01, 0.05)), "a block needs three edges of more than 0 mm"),
    (lambda: Tube(0.01, 0.05, 0.02), "a tube needs a radius and a length of more than 0 mm, but has 10 mm and -30 mm"),
    (
        lambda: enclosure(BALL, Disc(at(0, 0, 0.05), UP, 0.06), 200),
        "the disc does not fit: .* it is 10.0 mm outside the wall",
    ),
    (lambda: enclosure(BALL, Tube(0.01, 0.02, 0.11), 200), "the tube does not fit: .* mm outside the wall"),
    (lambda: enclosure(BALL, None, 5), "5 patches are too few"),
    (
        lambda: Wall((0.6,), (0.5,)),
        "the transmittance 0.6 and the reflectance 0.5 of the wall add up to 1.1, more than 1",
    ),
    (lambda: Wall((-0.1,), (0.5,)), "a transmittance of -0.1"),
    (lambda: Wall((0.0,), (1.0,)), "a reflectance of 1"),
    (lambda: Wall((0.5, 0.5), (0.5,)), "2 transmittances and 1 reflectances"),
    (lambda: interior(enclosure(BALL, None, 200), Wall((0.5,), (0.4,)), 1.0), "the carrier has the reflectances"),
    (lambda: beam_exponent(180.0), "the beam is 180 degrees wide"),
    (lambda: PointLight(at(0, 0, 0), at(0, 0, 0), 120.0, (1.0,)), "the axis of a light has no length"),
    (lambda: light(at(0, 0, 0), flux=(-1.0,)), "the flux of a light is"),
    (lambda: arrival(enclosure(BALL, None, 200), []), "there are no lights"),
    (
        lambda: arrival(enclosure(BALL, None, 200), [light(at(0, 0, 0.13))]),
        r"light 1 at \(0.0, 0.0, 130.0\) mm is 30.0 mm outside the wall",
    ),
    (
        lambda: arrival(enclosure(BALL, Tube(0.02, 0.02, 0.06), 200), [light(at(0.01, 0, 0.04))]),
        r"light 1 at \(10.0, 0.0, 40.0\) mm is inside the tube",
    ),
    (
        lambda: arrival(
            enclosure(BALL, Disc(at(0, 0, 0.05), UP, 0.03), 200), [light(at(0.01, 0, 0.05), at(1.0, 0, 0))]
        ),
        "is inside the disc, or shines along it",
    ),
    (
        lambda: arrival(enclosure(BALL, None, 200), [light(at(0, 0, 0.05)), light(at(0, 0, 0.05), flux=(1.0, 2.0))]),
        r"the lights have \[1, 2\] colours",
    ),
    (
        lambda: interior(enclosure(BALL, None, 200), Wall((0.5,), (0.4,))).glow(
            [light(at(0, 0, 0.05), flux=(1.0, 2.0))]
        ),
        "the lights have 2 colours and the wall has 1",
    ),
    (lambda: view(enclosure(BALL, None, 200), at(0, 0, 0)), "a direction needs three finite numbers, not all 0"),
    (
        lambda: appearance(
            interior(enclosure(BALL, None, 200), Wall((0.5,), (0.4,))).glow([light(at(0, 0, 0.05))]), [], 1.0
        ),
        "there is no direction to look from",
    ),
]


@pytest.mark.parametrize(("make", "text"), CASES, ids=[c[1][:40] for c in CASES])
def test_what_cannot_be_is_refused_with_its_numbers(make: Callable[[], object], text: str) -> None:
    with pytest.raises(OpticsError, match=text):
        make()


def test_a_profile_may_run_either_way_and_may_be_open() -> None:
    line = [(0.0, 0.0), (0.05, 0.0), (0.03, 0.1), (0.0, 0.1)]
    whole, back, open_ends = lathe(line), lathe(line[::-1]), lathe(line[1:-1])
    np.testing.assert_allclose(whole.profile, back.profile)
    np.testing.assert_allclose(whole.profile, open_ends.profile)
    clear = whole.clearance(np.array([[0.0, 0.0, 0.05], [0.0, 0.0, -0.01]]))
    assert clear.tolist() == pytest.approx([0.04 * 0.1 / math.hypot(0.1, 0.02), -0.01], rel=1e-9)


def test_a_profile_of_thousands_of_points_stays_small() -> None:
    turn = np.linspace(0.0, math.pi, 5001)
    shell = lathe(np.stack([0.075 * np.sin(turn), 0.075 - 0.075 * np.cos(turn)], axis=1))
    assert len(shell.profile) < 120
    assert shell.area_m2 == pytest.approx(4.0 * math.pi * 0.075**2, rel=1e-3)
    glow = interior(enclosure(shell, None, 1500), Wall((0.45,), (0.45,))).glow([light(at(0.0, 0.0, 0.1))])
    thrown = (glow.irradiance_lx - glow.direct_lx)[:, 0]
    # The same sphere as a turned line: the theory of the integrating sphere holds for it as well.
    np.testing.assert_allclose(thrown, 0.45 / (4.0 * math.pi * 0.075**2 * 0.55), rtol=5e-3)


def test_a_long_thin_profile_keeps_its_steps() -> None:
    tube = lathe([(0.01, 0.0), (0.01, 18.0), (0.015, 18.0), (0.015, 20.0)])
    sides = 2.0 * math.pi * (0.01 * 18.0 + 0.015 * 2.0)
    # Two lids, and the ring between the two radii.
    flats = math.pi * (0.01**2 + 0.015**2 + (0.015**2 - 0.01**2))
    assert tube.area_m2 == pytest.approx(sides + flats, rel=1e-9)
