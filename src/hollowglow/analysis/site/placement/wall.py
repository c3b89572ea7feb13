"""From a picture to lengths: a scale from two of its points, or a wall made true from four corners of a rectangle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hollowglow.file.model.site import Backdrop

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Scaling:
    """What turns points of a picture into places: a homography, pixels (y down) to metres (y up), shape (3, 3)."""

    matrix: Array

    def places_m(self, pixels: ArrayLike) -> Array:
        """Return the places of picture points, m, shape (n, 2) as given."""
        return _through(self.matrix, pixels)

    def pixels(self, places_m: ArrayLike) -> Array:
        """Return the picture points of places, shape (n, 2) as given."""
        return _through(np.asarray(np.linalg.inv(self.matrix), dtype=np.float64), places_m)


def _through(matrix: Array, points: ArrayLike) -> Array:
    flat = np.asarray(points, dtype=np.float64)[..., :2]
    whole = flat @ matrix[:, :2].T + matrix[:, 2]
    found: Array = whole[..., :2] / whole[..., 2:]
    return found


def scale_from(points: ArrayLike, length_m: float, origin: ArrayLike | None = None) -> Scaling:
    """Return the scale of a picture taken straight on, or of a plan, from two of its points.

    Args:
        points: two points of the picture, pixels from its left and top, shape (2, 2).
        length_m: how far apart they are in truth, above 0.
        origin: the point whose place is (0, 0); the first of the two if not given.

    Raises:
        ValueError: when the points are in one place, or the length is not above 0.
    """
    ends = np.asarray(points, dtype=np.float64)
    if ends.shape != (2, 2) or not np.isfinite(ends).all() or not length_m > 0.0:
        raise ValueError("a scale was asked for, expected two points of the picture and a length above 0")
    apart = float(np.linalg.norm(ends[1] - ends[0]))
    if apart < 1e-6:
        raise ValueError("both points of the scale are in one place, expected two that are apart")
    m_per_px = length_m / apart
    x, y = ends[0] if origin is None else np.asarray(origin, dtype=np.float64)
    return Scaling(np.array([[m_per_px, 0.0, -m_per_px * x], [0.0, -m_per_px, m_per_px * y], [0.0, 0.0, 1.0]]))


def true_wall(corners: ArrayLike, width_m: float, height_m: float) -> Scaling:
    """Return what makes a wall in a photograph true, from a rectangle on it: a door, a window, the wall itself.

    Args:
        corners: of the rectangle in the picture, pixels from its left and top: bottom left, bottom right, top right, top
            left as they are on the wall, shape (4, 2).
        width_m, height_m: size of the rectangle, above 0.

    Returns:
        The homography; the bottom left corner is the place (0, 0).

    Raises:
        ValueError: when three corners lie on one line, they go round the other way or cross over, or a size is not above 0.

    Source: R. Hartley and A. Zisserman, Multiple View Geometry in Computer Vision, 4.1 (direct linear transformation).
    """
    seen = np.asarray(corners, dtype=np.float64)
    if seen.shape != (4, 2) or not np.isfinite(seen).all() or not (width_m > 0.0 and height_m > 0.0):
        raise ValueError(
            "a wall was to be made true, expected four corners in the picture and a width and height above 0"
        )
    after, before = np.roll(seen, -1, axis=0) - seen, seen - np.roll(seen, 1, axis=0)
    turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    if not (turn < -1e-9 * np.abs(after).max() ** 2).all():
        raise ValueError(
            "the four corners do not go round a rectangle, expected bottom left, bottom right, top right, top left of one "
            "that is seen from the front"
        )
    from skimage.transform import ProjectiveTransform

    true = np.array([[0.0, 0.0], [width_m, 0.0], [width_m, height_m], [0.0, height_m]])
    matrix = np.asarray(ProjectiveTransform.from_estimate(seen, true).params, dtype=np.float64)
    return Scaling(matrix)


def scaling_of(backdrop: Backdrop) -> Scaling:
    """Return the scaling that a display's backdrop states; raises ValueError as the two ways to it do."""
    if backdrop.corners is not None:
        assert backdrop.width is not None  # checked by the model
        assert backdrop.height is not None
        return true_wall(backdrop.corners, backdrop.width, backdrop.height)
    assert backdrop.points is not None
    assert backdrop.length is not None
    return scale_from(backdrop.points, backdrop.length)
