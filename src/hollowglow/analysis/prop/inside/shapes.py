"""The shapes that a shell can have, each a class of its own; adding one adds it to `SHAPES`."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside import hollow
from hollowglow.analysis.prop.inside.frame import FLAT, Floats, Outline, ShellFrame
from hollowglow.file.model.kind import Place, Shell

# Points times edges that are worked on at once, so that a profile of thousands of points needs little memory.
_BLOCK = 1_000_000
_FLAT_SHARE = 0.1
# Points of the outline that a ball is drawn by.
_ARC = 48


@dataclass(frozen=True)
class SphereFrame(ShellFrame):
    """A sphere; its base and its tip are its poles."""

    name = "sphere"
    ball = True

    diameter_m: float

    @classmethod
    def of(cls, stated: Shell) -> ShellFrame:
        assert stated.diameter is not None
        return cls(stated.diameter, wall_m=stated.wall_m)

    @property
    def sides_m(self) -> tuple[float, float, float]:
        return (self.diameter_m,) * 3

    def outline_m(self, across: int = 0) -> Outline:
        radius = self.diameter_m / 2.0
        turn = np.linspace(0.0, math.pi, _ARC)
        return tuple((radius * math.sin(t), radius * (1.0 - math.cos(t))) for t in turn.tolist())

    def hollow(self) -> hollow.Sphere:
        return hollow.Sphere(self.diameter_m)

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

    def along_m(self, radius_m: float, height_m: float) -> float:
        size = self.diameter_m / 2.0
        return size * math.acos(max(-1.0, min(1.0, 1.0 - height_m / size)))


@dataclass(frozen=True)
class LatheFrame(ShellFrame):
    """A body turned on a lathe: (radius, height) pairs from base to tip, each end closed by a flat disc.

    Attributes:
        profile: the pairs, m; the lowest height is 0.
        from_tip: whether the file states them from the tip.
    """

    name = "lathe"
    by_points = True

    profile: Outline
    from_tip: bool = False

    @classmethod
    def of(cls, stated: Shell) -> ShellFrame:
        assert stated.profile is not None
        from_tip = stated.profile[0][1] > stated.profile[-1][1]
        lowest = min(z for _, z in stated.profile)
        pairs = tuple((r, z - lowest) for r, z in stated.profile)
        return cls(pairs[::-1] if from_tip else pairs, from_tip, wall_m=stated.wall_m)

    @property
    def sides_m(self) -> tuple[float, float, float]:
        across = 2.0 * max(r for r, _ in self.profile)
        return (across, across, max(z for _, z in self.profile))

    def outline_m(self, across: int = 0) -> Outline:
        return self.profile

    def hollow(self) -> hollow.TurnedShell:
        # An error counts the points as the file does.
        return hollow.lathe(self.profile[::-1] if self.from_tip else self.profile)

    @property
    def widest_height_m(self) -> float:
        at = [z for r, z in self.profile if r >= self.widest_m * (1.0 - 1e-9)]
        return (min(at) + max(at)) / 2.0

    def distance_m(self, points: Floats) -> Floats:
        outline = self.rim()
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
class CylinderFrame(LatheFrame):
    """A drum, closed at both ends."""

    name = "cylinder"
    by_points = False

    @classmethod
    def of(cls, stated: Shell) -> ShellFrame:
        assert stated.diameter is not None
        assert stated.height is not None
        radius = stated.diameter / 2.0
        return cls(((radius, 0.0), (radius, stated.height)), wall_m=stated.wall_m)


@dataclass(frozen=True)
class ConeFrame(LatheFrame):
    """A cone that comes to a point at its tip."""

    name = "cone"
    by_points = False

    @classmethod
    def of(cls, stated: Shell) -> ShellFrame:
        assert stated.diameter is not None
        assert stated.height is not None
        return cls(((stated.diameter / 2.0, 0.0), (0.0, stated.height)), wall_m=stated.wall_m)


@dataclass(frozen=True)
class BoxFrame(ShellFrame):
    """A box; its base and its tip are the faces across its height.

    Attributes:
        outer_m: width, depth and height, m.
    """

    name = "box"
    turned = False

    outer_m: tuple[float, float, float]

    @classmethod
    def of(cls, stated: Shell) -> ShellFrame:
        assert stated.width is not None
        assert stated.depth is not None
        assert stated.height is not None
        return cls((stated.width, stated.depth, stated.height), wall_m=stated.wall_m)

    @property
    def sides_m(self) -> tuple[float, float, float]:
        return self.outer_m

    def outline_m(self, across: int = 0) -> Outline:
        half = self.outer_m[across] / 2.0
        return ((half, 0.0), (half, self.height_m))

    def hollow(self) -> hollow.BoxShell:
        return hollow.BoxShell(*self.outer_m)

    def round_m(self, count: int) -> Floats:
        # By turns in the two faces across the shorter way.
        flat = min(self.outer_m[:2]) / 2.0 * np.where(np.arange(count) % 2, -1.0, 1.0)
        level = np.zeros(count)
        return np.column_stack([flat, level] if self.deep else [level, flat])

    def distance_m(self, points: Floats) -> Floats:
        half = np.array(self.outer_m) / 2.0
        beyond = np.abs(points - np.array([0.0, 0.0, half[2]])) - half
        outside = np.linalg.norm(np.maximum(beyond, 0.0), axis=-1)
        result: Floats = np.where(outside > 0.0, -outside, -beyond.max(axis=-1))
        return result

    def radius_at(self, height_m: float) -> float:
        return min(self.outer_m[:2]) / 2.0 if 0.0 <= height_m <= self.height_m else 0.0

    def flat_m(self, place: Place) -> tuple[float, float]:
        if place == "side":
            return (max(self.outer_m[:2]), self.height_m)
        return self.outer_m[:2]

    def bend_m(self, place: Place) -> float:
        return FLAT


SHAPES: tuple[type[ShellFrame], ...] = (SphereFrame, CylinderFrame, ConeFrame, LatheFrame, BoxFrame)
_BY_NAME = {one.name: one for one in SHAPES}


def frame_of(shell: Shell) -> ShellFrame:
    """Return the solid that a shell is."""
    return _BY_NAME[shell.shape].of(shell)


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
