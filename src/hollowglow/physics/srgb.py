"""The screen values of IEC 61966-2-1 (sRGB) to linear light and tristimulus values, and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# IEC 61966-2-1:1999 with amendment 1:2003, XYZ (white point D65, Y = 1) to linear red, green, blue.
LINEAR_FROM_XYZ = (
    (3.2406255, -1.5372080, -0.4986286),
    (-0.9689307, 1.8757561, 0.0415175),
    (0.0557101, -0.2040211, 1.0569959),
)
# The same standard's matrix the other way, as printed (four places).
XYZ_FROM_LINEAR = (
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)


def linear_srgb(xyz: ArrayLike) -> Array:
    """Return linear red, green and blue of tristimulus values; colours outside the screen's have negative parts.

    Args:
        xyz: X, Y, Z in any unit, shape (..., 3).

    Returns:
        Red, green, blue in the same unit, shape (..., 3); equal parts for the white D65.

    Source: IEC 61966-2-1, amendment 1.
    """
    linear: Array = np.asarray(xyz, dtype=np.float64) @ np.array(LINEAR_FROM_XYZ).T
    return linear


def srgb_encode(linear: ArrayLike) -> Array:
    """Return the screen values of linear light: 12.92 c up to 0.0031308, 1.055 c^(1/2.4) - 0.055 above.

    Args:
        linear: 0 to 1 (held to that), any shape.

    Returns:
        Values from 0 to 1, same shape.

    Source: IEC 61966-2-1.
    """
    c = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    encoded: Array = np.where(c <= 0.0031308, 12.92 * c, 1.055 * np.power(c, 1.0 / 2.4) - 0.055)
    return encoded


def srgb_bytes(linear: ArrayLike) -> NDArray[np.uint8]:
    """Return linear light from 0 to 1 as the nearest 8-bit screen values, same shape."""
    return np.rint(255.0 * srgb_encode(linear)).astype(np.uint8)


def srgb_decode(value: ArrayLike) -> Array:
    """Return the linear light of screen values: c/12.92 up to 0.04045, ((c + 0.055)/1.055)^2.4 above.

    Args:
        value: 0 to 1, any shape.

    Returns:
        Linear light from 0 to 1, same shape.

    Source: IEC 61966-2-1.
    """
    c = np.asarray(value, dtype=np.float64)
    linear: Array = np.where(c <= 0.04045, c / 12.92, np.power((c + 0.055) / 1.055, 2.4))
    return linear
