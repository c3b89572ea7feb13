"""Whether two points see each other: past the necks of a turned shell, and past what stands inside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Flags, Floats, Shell, TurnedShell
from hollowglow.analysis.prop.optics.enclosure.carriers import Carrier


def crossings(a: Floats, way: Floats, line: Floats) -> Floats:
    """Return where straight lines cross the cone, drum or ring that one line of a profile makes when it turns.

    A line a + t way meets the cone r = r0 + k (z - z0) where x² + y² = r², a quadratic in t.

    Args:
        a: where the straight lines start, m, shape (n, 3).
        way: their directions, shape (n, 3).
        line: radius and height of both ends of the profile's line, m, shape (2, 2).

    Returns:
        t of both crossings, NaN where there is none, shape (n, 2).
    """
    (r0, z0), (r1, z1) = line.tolist()
    if abs(z1 - z0) <= 1e-9 * abs(r1 - r0):
        t = np.divide(z0 - a[:, 2], way[:, 2], out=np.full(len(a), np.nan), where=way[:, 2] != 0.0)
        off = np.hypot(a[:, 0] + t * way[:, 0], a[:, 1] + t * way[:, 1])
        t = np.where((off >= min(r0, r1)) & (off <= max(r0, r1)), t, np.nan)
        return np.stack([t, np.full(len(a), np.nan)], axis=1)
    k = (r1 - r0) / (z1 - z0)
    reach, change = r0 + k * (a[:, 2] - z0), k * way[:, 2]
    square = way[:, 0] ** 2 + way[:, 1] ** 2 - change * change
    half = a[:, 0] * way[:, 0] + a[:, 1] * way[:, 1] - reach * change
    rest = a[:, 0] ** 2 + a[:, 1] ** 2 - reach * reach
    root = half * half - square * rest
    q = -(half + np.copysign(np.sqrt(np.where(root >= 0.0, root, np.nan)), half))
    t = np.stack(
        [
            np.divide(q, square, out=np.full(len(a), np.nan), where=square != 0.0),
            np.divide(rest, q, out=np.full(len(a), np.nan), where=q != 0.0),
        ],
        axis=1,
    )
    z = a[:, 2, None] + t * way[:, 2, None]
    return np.where((z >= min(z0, z1)) & (z <= max(z0, z1)), t, np.nan)


@dataclass(frozen=True)
class Sight:
    """The things that may stand between two points inside a shell.

    Attributes:
        walls: lines of the profile that inner points can be hidden behind, shape (k, 2, 2).
        carrier: what stands inside, if anything.
    """

    walls: Floats
    carrier: Carrier | None

    @property
    def clear(self) -> bool:
        """Return whether all inner points see each other."""
        return len(self.walls) == 0 and self.carrier is None

    def past_walls(self, a: Floats, b: Floats) -> Flags:
        """Return for pairs of inner points, shape (k, 3), whether the wall lets them see each other."""
        seen = np.ones(len(a), dtype=bool)
        for line in self.walls:
            left = np.flatnonzero(seen)
            t = crossings(a[left], b[left] - a[left], line)
            seen[left] = ~((t > 0.0) & (t < 1.0)).any(axis=1)
        return seen

    def sees(self, a: Floats, b: Floats) -> Flags:
        """Return for pairs of inner points, shape (k, 3), whether they see each other."""
        seen = self.past_walls(a, b)
        if self.carrier is not None:
            seen &= ~self.carrier.blocks(a, b)
        return seen


def sight(shell: Shell, carrier: Carrier | None) -> Sight:
    """Return what can stand between two points inside a shell."""
    walls = np.zeros((0, 2, 2))
    if isinstance(shell, TurnedShell):
        walls = np.stack([shell.profile[:-1], shell.profile[1:]], axis=1)[shell.inner_lines]
    return Sight(walls, carrier)


def past_outside(shell: Shell, a: Floats, way: Floats) -> Flags:
    """Return for points of the outer wall, shape (k, 3), whether they see far along `way`, shape (k, 3) or (3,)."""
    seen = np.ones(len(a), dtype=bool)
    if isinstance(shell, TurnedShell) and not shell.convex:
        ways = np.broadcast_to(way, a.shape)
        for line in np.stack([shell.profile[:-1], shell.profile[1:]], axis=1):
            left = np.flatnonzero(seen)
            t = crossings(a[left], ways[left], line)
            seen[left] = ~(t > 0.0).any(axis=1)
    return seen
