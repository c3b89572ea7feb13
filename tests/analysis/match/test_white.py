"""Mixing three or four colours to a white, against colour-science, a linear programme, and CIE formulas."""

from __future__ import annotations

import math

import colour
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from hollowglow.analysis.match.white import channels, difference, mixture, xyz_of
from hollowglow.physics.colour import GENERIC_XY

XY = np.array(GENERIC_XY[:3])
WHITES = st.tuples(st.floats(0.25, 0.38), st.floats(0.25, 0.38))
AMOUNTS = st.lists(st.floats(0.2, 20.0), min_size=3, max_size=3)


@pytest.mark.parametrize("white", [(0.3127, 0.3290), (1 / 3, 1 / 3), (0.26, 0.26)])
def test_three_colours_mix_as_the_normalised_primary_matrix_says(white: tuple[float, float]) -> None:
    # SMPTE RP 177: its middle row holds the luminances of the primaries that make the white of Y = 1.
    published = colour.normalised_primary_matrix(XY, np.array(white))[1]
    found = mixture(channels(np.ones(3), XY), xyz_of(white))
    assert found == pytest.approx(published, abs=1e-12)


@given(AMOUNTS, WHITES)
def test_the_mixture_makes_the_white_that_was_asked_for(amounts: list[float], white: tuple[float, float]) -> None:
    columns = channels(np.array(amounts), XY)
    found = mixture(columns, xyz_of(white))
    assert found is not None
    xyz = columns @ found
    assert xyz[1] == pytest.approx(1.0, rel=1e-9)
    assert colour.XYZ_to_xy(xyz) == pytest.approx(white, abs=1e-9)


@settings(deadline=None)
@given(AMOUNTS, st.floats(0.5, 30.0), WHITES)
def test_four_colours_give_the_brightest_mixture_that_there_is(
    amounts: list[float], white_channel: float, white: tuple[float, float]
) -> None:
    columns = channels(np.array([*amounts, white_channel]), np.array(GENERIC_XY))
    target = xyz_of(white)
    found = mixture(columns, target)
    # The same as a linear programme: the least greatest duty m with M d = W, 0 <= d <= m.
    limits = np.hstack([np.eye(4), -np.ones((4, 1))])
    best = linprog(
        [0, 0, 0, 0, 1], limits, np.zeros(4), np.hstack([columns, np.zeros((3, 1))]), target, bounds=[(0, None)] * 5
    )
    assert found is not None
    assert columns @ found == pytest.approx(target, abs=1e-8)
    assert found.max() == pytest.approx(best.fun, rel=1e-6)


@settings(deadline=None)
@given(AMOUNTS, st.floats(0.5, 30.0), WHITES, st.sampled_from([0.1, 0.25, 0.5]))
def test_of_four_colours_none_is_lost_where_another_mixture_makes_the_white_too(
    amounts: list[float], white_channel: float, white: tuple[float, float], least: float
) -> None:
    columns = channels(np.array([*amounts, white_channel]), np.array(GENERIC_XY))
    target = xyz_of(white)
    found = mixture(columns, target, least)
    # The same as a linear programme: the least greatest duty m with M d = W, least m <= d <= m.
    limits = np.vstack([np.hstack([np.eye(4), -np.ones((4, 1))]), np.hstack([-np.eye(4), least * np.ones((4, 1))])])
    balance = np.hstack([columns, np.zeros((3, 1))])
    best = linprog([0, 0, 0, 0, 1], limits, np.zeros(8), balance, target, bounds=[(0, None)] * 5)
    assert found is not None
    assert columns @ found == pytest.approx(target, abs=1e-8)
    if best.status == 0:
        assert found.max() == pytest.approx(best.fun, rel=1e-6)
        assert found.min() >= (least - 1e-6) * found.max()
    else:
        assert found == pytest.approx(mixture(columns, target))


@pytest.mark.parametrize("white", [(0.1, 0.3), (0.6, 0.38), (0.74, 0.26)])
def test_a_white_outside_the_primaries_is_out_of_reach(white: tuple[float, float]) -> None:
    assert mixture(channels(np.ones(3), XY), xyz_of(white)) is None


def test_a_light_that_lacks_a_colour_cannot_be_trimmed_to_a_white() -> None:
    assert mixture(channels(np.array([1.0, 1.0, 0.0]), XY), xyz_of((0.31, 0.33))) is None


@given(st.lists(st.floats(0.05, 2.0), min_size=3, max_size=3))
def test_the_difference_is_that_of_colour_science(ratios: list[float]) -> None:
    target = xyz_of((0.3, 0.31))
    xyz = target * np.array(ratios)
    luv = colour.XYZ_to_Luv(xyz, np.array([0.3, 0.31]))
    expected = math.dist(luv, (100.0, 0.0, 0.0))
    assert difference(xyz, target) == pytest.approx(expected, rel=1e-6, abs=1e-6)


def test_half_the_light_of_the_target_is_24_lightness_less() -> None:
    # ISO/CIE 11664-4: L* = 116 (1/2)^(1/3) - 16 = 76.0693.
    assert difference(0.5 * xyz_of((0.3, 0.3)), xyz_of((0.3, 0.3))) == pytest.approx(23.9307, abs=5e-5)
