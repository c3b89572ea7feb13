"""What would open a fuse that a short leaves whole: a smaller one, more copper, a nearer one; each with its number."""

from __future__ import annotations

import numpy as np

from hollowglow.analysis.circuit.fault.limits import sources_of
from hollowglow.analysis.circuit.fault.points import OUT, SPAN
from hollowglow.analysis.circuit.fault.result import STAYS, Faults
from hollowglow.analysis.circuit.power import BLADE_A, over, part_ampacity
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, prop_ids
from hollowglow.assembly.tables import NONE, Floats, Ints, JointSort, of_string
from hollowglow.physics.fuses import OPENS_FROM, multiple_for
from hollowglow.quantity.numbers import number, rounded_up
from hollowglow.quantity.words import amps, at_least, at_most, several


class Mends:
    """Finds the ways out of shorts of one Assembly."""

    def __init__(self, assembly: Assembly, faults: Faults, edge_plus_a: Floats) -> None:
        self.assembly, self.faults = assembly, faults
        self.sources = sources_of(assembly)
        self.flow_a = np.abs(edge_plus_a)

    def to_open(self, point: int) -> str:
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
            fuses = "so that each piece has one fuse alone"
            return f"Set cut: true on the feeds of {string}, {fuses}, and plan anew." + self._or_smaller(mates)
        if not np.isfinite(rating):
            return self._first_fuse(point, entry)
        ways = []
        available = float(faults.fuse_a[point])
        limited = bool(faults.limited[point])
        multiple = multiple_for(float(self.sources.on_s[supply]) if limited else np.inf, rating)
        need = float(self.flow_a[assembly.cables.edge[entries.cable[entry]]]) / assembly.display.limits.fuse_load
        smaller = [a for a in BLADE_A if a < rating and not over(a * multiple, available)]
        carrying = [a for a in smaller if not over(need, a)]
        if carrying:
            ways.append(f"use a fuse of {amps(carrying[-1])}")
        heavier = self._more_copper(point, entry, rating * OPENS_FROM) if not limited else None
        if heavier is not None:
            ways.append(
                f"use cable with {at_least(heavier, number)} times the copper from {assembly.supplies[supply]} to there"
            )
        nearer = self._nearer(point)
        if nearer is not None and not limited:
            ways.append(f"feed {string} again with cut: true before {nearer}, with a fuse of its own")
        if limited:
            wanted = rounded_up(rating * (multiple if np.isfinite(multiple) else OPENS_FROM))
            ways.append(f"use a supply that delivers {at_least(wanted)} into a short for as long as it takes")
        part = int(faults.overloaded[point])
        if part != NONE and not ways:
            ways.append(f"replace {assembly.parts[part]} by one for {at_least(float(faults.lasting_a[point]))}")
        if not ways:
            small = f" (a fuse of {amps(smaller[-1])} would open, but not carry what flows here)" if smaller else ""
            return (
                f"Feed {string} again with cut: true, so that less flows through each fuse and smaller ones do{small}."
            )
        text = ways[0][0].upper() + ways[0][1:]
        return ", or ".join([text, *ways[1:]]) + "."

    def _or_smaller(self, mates: Ints) -> str:
        ratings = self.faults.entries.rating_a[mates]
        finite = ratings[np.isfinite(ratings)]
        return f" Fuses below {amps(float(finite.max()))} open sooner." if len(finite) else ""

    def _first_fuse(self, point: int, entry: int) -> str:
        assembly, faults = self.assembly, self.faults
        current = float(faults.current_a[point])
        ampacity = float(part_ampacity(assembly)[0][int(faults.overloaded[point])])
        supply = int(faults.supply[point])
        on = float(self.sources.on_s[supply]) if faults.limited[point] else np.inf
        fits = [a for a in BLADE_A if not over(a * multiple_for(on, a), current) and not over(a, ampacity)]
        part = assembly.parts[int(faults.overloaded[point])]
        heavier = f"replace {part} by one for {at_least(float(faults.lasting_a[point]))}"
        where = f"in V+ of {_run_name(assembly, faults, entry)} at {assembly.supplies[supply]}"
        if fits:
            return f"Put a fuse of {amps(fits[-1])} or less {where}, or {heavier}."
        return f"Put a fuse of {at_most(min(ampacity, current / OPENS_FROM))} {where}, or {heavier}."

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


def _run_name(assembly: Assembly, faults: Faults, entry: int) -> str:
    return several(cable_ids(assembly, [int(faults.entries.cable[entry])]))
