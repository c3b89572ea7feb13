"""What the carrier and the necks of the shell take from the exchange of light between patches."""

from __future__ import annotations

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Floats, Ints
from hollowglow.analysis.prop.optics.enclosure import contour
from hollowglow.analysis.prop.optics.enclosure.carriers import Carrier
from hollowglow.analysis.prop.optics.enclosure.mesh import Patches, PatchGrid, points, split_line
from hollowglow.analysis.prop.optics.enclosure.sight import Sight

_CHUNK = 1 << 17
_INSIDE = 1e-6
_ROWS = 16
_NEAR = 4.0


def in_bands(carrier: Carrier, size_m: float, sectors: int) -> PatchGrid:
    """Return a carrier that is round the z axis as bands of so many sectors."""
    lines = carrier.line()
    longest = max(float(line[:, 0].max()) for line in lines)
    return PatchGrid(np.concatenate([split_line(line, min(size_m, longest / 2.0)) for line in lines]), sectors)


def _inner_points(patches: Patches, rows: Ints, parts: int) -> Floats:
    """Return points spread over patches, a trifle off the surface so that no line starts behind it."""
    off = _INSIDE * np.sqrt(patches.area.max())
    spots: Floats = points(patches, rows, parts) + off * patches.normal[rows][:, None, :]
    return spots


def visible(wall: Patches, a: Ints, b: Ints, look: Sight, parts: int) -> Floats:
    """Return which share of lines between pairs of patches is free, shape (k,), from parts² x parts lines each."""
    used, place = np.unique(np.concatenate([a, b]), return_inverse=True)
    spots = _inner_points(wall, used, parts)
    left, right = place[: len(a)], place[len(a) :]
    share = np.zeros(len(a))
    count = parts * parts
    order = np.arange(count)
    for turn in range(parts):
        # A step that shares no factor with the number of points pairs each point with far and near ones alike.
        partner = (order * 2 + 1 + turn * parts + turn) % count if count % 2 else (order + turn * parts + 1) % count
        for start in range(0, len(a), _CHUNK):
            rows = slice(start, start + _CHUNK)
            p, q = spots[left[rows]], spots[right[rows]][:, partner]
            free = look.sees(p.reshape(-1, 3), q.reshape(-1, 3))
            share[rows] += free.reshape(-1, count).mean(axis=1)
    return share / parts


def half_hidden(value: Floats, wall: PatchGrid, a: Ints, b: Ints) -> None:
    """Replace, in place, the exchange area of pairs of which one lies partly behind the other, m²."""
    corners = wall.corners
    middle = corners.mean(axis=1)
    normal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    normal = normal / np.linalg.norm(normal, axis=1)[:, None]
    slack = 1e-9 * np.sqrt(wall.area)

    def height(over: Ints, of: Ints) -> Floats:
        above: Floats = np.einsum("kcj,kj->kc", corners[of] - middle[over][:, None, :], normal[over])
        return above

    one, two = height(a, b), height(b, a)
    behind = (one < slack[a][:, None]).all(axis=1) | (two < slack[b][:, None]).all(axis=1)
    partly = ~behind & ((one < -slack[a][:, None]).any(axis=1) | (two < -slack[b][:, None]).any(axis=1))
    value[behind] = 0.0
    some = np.flatnonzero(partly)
    for start in range(0, len(some), 4096):
        rows = some[start : start + 4096]
        value[rows] = _sampled(wall, normal, a[rows], b[rows])


def _sampled(wall: PatchGrid, normal: Floats, a: Ints, b: Ints) -> Floats:
    """Return exchange areas from points of one facet to the part of the other before it, averaged both ways, m²."""
    total = np.zeros(len(a))
    for p, q in ((a, b), (b, a)):
        corners = wall.corners[p]
        for u in (1 / 6, 0.5, 5 / 6):
            for v in (1 / 6, 0.5, 5 / 6):
                weight = np.array([(1 - u) * (1 - v), (1 - u) * v, u * v, u * (1 - v)])
                spot = np.einsum("c,kcj->kj", weight, corners)
                facing = np.einsum("kj,kj->k", wall.corners[q].mean(axis=1) - spot, normal[q]) < 0.0
                seen = contour.from_points(spot, normal[p], wall.corners[q])
                total += np.where(facing, seen, 0.0) * wall.area[p] / 18.0
    return total


def darken(own: Floats, wall: Patches, look: Sight) -> None:
    """Take, in place, from the exchange areas of all pairs of wall patches what the carrier hides, m², shape (n, n)."""
    carrier = look.carrier
    if carrier is None:
        return
    n = len(own)
    # Single precision is enough to tell which side of an edge a line passes, and takes half the time.
    spots = np.asarray(_inner_points(wall, np.arange(n), 2), dtype=np.float32)
    for start in range(0, n, _ROWS):
        rows = slice(start, start + _ROWS)
        others = start + np.flatnonzero(own[rows, start:].any(axis=0))
        free = np.zeros((len(own[rows]), len(others)))
        for k, partner in enumerate((1, 2, 3, 0)):
            free += ~carrier.blocks(spots[rows, None, k], spots[others, partner])
        own[rows, others] *= 0.25 * free
        # Which of two patches is sampled first must not matter.
        square = own[rows, rows]
        own[rows, rows] = np.triu(square) + np.triu(square, 1).T
        own[start:, rows] = own[rows, start:].T


def carrier_to_wall(inner: Patches, rows: Ints, wall: Patches, look: Sight) -> Floats:
    """Return the exchange areas between some carrier patches and all wall patches, m², shape (rows, n).

    A line that leaves the outside of a carrier never meets it again, because all carriers are convex; so only the plane of
    the patch and the necks of the shell hide anything.
    """
    n = len(wall.area)
    total = np.zeros((len(rows), n))
    size = np.sqrt(inner.area[rows])
    centre, normals = inner.centre[rows], inner.normal[rows]
    ends = _inner_points(wall, np.arange(n), 1)[:, 0]
    apart = np.linalg.norm(centre[:, None, :] - wall.centre[None], axis=2)
    near = apart < _NEAR * size[:, None]
    for some, parts in ((np.nonzero(near), 3), (np.nonzero(~near), 1)):
        spots = points(inner, rows, parts)
        for start in range(0, len(some[0]), _CHUNK):
            i, j = some[0][start : start + _CHUNK], some[1][start : start + _CHUNK]
            for k in range(parts * parts):
                seen = _facing(spots[i, k], normals[i], wall.corners, j)
                if len(look.walls):
                    lit = np.flatnonzero(seen > 0.0)
                    seen[lit] *= look.past_walls(spots[i[lit], k], ends[j[lit]])
                total[i, j] += seen / (parts * parts)
    return total * inner.area[rows][:, None]


def _facing(spot: Floats, normal: Floats, corners: Floats, which: Ints) -> Floats:
    """Return the form factors from differential areas to the facets that face them."""
    facet = corners[which]
    across = np.cross(facet[:, 2] - facet[:, 0], facet[:, 3] - facet[:, 1])
    facing = np.einsum("kj,kj->k", facet[:, 0] - spot, across) < 0.0
    above = (np.einsum("kcj,kj->kc", facet - spot[:, None, :], normal) > 0.0).any(axis=1)
    value = np.zeros(len(spot))
    some = np.flatnonzero(facing & above)
    value[some] = contour.from_points(spot[some], normal[some], facet[some])
    return value
