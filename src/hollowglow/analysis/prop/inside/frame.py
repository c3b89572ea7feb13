"""The shell as a solid in the prop's own frame: how far a point is from its surface, and what its two ends are like.

The frame of a prop: origin at the centre of the base (the cap or opening end), z towards the tip, metres. A box has its
width along x and its depth along y. A point is inside where its distance to the surface is positive.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from hollowglow.file.model.kind import Place, Shell

Floats = NDArray[np.float64]

# Points times edges that are worked on at once, so that a profile of thousands of points needs little memory.
_BLOCK = 1_000_000
_SEARCH = 400
_FLAT_SHARE = 0.1
# What the seat of a gland is on a flat place.
FLAT = math.inf


class ShellFrame(Protocol):
    """A shell in the prop's frame.

    Attributes:
        height_m: from base to tip, m.
        wall_m: thickness of the wall.
    """

    @property
    def height_m(self) -> float: ...
    @property
    def wall_m(self) -> float: ...
    @property
    def widest_m(self) -> float:
        """Return the largest distance of the outer surface from the axis, m (of a box: half its longer side)."""
        ...

    @property
    def widest_height_m(self) -> float:
        """Return the height above the base at which the shell is widest, m; the middle where that is a range."""
        ...

    def distance_m(self, points: Floats) -> Floats:
        """Return the distance of points, shape (n, 3), to the outer surface, m, shape (n,), negative outside."""
        ...

    def radius_at(self, height_m: float) -> float:
        """Return the outer radius at a height, m (of a box: half its shorter side); 0 beyond its ends."""
        ...

    def flat_m(self, place: Place) -> tuple[float, float]:
        """Return the size of the flat at a place, m, m; (0, 0) where it is curved, a diameter twice where round."""
        ...

    def bend_m(self, place: Place) -> float:
        """Return the radius of curvature at a place, m; infinite where flat, 0 at a point."""
        ...


@dataclass(frozen=True)
class Ball:
    """A sphere; its base and its tip are its poles."""

    diameter_m: float
    wall_m: float = 0.0

    @property
    def height_m(self) -> float:
        return self.diameter_m

    @property
    def widest_m(self) -> float:
        return self.diameter_m / 2.0

    @property
    def widest_height_m(self) -> float:
        return self.diameter_m / 2.0

    def distance_m(self, points: Floats) -> Floats:
        radius = self.diameter_m / 2.0
        result: Floats = radius - np.linalg.norm(points - np.array([0.0, 0.0, radius]), axis=-1)
        return result

    def radius_at(self, height_m: float) -> float:
        return math.sqrt(max(0.0, height_m * (self.diameter_m - height_m)))

    def flat_m(self, place: Place) -> tuple[float, float]:
        return (0.0, 0.0)

    def bend_m(self, place: Place) -> float:
        return self.diameter_m / 2.0


@dataclass(frozen=True)
class TurnedFrame:
    """A body turned on a lathe: (radius, height) pairs from one end to the other, each end closed by a flat disc."""

    profile: tuple[tuple[float, float], ...]
    wall_m: float = 0.0

    @property
    def height_m(self) -> float:
        return max(z for _, z in self.profile)

    @property
    def widest_m(self) -> float:
        return max(r for r, _ in self.profile)

    @property
    def widest_height_m(self) -> float:
        at = [z for r, z in self.profile if r >= self.widest_m * (1.0 - 1e-9)]
        return (min(at) + max(at)) / 2.0

    def _outline(self) -> Floats:
        """Return the outline in the half plane (radius, height), closed along the axis, shape (k, 2)."""
        first, last = self.profile[0], self.profile[-1]
        return np.array([(0.0, first[1]), *self.profile, (0.0, last[1])])

    def distance_m(self, points: Floats) -> Floats:
        outline = self._outline()
        flat = np.stack([np.hypot(points[:, 0], points[:, 1]), points[:, 2]], axis=1)
        # Lights on a ring meet the outline at the same few points.
        flat, back = np.unique(flat.round(12), axis=0, return_inverse=True)
        step = max(1, _BLOCK // len(outline))
        parts = [_signed(flat[i : i + step], outline) for i in range(0, len(flat), step)]
        result: Floats = np.concatenate(parts)[back.ravel()] if parts else np.zeros(0)
        return result

    def radius_at(self, height_m: float) -> float:
        rim = np.array(self.profile)
        (r0, z0), (r1, z1) = rim[:-1].T, rim[1:].T
        crosses = (np.minimum(z0, z1) <= height_m) & (height_m <= np.maximum(z0, z1))
        level = z0 == z1
        share = np.where(level, 0.0, (height_m - z0) / np.where(level, 1.0, z1 - z0))
        radius = np.where(level, np.maximum(r0, r1), r0 + share * (r1 - r0))
        return float(radius[crosses].max()) if crosses.any() else 0.0

    def flat_m(self, place: Place) -> tuple[float, float]:
        if place == "side":
            return (0.0, 0.0)
        end = self._end(place)
        level = max(r for r, z in self.profile if abs(z - end) <= 1e-9)
        # A profile of a round end starts with a small step; that is no seat.
        return (2.0 * level, 2.0 * level) if level > _FLAT_SHARE * self.widest_m else (0.0, 0.0)

    def bend_m(self, place: Place) -> float:
        if place == "side":
            return self.widest_m
        if self.flat_m(place)[0] > 0.0:
            return FLAT
        # An end that runs to the axis counts as the cap of a ball through the rim a twentieth of the height away.
        rise = 0.05 * self.height_m
        rim = self.radius_at(abs(self._end(place) - rise))
        return (rim * rim + rise * rise) / (2.0 * rise) if rim > rise else 0.0

    def _end(self, place: Place) -> float:
        return 0.0 if place == "base" else self.height_m


@dataclass(frozen=True)
class BoxFrame:
    """A box; its base and its tip are the faces across its height."""

    width_m: float
    depth_m: float
    height_m: float
    wall_m: float = 0.0

    @property
    def widest_m(self) -> float:
        return max(self.width_m, self.depth_m) / 2.0

    @property
    def widest_height_m(self) -> float:
        return self.height_m / 2.0

    def distance_m(self, points: Floats) -> Floats:
        half = np.array([self.width_m, self.depth_m, self.height_m]) / 2.0
        beyond = np.abs(points - np.array([0.0, 0.0, half[2]])) - half
        outside = np.linalg.norm(np.maximum(beyond, 0.0), axis=-1)
        result: Floats = np.where(outside > 0.0, -outside, -beyond.max(axis=-1))
        return result

    def radius_at(self, height_m: float) -> float:
        return min(self.width_m, self.depth_m) / 2.0 if 0.0 <= height_m <= self.height_m else 0.0

    def flat_m(self, place: Place) -> tuple[float, float]:
        if place == "side":
            return (max(self.width_m, self.depth_m), self.height_m)
        return (self.width_m, self.depth_m)

    def bend_m(self, place: Place) -> float:
        return FLAT


def frame_of(shell: Shell) -> ShellFrame:
    """Return the solid that a shell is."""
    wall = shell.wall_m
    if shell.shape == "sphere":
        assert shell.diameter is not None  # each shape's own measures are checked when the file is read
        return Ball(shell.diameter, wall)
    if shell.shape == "lathe":
        assert shell.profile is not None
        pairs = shell.profile if shell.profile[0][1] <= shell.profile[-1][1] else shell.profile[::-1]
        lowest = min(z for _, z in pairs)
        return TurnedFrame(tuple((r, z - lowest) for r, z in pairs), wall)
    assert shell.height is not None
    if shell.shape == "box":
        assert shell.width is not None
        assert shell.depth is not None
        return BoxFrame(shell.width, shell.depth, shell.height, wall)
    assert shell.diameter is not None
    radius = shell.diameter / 2.0
    return TurnedFrame(((radius, 0.0), (radius if shell.shape == "cylinder" else 0.0, shell.height)), wall)


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


def _signed(points: Floats, outline: Floats) -> Floats:
    """Return the distance of points (n, 2) to an outline closed along the axis, negative outside, shape (n,)."""
    a, b = outline[:-1], outline[1:]
    edge = b - a
    length = np.maximum((edge * edge).sum(axis=1), 1e-30)
    away = points[:, None, :] - a[None]
    share = np.clip((away * edge[None]).sum(axis=2) / length, 0.0, 1.0)
    distance = np.linalg.norm(away - share[..., None] * edge[None], axis=2).min(axis=1)
    rises = (a[:, 1] <= points[:, 1:]) != (b[:, 1] <= points[:, 1:])
    slope = np.where(edge[:, 1] == 0.0, 1.0, edge[:, 1])
    crossing = a[:, 0] + (points[:, 1:] - a[:, 1]) * edge[:, 0] / slope
    inside = (rises & (points[:, :1] < crossing)).sum(axis=1) % 2 == 1
    result: Floats = np.where(inside, distance, -distance)
    return result
