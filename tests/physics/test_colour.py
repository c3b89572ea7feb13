"""Colour arithmetic against an independent library, published L* values and the laws of adding lights."""

from __future__ import annotations

import warnings
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from hollowglow.physics import colour as ours


@pytest.fixture(scope="module")
def colour() -> ModuleType:
    # On import it warns of optional libraries that are missing; no warning of a computation is hidden.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    return colour


def chromaticities(channels: int) -> Any:
    """Points of the chromaticity diagram with y away from zero and z not negative."""
    share = arrays(np.float64, (channels, 2), elements=st.floats(0.0, 1.0))
    return share.map(lambda s: np.stack([s[:, 0] * (0.95 - 0.9 * s[:, 1]), 0.05 + 0.9 * s[:, 1]], axis=-1))


def amounts(channels: int, least: float = 0.01) -> Any:
    return arrays(np.float64, (channels,), elements=st.floats(least, 100.0))


@given(luminance=amounts(4), xy=chromaticities(4))
def test_mixture_is_the_sum_of_what_colour_science_gives_per_channel(
    colour: ModuleType, luminance: np.ndarray, xy: np.ndarray
) -> None:
    theirs = colour.xyY_to_XYZ(np.column_stack([xy, luminance])).sum(axis=0)
    np.testing.assert_allclose(ours.mix_xyz(luminance, xy), theirs, rtol=1e-9, atol=1e-9)


@given(luminance=amounts(3), xy=chromaticities(3))
def test_chromaticity_is_that_of_colour_science(colour: ModuleType, luminance: np.ndarray, xy: np.ndarray) -> None:
    xyz = ours.mix_xyz(luminance, xy)
    theirs = colour.xy_to_Luv_uv(colour.XYZ_to_xy(xyz))
    np.testing.assert_allclose(ours.uv_prime(xyz), theirs, rtol=1e-9)


@given(a=amounts(3), b=amounts(3), xy=chromaticities(3))
def test_distance_is_that_of_colour_science(colour: ModuleType, a: np.ndarray, b: np.ndarray, xy: np.ndarray) -> None:
    a_xyz, b_xyz = ours.mix_xyz(a, xy), ours.mix_xyz(b, xy)
    a_uv, b_uv = (colour.xy_to_Luv_uv(colour.XYZ_to_xy(xyz)) for xyz in (a_xyz, b_xyz))
    assert ours.delta_uv_prime(a_xyz, b_xyz) == pytest.approx(np.hypot(*(a_uv - b_uv)), rel=1e-9, abs=1e-9)


@given(y=st.floats(0.0, 1.5))
def test_lightness_is_that_of_colour_science(colour: ModuleType, y: float) -> None:
    assert ours.lightness(y) == pytest.approx(colour.lightness(100.0 * y, method="CIE 1976"), rel=1e-9, abs=1e-9)


# CIE 1976 L* (ISO/CIE 11664-4) of Y/Yn, from its definition with the exact fractions.
CIE_1976_LIGHTNESS = [
    (0.001, 0.903296),
    (0.01, 8.99144),
    (0.05, 26.73477),
    (0.1, 37.84243),
    (0.18, 49.49611),
    (0.1842, 50.0016),
    (0.25, 57.07542),
    (0.5, 76.06926),
    (0.75, 89.39299),
    (1.0, 100.0),
]


@pytest.mark.parametrize(("y", "published"), CIE_1976_LIGHTNESS)
def test_lightness_values_of_cie_1976(y: float, published: float) -> None:
    assert ours.lightness(y) == pytest.approx(published, rel=1e-5)


# ISO/CIE 11664-4 and CIE e-ILV 17-23-076 print 0.0088565 and 903.2963; older texts 0.008856 and 903.3.
def test_lightness_constants_are_the_exact_fractions() -> None:
    assert pytest.approx(0.0088565, rel=1e-5) == ours.LIGHTNESS_THRESHOLD
    assert pytest.approx(903.2963, rel=1e-7) == ours.LIGHTNESS_SLOPE
    assert pytest.approx(8.0, rel=1e-14) == ours.LIGHTNESS_SLOPE * ours.LIGHTNESS_THRESHOLD


def test_lightness_has_neither_step_nor_kink_where_its_two_parts_meet() -> None:
    y0, h = ours.LIGHTNESS_THRESHOLD, 1e-7
    below, at, above = ours.lightness([y0 - h, y0, y0 + h])
    assert above - at == pytest.approx(at - below, rel=1e-4)


# CIE 15: equal-energy white (1, 1, 1) lies at u' = 4/19, v' = 9/19; the CIE standard illuminant D65 at
# u' = 0.1978, v' = 0.4683.
def test_chromaticity_of_known_whites() -> None:
    np.testing.assert_allclose(ours.uv_prime([1.0, 1.0, 1.0]), [4 / 19, 9 / 19], rtol=1e-15)
    d65 = ours.uv_prime(ours.mix_xyz([100.0], [[0.31272, 0.32903]]))
    assert np.round(d65, 4).tolist() == [0.1978, 0.4683]


def test_black_has_no_chromaticity_and_no_warning() -> None:
    black_and_white = np.array([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]])
    assert np.isnan(ours.uv_prime(black_and_white)).tolist() == [[True, True], [False, False]]
    assert np.isnan(ours.delta_uv_prime(black_and_white, [1.0, 1.0, 1.0])).tolist() == [True, False]


@given(a=amounts(3), b=amounts(3), xy=chromaticities(3))
def test_lights_add(a: np.ndarray, b: np.ndarray, xy: np.ndarray) -> None:
    coincident = ours.mix_xyz(a + b, xy)
    np.testing.assert_allclose(coincident, ours.mix_xyz(a, xy) + ours.mix_xyz(b, xy), rtol=1e-9, atol=1e-9)
    assert coincident[1] == pytest.approx((a + b).sum(), rel=1e-12)


@given(luminance=amounts(3), xy=chromaticities(3), factor=st.floats(0.001, 1000.0))
def test_chromaticity_knows_no_brightness(luminance: np.ndarray, xy: np.ndarray, factor: float) -> None:
    xyz = ours.mix_xyz(luminance, xy)
    assert ours.delta_uv_prime(xyz, factor * xyz) == pytest.approx(0.0, abs=1e-12)


@given(flux=amounts(3), xy=chromaticities(3), factor=st.floats(0.001, 1.5))
def test_equal_fading_dims_a_white_and_leaves_its_colour(flux: np.ndarray, xy: np.ndarray, factor: float) -> None:
    change = ours.white_change(np.full(3, factor), flux, xy)
    assert change.light == pytest.approx(factor, rel=1e-12)
    assert change.chromaticity_shift == pytest.approx(0.0, abs=1e-12)
    assert change.lightness == pytest.approx(float(ours.lightness(factor)), rel=1e-9)


@given(flux=amounts(4), xy=chromaticities(4), current=amounts(4, least=0.0))
def test_white_change_is_that_of_colour_science(
    colour: ModuleType, flux: np.ndarray, xy: np.ndarray, current: np.ndarray
) -> None:
    relative = np.maximum(current / 100.0, 1e-3)
    change = ours.white_change(relative, flux, xy)
    now, nominal = (colour.xyY_to_XYZ(np.column_stack([xy, f])).sum(axis=0) for f in (relative * flux, flux))
    uv = [colour.xy_to_Luv_uv(colour.XYZ_to_xy(xyz)) for xyz in (now, nominal)]
    assert change.light == pytest.approx(now[1] / nominal[1], rel=1e-9)
    assert change.chromaticity_shift == pytest.approx(np.hypot(*(uv[0] - uv[1])), rel=1e-9, abs=1e-9)
    assert change.lightness == pytest.approx(colour.lightness(100.0 * now[1] / nominal[1], method="CIE 1976"), rel=1e-9)


@given(
    current=arrays(np.float64, (5, 2, 3), elements=st.floats(0.01, 1.0)),
    flux=amounts(3),
    xy=chromaticities(3),
)
def test_a_batch_is_the_same_as_one_at_a_time(current: np.ndarray, flux: np.ndarray, xy: np.ndarray) -> None:
    batch = ours.white_change(current, flux, xy)
    each = ours.white_change(current, np.broadcast_to(flux, current.shape), np.broadcast_to(xy, (*current.shape, 2)))
    assert batch.light.shape == batch.chromaticity_shift.shape == batch.lightness.shape == (5, 2)
    for index in np.ndindex(5, 2):
        one = ours.white_change(current[index], flux, xy)
        for figure, in_batch, in_each in zip(one, batch, each, strict=True):
            assert in_batch[index] == pytest.approx(float(figure), rel=1e-9, abs=1e-12)
            assert in_each[index] == pytest.approx(float(figure), rel=1e-9, abs=1e-12)


def test_a_dark_light_gives_no_light_and_no_colour() -> None:
    rgb = ours.GENERIC_FLUX_LM[:3], ours.GENERIC_XY[:3]
    change = ours.white_change([[0.0, 0.0, 0.0], [1.0, 1.0, 1.0]], *rgb)
    assert change.light.tolist() == [0.0, 1.0]
    assert change.lightness.tolist() == [0.0, 100.0]
    assert np.isnan(change.chromaticity_shift[0])
    assert change.chromaticity_shift[1] == 0.0


def test_a_light_without_flux_has_no_figures_and_no_warning() -> None:
    change = ours.white_change([1.0, 1.0, 1.0], [0.0, 0.0, 0.0], ours.GENERIC_XY[:3])
    assert all(np.isnan(figure) for figure in change)


# Low voltage robs blue and green (about 3 V an LED) before red (about 2 V): the far end of a long string
# goes pink.
def test_losing_blue_and_green_moves_a_white_towards_red() -> None:
    flux, xy = ours.GENERIC_FLUX_LM[:3], ours.GENERIC_XY[:3]
    white = ours.uv_prime(ours.mix_xyz(flux, xy))
    far_end = ours.uv_prime(ours.mix_xyz(np.array([1.0, 0.6, 0.6]) * flux, xy))
    red = ours.uv_prime(ours.mix_xyz([1.0], xy[:1]))
    assert np.linalg.norm(far_end - red) < np.linalg.norm(white - red)
    assert ours.white_change([1.0, 0.6, 0.6], flux, xy).chromaticity_shift > 0.02


# Bins usual for these LEDs: 620 to 625, 520 to 530 and 465 to 470 nm. The blue and green of a package are
# less pure than its red, whose wavelengths lie on the straight part of the spectrum locus.
@pytest.mark.parametrize(("channel", "low_nm", "high_nm"), [(0, 620, 625), (1, 520, 530), (2, 465, 470)])
def test_generic_primaries_are_leds_of_usual_bins(
    colour: ModuleType, channel: int, low_nm: float, high_nm: float
) -> None:
    equal_energy = (1 / 3, 1 / 3)
    dominant_nm = colour.dominant_wavelength(ours.GENERIC_XY[channel], equal_energy)[0]
    assert low_nm <= dominant_nm <= high_nm
    purity = colour.excitation_purity(ours.GENERIC_XY[channel], equal_energy)
    assert 0.7 < purity < 1.001


# Axial intensity of an early single package with its driver inside, 405, 690 and 190 mcd (its data sheet), times pi sr
# as for a Lambertian source; white from the data sheet of a generic RGBW package of size 5050, 6 to 8 lm at 20 mA.
def test_generic_flux_is_that_of_typical_data_sheets() -> None:
    assert ours.GENERIC_FLUX_LM[:3] == pytest.approx([np.pi * i for i in (0.405, 0.690, 0.190)], rel=0.03)
    assert 6.0 <= ours.GENERIC_FLUX_LM[3] <= 8.0
    assert len(ours.GENERIC_XY) == len(ours.GENERIC_FLUX_LM)
