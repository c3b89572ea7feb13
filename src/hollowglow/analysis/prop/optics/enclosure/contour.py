"""Form factors between flat polygons that see each other, from integrals along their edges."""

from __future__ import annotations

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Floats

_CHUNK = 1 << 14


def exchange_area(a: Floats, b: Floats, nodes: int) -> Floats:
    """Return A_a F_ab of pairs of polygons that see all of each other, m².

    A F = 1/(2 pi) sum over pairs of edges of integral integral ln(distance) ds . dt (Sparrow, Journal of Heat Transfer
    85 (1963), 81). The inner integral is taken in closed form, the outer one by Gauss.

    Args:
        a: corners around the normal, m, shape (p, 4, 3).
        b: the same of the other polygon of each pair.
        nodes: points along each edge of `a`.

    Returns:
        The exchange areas, shape (p,); tiny negative rounding is cut off.
    """
    total = np.empty(len(a))
    for start in range(0, len(a), _CHUNK):
        rows = slice(start, start + _CHUNK)
        total[rows] = _exchange_area(a[rows], b[rows], nodes)
    return np.maximum(total, 0.0)


def _exchange_area(a: Floats, b: Floats, nodes: int) -> Floats:
    at, weight = np.polynomial.legendre.leggauss(nodes)
    at, weight = 0.5 * (at + 1.0), 0.5 * weight
    total = np.zeros(len(a))
    edge_a, edge_b = np.roll(a, -1, axis=1) - a, np.roll(b, -1, axis=1) - b
    along = np.einsum("pik,pjk->pij", edge_a, edge_b)
    length = np.sqrt(np.einsum("pjk,pjk->pj", edge_b, edge_b))
    safe = np.where(length > 0.0, length, 1.0)
    unit = edge_b / safe[:, :, None]
    for i in range(4):
        x, y, z = (a[:, i, k, None] + at * edge_a[:, i, k, None] for k in range(3))
        # To each corner of b, once for both of the edges that meet there.
        ways = [(x - b[:, j, 0, None], y - b[:, j, 1, None], z - b[:, j, 2, None]) for j in range(4)]
        square = [u * u + v * v + w * w for u, v, w in ways]
        log = [np.log(np.maximum(s, 1e-300)) for s in square]
        for j, (u, v, w) in enumerate(ways):
            near = u * unit[:, j, 0, None] + v * unit[:, j, 1, None] + w * unit[:, j, 2, None]
            far = length[:, j, None] - near
            off_square = np.maximum(square[j] - near * near, 0.0)
            off = np.sqrt(off_square)
            # The edge is seen under the angle between the ways to its ends.
            angle = np.arctan2(off * length[:, j, None], off_square - near * far)
            inner = 0.5 * (far * log[(j + 1) % 4] + near * log[j]) + off * angle - length[:, j, None]
            total += along[:, i, j] / safe[:, j] * (inner @ weight)
    return total / (2.0 * np.pi)


def from_points(spot: Floats, normal: Floats, corners: Floats) -> Floats:
    """Return the form factors from differential areas to polygons, the part behind each area's plane cut off.

    F = 1/(2 pi) sum over edges of (angle the edge subtends) x (unit normal of the plane through it) . n
    (Lambert, Photometria, 1760).

    Args:
        spot: the differential areas, m, shape (k, 3).
        normal: their unit normals, shape (k, 3).
        corners: of the polygons that face them, around their normals, m, shape (k, 4, 3).

    Returns:
        The form factors, 0 for polygons that are behind or turned away, shape (k,).
    """
    ray = corners - spot[:, None, :]
    height = np.einsum("kcj,kj->kc", ray, normal)
    size = np.abs(ray).max(axis=(1, 2))
    height[np.abs(height) < 1e-12 * size[:, None]] = 0.0
    total = np.zeros(len(spot))
    leave, enter = np.zeros_like(spot), np.zeros_like(spot)
    cut = np.zeros(len(spot), dtype=bool)
    above = (height > 0.0).any(axis=1)
    for j in range(4):
        p, q = ray[:, j], ray[:, (j + 1) % 4]
        h, g = height[:, j], height[:, (j + 1) % 4]
        goes, comes = (h >= 0.0) & (g < 0.0), (h < 0.0) & (g >= 0.0)
        if goes.any() or comes.any():
            share = np.divide(h, h - g, out=np.zeros_like(h), where=goes | comes)
            crossing = p + share[:, None] * (q - p)
            q, p = np.where(goes[:, None], crossing, q), np.where(comes[:, None], crossing, p)
            leave, enter = np.where(goes[:, None], crossing, leave), np.where(comes[:, None], crossing, enter)
            cut |= above & (goes | comes)
        shown = above & ((h >= 0.0) | (g >= 0.0))
        total += np.where(shown, _edge(p, q, normal), 0.0)
    if cut.any():
        total[cut] += _edge(leave[cut], enter[cut], normal[cut])
    return np.maximum(-total, 0.0) / (2.0 * np.pi)


def _edge(p: Floats, q: Floats, normal: Floats) -> Floats:
    across = np.stack(
        [
            p[:, 1] * q[:, 2] - p[:, 2] * q[:, 1],
            p[:, 2] * q[:, 0] - p[:, 0] * q[:, 2],
            p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0],
        ],
        axis=1,
    )
    sine = np.sqrt(np.einsum("kj,kj->k", across, across))
    angle = np.arctan2(sine, np.einsum("kj,kj->k", p, q))
    turned = np.einsum("kj,kj->k", across, normal)
    piece: Floats = np.divide(angle * turned, sine, out=np.zeros_like(sine), where=sine > 0.0)
    return piece
