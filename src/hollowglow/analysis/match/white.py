"""The duty of each colour that makes one white: closed form for three, the brightest mixture that loses none for four."""

from __future__ import annotations

from itertools import permutations

import numpy as np

from hollowglow.assembly.tables import Floats
from hollowglow.physics.colour import lightness, mix_xyz, uv_prime

# A channel may be this much below zero before a white counts as out of reach: rounding.
_SLACK = 1e-9
# With four colours none is trimmed below so much of the strongest where another mixture makes the same white: a show
# that asks for red shall get it. An estimate of our own.
LEAST = 0.25


def xyz_of(xy: tuple[float, float]) -> Floats:
    """Return the tristimulus values of a chromaticity at Y = 1, shape (3,)."""
    return mix_xyz(np.ones(1), np.array([xy]))


def channels(amount: Floats, xy: Floats) -> Floats:
    """Return the tristimulus values of each channel at full duty as columns, shape (3, c).

    Args:
        amount: luminance (or intensity) of each channel at full duty, shape (c,).
        xy: CIE 1931 chromaticity of each, shape (c, 2).
    """
    columns: Floats = mix_xyz(amount[:, None], xy[:, None, :]).T
    return columns


def mixture(columns: Floats, white_xyz: Floats, least: float = 0.0) -> Floats | None:
    """Return the duties for a white of Y = 1, the highest of them as low as can be, None where it is out of reach.

    Three channels have one mixture, M d = W. Four have a line of them; its best point lies where two duties are equal
    or one is `least` times another (a linear programme in one unknown).

    Args:
        columns: tristimulus values of the channels at full duty, shape (3, c).
        white_xyz: of the white, Y = 1, shape (3,).
        least: share of the highest duty that the lowest of four is to have at least, where that can be.

    Returns:
        Duties, not below 0, above 1 where the white at Y = 1 is brighter than the light; shape (c,).

    Source: Grassmann's law, CIE 15.
    """
    lit = np.flatnonzero(columns[1] > 0.0)
    duty = np.zeros(columns.shape[1])
    own = columns[:, lit]
    if len(lit) < 3 or np.linalg.matrix_rank(own) < 3:
        return None
    if len(lit) == 3:
        found = np.linalg.solve(own, white_xyz)
        if found.min() < -_SLACK * abs(found).max():
            return None
    else:
        start = np.linalg.lstsq(own, white_xyz, rcond=None)[0]
        way = np.linalg.svd(own)[2][-1]
        steps = [-s / w for s, w in zip(start, way, strict=True) if w != 0.0]
        for a, b in permutations(range(len(lit)), 2):
            for share in (1.0, least):
                if way[a] != share * way[b]:
                    steps.append((share * start[b] - start[a]) / (way[a] - share * way[b]))
        tried = start + np.array(steps)[:, None] * way
        most, fewest = abs(tried).max(axis=1), tried.min(axis=1)
        allowed = tried[fewest >= (least - _SLACK) * most]
        if not len(allowed):
            allowed = tried[fewest >= -_SLACK * most]
        if not len(allowed):
            return None
        found = allowed[np.argmin(allowed.max(axis=1))]
    duty[lit] = np.maximum(found, 0.0)
    return duty


def difference(xyz: Floats, target_xyz: Floats) -> Floats:
    """Return the CIE 1976 colour difference ΔE*uv of colours from the target, which is the white of the comparison.

    Args:
        xyz: tristimulus values, shape (..., 3).
        target_xyz: of the target, same unit, shape (3,).

    Returns:
        ΔE*uv, shape (...).

    Source: ISO/CIE 11664-5: u* = 13 L*(u' - u'n), v* alike.
    """
    star = lightness(xyz[..., 1] / target_xyz[1])
    off = np.nan_to_num(uv_prime(xyz) - uv_prime(target_xyz))
    made: Floats = np.sqrt((star - 100.0) ** 2 + (13.0 * star) ** 2 * (off**2).sum(axis=-1))
    return made
