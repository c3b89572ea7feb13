"""How warm the cables on the way to a fault get, part by part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.fault.points import IN, OUT, SPAN, PowerEntries, StringPlaces
from hollowglow.analysis.circuit.power import part_ampacity
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import NONE, CableSort, Floats, Ints
from hollowglow.file.model.parts import Cable
from hollowglow.physics import copper
from hollowglow.physics.shorts import START_C, adiabatic_c, steady_c

_STEP = {CableSort.OUT: OUT, CableSort.SPAN: SPAN, CableSort.IN: IN, CableSort.WIRE: IN}


def copper_area_mm2(cable: Cable) -> float:
    """Return the copper area of one conductor, mm2: of a metric size or a resistance that which conducts."""
    if cable.resistance is not None:
        return copper.IACS_OHM_M / cable.resistance * 1e6
    assert cable.size is not None  # one of them is stated: checked by the model
    if cable.size.awg is not None:
        return copper.awg_area_m2(cable.size.awg) * 1e6
    assert cable.size.mm2 is not None
    return copper.IACS_OHM_M / copper.class5_resistance_ohm_per_m(cable.size.mm2) * 1e6


@dataclass(frozen=True)
class FaultPath:
    """What flows on the way to each fault, over all states until the last fuse opened.

    A stretch lies between two neighbours among the entries and the fault itself, a run is the cable of an entry.

    Attributes:
        bounds: order of the entries with the fault among them, rising, shape (n, m + 1).
        stretch_a2s, run_a2s: integral of the squared current, shapes (n, m).
        stretch_a, run_a: largest current, shapes (n, m).
        stretch_lasting_a, run_lasting_a: current that stays on, shapes (n, m).
    """

    bounds: Ints
    stretch_a2s: Floats
    run_a2s: Floats
    stretch_a: Floats
    run_a: Floats
    stretch_lasting_a: Floats
    run_lasting_a: Floats


class CableRatings:
    """Where each cable part lies along the strings, its area and its rating."""

    def __init__(self, assembly: Assembly, line: StringPlaces) -> None:
        table = assembly.cables
        step = np.full(max(CableSort) + 1, NONE)
        for sort, own in _STEP.items():
            step[sort] = own
        along = np.flatnonzero((step[table.sort] != NONE) & (table.edge != NONE))
        order = 4 * (assembly.network.edge_b[table.edge[along]] - line.first) + step[table.sort[along]]
        self.used = np.unique(table.part).tolist()
        self.orders = {part: np.sort(order[table.part[along] == part]) for part in self.used}
        self.ampacity, self.why = part_ampacity(assembly)
        parts = [p.cable for p in assembly.display.parts.values()]
        self.area_mm2 = np.array([copper_area_mm2(c) if c is not None else np.nan for c in parts])

    def hottest(self, entries: PowerEntries, entry: Ints, way: FaultPath) -> tuple[Ints, Floats]:
        """Return the part that gets hottest on each way and its temperature, degC; NONE where nothing is on it."""
        n = len(entry)
        worst, temperature = np.full(n, NONE, dtype=np.int64), np.full(n, -np.inf)
        for part in self.used:
            heat, most, lasting, there = self._of(part, entries, entry, way)
            settles = steady_c(most, self.ampacity[part])
            reached = np.minimum(adiabatic_c(heat, self.area_mm2[part]), settles)
            held = steady_c(lasting, self.ampacity[part])
            if not np.isfinite(self.ampacity[part]):
                held = np.full(n, START_C)  # nothing is known of what it may carry: nothing is claimed
            reached = np.maximum(np.where(lasting > 0.0, np.maximum(held, reached), reached), START_C)
            hotter = there & (reached > temperature)
            worst[hotter] = part
            temperature[hotter] = reached[hotter]
        return worst, np.where(worst == NONE, START_C, temperature)

    def overloaded(self, entries: PowerEntries, entry: Ints, way: FaultPath) -> Ints:
        """Return the part that the lasting current overloads most, NONE where it overloads none."""
        n = len(entry)
        worst, ratio = np.full(n, NONE, dtype=np.int64), np.full(n, 1.0 + 1e-9)
        for part in self.used:
            _, _, lasting, there = self._of(part, entries, entry, way)
            share = lasting / self.ampacity[part]
            more = there & (share > ratio)
            worst[more] = part
            ratio[more] = share[more]
        return worst

    def _of(self, part: int, entries: PowerEntries, entry: Ints, way: FaultPath) -> tuple[Floats, Floats, Floats, Ints]:
        """Return (A2s, largest A, lasting A, whether it is there) of one part on each way."""
        along = self.orders[part]
        there = np.diff(np.searchsorted(along, way.bounds, side="right"), axis=1) > 0
        run = entries.part[entry] == part
        heat = np.maximum((way.stretch_a2s * there).max(axis=1), (way.run_a2s * run).max(axis=1))
        most = np.maximum((way.stretch_a * there).max(axis=1), (way.run_a * run).max(axis=1))
        lasting = np.maximum((way.stretch_lasting_a * there).max(axis=1), (way.run_lasting_a * run).max(axis=1))
        return heat, most, lasting, (there | run).any(axis=1)
