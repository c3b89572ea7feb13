"""How much of the light that leaves one patch of an enclosure reaches another, of any shell with anything inside.

Facets of a closed surface leave no gaps, so what a patch sees adds up to 1 before anything is hidden. What quadrature and
sampled shadows leave over is shared out symmetrically, so that A_i F_ij = A_j F_ji and every row of F sums to 1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Floats, Ints, OpticsError, Shell
from hollowglow.analysis.prop.optics.enclosure import contour, shadows
from hollowglow.analysis.prop.optics.enclosure.carriers import Carrier, check_fit
from hollowglow.analysis.prop.optics.enclosure.mesh import Faces, Patches, PatchGrid, mesh, patch_size
from hollowglow.analysis.prop.optics.enclosure.sight import Sight, sight

_NEAR = 2.5
_FAR_NODES, _NEAR_NODES = 3, 10
_COARSEST_CARRIER = 0.09
_ROWS = 64
_LEVEL = 1e-6
_CLOSED = 1e-11
_STOOD_ON = 0.3
_MOST_STEPS = 200


@dataclass(frozen=True)
class Exchange:
    """Exchange areas A_i F_ij between patches that need not be alike, m².

    Attributes:
        area: of each patch, m², shape (n,).
        shared: A_i F_ij, symmetric, its rows sum to the areas, shape (n, n).
        gap: largest share of a patch's light that was missing or too much before the rows were closed.
        moved: area-weighted mean of the share that closing moved.
    """

    area: Floats
    shared: Floats
    gap: float
    moved: float

    def factors(self) -> Floats:
        """Return the form factors F, shape (n, n)."""
        return self.shared / self.area[:, None]


@dataclass(frozen=True)
class RoundExchange:
    """Exchange areas between bands of equal sectors around one axis, m².

    Attributes:
        band_area: of one patch of each band, m², shape (b,).
        sectors: patches of a band.
        shared: A F between sector 0 of one band and each sector of another, shape (b, b, sectors).
        gap: largest share of a patch's light that was missing or too much before the rows were closed.
        moved: area-weighted mean of the share that closing moved.
    """

    band_area: Floats
    sectors: int
    shared: Floats
    gap: float
    moved: float

    @property
    def area(self) -> Floats:
        """Return the area of each patch, m², shape (b x sectors,)."""
        return np.repeat(self.band_area, self.sectors)

    def factors(self) -> Floats:
        """Return the form factors F of all patches, shape (n, n)."""
        return unrolled(self.shared) / self.area[:, None]


def unrolled(shared: Floats) -> Floats:
    """Return the full matrix, shape (n, n), of what each band's sector 0 shares with every patch, (b, b, sectors)."""
    bands, _, sectors = shared.shape
    k = np.arange(sectors)
    full = shared[:, :, (k[None, :] - k[:, None]) % sectors]
    return full.transpose(0, 2, 1, 3).reshape(bands * sectors, bands * sectors)


@dataclass(frozen=True)
class Enclosure:
    """A shell cut into patches, with what stands inside it.

    Attributes:
        shell: the body.
        carrier: what stands inside, if anything.
        wall: the patches of the shell; they are numbered first.
        inner: the patches of the carrier, None without one.
        sight: what hides points from each other.
        exchange: how the patches share light.
    """

    shell: Shell
    carrier: Carrier | None
    wall: PatchGrid | Faces
    inner: Patches | None
    sight: Sight
    exchange: Exchange | RoundExchange

    @property
    def surfaces(self) -> tuple[Patches, ...]:
        """Return the wall, and the carrier if there is one."""
        return (self.wall,) if self.inner is None else (self.wall, self.inner)

    @property
    def area(self) -> Floats:
        """Return the area of each patch, wall first, m², shape (n,)."""
        return np.concatenate([s.area for s in self.surfaces])

    @property
    def wall_count(self) -> int:
        """Return how many patches the wall has."""
        return len(self.wall.area)


def enclosure(shell: Shell, carrier: Carrier | None = None, patches: int = 2000) -> Enclosure:
    """Return a shell and its carrier as patches that share light.

    Args:
        shell: the body.
        carrier: what stands inside.
        patches: about how many patches the wall gets.

    Raises:
        OpticsError: the carrier does not fit, or there are too few patches.
    """
    if carrier is not None:
        check_fit(shell, carrier)
    wall = mesh(shell, patches)
    look = sight(shell, carrier)
    size = max(patch_size(shell, patches), _COARSEST_CARRIER * shell.reach_m)
    if isinstance(wall, PatchGrid) and (carrier is None or carrier.turned):
        inner = None if carrier is None else shadows.in_bands(carrier, size, wall.sectors)
        return Enclosure(shell, carrier, wall, inner, look, _round(wall, inner, look))
    if carrier is None:
        shared = _across_box(wall) if isinstance(wall, Faces) else np.zeros((0, 0))
        return Enclosure(shell, None, wall, None, look, _closed(shared, wall.area))
    inner_patches = carrier.surface(size)
    own = _across_box(wall) if isinstance(wall, Faces) else unrolled(_band_pairs(wall, Sight(look.walls, None)))
    shadows.darken(own, wall, look)
    n, m = len(wall.area), len(inner_patches.area)
    shared = np.zeros((n + m, n + m))
    shared[:n, :n] = own
    reached = shadows.carrier_to_wall(inner_patches, np.arange(m), wall, look)
    shared[n:, :n], shared[:n, n:] = reached, reached.T
    area = np.concatenate([wall.area, inner_patches.area])
    return Enclosure(shell, carrier, wall, inner_patches, look, _closed(shared, area))


def _closed(shared: Floats, area: Floats) -> Exchange:
    """Return the exchange with its rows closed; `shared` is used up."""
    shared[np.diag_indices_from(shared)] += _covered(shared.sum(axis=1), area)
    scale, gap = _closing(shared, area)
    moved = 0.0
    for start in range(0, len(area), _ROWS):
        rows = slice(start, start + _ROWS)
        change = shared[rows] * (scale[rows, None] * scale[None, :] - 1.0)
        shared[rows] += change
        moved += float(np.abs(change).sum())
    return Exchange(area, shared, gap, moved / float(area.sum()))


def _covered(rows: Floats, area: Floats) -> Floats:
    """Return what patches are to keep to themselves because something stands on them, m², shape (n,)."""
    missing = 1.0 - rows / area
    return np.where(missing > _STOOD_ON, missing * area, 0.0)


def _closing(shared: Floats, area: Floats) -> tuple[Floats, float]:
    """Return the factor of each patch that makes the rows of the symmetric exchange areas sum to its area.

    Newton's steps for s_i (S s)_i = A_i in the logarithms of s; each step's equations are symmetric and positive.
    """
    gap = float(np.abs(shared.sum(axis=1) / area - 1.0).max())
    scale = np.ones(len(area))
    worst = np.inf
    for _ in range(_MOST_STEPS):
        rows = scale * (shared @ scale)
        worst = float(np.abs(rows / area - 1.0).max())
        if worst < _CLOSED:
            return scale, gap
        scale = scale * np.exp(np.clip(_newton(shared, scale, rows, area - rows), -1.0, 1.0))
    if worst > 1e-8:
        raise OpticsError(
            f"the form factors do not close: a row is still {worst:.1e} off; part of the wall is cut off from the rest"
        )
    return scale, gap


def _newton(shared: Floats, scale: Floats, rows: Floats, rest: Floats) -> Floats:
    """Return x of (diag(rows) + diag(scale) S diag(scale)) x = rest by conjugate gradients."""
    root = 1.0 / np.sqrt(rows)
    pull = root * scale
    rest = root * rest
    x, step, square = np.zeros(len(rest)), rest, float(rest @ rest)
    floor = 1e-8 * square
    for _ in range(_MOST_STEPS):
        if square <= floor:
            break
        turned = step + pull * (shared @ (pull * step))
        size = square / float(step @ turned)
        x, rest = x + size * step, rest - size * turned
        fresh = float(rest @ rest)
        step, square = rest + fresh / square * step, fresh
    answer: Floats = root * x
    return answer


def _round(wall: PatchGrid, inner: PatchGrid | None, look: Sight) -> RoundExchange:
    own = _band_pairs(wall, look)
    area, sectors = wall.band_area, wall.sectors
    shared = own
    if inner is not None:
        b, c = len(wall.bands), len(inner.bands)
        shared = np.zeros((b + c, b + c, sectors))
        shared[:b, :b] = own
        first = np.arange(c) * sectors
        reached = shadows.carrier_to_wall(inner, first, wall, look).reshape(c, b, sectors)
        mirrored = np.roll(reached[:, :, ::-1], 1, axis=2)
        reached = 0.5 * (reached + mirrored)
        shared[b:, :b], shared[:b, b:] = reached, reached.transpose(1, 0, 2)
        area = np.concatenate([area, inner.band_area])
    every = np.arange(len(area))
    shared[every, every, 0] += _covered(shared.sum(axis=(1, 2)), area)
    rows = shared.sum(axis=2)
    scale, gap = _closing(rows, area)
    closed = shared * scale[:, None, None] * scale[None, :, None]
    moved = float(np.abs(closed - shared).sum() / area.sum())
    return RoundExchange(area, sectors, closed, gap, moved)


def _band_pairs(wall: PatchGrid, look: Sight) -> Floats:
    """Return what sector 0 of each band shares with every sector of every band, m², shape (b, b, sectors)."""
    bands, sectors = len(wall.bands), wall.sectors
    half = sectors // 2 + 1
    i, j = np.triu_indices(bands)
    first, second = np.repeat(i, half), np.repeat(j, half)
    turn = np.tile(np.arange(half), len(i))
    a, b = first * sectors, second * sectors + turn
    if wall.ball is not None:
        value = wall.area[a] * wall.area[b] / (4.0 * math.pi * wall.ball[1] ** 2)
    else:
        # A facet is a little smaller or larger than the curved patch that it stands for.
        true = np.sqrt(wall.area / facet_areas(wall.corners))
        value = pair_areas(wall.corners, a, b) * true[a] * true[b]
        if len(look.walls):
            shadows.half_hidden(value, wall, a, b)
    if not look.clear:
        lit = np.flatnonzero(value > 0.0)
        value[lit] *= shadows.visible(wall, a[lit], b[lit], look, 3)
    shared = np.zeros((bands, bands, sectors))
    shared[first, second, turn] = value
    shared[second, first, turn] = value
    back = np.arange(half, sectors)
    shared[:, :, back] = shared[:, :, sectors - back]
    return shared


def facet_areas(corners: Floats) -> Floats:
    """Return the areas of flat facets, m², shape (n,)."""
    across = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    size: Floats = 0.5 * np.linalg.norm(across, axis=1)
    return size


def pair_areas(corners: Floats, a: Ints, b: Ints) -> Floats:
    """Return the exchange areas of pairs of facets that see all of each other, m², more finely for near ones."""
    middle = corners.mean(axis=1)
    reach = np.linalg.norm(corners - middle[:, None, :], axis=2).max(axis=1)
    apart = np.linalg.norm(middle[a] - middle[b], axis=1)
    near = apart < _NEAR * (reach[a] + reach[b])
    value = np.zeros(len(a))
    for some, nodes in ((np.flatnonzero(near & (a != b)), _NEAR_NODES), (np.flatnonzero(~near), _FAR_NODES)):
        value[some] = contour.exchange_area(corners[a[some]], corners[b[some]], nodes)
    across = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    height = np.einsum("kcj,kj->kc", corners[b] - middle[a][:, None, :], across[a])
    level = np.abs(height).max(axis=1) < _LEVEL * np.linalg.norm(across[a], axis=1) * reach[b]
    value[level] = 0.0
    return value


def _across_box(wall: Faces) -> Floats:
    """Return the exchange areas between all patches of a box, m²: pairs that lie alike are worked out once."""
    n = len(wall.area)
    shared = np.zeros((n, n))
    members = [np.flatnonzero(wall.face == k) for k in range(6)]
    corners, index, counts = wall.corners, wall.index, wall.counts
    for one in range(6):
        for two in range(one + 1, 6):
            p, q = members[one], members[two]
            key = _alike(index[p], index[q], one, two, counts)
            table = np.full(int(key.max()) + 1, -1, dtype=np.int64)
            table[key] = np.arange(len(key))
            used = np.flatnonzero(table >= 0)
            i, j = np.divmod(table[used], len(q))
            value = np.zeros(len(table))
            value[used] = pair_areas(corners, p[i], q[j])
            block = value[key].reshape(len(p), len(q))
            shared[np.ix_(p, q)] = block
            shared[np.ix_(q, p)] = block.T
    return shared


def _alike(p: Ints, q: Ints, one: int, two: int, counts: tuple[int, int, int]) -> Ints:
    """Return a number for each pair of cells of two faces, the same for pairs that lie alike, shape (p x q,)."""
    first, second = one // 2, two // 2
    key = np.zeros((len(p), len(q)), dtype=np.int64)
    for axis in range(3):
        if axis == first == second:
            continue
        if axis in (first, second) and first != second:
            cells, side = (q[None, :, axis], one) if axis == first else (p[:, None, axis], two)
            step = np.broadcast_to(cells if side % 2 == 0 else counts[axis] - 1 - cells, key.shape)
        else:
            step = np.abs(p[:, None, axis] - q[None, :, axis])
        key = key * (counts[axis] + 1) + step
    return key.ravel()
