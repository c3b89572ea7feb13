"""What lies behind the fuses of one piece of V+, and from which side each fuse can feed a fault there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.power.ratings import Zones, part_ampacity, part_joint_rating
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, joint_ids
from hollowglow.assembly.tables import NONE, CableSort, Flags, Floats, Ints, JointSort


@dataclass(frozen=True)
class Things:
    """Cables and joints of a rating, one row each, cables first, each in their table's order.

    Attributes:
        joint: whether it is a joint, shape (R,).
        row: its row in the table of cables or of joints, shape (R,).
        part: its part, shape (R,).
        allowed: what it may carry, A, shape (R,).
        number: how far along its string it is: of a span the prop before it, shape (R,).
        entry: of a lead 0, of a feed the prop that it stands before, NONE of what is part of the string, shape (R,).
        why: basis of the ampacity of each part.
    """

    joint: Flags
    row: Ints
    part: Ints
    allowed: Floats
    number: Ints
    entry: Ints
    why: tuple[str, ...]

    def take(self, rows: Ints | Flags | slice) -> Things:
        """Return some of them."""
        return Things(
            self.joint[rows],
            self.row[rows],
            self.part[rows],
            self.allowed[rows],
            self.number[rows],
            self.entry[rows],
            self.why,
        )

    def cables(self) -> Things:
        """Return the cables among them."""
        return self.take(~self.joint)

    def joints(self) -> Things:
        """Return the joints among them."""
        return self.take(self.joint)

    def weakest(self) -> float:
        """Return the smallest rating, A, infinite where there is none."""
        return float(self.allowed.min(initial=np.inf))

    def weakest_row(self) -> int:
        """Return which has it, the first along the string where several do."""
        return int(np.argmin(self.allowed))

    def name(self, assembly: Assembly, at: int) -> str:
        """Return the id of one of them."""
        return (joint_ids if self.joint[at] else cable_ids)(assembly, [int(self.row[at])])[0]

    def basis(self, at: int) -> str | None:
        """Return where the rating of a cable comes from, None for a joint."""
        return None if self.joint[at] else self.why[int(self.part[at])]

    def _sides(self, entries: Ints) -> tuple[Flags, Flags]:
        """Return which entries (0 the lead, else the prop of a feed) feed a fault here from the near or the far side.

        Along a string a fault is fed from the near side by all entries before it and from the far side by all after
        it; in a lead or a feed by its own from the supply's side and by all others backwards.
        """
        before = np.maximum(entries, 1)[None, :] <= self.number[:, None]
        own = entries[None, :] == self.entry[:, None]
        near = np.where((self.entry == NONE)[:, None], before, own)
        return near, ~near

    def reach(self, entries: Ints, rating_a: Floats) -> Floats:
        """Return what fuses at some entries can let into a fault at each, A: the larger of both sides' sums."""
        near, far = self._sides(entries)
        return np.maximum(near @ rating_a, far @ rating_a)

    def room(self, entries: Ints, rating_a: Floats, new: Flags) -> float:
        """Return the largest rating (A) of every new fuse at which nothing here is overloaded from either side.

        Args:
            entries: where the fuses are, shape (F,).
            rating_a: their ratings, those of new ones not looked at, A, shape (F,).
            new: which are to be chosen, all of one rating, shape (F,).
        """
        kept = np.where(new, 0.0, rating_a)
        room = np.inf
        for side in self._sides(entries):
            count = side @ new.astype(np.float64)
            fed = count > 0.0
            room = min(room, float(((self.allowed - side @ kept)[fed] / count[fed]).min(initial=np.inf)))
        return room


@dataclass(frozen=True)
class RatedParts:
    """Everything that has a rating, ordered by zone; zone z has the rows first[z] to first[z + 1]."""

    things: Things
    first: Ints

    def of_zone(self, zone: int) -> Things:
        """Return what lies in one zone."""
        return self.things.take(slice(int(self.first[zone]), int(self.first[zone + 1])))


def behind_fuses(assembly: Assembly, zone: Zones) -> RatedParts:
    """Return what lies in each zone; what has no known rating is left out."""
    cables, joints = assembly.cables, assembly.joints
    ampacity, why = part_ampacity(assembly)
    edge_zone = zone.with_fused(assembly)
    edge = np.concatenate([cables.edge, joints.edge])
    at = np.where(edge == NONE, NONE, edge_zone[edge]) if len(edge_zone) else edge
    allowed = np.concatenate([ampacity[cables.part], part_joint_rating(assembly)[joints.part]])
    run = np.concatenate(
        [np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED)), np.isin(joints.sort, (JointSort.LEAD, JointSort.FEED))]
    )
    number = np.concatenate([cables.number, joints.number])
    every = Things(
        joint=np.arange(len(edge)) >= len(cables.edge),
        row=np.concatenate([np.arange(len(cables.edge)), np.arange(len(joints.edge))]),
        part=np.concatenate([cables.part, joints.part]),
        allowed=allowed,
        number=number,
        entry=np.where(run, number, NONE),
        why=tuple(why),
    )
    rows = np.flatnonzero((at != NONE) & np.isfinite(allowed))
    rows = rows[np.argsort(at[rows], kind="stable")]
    return RatedParts(every.take(rows), np.searchsorted(at[rows], np.arange(len(zone.bare) + 1)))
