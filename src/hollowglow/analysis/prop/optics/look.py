"""What the lit wall looks like from one direction: a picture of luminances, smooth between the patches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from hollowglow.analysis.prop.inside.hollow import BoxShell, Flags, Floats, Ints, OpticsError, Shell, Sphere
from hollowglow.analysis.prop.optics.beams import PointLight, at_points
from hollowglow.analysis.prop.optics.enclosure.exchange import Enclosure
from hollowglow.analysis.prop.optics.enclosure.mesh import Faces, PatchGrid
from hollowglow.analysis.prop.optics.enclosure.sight import crossings
from hollowglow.analysis.prop.optics.radiosity import Glow

if TYPE_CHECKING:
    from scipy import sparse

_CREASE_DEG = 25.0
_LEAST_ACROSS = 12
_MOST_ALONG = 1500
_NEAR_PIXELS = 4.0
_WITHIN = (-0.375, -0.125, 0.125, 0.375)


@dataclass(frozen=True)
class View:
    """How a shell looks from one direction; it holds for any light inside.

    Attributes:
        room: the enclosure.
        direction: unit vector from the shell towards the viewer, shape (3,).
        pixel_m: width of a pixel at the shell, m.
        shown: which pixels the shell covers, first row on top, shape (h, w).
        spots: the point of the wall in each covered pixel, m, shape (pixels, 3).
        normals: the wall's inward normal there, shape (pixels, 3).
        weights: what each patch adds to each covered pixel, sparse, shape (pixels, n).
    """

    room: Enclosure
    direction: Floats
    pixel_m: float
    shown: Flags
    spots: Floats
    normals: Floats
    weights: sparse.csr_array

    def luminance(self, glow: Glow, straight: Floats | None = None) -> Floats:
        """Return the luminance of each covered pixel and colour, cd/m², shape (pixels, c).

        What the wall throws about is read smoothly from the patches; what comes straight from the lights is worked out
        for the point in each pixel, so that spots and shadows are as sharp as they are.

        Args:
            glow: what the lights make of the shell.
            straight: what `self.straight` returns for the same lights, where it is known from a view alike.
        """
        if straight is None:
            straight = self.straight(glow.lights)
        thrown = np.maximum(self.weights @ (glow.irradiance_lx - glow.direct_lx), 0.0)
        flux = np.array([light.flux_lm for light in glow.lights])
        leaving = np.array(glow.wall.transmittance) / math.pi * glow.gain
        return np.asarray((thrown + straight @ flux) * leaving, dtype=np.float64)

    def picture(self, glow: Glow, straight: Floats | None = None) -> Floats:
        """Return the luminance of the whole picture, cd/m², 0 beside the shell, shape (h, w, c); see `luminance`."""
        image = np.zeros((*self.shown.shape, len(glow.flux_in_lm)))
        image[self.shown] = self.luminance(glow, straight)
        return image

    def straight(self, lights: Sequence[PointLight]) -> Floats:
        """Return what comes to each covered pixel straight from each light, lx/lm, shape (pixels, lights).

        It does not depend on the patches, so it holds for the same view of any mesh of the same shell.
        """
        value = at_points(self.room, lights, self.spots, self.normals)
        right, up = _screen(self.direction)
        slope = np.minimum(self.normals @ self.direction, -0.2)
        for column, light in enumerate(lights):
            # A light nearer than a few pixels makes a spot that one point in the pixel can miss.
            near = np.linalg.norm(self.spots - light.position_m, axis=1) < _NEAR_PIXELS * self.pixel_m
            if near.any():
                total = np.zeros(int(near.sum()))
                for x in _WITHIN:
                    for y in _WITHIN:
                        step = self.pixel_m * (x * right + y * up)
                        slide = ((self.normals[near] @ step) / slope[near])[:, None] * self.direction
                        spots = self.spots[near] + step - slide
                        total += at_points(self.room, [light], spots, self.normals[near])[:, 0]
                value[near, column] = total / len(_WITHIN) ** 2
        return value

    @property
    def area_m2(self) -> float:
        """Return the area that the shell covers for the viewer."""
        return float(self.shown.sum()) * self.pixel_m**2


def view(room: Enclosure, direction: Floats, pixels: int = 96) -> View:
    """Return how a shell looks from far away in one direction.

    Args:
        room: the enclosure.
        direction: from the shell towards the viewer, of any length, shape (3,).
        pixels: of the longer side of the picture; the shell fills it.

    Raises:
        OpticsError: a direction that is none.
    """
    return _seen_as(room, *_aim(room.shell, direction, pixels))


def seen_areas_m2(shell: Shell, ways: Floats, pixels: int = 96) -> Floats:
    """Return the area that a shell covers for viewers far away.

    Args:
        shell: with its outer measures.
        ways: from the shell towards each viewer, shape (k, 3).
        pixels: of the longer side; the area is within 1 % of the true one.

    Returns:
        Areas, m², shape (k,).

    Raises:
        OpticsError: a direction that is none.
    """
    looks = [_aim(shell, way, pixels) for way in ways]
    return np.array([float(shown.sum()) * pixel_m**2 for _, pixel_m, shown, _ in looks])


def again(seen: View, room: Enclosure) -> View:
    """Return the same look at the same shell cut into other patches.

    Args:
        seen: the look.
        room: the enclosure with the other patches.
    """
    return _seen_as(room, seen.direction, seen.pixel_m, seen.shown, seen.spots)


def _seen_as(room: Enclosure, towards: Floats, pixel_m: float, shown: Flags, spots: Floats) -> View:
    weights, normals = _on_grid(room.wall, spots) if isinstance(room.wall, PatchGrid) else _on_faces(room.wall, spots)
    return View(room, towards, pixel_m, shown, spots, normals, weights)


def _aim(shell: Shell, direction: Floats, pixels: int) -> tuple[Floats, float, Flags, Floats]:
    """Return the unit vector towards the viewer, the width of a pixel, which pixels the shell covers, and where."""
    towards = np.asarray(direction, dtype=np.float64)
    length = float(np.linalg.norm(towards)) if towards.shape == (3,) else 0.0
    if not (math.isfinite(length) and length > 0.0):
        raise OpticsError(f"a direction needs three finite numbers, not all 0, but is {direction}")
    towards = towards / length
    right, up = _screen(towards)
    nodes = _outline(shell) - shell.middle
    across, high = nodes @ right, nodes @ up
    middle = (0.5 * (across.max() + across.min()), 0.5 * (high.max() + high.min()))
    wide, tall = 1.002 * float(np.ptp(across)), 1.002 * float(np.ptp(high))
    # A long thin body must still be some pixels across.
    pixel = max(min(max(wide, tall) / pixels, min(wide, tall) / _LEAST_ACROSS), max(wide, tall) / _MOST_ALONG)
    columns, rows = (max(1, math.ceil(extent / pixel - 1e-9)) for extent in (wide, tall))
    x, y = np.meshgrid(
        middle[0] + pixel * (np.arange(columns) - 0.5 * (columns - 1)),
        middle[1] - pixel * (np.arange(rows) - 0.5 * (rows - 1)),
    )
    start = shell.middle + x.ravel()[:, None] * right + y.ravel()[:, None] * up + 3.0 * shell.reach_m * towards
    hit, spots = first_hit(shell, start, -towards)
    return towards, pixel, hit.reshape(rows, columns), spots


def _outline(shell: Shell) -> Floats:
    """Return points that a shell lies between, m, shape (k, 3)."""
    if isinstance(shell, BoxShell):
        sides = np.array([[x, y, z] for x in (-0.5, 0.5) for y in (-0.5, 0.5) for z in (-0.5, 0.5)])
        return shell.middle + sides * shell.size
    turn = np.linspace(0.0, 2.0 * math.pi, 97)[:, None, None]
    if isinstance(shell, Sphere):
        across = np.linspace(0.0, math.pi, 49)
        r, z = shell.radius_m * np.sin(across), shell.radius_m - shell.radius_m * np.cos(across)
    else:
        r, z = shell.profile.T
    x, y = r * np.cos(turn), r * np.sin(turn)
    return np.stack([x, y, np.broadcast_to(z, x.shape)], axis=-1).reshape(-1, 3)


def _screen(towards: Floats) -> tuple[Floats, Floats]:
    """Return unit vectors to the right and up in the picture; z is up, except when looked at along z."""
    upright = np.array([0.0, 0.0, 1.0]) if abs(towards[2]) < 0.999 else np.array([0.0, 1.0, 0.0])
    right = np.cross(upright, towards)
    right = right / float(np.linalg.norm(right))
    return right, np.cross(towards, right)


def first_hit(shell: Shell, start: Floats, way: Floats) -> tuple[Flags, Floats]:
    """Return which straight lines from outside meet the shell, and where first.

    Args:
        shell: the body.
        start: where the lines start, m, shape (k, 3).
        way: their direction, shape (3,).

    Returns:
        Whether each line meets the shell, shape (k,), and the points of those that do, shape (h, 3).
    """
    ways = np.broadcast_to(way, start.shape)
    best = np.full(len(start), np.inf)
    if isinstance(shell, Sphere):
        off = start - shell.middle
        half = off @ way
        root = half * half - (np.einsum("kj,kj->k", off, off) - shell.radius_m**2)
        best = np.where(root > 0.0, -half - np.sqrt(np.maximum(root, 0.0)), np.inf)
    elif isinstance(shell, BoxShell):
        pace = 1.0 / np.where(np.abs(way) < 1e-30, 1e-30, way)
        one = (shell.middle - shell.size / 2.0 - start) * pace
        two = (shell.middle + shell.size / 2.0 - start) * pace
        enter, leave = np.minimum(one, two).max(axis=1), np.maximum(one, two).min(axis=1)
        best = np.where(leave > enter, enter, np.inf)
    else:
        pieces = np.stack([shell.profile[:-1], shell.profile[1:]], axis=1)
        for piece in pieces:
            best = np.fmin(best, np.fmin.reduce(crossings(start, ways, piece), axis=1))
    hit = np.isfinite(best)
    return hit, start[hit] + best[hit, None] * way


def _on_grid(wall: PatchGrid, spots: Floats) -> tuple[sparse.csr_array, Floats]:
    """Return weights of patches, linear along the profile and around it, and normals, at points of a turned wall."""
    from scipy import sparse

    bands, sectors = len(wall.bands), wall.sectors
    node, first, last, pole = _runs(wall)
    along, band = _along(wall, np.hypot(spots[:, 0], spots[:, 1]), spots[:, 2])
    # Across a crease the light changes at once, so both bands are taken from the side that the point is on.
    left = np.maximum(np.minimum(np.searchsorted(node, along) - 1, last[band] - 1), first[band])
    right = np.minimum(left + 1, last[band])
    gap = node[right] - node[left]
    share = np.divide(along - node[left], gap, out=np.zeros_like(along), where=gap > 0.0)
    at_start, at_end = pole[0] & (along < node[0]), pole[1] & (along > node[-1])
    share = np.where(at_start | at_end, np.clip(share, 0.0, 1.0), share)
    angle = np.arctan2(spots[:, 1], spots[:, 0]) / wall.step - 0.5
    sector = np.floor(angle).astype(np.int64)
    turn = angle - sector
    # At a pole all sectors meet, so their mean is what is seen there.
    even = np.where(at_start, 1.0 - along / node[0], 0.0)
    even = np.where(at_end, (along - node[-1]) / (float(wall.slant.sum()) - node[-1]), even)
    rows, columns, values = [], [], []
    every = np.arange(len(spots))
    for which, part in ((left, 1.0 - share), (right, share)):
        for k, weight in ((sector, 1.0 - turn), (sector + 1, turn)):
            rows.append(every)
            columns.append(which * sectors + k % sectors)
            values.append(part * weight * (1.0 - even))
    weights = sparse.coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(len(spots), len(wall.area))
    ).tocsr()
    if even.any():
        nearest = np.where(share < 0.5, left, right)
        mean = sparse.csr_array((even, (every, nearest)), shape=(len(spots), bands))
        spread = sparse.kron(sparse.eye_array(bands), np.full((1, sectors), 1.0 / sectors), format="csr")
        weights = weights + mean @ spread
    return sparse.csr_array(weights), _grid_normals(wall, spots, band)


def _grid_normals(wall: PatchGrid, spots: Floats, band: Ints) -> Floats:
    if wall.ball is not None:
        return (np.array([0.0, 0.0, wall.ball[0]]) - spots) / wall.ball[1]
    along = (wall.bands[:, 1] - wall.bands[:, 0])[band] / wall.slant[band, None]
    outward = spots[:, :2] / np.maximum(np.hypot(spots[:, 0], spots[:, 1]), 1e-12)[:, None]
    return np.column_stack([outward * -along[:, 1, None], along[:, 0]])


def _runs(wall: PatchGrid) -> tuple[Floats, Ints, Ints, tuple[bool, bool]]:
    """Return each band's place along the profile, first and last band of its smooth run, and which ends are poles."""
    node = np.cumsum(wall.slant) - 0.5 * wall.slant
    ends = bool(wall.bands[0, 0, 0] == 0.0), bool(wall.bands[-1, 1, 0] == 0.0)
    count = len(node)
    run = np.zeros(count, dtype=np.int64)
    if wall.ball is None:
        way = wall.bands[:, 1] - wall.bands[:, 0]
        heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
        run[1:] = np.cumsum(np.abs(np.diff(heading)) > math.radians(_CREASE_DEG))
    first = np.searchsorted(run, run, side="left")
    last = np.searchsorted(run, run, side="right") - 1
    return node, first.astype(np.int64), last.astype(np.int64), ends


def _along(wall: PatchGrid, radius: Floats, height: Floats) -> tuple[Floats, Ints]:
    """Return the place along the profile and the band of points of the wall, shapes (k,)."""
    ends = np.concatenate([[0.0], np.cumsum(wall.slant)])
    if wall.ball is not None:
        middle, size = wall.ball
        along = size * np.arccos(np.clip((middle - height) / size, -1.0, 1.0))
        return along, np.clip(np.searchsorted(ends, along) - 1, 0, len(wall.bands) - 1)
    # Bands that go straight on are one piece, and of a piece's nearest point the band is known.
    way = wall.bands[:, 1] - wall.bands[:, 0]
    turned = way[1:, 0] * way[:-1, 1] - way[1:, 1] * way[:-1, 0]
    ahead = (way[1:] * way[:-1]).sum(axis=1)
    bend = (np.abs(turned) > 1e-9 * wall.slant[1:] * wall.slant[:-1]) | (ahead < 0.0)
    first = np.concatenate([[0], np.flatnonzero(bend) + 1])
    last = np.concatenate([first[1:] - 1, [len(way) - 1]])
    best, along, piece = np.full(len(radius), np.inf), np.zeros(len(radius)), np.zeros(len(radius), dtype=np.int64)
    for number, (k, m) in enumerate(zip(first.tolist(), last.tolist(), strict=True)):
        a, b = wall.bands[k, 0], wall.bands[m, 1]
        long = ends[m + 1] - ends[k]
        unit = (b - a) / long
        run = np.clip((radius - a[0]) * unit[0] + (height - a[1]) * unit[1], 0.0, long)
        off = np.hypot(radius - a[0] - run * unit[0], height - a[1] - run * unit[1])
        nearer = off < best
        best, along = np.where(nearer, off, best), np.where(nearer, ends[k] + run, along)
        piece = np.where(nearer, number, piece)
    return along, np.clip(np.searchsorted(ends, along) - 1, first[piece], last[piece])


def _on_faces(wall: Faces, spots: Floats) -> tuple[sparse.csr_array, Floats]:
    """Return weights of patches, linear between those of one face, and normals, at points of a box."""
    from scipy import sparse

    counts = np.array(wall.counts)
    at = (spots - wall.box.middle + wall.box.size / 2.0) / wall.pitch
    depth = np.minimum(np.abs(at), np.abs(at - counts)) * wall.pitch
    axis = np.argmin(depth, axis=1)
    every = np.arange(len(spots))
    high = at[every, axis] > 0.5 * counts[axis]
    number = np.full(tuple(counts + 2), -1, dtype=np.int64)
    number[tuple((wall.index + 1).T)] = np.arange(len(wall.index))
    low = np.clip(np.floor(at - 0.5).astype(np.int64), 0, counts - 2)
    share = at - 0.5 - low
    rows, columns, values = [], [], []
    for one in (0, 1):
        for two in (0, 1):
            cell, weight = np.empty_like(low), np.ones(len(spots))
            for step, k in ((one, (axis + 1) % 3), (two, (axis + 2) % 3)):
                cell[every, k] = low[every, k] + step
                weight = weight * (share[every, k] if step else 1.0 - share[every, k])
            cell[every, axis] = np.where(high, counts[axis], -1)
            rows.append(every)
            columns.append(number[tuple((cell + 1).T)])
            values.append(weight)
    weights = sparse.coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))), shape=(len(spots), len(wall.area))
    ).tocsr()
    normals = np.zeros_like(spots)
    normals[every, axis] = np.where(high, -1.0, 1.0)
    return weights, normals
