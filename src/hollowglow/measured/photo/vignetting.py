"""How a lens darkens towards the corners, by position in the picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hollowglow.measured.photo.picture import Photograph

Floats = NDArray[np.float64]

# Half the diagonal of 24 mm x 36 mm film, which focal lengths are told in terms of.
HALF_DIAGONAL_MM = 21.633
_COLUMNS = 200


class Vignetting(Protocol):
    """What share of the light of the picture's middle reaches each place."""

    def share(self, rows: Floats, columns: Floats, shape: tuple[int, int]) -> Floats:
        """Return the share at pixels (rows and columns broadcast together) of a picture of this shape."""
        ...


@dataclass(frozen=True, slots=True)
class CosFourth:
    """The natural falloff of a simple lens, E = E0 cos^4 of the angle off the axis; `focal_35mm` in mm.

    Source: radiometry of a thin lens (Born and Wolf, section 4.8.1). Real lenses fall off more wide open, less
    where they are retrofocus: a photograph of an even surface tells the truth.
    """

    focal_35mm: float

    def share(self, rows: Floats, columns: Floats, shape: tuple[int, int]) -> Floats:
        """Return cos^4 of each pixel's angle; with 1 + tan² = 1/cos² that is 1/(1 + (r/f)²)²."""
        y, x = rows - (shape[0] - 1) / 2.0, columns - (shape[1] - 1) / 2.0
        half = float(np.hypot(*shape)) / 2.0
        tangent_squared = (y**2 + x**2) * (HALF_DIAGONAL_MM / half / self.focal_35mm) ** 2
        share: Floats = 1.0 / (1.0 + tangent_squared) ** 2
        return share


@dataclass(frozen=True, eq=False)
class EvenSurface:
    """The falloff as a photograph of an evenly lit surface shows it, coarse, its brightest place being 1."""

    map: Floats

    def share(self, rows: Floats, columns: Floats, shape: tuple[int, int]) -> Floats:
        """Return the map at each pixel, straight lines between its places."""
        from scipy import ndimage

        y = (np.asarray(rows) + 0.5) / shape[0] * self.map.shape[0] - 0.5
        x = (np.asarray(columns) + 0.5) / shape[1] * self.map.shape[1] - 0.5
        at = np.stack(np.broadcast_arrays(y, x))
        share: Floats = np.asarray(ndimage.map_coordinates(self.map, at, order=1, mode="nearest"))
        return share


def even_surface(photograph: Photograph) -> EvenSurface:
    """Return the falloff from a photograph of an evenly lit surface.

    Raises:
        ValueError: it is clipped somewhere, or nearly black somewhere, with how much of it.
    """
    from scipy import ndimage

    side = max(1, photograph.shape[1] // _COLUMNS)
    light, lost = photograph.binned(side)
    if float(lost.mean()) > 0.001:
        raise ValueError(f"{100.0 * float(lost.mean()):.1f} % of it is clipped")
    smooth = ndimage.gaussian_filter(light.astype(np.float64), 2.0, mode="nearest")
    if float(smooth.min()) < 0.02:
        raise ValueError(f"it is nearly black somewhere ({100.0 * float(smooth.min()):.1f} % of the camera's range)")
    return EvenSurface(smooth / smooth.max())


def flat(shape: ArrayLike = (1, 1)) -> EvenSurface:
    """Return no falloff at all."""
    return EvenSurface(np.ones(np.asarray(shape, int)))
