"""Colour of several LED channels added together: how far a white drifts when its channels fade unequally."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# Typical values, not of any one part: parts of one package and current differ by a factor of 2 to 3 in flux.
# Order red, green, blue, white; a three-channel light takes the first three. Flux at about 20 mA. The dominant
# wavelengths against equal-energy white are 622, 528 and 468 nm.
GENERIC_FLUX_LM: tuple[float, ...] = (1.3, 2.2, 0.6, 7.0)
GENERIC_XY: tuple[tuple[float, float], ...] = ((0.695, 0.305), (0.18, 0.71), (0.135, 0.06), (0.31, 0.32))

LIGHTNESS_THRESHOLD = (6.0 / 29.0) ** 3
LIGHTNESS_SLOPE = (29.0 / 3.0) ** 3


class WhiteChange(NamedTuple):
    """What became of a white: light over nominal light, shift in u'v', CIE 1976 lightness of that light."""

    light: Array
    chromaticity_shift: Array
    lightness: Array


def mix_xyz(luminance: ArrayLike, xy: ArrayLike) -> Array:
    """Return the tristimulus values of several channels shining together (they add: Grassmann's law).

    Args:
        luminance: luminance, flux or any other photometric amount Y of each channel, shape (..., c).
        xy: CIE 1931 chromaticity of each channel, y > 0, shape (c, 2) or (..., c, 2).

    Returns:
        X, Y, Z in the unit of `luminance`, shape (..., 3).

    Source: CIE 15.
    """
    y_c = np.asarray(luminance, dtype=np.float64)
    chroma = np.asarray(xy, dtype=np.float64)
    x, y = chroma[..., 0], chroma[..., 1]
    per_y = y_c / y
    channels = np.broadcast_arrays(per_y * x, y_c, per_y * (1.0 - x - y))
    total: Array = np.stack(channels, axis=-1).sum(axis=-2)
    return total


def uv_prime(xyz: ArrayLike) -> Array:
    """Return the CIE 1976 chromaticity: u' = 4X/(X + 15Y + 3Z), v' = 9Y/(X + 15Y + 3Z).

    Args:
        xyz: tristimulus values, any unit, shape (..., 3).

    Returns:
        u', v', shape (..., 2); nan for black, which has no colour.

    Source: CIE 15, ISO/CIE 11664-5.
    """
    values = np.asarray(xyz, dtype=np.float64)
    x, y, z = values[..., 0], values[..., 1], values[..., 2]
    return _ratio(np.stack([4.0 * x, 9.0 * y], axis=-1), (x + 15.0 * y + 3.0 * z)[..., None])


def delta_uv_prime(a_xyz: ArrayLike, b_xyz: ArrayLike) -> Array:
    """Return the distance of two colours in the CIE 1976 u'v' diagram, whatever their brightness.

    Args:
        a_xyz: tristimulus values, shape (..., 3).
        b_xyz: tristimulus values, shape (..., 3), broadcast against `a_xyz`.

    Returns:
        Distance, shape (...); nan where either is black.

    Source: CIE 15, ISO/CIE 11664-5.
    """
    distance: Array = np.linalg.norm(uv_prime(a_xyz) - uv_prime(b_xyz), axis=-1)
    return distance


def lightness(y_relative: ArrayLike) -> Array:
    """Return the CIE 1976 lightness L*: 116 Y^(1/3) - 16 above Y = (6/29)^3, (29/3)^3 Y up to there.

    Args:
        y_relative: luminance over that of the reference white, any shape; above 1 it gives more than 100.

    Returns:
        L*, same shape.

    Source: ISO/CIE 11664-4 (the exact fractions, not the older 0.008856 and 903.3).
    """
    y = np.asarray(y_relative, dtype=np.float64)
    star: Array = np.where(y > LIGHTNESS_THRESHOLD, 116.0 * np.cbrt(y) - 16.0, LIGHTNESS_SLOPE * y)
    return star


def white_change(relative_current: ArrayLike, flux_lm: ArrayLike, xy: ArrayLike) -> WhiteChange:
    """Return how the white of a light changes when its channels get other currents than their nominal ones.

    Light is taken as proportional to current and its chromaticity as constant. That holds for a change of
    duty. For a change of the current itself it ignores droop (at constant junction temperature an LED gives
    more light per ampere at a smaller current, so the loss is overstated) and the drift of the dominant
    wavelength.

    Args:
        relative_current: current of each channel over its nominal current (1 = nominal), shape (..., c).
        flux_lm: luminous flux of each channel at its nominal current, lm, shape (c,) or (..., c).
        xy: CIE 1931 chromaticity of each channel, shape (c, 2) or (..., c, 2).

    Returns:
        Light relative to nominal, distance from the nominal white in u'v' (nan where it is dark) and L* of
        the relative light, each of shape (...). All are nan where the nominal light itself is none.

    Source: CIE 15, ISO/CIE 11664-4 and 11664-5.
    """
    flux = np.asarray(flux_lm, dtype=np.float64)
    nominal = mix_xyz(flux, xy)
    now = mix_xyz(np.asarray(relative_current, dtype=np.float64) * flux, xy)
    light = _ratio(now[..., 1], nominal[..., 1])
    return WhiteChange(light, delta_uv_prime(now, nominal), lightness(light))


def _ratio(over: Array, under: Array) -> Array:
    over, under = np.broadcast_arrays(over, under)
    quotient: Array = np.divide(over, under, out=np.full(over.shape, np.nan), where=under != 0.0)
    return quotient
