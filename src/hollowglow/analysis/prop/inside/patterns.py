"""Where n equal round holes go on one face so that the thinnest web between them and to the edge is as wide as can be."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def on_round(count: int, radius_m: float, hole_m: float) -> Floats:
    """Return the centres of holes on a round face: concentric rings, with the widest thinnest web among these.

    In units of the distance between neighbours D = hole + web, a ring of m holes has at least the radius
    1/(2 sin(π/m)) and lies at least 1 outside the ring before it. With the last ring at a·D the web to the edge equals
    the web between neighbours where web = (R - hole/2 - a·hole)/(1 + a), so the least a is the best.

    Args:
        count: how many holes.
        radius_m: radius R of the face, m.
        hole_m: diameter of a hole, m.

    Returns:
        Centres from the middle of the face, m, shape (count, 2). They overlap where there is no room for them.
    """
    if count < 1:
        return np.zeros((0, 2))
    rings = _rings(count)
    pitch = (radius_m + hole_m / 2.0) / (1.0 + rings[-1][1])
    spots: list[tuple[float, float]] = []
    for i, (holes, distance) in enumerate(rings):
        # Each ring starts half a step off the one inside it; two holes lie on a level line, more with one on top.
        start = 0.0 if holes == 2 else math.pi / 2.0
        turn = start + (math.pi / holes if i % 2 else 0.0)
        spots += [
            (distance * pitch * math.cos(turn + a), distance * pitch * math.sin(turn + a))
            for a in np.arange(holes) * 2.0 * math.pi / holes
        ]
    return np.array(spots, dtype=np.float64)


def on_rectangle(count: int, width_m: float, height_m: float, hole_m: float) -> Floats:
    """Return the centres of holes on a rectangular face: level rows, with the widest thinnest web among these.

    A row of c holes leaves c + 1 webs of (width - c·hole)/(c + 1), r rows leave (height - r·hole)/(r + 1).

    Args:
        count: how many holes.
        width_m, height_m: of the face, m.
        hole_m: diameter of a hole, m.

    Returns:
        Centres from the middle of the face, m, shape (count, 2). They overlap where there is no room for them.
    """
    if count < 1:
        return np.zeros((0, 2))

    rows = _best_rows(count, width_m, height_m, hole_m)
    across = _web(max(rows), width_m, hole_m) + hole_m
    along = _web(len(rows), height_m, hole_m) + hole_m
    # A shorter row keeps the pitch of the longest, so that its webs are no thinner.
    return np.array(
        [
            ((j - (holes - 1) / 2.0) * across, (i - (len(rows) - 1) / 2.0) * along)
            for i, holes in enumerate(rows)
            for j in range(holes)
        ]
    )


def least_round_m(count: int, hole_m: float, web_m: float) -> float:
    """Return the least diameter of a round face whose holes leave a web of a width, m; arguments in m."""
    outermost = _rings(count)[-1][1]
    return 2.0 * (web_m * (1.0 + outermost) + hole_m / 2.0 + outermost * hole_m)


def least_rectangle_m(count: int, width_m: float, height_m: float, hole_m: float, web_m: float) -> tuple[float, float]:
    """Return (width, height) in m that the rows chosen for a face need, if its holes are to leave a web of a width.

    Args:
        count: how many holes.
        width_m, height_m: of the face that the rows are chosen for, m.
        hole_m, web_m: diameter of a hole and the least web, m.
    """
    rows = _best_rows(count, width_m, height_m, hole_m)
    across, along = max(rows), len(rows)
    return (across + 1) * web_m + across * hole_m, (along + 1) * web_m + along * hole_m


def tight(count: int, pitch_m: float) -> Floats:
    """Return the centres of round things that touch each other, in concentric rings, m, shape (count, 2).

    Args:
        count: how many.
        pitch_m: distance between neighbours, m.
    """
    if count < 1:
        return np.zeros((0, 2))
    outermost = _rings(count)[-1][1]
    return on_round(count, pitch_m * (outermost + 0.5), pitch_m)


def _rings(count: int) -> list[tuple[int, float]]:
    """Return (holes, radius in pitches) of each ring, from the inside, of the tightest pattern of concentric rings."""
    found = []
    # Beyond a dozen a wider inner ring only leaves the middle empty.
    for inner in dict.fromkeys([*range(1, min(count, 12) + 1), count]):
        rings = [(inner, _least_radius(inner))]
        left = count - inner
        while left:
            distance = rings[-1][1] + 1.0
            holes = min(left, math.floor(math.pi / math.asin(0.5 / distance) + 1e-9))
            rings.append((holes, distance))
            left -= holes
        found.append(rings)
    return min(found, key=lambda rings: round(rings[-1][1], 9))


def _least_radius(holes: int) -> float:
    return 0.0 if holes == 1 else 0.5 / math.sin(math.pi / holes)


def _web(number: int, length_m: float, hole_m: float) -> float:
    """Return the web that a number of holes in a line leaves between them and to both ends, m."""
    return (length_m - number * hole_m) / (number + 1)


def _best_rows(count: int, width_m: float, height_m: float, hole_m: float) -> list[int]:
    def worth(rows: int) -> tuple[float, bool]:
        split = _rows(count, rows)
        thinnest = min(_web(max(split), width_m, hole_m), _web(rows, height_m, hole_m))
        return round(thinnest, 9), split == split[::-1]

    return _rows(count, max(range(1, count + 1), key=worth))


def _rows(count: int, rows: int) -> list[int]:
    """Return how many holes each row has: as equal as can be, and alike from above and below where that is possible."""
    least, extra = divmod(count, rows)
    split = [least] * rows
    order = [i for pair in zip(range(rows), reversed(range(rows)), strict=True) for i in pair]
    if extra % 2:
        split[rows // 2 if rows % 2 else 0] += 1
        order = [i for i in order if i != (rows // 2 if rows % 2 else 0)]
    for i in list(dict.fromkeys(order))[: extra - extra % 2]:
        split[i] += 1
    return split
