"""One tone curve for every night picture: luminance in cd/m² becomes the bytes of an sRGB picture."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hollowglow.physics.srgb import linear_srgb, srgb_bytes
from hollowglow.quantity.numbers import figure

Array = NDArray[np.float64]

STRAIGHT = 0.5
BRIGHT_PERCENTILE = 99.0
BRIGHT_SHOWN = 0.9
DARK_CD_M2 = 1e-4


def shoulder(exposed: ArrayLike) -> Array:
    """Return the share of white shown for exposed light: the light itself up to 0.5, a smooth approach to 1 above.

    y = x up to s = 0.5, then y = 1 - (1 - s) exp(-(x - s)/(1 - s)), which goes on with the same slope. Light in the
    straight part keeps its ratios.

    Args:
        exposed: luminance over the luminance of white, 0 or more, any shape.

    Returns:
        Light from the screen over that of its white, below 1, same shape.
    """
    x = np.asarray(exposed, dtype=np.float64)
    rest = 1.0 - STRAIGHT
    bent: Array = np.where(x <= STRAIGHT, x, 1.0 - rest * np.exp(-(np.maximum(x, STRAIGHT) - STRAIGHT) / rest))
    return bent


@dataclass(frozen=True, slots=True)
class Tone:
    """The exposure of a picture: the luminance, in cd/m², that would be shown as white if the curve were straight."""

    white_cd_m2: float

    def __post_init__(self) -> None:
        """Refuse a white that is none."""
        if not (math.isfinite(self.white_cd_m2) and self.white_cd_m2 > 0):
            raise ValueError(f"a tone with white at {self.white_cd_m2} cd/m² was asked for, expected more than 0")

    @property
    def words(self) -> str:
        """Return the curve and its exposure, as printed on the picture."""
        half = figure(STRAIGHT * self.white_cd_m2)
        return f"tone: true ratios up to {half} cd/m², soft shoulder above; white at {figure(self.white_cd_m2)} cd/m²"

    def light(self, xyz: ArrayLike) -> Array:
        """Return the light of the screen, linear red, green and blue from 0 to 1.

        The curve acts on the luminance; the colour is kept, and moved towards the grey of the same luminance only as
        far as the screen cannot show it.

        Args:
            xyz: X, Y, Z in cd/m², Y 0 or more, shape (..., 3).

        Returns:
            Red, green, blue, shape (..., 3).
        """
        values = np.asarray(xyz, dtype=np.float64)
        shown = shoulder(values[..., 1] / self.white_cd_m2)
        gain = np.divide(shown, values[..., 1], out=np.zeros_like(shown), where=values[..., 1] > 0)
        return in_gamut(linear_srgb(values) * gain[..., None], shown)

    def pixels(self, xyz: ArrayLike) -> NDArray[np.uint8]:
        """Return the bytes of the screen, red, green, blue, for X, Y, Z in cd/m², both of shape (..., 3)."""
        return srgb_bytes(self.light(xyz))


def in_gamut(linear: Array, luminance: Array) -> Array:
    """Return colours moved towards the grey of the same luminance as little as brings all parts into 0 to 1.

    Args:
        linear: linear red, green and blue, shape (..., 3).
        luminance: their luminance, white 1, from 0 to 1, shape (...).

    Returns:
        Red, green, blue from 0 to 1, shape (..., 3).
    """
    held: Array = np.clip(linear, 0.0, 1.0)
    outside = (held != linear).any(axis=-1)
    grey = luminance[outside][:, None]
    away = linear[outside] - grey
    room = np.where(away < 0.0, grey, 1.0 - grey)
    share = np.divide(room, np.abs(away), out=np.ones_like(away), where=np.abs(away) > room)
    held[outside] = np.clip(grey + share.min(axis=-1, keepdims=True) * away, 0.0, 1.0)
    return held


def tone_for(luminances_cd_m2: Sequence[ArrayLike]) -> Tone:
    """Return one exposure for several pictures: the brightest of their 99th percentiles is shown as 90 % of white.

    Args:
        luminances_cd_m2: luminances of the lit pixels of each picture, cd/m², any shapes.

    Returns:
        The tone; white at 1 cd/m² where nothing shines, not even at 0.0001 cd/m².
    """
    bright = max(
        (
            float(np.percentile(values, BRIGHT_PERCENTILE))
            for values in map(np.asarray, luminances_cd_m2)
            if values.size
        ),
        default=0.0,
    )
    rest = 1.0 - STRAIGHT
    exposed = STRAIGHT + rest * math.log(rest / (1.0 - BRIGHT_SHOWN))
    return Tone(bright / exposed if bright >= DARK_CD_M2 else 1.0)
