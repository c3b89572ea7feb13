"""How long a blade fuse takes to open, between the points that its standard gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TimeCurrent:
    """Time-current points of a fuse: multiples of its rating, with the shortest and the longest time to open, s."""

    multiple_min: tuple[float, ...]
    shortest_s: tuple[float, ...]
    multiple_max: tuple[float, ...]
    longest_s: tuple[float, ...]


# ISO 8820-3, type C. The row is the one published for 35 A and 40 A; smaller ratings differ at 350 % at most.
BLADE = TimeCurrent(
    (1.0, 1.35, 1.6, 2.0, 3.5),
    (360_000.0, 0.75, 0.25, 0.15, 0.08),
    (1.35, 1.6, 2.0, 3.5, 6.0),
    (600.0, 50.0, 5.0, 0.5, 0.15),
)
# ISO 8820-3, type E.
HIGH_CURRENT = TimeCurrent(
    (1.35, 2.0, 3.5, 6.0),
    (60.0, 2.0, 0.2, 0.04),
    (1.35, 2.0, 3.5, 6.0),
    (1800.0, 50.0, 7.0, 1.0),
)
LARGEST_BLADE_A = 40.0
OPENS_FROM = 1.35


def opening_times_s(multiple: Array | float, rating_a: Array | float) -> tuple[Array, Array]:
    """Return between which times a blade fuse opens at a steady current, interpolated in log-log between its points.

    Below 135 % it need not open at all, and below its first point it does not. Beyond the last point the shortest time
    falls with the square of the current (no heat leaves the link any more) and the longest stays.

    Args:
        multiple: current over rating, any shape.
        rating_a: rating, A, of a shape that broadcasts with it; above 40 A the high-current type counts.

    Returns:
        (shortest, longest) time to open, s, infinite where it need not open; both of the broadcast shape.

    Source: ISO 8820-3, time-current points of types C (up to 40 A) and E.

    >>> [round(float(t[0]), 6) for t in opening_times_s(np.array([2.0]), 5.0)]
    [0.15, 5.0]
    """
    ratio, rating = np.broadcast_arrays(np.asarray(multiple, dtype=np.float64), np.asarray(rating_a, dtype=np.float64))
    large = rating > LARGEST_BLADE_A
    small_min, small_max = _times(ratio, BLADE)
    if not large.any():
        return small_min, small_max
    large_min, large_max = _times(ratio, HIGH_CURRENT)
    return np.where(large, large_min, small_min), np.where(large, large_max, small_max)


def _times(multiple: Array, points: TimeCurrent) -> tuple[Array, Array]:
    log = np.log(np.maximum(multiple, 1e-12))
    shortest = np.exp(np.interp(log, np.log(points.multiple_min), np.log(points.shortest_s)))
    last = points.multiple_min[-1]
    shortest = np.where(multiple > last, points.shortest_s[-1] * (last / np.maximum(multiple, last)) ** 2, shortest)
    longest = np.exp(np.interp(log, np.log(points.multiple_max), np.log(points.longest_s)))
    # A current that meets a point exactly must not miss it by rounding.
    slack = 1.0 - 1e-9
    return (
        np.where(multiple < points.multiple_min[0] * slack, np.inf, shortest),
        np.where(multiple < points.multiple_max[0] * slack, np.inf, longest),
    )


def multiple_for(longest_s: float, rating_a: float) -> float:
    """Return the least multiple of its rating at which a fuse opens for sure within a time; infinite where none does.

    Args:
        longest_s: time, s.
        rating_a: rating of the fuse, A.

    Source: ISO 8820-3, the inverse of `opening_times_s`.

    >>> round(multiple_for(5.0, 10.0), 9)
    2.0
    """
    points = HIGH_CURRENT if rating_a > LARGEST_BLADE_A else BLADE
    if longest_s >= points.longest_s[0]:
        return points.multiple_max[0]
    if longest_s < points.longest_s[-1]:
        return np.inf
    falling = np.log(points.longest_s)[::-1]
    return float(np.exp(np.interp(np.log(longest_s), falling, np.log(points.multiple_max)[::-1])))
