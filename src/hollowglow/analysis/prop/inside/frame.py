"""What every shell is in the prop's own frame: its size, how far a point is from its surface, what its ends are like.

The frame of a prop: origin at the centre of the base (the cap or opening end), z towards the tip, metres. A box has its
width along x and its depth along y. A point is inside where its distance to the surface is positive.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside import hollow
from hollowglow.file.model.kind import Place, Shell

Floats = NDArray[np.float64]
Outline = tuple[tuple[float, float], ...]

_SEARCH = 400
# What the seat of a gland is on a flat place.
FLAT = math.inf


@dataclass(frozen=True, kw_only=True)
class ShellFrame(ABC):
    """A shell in the prop's frame; what stands here holds for every shape, the rest is the matter of each.

    Attributes:
        wall_m: thickness of the wall.
    """

    name: ClassVar[str]
    # Whether it is the same all round its axis, the same in every direction, and drawn by the points of an outline.
    turned: ClassVar[bool] = True
    ball: ClassVar[bool] = False
    by_points: ClassVar[bool] = False

    wall_m: float = 0.0

    @classmethod
    @abstractmethod
    def of(cls, stated: Shell) -> ShellFrame:
        """Return the solid that a shell of this shape is; its measures are checked when the file is read."""

    @property
    @abstractmethod
    def sides_m(self) -> tuple[float, float, float]:
        """Return width, depth and height of the box that it just fits into, m."""

    @abstractmethod
    def outline_m(self, across: int = 0) -> Outline:
        """Return (distance from the axis, height) along the cut through the axis and x (0) or y (1), base to tip, m."""

    @abstractmethod
    def hollow(self) -> hollow.Shell:
        """Return the hollow body that light fills; raises OpticsError for one that cannot be."""

    @abstractmethod
    def distance_m(self, points: Floats) -> Floats:
        """Return the distance of points, shape (n, 3), to the outer surface, m, shape (n,), negative outside."""

    @abstractmethod
    def radius_at(self, height_m: float) -> float:
        """Return the outer radius at a height, m (of a box: half its shorter side); 0 beyond its ends."""

    @abstractmethod
    def flat_m(self, place: Place) -> tuple[float, float]:
        """Return the size of the flat at a place, m, m; (0, 0) where it is curved, a diameter twice where round."""

    @abstractmethod
    def bend_m(self, place: Place) -> float:
        """Return the radius of curvature at a place, m; infinite where flat, 0 at a point."""

    @property
    def height_m(self) -> float:
        """Return the height from base to tip, m."""
        return self.sides_m[2]

    @property
    def widest_m(self) -> float:
        """Return the largest distance of the outer surface from the axis, m (of a box: half its longer side)."""
        return max(self.sides_m[:2]) / 2.0

    @property
    def widest_height_m(self) -> float:
        """Return the height above the base at which the shell is widest, m; the middle where that is a range."""
        return self.height_m / 2.0

    @property
    def deep(self) -> bool:
        """Return whether it is deeper than wide, so that y is its longer way across."""
        return self.sides_m[1] > self.sides_m[0]

    def rim(self) -> Floats:
        """Return the outline closed at both ends to the axis, m, shape (k, 2)."""
        outline = self.outline_m()
        return np.array([(0.0, outline[0][1]), *outline, (0.0, outline[-1][1])])

    def round_m(self, count: int) -> Floats:
        """Return places for holes in its side, evenly round from +y, as x and y, m, shape (count, 2)."""
        turn = np.arange(count) * 2.0 * math.pi / count
        return np.column_stack([-self.widest_m * np.sin(turn), self.widest_m * np.cos(turn)])

    def along_m(self, radius_m: float, height_m: float) -> float:
        """Return the way along the outside from the middle of the base to a point of it, m.

        Args:
            radius_m, height_m: the point's distance from the axis and height above the base; the nearest point of the
                outline counts.
        """
        rim = self.rim()
        way = np.diff(rim, axis=0)
        length = np.hypot(way[:, 0], way[:, 1])
        safe = np.where(length > 0.0, length, 1.0)
        off = np.array([radius_m, height_m]) - rim[:-1]
        share = np.clip((off * way).sum(axis=1) / safe**2, 0.0, 1.0)
        miss = np.hypot(*(off - share[:, None] * way).T)
        k = int(miss.argmin())
        return float(length[:k].sum() + share[k] * length[k])


def room_m(frame: ShellFrame, points: Floats) -> Floats:
    """Return how far points, shape (n, 3), are from the inner face of the wall, m, shape (n,), negative beyond it."""
    return frame.distance_m(points) - frame.wall_m


def seat_m(frame: ShellFrame, radius_m: float) -> float:
    """Return the least height at which a disc of a radius across the axis lies inside the shell, m.

    Args:
        frame: the shell.
        radius_m: of the disc, m.

    Returns:
        The height above the base; that of the floor (the wall's thickness) where the disc fits nowhere.
    """
    heights = np.linspace(frame.wall_m, frame.height_m, _SEARCH)

    def fits(z: Floats) -> NDArray[np.bool_]:
        # The sides of a box come closest along x and along y; a turned body is alike all round.
        along_x = np.stack([np.full(len(z), radius_m), np.zeros(len(z)), z], axis=1)
        fit: NDArray[np.bool_] = np.minimum(room_m(frame, along_x), room_m(frame, along_x[:, [1, 0, 2]])) >= -1e-9
        return fit

    inside = fits(heights)
    if not inside.any() or inside[0]:
        return frame.wall_m
    first = int(np.argmax(inside))
    low, high = float(heights[first - 1]), float(heights[first])
    for _ in range(40):
        middle = (low + high) / 2.0
        low, high = (low, middle) if fits(np.array([middle]))[0] else (middle, high)
    return high


def sagitta_m(bend_m: float, diameter_m: float) -> float:
    """Return how much a place bends away from a flat disc laid on it: R - sqrt(R² - (d/2)²).

    Args:
        bend_m: radius of curvature R, m; infinite where flat.
        diameter_m: diameter d of the disc, m.

    Returns:
        The gap at the disc's rim, m; infinite where the disc is wider than the place.
    """
    if math.isinf(bend_m):
        return 0.0
    half = diameter_m / 2.0
    return bend_m - math.sqrt(bend_m * bend_m - half * half) if half <= bend_m else math.inf
