"""The hollow bodies that light can be put in: ball, turned body, flat box, each checked when it is made.

z is the axis of the body, upwards; z = 0 is its lowest point, except that a lathe profile keeps the heights it states.
Lengths are in metres.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Reals = NDArray[np.floating[Any]]
Flags = NDArray[np.bool_]

_FINEST = 3e-4
_FINEST_OF_RADIUS = 0.01
_THINNEST = 6e-4


class OpticsError(ValueError):
    """A shell, carrier, wall or light that cannot be; the text says which number is wrong."""


def _positive(what: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0.0):
        raise OpticsError(f"{what} is {value * 1e3:g} mm, but must be more than 0")


@dataclass(frozen=True)
class Sphere:
    """A ball that stands on z = 0."""

    diameter_m: float

    def __post_init__(self) -> None:
        _positive("the diameter of the sphere", self.diameter_m)

    @property
    def radius_m(self) -> float:
        """Return half the diameter."""
        return self.diameter_m / 2.0

    @property
    def size(self) -> Floats:
        """Return width, depth, height, shape (3,)."""
        return np.full(3, self.diameter_m)

    @property
    def middle(self) -> Floats:
        """Return the centre, shape (3,)."""
        return np.array([0.0, 0.0, self.radius_m])

    @property
    def area_m2(self) -> float:
        """Return the area of the wall."""
        return math.pi * self.diameter_m**2

    @property
    def reach_m(self) -> float:
        """Return the largest distance of the wall from the middle."""
        return self.radius_m

    @property
    def convex(self) -> bool:
        """Return whether all inner points see each other."""
        return True

    def clearance(self, points: Floats) -> Floats:
        """Return how far points, shape (k, 3), are inside the wall, m; negative outside."""
        away: Floats = self.radius_m - np.linalg.norm(points - self.middle, axis=1)
        return away


@dataclass(frozen=True)
class BoxShell:
    """A closed rectangular box that stands on z = 0, around the z axis: width along x, depth along y."""

    width_m: float
    depth_m: float
    height_m: float

    def __post_init__(self) -> None:
        for what in ("width", "depth", "height"):
            _positive(f"the {what} of the box", getattr(self, what + "_m"))

    @property
    def size(self) -> Floats:
        """Return width, depth, height, shape (3,)."""
        return np.array([self.width_m, self.depth_m, self.height_m])

    @property
    def middle(self) -> Floats:
        """Return the centre, shape (3,)."""
        return np.array([0.0, 0.0, self.height_m / 2.0])

    @property
    def area_m2(self) -> float:
        """Return the area of the wall."""
        w, d, h = self.width_m, self.depth_m, self.height_m
        return 2.0 * (w * d + d * h + h * w)

    @property
    def reach_m(self) -> float:
        """Return the largest distance of the wall from the middle."""
        return float(np.linalg.norm(self.size)) / 2.0

    @property
    def convex(self) -> bool:
        """Return whether all inner points see each other."""
        return True

    def clearance(self, points: Floats) -> Floats:
        """Return how far points, shape (k, 3), are inside the wall, m; negative outside."""
        away: Floats = (self.size / 2.0 - np.abs(points - self.middle)).min(axis=1)
        return away


@dataclass(frozen=True)
class TurnedShell:
    """A body of revolution around the z axis.

    Attributes:
        profile: radius and height of the points that are joined by straight lines and turned, shape (k, 2). It begins
            and ends on the axis and runs so that the hollow is on its left. Make it with `lathe`.
    """

    profile: Floats

    @property
    def size(self) -> Floats:
        """Return width, depth, height, shape (3,)."""
        across = 2.0 * self.profile[:, 0].max()
        return np.array([across, across, np.ptp(self.profile[:, 1])])

    @cached_property
    def middle(self) -> Floats:
        """Return the point of the axis at half height, shape (3,)."""
        z = self.profile[:, 1]
        return np.array([0.0, 0.0, 0.5 * (float(z.min()) + float(z.max()))])

    @cached_property
    def area_m2(self) -> float:
        """Return the area of the wall."""
        r = self.profile[:, 0]
        return float((math.pi * (r[:-1] + r[1:]) * self.slants).sum())

    @cached_property
    def slants(self) -> Floats:
        """Return the lengths of the lines of the profile, m."""
        step = np.diff(self.profile, axis=0)
        return np.hypot(step[:, 0], step[:, 1])

    @cached_property
    def reach_m(self) -> float:
        """Return the largest distance of the wall from the middle."""
        return float(np.hypot(self.profile[:, 0], self.profile[:, 1] - self.middle[2]).max())

    @cached_property
    def inner_lines(self) -> Ints:
        """Return which lines of the profile can stand between two inner points: those off the convex hull."""
        hull = convex_hull(np.concatenate([self.profile, self.profile * np.array([-1.0, 1.0])]))
        edge = np.roll(hull, -1, axis=0) - hull
        outward = np.stack([edge[:, 1], -edge[:, 0]], axis=1) / np.hypot(edge[:, 0], edge[:, 1])[:, None]
        middle = 0.5 * (self.profile[:-1] + self.profile[1:])
        depth = -(middle @ outward.T - (hull * outward).sum(axis=1)).max(axis=1)
        return np.flatnonzero(depth > 1e-7 * self.reach_m)

    @property
    def convex(self) -> bool:
        """Return whether all inner points see each other."""
        return len(self.inner_lines) == 0

    def clearance(self, points: Floats) -> Floats:
        """Return how far points, shape (k, 3), are inside the wall, m; negative outside."""
        r, z = np.hypot(points[:, 0], points[:, 1]), points[:, 2]
        near = np.full(len(r), np.inf)
        inside = np.zeros(len(r), dtype=bool)
        for (r0, z0), (r1, z1) in zip(self.profile[:-1].tolist(), self.profile[1:].tolist(), strict=True):
            dr, dz = r1 - r0, z1 - z0
            share = np.clip(((r - r0) * dr + (z - z0) * dz) / (dr * dr + dz * dz), 0.0, 1.0)
            near = np.minimum(near, np.hypot(r - r0 - share * dr, z - z0 - share * dz))
            if dz != 0.0:
                level = (z >= min(z0, z1)) & (z < max(z0, z1))
                inside ^= level & (r0 + (z - z0) / dz * dr > r)
        return np.where(inside, near, -near)


Shell = Sphere | BoxShell | TurnedShell


def convex_hull(points: Floats) -> Floats:
    """Return the corners of the convex hull of points in the plane, anticlockwise, shapes (n, 2) and (h, 2).

    Source: A. M. Andrew, Another efficient algorithm for convex hulls in two dimensions, Information Processing Letters
    9, 1979 (scipy has one too, whose import alone takes longer than all of a shell's light).
    """
    ordered = sorted({(x, y) for x, y in points.tolist()})

    def chain(along: list[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for x, y in along:
            while len(kept) > 1:
                (ax, ay), (bx, by) = kept[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0.0:
                    break
                kept.pop()
            kept.append((x, y))
        return kept

    return np.array(chain(ordered)[:-1] + chain(ordered[::-1])[:-1])


def cylinder(diameter_m: float, height_m: float) -> TurnedShell:
    """Return a drum that stands on z = 0, closed at both ends; raises OpticsError for a size that is not positive."""
    _positive("the diameter of the cylinder", diameter_m)
    _positive("the height of the cylinder", height_m)
    return lathe([(diameter_m / 2.0, 0.0), (diameter_m / 2.0, height_m)])


def cone(diameter_m: float, height_m: float) -> TurnedShell:
    """Return a cone with its base on z = 0 and its tip up; raises OpticsError for a size that is not positive."""
    _positive("the diameter of the cone", diameter_m)
    _positive("the height of the cone", height_m)
    return lathe([(diameter_m / 2.0, 0.0), (0.0, height_m)])


def lathe(points_m: Sequence[tuple[float, float]] | Floats) -> TurnedShell:
    """Return the body that a line of (radius, height) points makes when it turns; open ends get a flat lid.

    Points that lie within 0.03 % of the body's size and 1 % of its radius of the line without them are left out.

    Args:
        points_m: from one end to the other, m, shape (k, 2), k >= 2.

    Raises:
        OpticsError: a number that is not finite, a negative radius, a neck that closes, a line that crosses itself, no
            hollow at all, or one too thin for its height.
    """
    line = np.asarray(points_m, dtype=np.float64)
    if line.ndim != 2 or line.shape[1] != 2 or len(line) < 2:
        raise OpticsError(f"a profile needs at least 2 points of radius and height, but has the shape {line.shape}")
    for k, (r, z) in enumerate(line.tolist(), start=1):
        if not (math.isfinite(r) and math.isfinite(z)):
            raise OpticsError(f"point {k} of the profile has a radius or height that is not a number")
        if r < 0.0:
            raise OpticsError(f"point {k} of the profile has the radius {r * 1e3:g} mm, but a radius is at least 0")
    extent = float(max(np.ptp(line[:, 0]), np.ptp(line[:, 1]), line[:, 0].max()))
    keep = np.r_[True, np.hypot(*np.diff(line, axis=0).T) > 1e-9 * extent]
    line = line[keep]
    if len(line) >= 2:
        ends = [np.array([[0.0, line[k, 1]]]) if line[k, 0] > 1e-9 * extent else line[:0] for k in (0, -1)]
        line = np.concatenate([ends[0], line, ends[1]])
    for k, r in enumerate(line[1:-1, 0].tolist(), start=2):
        if r <= 1e-9 * extent:
            raise OpticsError(
                f"the profile touches its axis at the height {line[k - 1, 1] * 1e3:g} mm, which closes the hollow there"
            )
    line = _on_axis(line)
    turned = 0.5 * float((line[:-1, 0] * line[1:, 1] - line[1:, 0] * line[:-1, 1]).sum()) if len(line) > 2 else 0.0
    if abs(turned) <= 1e-9 * extent * extent:
        raise OpticsError("the profile encloses no space: its points lie on one line or on the axis")
    _refuse_crossing(line)
    widest = float(line[:, 0].max())
    if widest < _THINNEST * extent:
        raise OpticsError(
            f"the profile is {2e3 * widest:.4g} mm wide and {1e3 * extent:.4g} mm high, too thin for its light to be "
            f"followed (at least {2e3 * _THINNEST * extent:.4g} mm wide)"
        )
    line = _simplified(line, min(_FINEST * extent, _FINEST_OF_RADIUS * widest))
    return TurnedShell(line if turned > 0.0 else line[::-1].copy())


def _simplified(line: Floats, off_m: float) -> Floats:
    """Return a profile without the points that lie within `off_m` of the line through the ones that stay.

    Source: Douglas and Peucker, Cartographica 10 (1973), 112.
    """
    keep = np.zeros(len(line), dtype=bool)
    keep[[0, -1]] = True
    todo = [(0, len(line) - 1)]
    while todo:
        i, j = todo.pop()
        if j - i < 2:
            continue
        way = line[j] - line[i]
        off = line[i + 1 : j] - line[i]
        length = math.hypot(*way)
        away = np.abs(way[0] * off[:, 1] - way[1] * off[:, 0]) / length if length > 0.0 else np.hypot(*off.T)
        k = int(np.argmax(away))
        if away[k] > off_m:
            keep[i + 1 + k] = True
            todo += [(i, i + 1 + k), (i + 1 + k, j)]
    return line[keep]


def _on_axis(line: Floats) -> Floats:
    line = line.copy()
    line[0, 0] = line[-1, 0] = 0.0
    return line


def _refuse_crossing(line: Floats) -> None:
    a, b = line[:-1], line[1:]
    low, high = np.minimum(a, b), np.maximum(a, b)
    for start in range(0, len(a), 512):
        i = np.arange(start, min(start + 512, len(a)))
        touch = (low[i, None] <= high[None]).all(axis=2) & (high[i, None] >= low[None]).all(axis=2)
        p, q = np.nonzero(touch)
        p = p + start
        p, q = p[q > p + 1], q[q > p + 1]
        if not len(p):
            continue
        u, v, w = b[p] - a[p], b[q] - a[q], a[q] - a[p]
        across = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        safe = np.where(across == 0.0, 1.0, across)
        s = np.where(across == 0.0, -1.0, (w[:, 0] * v[:, 1] - w[:, 1] * v[:, 0]) / safe)
        t = np.where(across == 0.0, -1.0, (w[:, 0] * u[:, 1] - w[:, 1] * u[:, 0]) / safe)
        hit = np.flatnonzero((s >= 0.0) & (s <= 1.0) & (t >= 0.0) & (t <= 1.0))
        if len(hit):
            r, z = (a[p[hit[0]]] + s[hit[0]] * u[hit[0]]).tolist()
            raise OpticsError(f"the profile crosses itself at the radius {r * 1e3:.4g} mm and height {z * 1e3:.4g} mm")
