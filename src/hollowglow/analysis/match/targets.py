"""How bright a kind counts: by the luminance of its wall, by its intensity, or by what the eye makes of both.

From near the eye sees how bright the wall is, from far only how much light comes from the prop. Between them stands
the eye's blur, a spot of area A_e at the viewing distance: a spot of light of area A = I/L, blurred by it, has the
highest luminance

    F = L A/(A + A_e),    1/F = 1/L + A_e/I.

That is exact for a Gaussian spot under a Gaussian blur (their variances add), tends to L for a prop that is large to
the eye and to I/A_e for a point, and the weight w = A/(A + A_e) = s²/(s² + e²) follows from the apparent size s of the
prop against the size e below which it is a point.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hollowglow.assembly.tables import Floats

By = Literal["luminance", "intensity", "view"]
BYS: tuple[By, ...] = ("luminance", "intensity", "view")
# Below so many arcminutes across, a prop is a point to the eye: twice its resolution of one arcminute.
POINT_ARCMIN = 2.0


@dataclass(frozen=True)
class Target:
    """What is asked for.

    Attributes:
        by: what must be equal.
        share: share of the dimmest kind's brightness at full duty, above 0, at most 1.
        luminance_cd_m2: brightness asked for instead, cd/m2; not with `by` intensity.
        white_xy: CIE 1931 chromaticity asked for, None: the display's common white.
    """

    by: By = "view"
    share: float = 1.0
    luminance_cd_m2: float | None = None
    white_xy: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if not 0.0 < self.share <= 1.0:
            raise ValueError(f"a share of {self.share:g} was asked for, expected more than 0 and at most 1")
        if self.luminance_cd_m2 is not None and not (math.isfinite(self.luminance_cd_m2) and self.luminance_cd_m2 > 0):
            raise ValueError(f"a luminance of {self.luminance_cd_m2} cd/m2 was asked for, expected more than 0")
        if self.luminance_cd_m2 is not None and self.by == "intensity":
            raise ValueError("a luminance was asked for by intensity, expected by luminance or by view")


def eye_area_m2(viewing_m: float) -> float:
    """Return the area of the eye's blur at a distance: a disc of POINT_ARCMIN across, m²."""
    return math.pi * (viewing_m * math.tan(math.radians(POINT_ARCMIN / 120.0))) ** 2


def by_view(luminance_cd_m2: Floats, intensity_cd: Floats, viewing_m: float) -> Floats:
    """Return the brightness that the eye finds, colour by colour: 1/F = 1/L + A_e/I.

    Args:
        luminance_cd_m2: mean over the wall, any shape.
        intensity_cd: towards the viewer, same shape.
        viewing_m: distance of the viewer, m.

    Returns:
        cd/m², same shape; 0 where either is 0.

    Source: the convolution of two Gaussians; the eye's size is an estimate of our own.
    """
    light = np.asarray(luminance_cd_m2, dtype=np.float64)
    total = np.asarray(intensity_cd, dtype=np.float64)
    under = total + eye_area_m2(viewing_m) * light
    seen: Floats = np.divide(light * total, under, out=np.zeros(np.broadcast(light, total).shape), where=under > 0.0)
    return seen


def weight(luminance_cd_m2: float, intensity_cd: float, viewing_m: float) -> float:
    """Return how much a prop is a surface to the eye and not a point, 0 to 1: s²/(s² + e²)."""
    area = intensity_cd / luminance_cd_m2 if luminance_cd_m2 > 0.0 else 0.0
    return area / (area + eye_area_m2(viewing_m))


def figure(by: By, luminance_cd_m2: Floats, intensity_cd: Floats, viewing_m: float) -> Floats:
    """Return the brightness that counts, cd/m² or by intensity cd, of each colour; see `by_view`."""
    if by == "view":
        return by_view(luminance_cd_m2, intensity_cd, viewing_m)
    return luminance_cd_m2 if by == "luminance" else intensity_cd
