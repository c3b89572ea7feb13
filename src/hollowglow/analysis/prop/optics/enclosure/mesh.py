"""Surfaces cut into patches: a grid of bands and sectors for turned ones, four-cornered pieces for flat ones.

A turned surface has the same number of sectors in every band, so that what one patch sees is what the next one sees,
turned by one sector. Normals point into the lit space.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Protocol

import numpy as np

from hollowglow.analysis.prop.inside.hollow import (
    BoxShell,
    Floats,
    Ints,
    OpticsError,
    Shell,
    Sphere,
    TurnedShell,
)

_FINER_FROM = 4


class Patches(Protocol):
    """What every surface tells about its patches."""

    @property
    def centre(self) -> Floats:
        """Return a point of the true surface in the middle of each patch, m, shape (n, 3)."""

    @property
    def normal(self) -> Floats:
        """Return the unit normal of each patch, shape (n, 3)."""

    @property
    def area(self) -> Floats:
        """Return the true area of each patch, m², shape (n,)."""

    @property
    def corners(self) -> Floats:
        """Return the corners of the flat facet that stands for each patch, shape (n, 4, 3).

        They run around the normal. The facets of a closed surface leave no gaps, and their areas are nearly the true
        ones.
        """

    def cells(self, rows: Ints, parts: int) -> Floats:
        """Return the nodes of a grid on the true surface of some patches, m, shape (r, parts + 1, parts + 1, 3)."""


@dataclass(frozen=True)
class PatchGrid:
    """A turned surface: patch number = band x sectors + sector.

    Attributes:
        bands: radius and height where each band begins and ends, m, shape (b, 2, 2).
        sectors: patches of each band.
        ball: centre height and radius of the sphere that the bands lie on, m; None for cones, drums, discs.
    """

    bands: Floats
    sectors: int
    ball: tuple[float, float] | None = None

    @cached_property
    def slant(self) -> Floats:
        """Return the width of each band along the profile, m, shape (b,)."""
        step = self.bands[:, 1] - self.bands[:, 0]
        flat = np.hypot(step[:, 0], step[:, 1])
        return flat if self.ball is None else 2.0 * self.ball[1] * np.arcsin(flat / (2.0 * self.ball[1]))

    @cached_property
    def band_area(self) -> Floats:
        """Return the area of one patch of each band, m², shape (b,)."""
        r, z = self.bands[:, :, 0], self.bands[:, :, 1]
        if self.ball is not None:
            return 2.0 * math.pi * self.ball[1] * np.abs(z[:, 1] - z[:, 0]) / self.sectors
        return math.pi * (r[:, 0] + r[:, 1]) * self.slant / self.sectors

    @cached_property
    def middle(self) -> Floats:
        """Return radius and height of the line that halves the area of each band, m, shape (b, 2)."""
        start, end = self.bands[:, 0], self.bands[:, 1]
        if self.ball is not None:
            z = 0.5 * (start[:, 1] + end[:, 1])
            return np.stack([np.sqrt(np.maximum(self.ball[1] ** 2 - (z - self.ball[0]) ** 2, 0.0)), z], axis=1)
        change = end[:, 0] - start[:, 0]
        halving = np.sqrt(0.5 * (start[:, 0] ** 2 + end[:, 0] ** 2))
        level = np.abs(change) < 1e-12
        share = np.where(level, 0.5, (halving - start[:, 0]) / np.where(level, 1.0, change))
        return start + share[:, None] * (end - start)

    @cached_property
    def _half_turns(self) -> Floats:
        return np.asarray((np.arange(self.sectors) + 0.5) * self.step, dtype=np.float64)

    @cached_property
    def centre(self) -> Floats:
        """Return the middle of each patch, m, shape (n, 3)."""
        return _turn(self.middle, self._half_turns)

    @cached_property
    def normal(self) -> Floats:
        """Return the unit normal of each patch, shape (n, 3)."""
        if self.ball is not None:
            way = (self.middle - np.array([0.0, self.ball[0]])) / -self.ball[1]
        else:
            along = self.bands[:, 1] - self.bands[:, 0]
            way = np.stack([-along[:, 1], along[:, 0]], axis=1) / self.slant[:, None]
        return _turn(way, self._half_turns)

    @cached_property
    def area(self) -> Floats:
        """Return the area of each patch, m², shape (n,)."""
        return np.repeat(self.band_area, self.sectors)

    @property
    def step(self) -> float:
        """Return the angle of one sector, rad."""
        return 2.0 * math.pi / self.sectors

    @cached_property
    def corners(self) -> Floats:
        """Return the facets, m, shape (n, 4, 3); their polygons have the circumference of the true circles."""
        wide = (0.5 * self.step) / math.sin(0.5 * self.step)
        return self._ring(wide * self.bands[:, :, 0], self.bands[:, :, 1])

    def _ring(self, radius: Floats, height: Floats) -> Floats:
        edge = np.asarray(np.arange(self.sectors + 1) * self.step, dtype=np.float64)
        nodes = [_turn(np.stack([radius[:, k], height[:, k]], axis=1), edge) for k in (0, 1)]
        low, high = (n.reshape(len(self.bands), self.sectors + 1, 3) for n in nodes)
        return np.stack([low[:, 1:], low[:, :-1], high[:, :-1], high[:, 1:]], axis=2).reshape(-1, 4, 3)

    def cells(self, rows: Ints, parts: int) -> Floats:
        """Return the nodes of a grid on the true surface of some patches."""
        band, sector = rows // self.sectors, rows % self.sectors
        share = np.linspace(0.0, 1.0, parts + 1)
        start, end = self.bands[band, 0], self.bands[band, 1]
        line = start[:, None] + share[:, None] * (end - start)[:, None]
        if self.ball is not None:
            off = line - np.array([0.0, self.ball[0]])
            line = off * (self.ball[1] / np.hypot(off[..., 0], off[..., 1]))[..., None] + np.array([0.0, self.ball[0]])
        angle = (sector[:, None] + 1.0 - share) * self.step
        r, z = line[:, :, None, 0], line[:, :, None, 1]
        x, y = r * np.cos(angle)[:, None, :], r * np.sin(angle)[:, None, :]
        return np.stack([x, y, np.broadcast_to(z, x.shape)], axis=3)


def _turn(line: Floats, angles: Floats) -> Floats:
    """Return (radius, height) pairs, shape (b, 2), at each angle: shape (b x angles, 3)."""
    x, y = line[:, :1] * np.cos(angles), line[:, :1] * np.sin(angles)
    return np.stack([x, y, np.broadcast_to(line[:, 1:], x.shape)], axis=2).reshape(-1, 3)


@dataclass(frozen=True)
class Flat:
    """Flat four-cornered patches; the corners run around the normal."""

    corners: Floats

    @cached_property
    def _cross(self) -> Floats:
        c = self.corners
        return 0.5 * np.cross(c[:, 2] - c[:, 0], c[:, 3] - c[:, 1])

    @cached_property
    def centre(self) -> Floats:
        """Return the middle of each patch, m, shape (n, 3)."""
        middle: Floats = self.corners.mean(axis=1)
        return middle

    @cached_property
    def area(self) -> Floats:
        """Return the area of each patch, m², shape (n,)."""
        size: Floats = np.linalg.norm(self._cross, axis=1)
        return size

    @cached_property
    def normal(self) -> Floats:
        """Return the unit normal of each patch, shape (n, 3)."""
        return self._cross / self.area[:, None]

    def cells(self, rows: Ints, parts: int) -> Floats:
        """Return the nodes of a grid on some patches."""
        share = np.linspace(0.0, 1.0, parts + 1)
        u, v = share[:, None, None], share[None, :, None]
        a, b, c, d = (self.corners[rows, k][:, None, None, :] for k in range(4))
        nodes: Floats = (1 - u) * (1 - v) * a + (1 - u) * v * b + u * v * c + u * (1 - v) * d
        return nodes


@dataclass(frozen=True)
class Faces:
    """The inside of a box: patches of six faces, each a grid.

    Attributes:
        box: the shell.
        counts: how many patches lie along x, y and z.
    """

    box: BoxShell
    counts: tuple[int, int, int]

    @cached_property
    def index(self) -> Ints:
        """Return the cell of each patch along x, y, z; -1 or the count along the axis that its face closes, (n, 3)."""
        made = []
        for axis in range(3):
            one, two = (k for k in range(3) if k != axis)
            i, j = (m.ravel() for m in np.meshgrid(range(self.counts[one]), range(self.counts[two]), indexing="ij"))
            for side in (-1, self.counts[axis]):
                face = np.empty((len(i), 3), dtype=np.int64)
                face[:, axis], face[:, one], face[:, two] = side, i, j
                made.append(face)
        return np.concatenate(made)

    @cached_property
    def face(self) -> Ints:
        """Return the face of each patch: 2 x axis, and 1 more on the high side, shape (n,)."""
        low, high = self.index < 0, self.index >= np.array(self.counts)
        axis = np.argmax(low | high, axis=1)
        return np.asarray(2 * axis + high.any(axis=1), dtype=np.int64)

    @property
    def pitch(self) -> Floats:
        """Return the size of a cell along x, y and z, m, shape (3,)."""
        return np.asarray(self.box.size / np.array(self.counts), dtype=np.float64)

    @cached_property
    def flat(self) -> Flat:
        """Return the patches as flat pieces."""
        origin = self.box.middle - self.box.size / 2.0
        axis = self.face // 2
        rows = np.arange(len(axis))
        base = np.clip(self.index, 0, None) * self.pitch
        base[rows, axis] = np.where(self.face % 2 == 1, self.box.size[axis], 0.0)
        one, two = np.zeros_like(base), np.zeros_like(base)
        one[rows, (axis + 1) % 3] = self.pitch[(axis + 1) % 3]
        two[rows, (axis + 2) % 3] = self.pitch[(axis + 2) % 3]
        high = (self.face % 2 == 1)[:, None]
        first, second = np.where(high, two, one), np.where(high, one, two)
        base = base + origin
        return Flat(np.stack([base, base + first, base + first + second, base + second], axis=1))

    @property
    def centre(self) -> Floats:
        """Return the middle of each patch, m, shape (n, 3)."""
        return self.flat.centre

    @property
    def normal(self) -> Floats:
        """Return the unit normal of each patch, shape (n, 3)."""
        return self.flat.normal

    @property
    def area(self) -> Floats:
        """Return the area of each patch, m², shape (n,)."""
        return self.flat.area

    @property
    def corners(self) -> Floats:
        """Return the corners of each patch, m, shape (n, 4, 3)."""
        return self.flat.corners

    def cells(self, rows: Ints, parts: int) -> Floats:
        """Return the nodes of a grid on some patches."""
        return self.flat.cells(rows, parts)


def points(patches: Patches, rows: Ints, parts: int) -> Floats:
    """Return parts² points of the true surface spread over some patches, m, shape (r, parts², 3)."""
    nodes = patches.cells(rows, 2 * parts)[:, 1::2, 1::2]
    return nodes.reshape(len(rows), parts * parts, 3)


def split_line(line: Floats, size_m: float) -> Floats:
    """Return a profile cut into bands of about one size, finer next to its corners, m, shape (b, 2, 2)."""
    made = []
    for a, b in pairwise(line):
        count = max(1, round(float(np.hypot(*(b - a))) / size_m))
        share = np.linspace(0.0, 1.0, count + 1)
        if count >= _FINER_FROM:
            fine = np.array([0.25, 0.5]) / count
            share = np.sort(np.concatenate([share, fine, 1.0 - fine]))
        at = a + share[:, None] * (b - a)
        made.append(np.stack([at[:-1], at[1:]], axis=1))
    return np.concatenate(made)


def patch_size(shell: Shell, patches: int) -> float:
    """Return the edge of a patch that gives about so many patches, m."""
    if patches < 24:
        raise OpticsError(f"{patches} patches are too few to follow a shell; at least 24")
    if isinstance(shell, BoxShell):
        return math.sqrt(shell.area_m2 / patches)
    if isinstance(shell, Sphere):
        return shell.radius_m * math.sqrt(0.5 * math.pi**3 / patches)
    return math.sqrt(2.0 * math.pi * _typical_radius(shell) * float(shell.slants.sum()) / patches)


def _typical_radius(shell: TurnedShell) -> float:
    """Return the radius of the wall averaged over its area, m."""
    r = 0.5 * (shell.profile[:-1, 0] + shell.profile[1:, 0])
    return float((r * r * shell.slants).sum() / (r * shell.slants).sum())


def mesh(shell: Shell, patches: int) -> PatchGrid | Faces:
    """Return the inside of a shell cut into about so many patches."""
    size = patch_size(shell, patches)
    if isinstance(shell, BoxShell):
        x, y, z = (max(2, round(float(s) / size)) for s in shell.size)
        return Faces(shell, (x, y, z))
    if isinstance(shell, Sphere):
        radius = shell.radius_m
        turn = np.linspace(0.0, math.pi, max(6, round(math.pi * radius / size)) + 1)
        arc = np.stack([radius * np.sin(turn), radius - radius * np.cos(turn)], axis=1)
        arc[[0, -1], 0] = 0.0
        return PatchGrid(
            np.stack([arc[:-1], arc[1:]], axis=1), _sectors(0.25 * math.pi * radius, size), (radius, radius)
        )
    return PatchGrid(split_line(shell.profile, size), _sectors(_typical_radius(shell), size))


def _sectors(radius_m: float, size_m: float) -> int:
    return max(16, 4 * round(2.0 * math.pi * radius_m / size_m / 4.0))


def rectangle(origin: Floats, u: Floats, v: Floats, size_m: float) -> Flat:
    """Return a flat rectangle cut into patches, its normal along u x v; `u` and `v` are its edges, m."""
    nu, nv = (max(2, math.ceil(float(np.linalg.norm(e)) / size_m)) for e in (u, v))
    i, j = (a.ravel()[:, None] for a in np.meshgrid(np.arange(nu), np.arange(nv), indexing="ij"))
    nodes = [origin + (i + a) * u / nu + (j + b) * v / nv for a, b in ((0, 0), (1, 0), (1, 1), (0, 1))]
    return Flat(np.stack(nodes, axis=1))


def join(parts: Sequence[Flat]) -> Flat:
    """Return several flat surfaces as one."""
    return Flat(np.concatenate([p.corners for p in parts]))
