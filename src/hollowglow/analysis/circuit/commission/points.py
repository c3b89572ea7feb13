"""Where a meter can touch V+ and V-: terminals, fuse holders, plugs, and splices before they are sealed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hollowglow.analysis.money.cost import ends
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import end_id, fuse_ids, joint_ids, run_id
from hollowglow.assembly.tables import NONE, CableSort, JointSort, of_string

Reach = Literal["open", "before sealing"]
Sort = Literal["supply", "fuse", "lead", "span", "feed", "end"]


@dataclass(frozen=True, slots=True)
class ProbeSpot:
    """A place for a meter's probes, between two places of the network or at one of them.

    Attributes:
        id: of the thing that is touched.
        sort: what it is.
        where: in words.
        string: its string, NONE of a supply.
        reach: whether it can be touched at any time, or only before it is sealed.
        a, b: the places that it lies between.
        plus, minus: how far from a to b it lies on each rail, as a share of the resistance between them.
        edge: the edge of the network whose current passes it, NONE at a supply or at a string's end.
        supply: row of the supply that it belongs to, NONE where that depends.
    """

    id: str
    sort: Sort
    where: str
    string: int
    reach: Reach
    a: int
    b: int
    plus: float
    minus: float
    edge: int
    supply: int


def spots(assembly: Assembly) -> Iterator[ProbeSpot]:
    """Yield every spot: the supplies, then string by string from its fuse to its end, then its feeds."""
    for row, name in enumerate(assembly.supplies):
        where = "output terminals of the supply"
        yield ProbeSpot(name, "supply", where, NONE, "open", 1 + row, 1 + row, 0.0, 0.0, NONE, row)
    for row in range(len(assembly.strings.names)):
        yield from _string(assembly, row)


class _Rows:
    """One string's rows in the tables of cables, joints and fuses, by (sort, number)."""

    def __init__(self, assembly: Assembly, row: int) -> None:
        self.assembly = assembly
        cables, joints, fuses = assembly.cables, assembly.joints, assembly.fuses
        at = of_string(cables.string, row)
        pieces = range(at.start, at.stop)
        self.cable = {
            (int(cables.sort[i]), int(cables.number[i])): i for i in pieces if cables.sort[i] != CableSort.WIRE
        }
        at = of_string(joints.string, row)
        self.joint = {(int(joints.sort[i]), int(joints.number[i])): i for i in range(at.start, at.stop)}
        self.fuse = {int(fuses.number[i]): i for i in np.flatnonzero(fuses.string == row).tolist()}

    def ohm(self, sort: CableSort, number: int) -> float:
        row = self.cable.get((int(sort), number))
        return 0.0 if row is None else float(self.assembly.cables.ohm[row])

    def joint_ohm(self, sort: JointSort, number: int) -> float:
        row = self.joint.get((int(sort), number))
        return 0.0 if row is None else float(self.assembly.joints.ohm[row])

    def reach(self, row: int | None) -> Reach:
        if row is None:
            return "before sealing"
        part = self.assembly.display.parts.get(self.assembly.part_name(int(self.assembly.joints.part[row])))
        splice = part is None or part.joint is None or part.joint.sort == "splice"
        return "before sealing" if splice else "open"


def _string(assembly: Assembly, row: int) -> Iterator[ProbeSpot]:
    rows, name = _Rows(assembly, row), assembly.strings.names[row]
    string = assembly.display.strings[name]
    supply = int(assembly.strings.supply[row])
    lead = next(i for (sort, _), i in rows.cable.items() if sort == CableSort.LEAD)
    if supply != NONE and np.isfinite(assembly.network.edge_plus_ohm[assembly.cables.edge[lead]]):
        yield from _run(assembly, rows, row, lead, 0, supply)
    plus_ohm = assembly.network.edge_plus_ohm
    for (sort, number), i in rows.cable.items():
        joint = rows.joint.get((int(JointSort.SPAN_FAR), number))
        if sort != CableSort.SPAN or joint is None or rows.reach(joint) != "open":
            continue
        edge = int(assembly.cables.edge[i])
        if edge == NONE or not np.isfinite(plus_ohm[edge]):
            continue
        near = rows.ohm(CableSort.OUT, number) + rows.joint_ohm(JointSort.SPAN_NEAR, number)
        far = near + float(assembly.cables.ohm[i]) + rows.joint_ohm(JointSort.SPAN_FAR, number)
        where = f"plug between prop {number} and prop {number + 1}, on the side of prop {number + 1}"
        yield _between(assembly, joint_ids(assembly, [joint])[0], "span", where, row, "open", edge, far, far, NONE)
    last = string.prop_count
    prop = int(assembly.strings.first_prop[row + 1]) - 1
    place = int(assembly.network.load_place[np.flatnonzero(assembly.load_prop == prop)[-1]])
    plugged = _ends_in_plug(assembly, name)
    where = "out plug of the last prop" if plugged else "bare out end of the last prop"
    reach: Reach = "open" if plugged else "before sealing"
    yield ProbeSpot(end_id(name, last), "end", where, row, reach, place, place, 0.0, 0.0, NONE, NONE)
    feeds = {feed.before: feed for feed in string.feeds}
    for (sort, number), i in rows.cable.items():
        if sort == CableSort.FEED:
            yield from _run(assembly, rows, row, i, number, list(assembly.supplies).index(feeds[number].supply))


def _ends_in_plug(assembly: Assembly, name: str) -> bool:
    return next(e for n, e in zip(assembly.strings.names, ends(assembly), strict=True) if n == name).plug is not None


def _run(assembly: Assembly, rows: _Rows, row: int, cable: int, number: int, supply: int) -> Iterator[ProbeSpot]:
    """Yield the spots of a lead (number 0) or a feed: behind its fuse, and where it meets its string."""
    edge = int(assembly.cables.edge[cable])
    name = assembly.strings.names[row]
    fuse = rows.fuse.get(number)
    fuse_ohm = 0.0
    if fuse is not None:
        fuse_ohm = float(assembly.fuses.ohm[fuse])
        where = "fuse holder, on the side of the cable; the other probe on V- of the supply"
        label = fuse_ids(assembly, [fuse])[0]
        yield _between(assembly, label, "fuse", where, row, "open", edge, fuse_ohm, 0.0, supply)
    sort = JointSort.FEED if number else JointSort.LEAD
    joint = next((i for (s, n), i in rows.joint.items() if s == sort and (not number or n == number)), None)
    ohm = float(assembly.cables.ohm[cable]) + (0.0 if joint is None else float(assembly.joints.ohm[joint]))
    at = number or 1
    label = joint_ids(assembly, [joint])[0] if joint is not None else run_id(name, number)
    where = f"end of the {'feed' if number else 'lead'}, where prop {at} begins"
    reach = rows.reach(joint)
    yield _between(assembly, label, "feed" if number else "lead", where, row, reach, edge, fuse_ohm + ohm, ohm, supply)


def _between(
    assembly: Assembly,
    name: str,
    sort: Sort,
    where: str,
    row: int,
    reach: Reach,
    edge: int,
    plus: float,
    minus: float,
    supply: int,
) -> ProbeSpot:
    """Return the spot so many ohms along an edge on each rail."""
    network = assembly.network
    whole = float(network.edge_plus_ohm[edge]), float(network.edge_minus_ohm[edge])
    shares = [
        0.0 if all_ohm <= 0.0 else min(1.0, ohm / all_ohm) for ohm, all_ohm in zip((plus, minus), whole, strict=True)
    ]
    a, b = int(network.edge_a[edge]), int(network.edge_b[edge])
    return ProbeSpot(name, sort, where, row, reach, a, b, shares[0], shares[1], edge, supply)
