"""Setting props out along a line: where they sit, how far apart they are along it, the line mirrored or copied."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

# A pitch that misses the end of its line by less than this still fits: nobody measures finer.
FITS_M = 1e-6


def _line(line: ArrayLike) -> Array:
    points = np.asarray(line, dtype=np.float64)
    if points.ndim != 2 or points.shape[0] < 2 or points.shape[1] not in (2, 3) or not np.isfinite(points).all():
        raise ValueError(
            f"a line has the shape {points.shape}, expected two or more finite points of two or three parts"
        )
    return points


def marks_m(line: ArrayLike) -> Array:
    """Return how far along a line each of its points is.

    Args:
        line: its points, m, shape (n, 2) or (n, 3), n 2 or more.

    Returns:
        Distances from its first point, m, shape (n,).

    Raises:
        ValueError: when it is no line.
    """
    steps = np.linalg.norm(np.diff(_line(line), axis=0), axis=1)
    marks: Array = np.concatenate([[0.0], np.cumsum(steps)])
    return marks


def along(line: ArrayLike, distance_m: ArrayLike) -> Array:
    """Return the points of a line at distances along it; beyond its ends its ends hold.

    Args:
        line: its points, m, shape (n, d).
        distance_m: from its first point, shape (k,).

    Returns:
        Points, m, shape (k, d).

    Raises:
        ValueError: when it is no line.
    """
    points, marks = _line(line), marks_m(line)
    at = np.asarray(distance_m, dtype=np.float64)
    return np.stack([np.interp(at, marks, column) for column in points.T], axis=1)


def fitting(length_m: float, pitch_m: float, start_m: float = 0.0) -> int:
    """Return how many props fit on a line at a pitch, both ends included.

    Args:
        length_m: of the line.
        pitch_m: distance along the line between neighbours, above 0.
        start_m: distance from the line's first point to the first prop.
    """
    room = length_m - start_m + FITS_M
    return int(room // pitch_m) + 1 if room >= 0.0 else 0


def stops_m(length_m: float, *, count: int | None = None, pitch_m: float | None = None, start_m: float = 0.0) -> Array:
    """Return how far along a line props sit.

    By pitch alone as many as fit; by count alone spread evenly from the start to the end of the line (one prop sits at
    the start); by both, so many at that pitch.

    Args:
        length_m: of the line.
        count: how many props, 1 or more.
        pitch_m: distance along the line between neighbours, above 0.
        start_m: distance from the line's first point to the first prop, 0 or more.

    Returns:
        Distances along the line, m, shape (props,).

    Raises:
        ValueError: when neither is given, one is out of range, or the line is too short.
    """
    if count is None and pitch_m is None:
        raise ValueError("props were to be set out by neither count nor pitch, expected one of them or both")
    if (count is not None and count < 1) or (pitch_m is not None and not pitch_m > 0.0) or not start_m >= 0.0:
        raise ValueError(f"count {count}, pitch {pitch_m} m, start {start_m} m: expected 1 or more, above 0, 0 or more")
    if start_m > length_m + FITS_M:
        raise ValueError(f"the first prop sits {start_m:g} m along a line of {length_m:g} m, expected a place on it")
    if pitch_m is None:
        assert count is not None
        return np.linspace(start_m, length_m, count) if count > 1 else np.array([start_m])
    room = fitting(length_m, pitch_m, start_m)
    wanted = room if count is None else count
    if wanted > room:
        raise ValueError(f"{wanted} props {pitch_m:g} m apart were to sit on a line that has room for {room}")
    stops: Array = np.minimum(start_m + pitch_m * np.arange(wanted), length_m)
    return stops


def set_out(line: ArrayLike, *, count: int | None = None, pitch_m: float | None = None, start_m: float = 0.0) -> Array:
    """Return where props sit that are set out along a line as `stops_m` says, m, shape (props, d)."""
    length = float(marks_m(line)[-1])
    return along(line, stops_m(length, count=count, pitch_m=pitch_m, start_m=start_m))


def mirror(points: ArrayLike, at_x_m: float) -> Array:
    """Return points mirrored left to right.

    Args:
        points: m, shape (n, d).
        at_x_m: where the upright mirror stands.
    """
    made = np.array(points, dtype=np.float64)
    made[:, 0] = 2.0 * at_x_m - made[:, 0]
    return made


def copy(points: ArrayLike, by_m: ArrayLike) -> Array:
    """Return points moved.

    Args:
        points: m, shape (n, d).
        by_m: how far along each axis, shape (d,).
    """
    made: Array = np.asarray(points, dtype=np.float64) + np.asarray(by_m, dtype=np.float64)
    return made
