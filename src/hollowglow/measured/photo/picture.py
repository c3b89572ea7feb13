"""One photograph as stored values and the way from them to linear light, so that 24 megapixels stay small in memory."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hollowglow.measured.photo.exposure import Exposure
from hollowglow.physics.srgb import XYZ_FROM_LINEAR, srgb_decode

Floats = NDArray[np.float64]
Single = NDArray[np.float32]
Bools = NDArray[np.bool_]

# JPEG rounds and rings: a value that was cut at 255 may come back a few steps lower.
CLIP_CODE = 250
CLIP_SHARE = 0.98
# SMPTE EG 432-1 (Display P3): linear red, green, blue to XYZ, white point D65, from the primaries (0.680, 0.320),
# (0.265, 0.690) and (0.150, 0.060).
XYZ_FROM_P3 = (
    (0.4865709, 0.2656677, 0.1982173),
    (0.2289746, 0.6917385, 0.0792869),
    (0.0, 0.0451134, 1.0439444),
)
_STRIP = 256


@dataclass(frozen=True, eq=False)
class Photograph:
    """A photograph upright, as stored.

    Attributes:
        name: of its file, for messages.
        codes: stored values, shape (rows, columns, 3), uint8 or uint16.
        table: linear light of each stored value, black 0, white 1, shape (256,) or (65536,).
        clip_code: stored values from here on are at the camera's limit.
        lost: pixels of which the sensor itself says that they are at its limit, shape (rows, columns); None: by code.
        exposure: what the camera says, None where it does not.
        white_balance: "automatic", "set", or "" where it is not known.
        focal_35mm: focal length in terms of 24 mm x 36 mm film, mm, None where it is not known.
        raw: whether it comes from the sensor's own values.
        profile: name of a colour profile that is not followed, else "".
        few_shades: whether the file holds a palette, at most 256 shades and mostly fewer, of which colours are the nearest.
        xyz_from_rgb: tristimulus values of linear red, green and blue.
    """

    name: str
    codes: NDArray[np.uint8] | NDArray[np.uint16]
    table: Single
    clip_code: int
    lost: Bools | None = None
    exposure: Exposure | None = None
    white_balance: str = ""
    focal_35mm: float | None = None
    raw: bool = False
    profile: str = ""
    few_shades: bool = False
    xyz_from_rgb: Floats = field(default_factory=lambda: np.array(XYZ_FROM_LINEAR))

    @property
    def shape(self) -> tuple[int, int]:
        """Return rows and columns."""
        return self.codes.shape[0], self.codes.shape[1]

    def linear(self, rows: slice, columns: slice) -> Single:
        """Return linear light of a part, shape (rows, columns, 3)."""
        light: Single = self.table[self.codes[rows, columns]]
        return light

    def clipped(self, rows: slice, columns: slice) -> Bools:
        """Return which pixels of a part are at the camera's limit in any colour, shape (rows, columns)."""
        # Plane by plane: reducing over an axis of three is ten times slower.
        planes = [self.codes[rows, columns, c] >= self.clip_code for c in range(3)]
        over: Bools = planes[0] | planes[1] | planes[2]
        return over if self.lost is None else over | self.lost[rows, columns]

    def binned(self, side: int) -> tuple[Single, Single]:
        """Return the mean luminance of squares of pixels, and the share of their pixels that is clipped.

        Args:
            side: of a square, pixels; what does not fill one at the right and lower edge is left out.

        Returns:
            Luminance (1 = white) and share, each of shape (rows // side, columns // side).
        """
        rows, columns = self.shape[0] // side, self.shape[1] // side
        luminance = np.empty((rows, columns), np.float32)
        share = np.empty((rows, columns), np.float32)
        weigh = [(w * self.table).astype(np.float32) for w in self.xyz_from_rgb[1]]
        step = max(1, _STRIP // side)
        for top in range(0, rows, step):
            below = min(top + step, rows)
            part = slice(top * side, below * side), slice(0, columns * side)
            codes = self.codes[part]
            light = np.take(weigh[0], codes[..., 0])
            for c in (1, 2):
                light += np.take(weigh[c], codes[..., c])
            luminance[top:below] = _mean_of_squares(light, side)
            lost = self.clipped(*part)
            share[top:below] = _mean_of_squares(lost.astype(np.float32), side) if lost.any() else 0.0
        return luminance, share


def _mean_of_squares(values: Single, side: int) -> Single:
    """Return the mean of squares of pixels; the sides of the whole must be multiples of theirs."""
    rows = values[0::side]
    for i in range(1, side):
        rows = rows + values[i::side]
    total = rows[:, 0::side]
    for i in range(1, side):
        total = total + rows[:, i::side]
    mean: Single = total / np.float32(side * side)
    return mean


def srgb_photograph(name: str, codes: NDArray[np.uint8], exposure: Exposure | None = None) -> Photograph:
    """Return a photograph of 8-bit sRGB values, shape (rows, columns, 3). Source: IEC 61966-2-1."""
    return Photograph(name, codes, srgb_table(), CLIP_CODE, exposure=exposure)


def srgb_table(most: int = 255) -> Single:
    """Return linear light of every sRGB value from 0 to `most`, shape (most + 1,). Source: IEC 61966-2-1."""
    return srgb_decode(np.arange(most + 1) / most).astype(np.float32)


def linear_photograph(
    name: str, codes: ArrayLike, black: float, white: float, exposure: Exposure | None = None
) -> Photograph:
    """Return a photograph of values that grow straight with light, as a sensor gives them.

    Args:
        name: for messages.
        codes: whole numbers from 0 to 65535, shape (rows, columns, 3).
        black: value without light.
        white: value at the sensor's limit.
        exposure: of the camera.
    """
    table = ((np.arange(65536) - black) / (white - black)).astype(np.float32)
    limit = int(black + CLIP_SHARE * (white - black))
    return Photograph(name, np.asarray(codes, np.uint16), table, limit, exposure=exposure, raw=True)
