"""What would open a fuse that a short leaves whole: a smaller one, more copper, a nearer one; each with its number."""

from __future__ import annotations

import numpy as np

from hollowglow.analysis.circuit.fault.limits import sources_of
from hollowglow.analysis.circuit.fault.points import OUT, SPAN
from hollowglow.analysis.circuit.fault.result import STAYS, Faults
from hollowglow.analysis.circuit.power import BLADE_A, over, part_ampacity
from hollowglow.analysis.edits import heavier_cable, put, run_path
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, prop_ids
from hollowglow.assembly.tables import NONE, Floats, JointSort, of_string
from hollowglow.file.text.commands import Put
from hollowglow.messages import Mend
from hollowglow.messages.told import Fact
from hollowglow.physics.fuses import OPENS_FROM, multiple_for
from hollowglow.quantity.numbers import rounded_down, rounded_up
from hollowglow.quantity.quantities import Quantity, Sort, current


class Mends:
    """Finds the ways out of shorts of one Assembly."""

    def __init__(self, assembly: Assembly, faults: Faults, edge_plus_a: Floats) -> None:
        self.assembly, self.faults = assembly, faults
        self.sources = sources_of(assembly)
        self.flow_a = np.abs(edge_plus_a)

    def need_a(self, entry: int) -> float:
        """Return the rating that the fuse of a lead or feed needs for what flows there, A."""
        edge = self.assembly.cables.edge[self.faults.entries.cable[entry]]
        return float(self.flow_a[edge]) / self.assembly.display.limits.fuse_load

    def fuse(self, entry: int, rating_a: float) -> tuple[Put, ...]:
        """Return the edit that gives a lead or feed a fuse, none where that would not carry what flows there."""
        if over(self.need_a(entry), rating_a):
            return ()
        path = run_path(self.assembly, int(self.faults.entries.cable[entry]))
        return (put((*path, "fuse"), current(rating_a)),)

    def to_open(self, point: int) -> list[Mend]:
        """Return what opens a fuse in a short at this point, or holds its cables within their rating."""
        assembly, faults = self.assembly, self.faults
        entries = faults.entries
        entry = int(faults.entry[point])
        rating = float(entries.rating_a[entry])
        supply = int(faults.supply[point])
        string = assembly.strings.names[int(faults.points.string[point])]
        piece = int(faults.points.piece[point])
        around = np.arange(*np.searchsorted(entries.piece, [piece, piece + 1]).tolist())
        mates = around[entries.live[around]]
        if len(mates) > 1:
            ratings = entries.rating_a[mates]
            finite = ratings[np.isfinite(ratings)]
            below = current(float(finite.max())) if len(finite) else None
            feeds = range(len(assembly.display.strings[string].feeds))
            cuts = tuple(Put(("strings", string, "feeds", i, "cut"), True) for i in feeds)
            return [Mend("cut-feeds", {"cut": string, "fuses_below": below}, cuts)]
        if not np.isfinite(rating):
            return [self._first_fuse(point, entry)]
        ways = []
        available = float(faults.fuse_a[point])
        limited = bool(faults.limited[point])
        multiple = multiple_for(float(self.sources.on_s[supply]) if limited else np.inf, rating)
        need = self.need_a(entry)
        smaller = [a for a in BLADE_A if a < rating and not over(a * multiple, available)]
        carrying = [a for a in smaller if not over(need, a)]
        if carrying:
            ways.append(Mend("smaller-fuse", {"smaller": current(carrying[-1])}, self.fuse(entry, carrying[-1])))
        heavier = self._more_copper(point, entry, rating * OPENS_FROM) if not limited else None
        if heavier is not None:
            edits = heavier_cable(assembly, int(entries.cable[entry]), heavier)
            ways.append(Mend("more-copper", {"copper": Quantity(heavier, Sort.NUMBER)}, edits))
        nearer = self._nearer(point)
        if nearer is not None and not limited:
            ways.append(Mend("feed-nearer", {"nearer": nearer}))
        if limited:
            wanted = rounded_up(rating * (multiple if np.isfinite(multiple) else OPENS_FROM))
            ways.append(Mend("stronger-supply", {"delivers": current(wanted)}))
        part = int(faults.overloaded[point])
        if part != NONE and not ways:
            lasting = current(float(faults.lasting_a[point]))
            ways.append(Mend("replace-part", {"replaced": assembly.parts[part], "part_for": lasting}))
        return ways or [Mend("feed-again", {"small": current(smaller[-1]) if smaller else None})]

    def _first_fuse(self, point: int, entry: int) -> Mend:
        assembly, faults = self.assembly, self.faults
        short = float(faults.current_a[point])
        ampacity = float(part_ampacity(assembly)[0][int(faults.overloaded[point])])
        supply = int(faults.supply[point])
        on = float(self.sources.on_s[supply]) if faults.limited[point] else np.inf
        fits = [a for a in BLADE_A if not over(a * multiple_for(on, a), short) and not over(a, ampacity)]
        rating = fits[-1] if fits else min(ampacity, short / OPENS_FROM)
        facts: dict[str, Fact] = {
            "first_fuse": current(rating),
            "usual": bool(fits),
            "run": cable_ids(assembly, [int(faults.entries.cable[entry])])[0],
            "replaced": assembly.parts[int(faults.overloaded[point])],
            "part_for": current(float(faults.lasting_a[point])),
        }
        return Mend("first-fuse", facts, self.fuse(entry, rounded_down(rating)))

    def _more_copper(self, point: int, entry: int, wanted_a: float) -> float | None:
        """Return how many times the copper brings the wanted current to a point; None where no copper does."""
        assembly, faults = self.assembly, self.faults
        supply = int(faults.supply[point])
        if over(wanted_a, float(self.sources.limit_a[supply])):
            return None
        loop = float(faults.loop_ohm[point])
        entries, joints = faults.entries, assembly.joints
        run_edge = assembly.cables.edge[entries.cable[entry]]
        low, high = sorted((int(entries.order[entry]), int(faults.points.order[point])))
        mine = of_string(joints.string, int(faults.points.string[point]))
        sort, edge, ohm = joints.sort[mine], joints.edge[mine], joints.ohm[mine]
        inner = np.isin(sort, (JointSort.SPAN_NEAR, JointSort.SPAN_FAR))
        step = np.where(sort == JointSort.SPAN_NEAR, OUT, SPAN)
        order = 4 * (assembly.network.edge_b[edge] - faults.line.first) + step
        on_way = (inner & (order > low) & (order <= high)) | (edge == run_edge)
        own = float(entries.plus_ohm[entry] - entries.minus_ohm[entry])
        fixed = float(self.sources.inner_ohm[supply]) + own + 2.0 * float(ohm[on_way].sum())
        room = float(faults.source_v[point]) / wanted_a - fixed
        return (loop - fixed) / room if room > 0.0 and loop > fixed else None

    def _nearer(self, point: int) -> str | None:
        """Return the first prop on the piece from which on shorts stay, None where all of them do."""
        faults, assembly = self.faults, self.assembly
        points = faults.points
        mine = of_string(points.string, int(points.string[point]))
        stays = (points.piece[mine] == points.piece[point]) & (faults.outcome[mine] == STAYS)
        first = int(points.order[mine][stays].min())
        entry = int(faults.entries.order[faults.entry[point]])
        place = max(first // 4 - 1, 0)
        if first <= entry + 1:
            return None
        network = assembly.network
        load = int(np.searchsorted(network.load_place, place + faults.line.first))
        if load >= len(network.load_place) or assembly.load_string[load] != points.string[point]:
            return None
        prop = int(assembly.load_prop[load])
        return prop_ids(assembly, [prop])[0] if assembly.props.number[prop] > 1 else None
