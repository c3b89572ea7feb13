"""The steady state of a display in many frames at once: one factorisation, many right-hand sides.

A batch of frames keeps the slopes of its lights where they are on average, so that one factored matrix serves all of
them, and each step of the iteration is one solve with as many right-hand sides as there are frames (chord method:
Ortega and Rheinboldt, Iterative Solution of Nonlinear Equations, 7.1). Where a frame has come to rest, Kirchhoff's laws
and the characteristics hold in it; the fixed matrix only decides how soon. A frame that does not come to rest, or in which a
switching driver is near what its string can carry, goes to the full solver of power/, which tells a collapse.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import SuperLU

from hollowglow.analysis.circuit.power import (
    KNOWN,
    CircuitEquations,
    drawer,
    factor,
    jacobian,
    nominal_voltage,
    prepare,
    solve_network,
)
from hollowglow.assembly import Assembly, Network
from hollowglow.assembly.kinds import MOST_COLOURS
from hollowglow.assembly.tables import Flags, Floats, Ints, LoadCharacteristics
from hollowglow.show.demand.addresses import DARK, FULL, AddressMap, Bytes
from hollowglow.show.demand.conductors import conductors_of
from hollowglow.show.demand.lamps import FrameLamps, LitLamps, together
from hollowglow.show.demand.mains import MainsCircuits
from hollowglow.show.demand.readings import DemandReadings
from hollowglow.show.demand.result import FrameCurrents, dark

STEP_V = 2e-8
MOST_STEPS = 40
# After these steps the slopes are taken anew: from no load they are far off where lights sag into their knees.
REFACTORED = (0, 1, 3, 6, 12)
# So many frames at once begin where the last few ended, with the factors that served them: frames of a show are alike.
FEW = 8
REFACTORED_LATE = (5, 11, 20)
SHRINK = 0.95
ROUNDING_V = 1e-11
# Frames in one batch: many enough for one factorisation to pay, few enough to stay in the processor's cache.
BATCH = 192


class _Warm(NamedTuple):
    """Where a few frames came to rest: voltages of the last, slopes and factors."""

    x: Floats
    slope: Floats
    lu: SuperLU


class Demand:
    """A display whose frames are to be solved."""

    def __init__(self, assembly: Assembly) -> None:
        """Prepare the equations of an Assembly."""
        network = assembly.network
        self.assembly = assembly
        self.addresses = AddressMap.of(assembly)
        characteristics = network.characteristics.spread(network.load_characteristic)
        # The full solver takes duties by row of the characteristics: with a row for each light, it takes those of any frame.
        self.spread = replace(
            network, load_characteristic=np.arange(len(network.load_characteristic)), characteristics=characteristics
        )
        self.circuit = circuit = prepare(self.spread)
        self.live = live = np.flatnonzero(circuit.alive)
        self.lamps = FrameLamps(network.characteristics, network.load_characteristic[live], network.load_count[live])
        self.duties = Duties(self.addresses, live)
        at = np.arange(len(live))
        ends = (np.r_[at, at], np.r_[circuit.load_plus, circuit.load_minus])
        self.across = csr_matrix((np.repeat([1.0, -1.0], len(live)), ends), shape=(len(live), circuit.size))
        self.back = self.across.T.tocsr()
        self._nominal_v = nominal_voltage(assembly)[live]
        self._flux_lm = assembly.kinds.flux_lm[network.load_characteristic[live]]
        lu = factor(jacobian(circuit, np.zeros(len(live)))) if circuit.size else None
        unloaded = np.zeros(0) if lu is None else lu.solve(circuit.source)
        self.unloaded_v: Floats = self.across @ unloaded
        self.conductors = conductors_of(assembly, circuit, lu, _most(network, live, self.unloaded_v))
        self.mains = MainsCircuits.of(assembly)
        self.readings = DemandReadings(assembly, circuit, live, self.conductors, self.mains.per_a)
        self._switching = _switching(characteristics, live, circuit)
        self.unloaded_x = unloaded
        self._warm: _Warm | None = None

    @classmethod
    def of(cls, assembly: Assembly) -> Demand:
        """Return the demand of an Assembly."""
        return cls(assembly)

    def solve(self, frames: Bytes, level: float = 1.0, *, near: bool = False, pulses: bool = False) -> FrameCurrents:
        """Return what each frame draws; frames that are equal are solved once.

        Args:
            frames: slots, shape (F, U, 512).
            level: by which all duties are multiplied.
            near: begin a few frames where the last few solved so ended, because they are alike.
            pulses: take every colour that is lit at its full current, as when all pulses coincide (the point `coincident`).
        """
        if pulses:
            frames = np.where(frames > 0, np.uint8(FULL), np.uint8(0))
        first: dict[bytes, int] = {}
        where = np.array([first.setdefault(f.tobytes(), len(first)) for f in frames], dtype=np.int64)
        _, different = np.unique(where, return_index=True)
        done = [
            self._batch(frames[different[i : i + BATCH]], level, near, pulses) for i in range(0, len(different), BATCH)
        ]
        drawn = FrameCurrents.joined(done) if done else dark(self.assembly, 0, len(self.conductors))
        return drawn.taken(where)

    def _batch(self, frames: Bytes, level: float, near: bool, pulses: bool) -> FrameCurrents:
        count = len(frames)
        if not self.circuit.size or not len(self.live):
            return dark(self.assembly, count, len(self.conductors))
        duty = self.duties.of(frames, pulses)
        if level != 1.0:
            duty *= level
        lit = self.lamps.at(duty)
        x, settled = self._chord(lit, near and count <= FEW)
        drawn = self._read(lit, x)
        for frame in np.flatnonzero(~settled).tolist():
            self._alone(drawn, lit, frame)
        return drawn

    def _chord(self, lit: LitLamps, near: bool) -> tuple[Floats, Flags]:
        """Return voltages of the unknowns (n, D), and which frames are at rest with no doubt about them."""
        count = self.lamps.count
        frames = lit.flat.shape[1]
        warm = self._warm if near else None
        x = np.repeat((self.unloaded_x if warm is None else warm.x)[:, None], frames, axis=1)
        result = x.copy()
        settled = np.zeros(frames, dtype=bool)
        going = np.arange(frames)
        v = self.across @ x
        current, slope = lit.node(v)
        fixed = (count * slope).mean(axis=1) if warm is None else warm.slope
        source = self.circuit.source[:, None]
        before = np.full(frames, np.inf)
        own = lit
        try:
            lu = factor(jacobian(self.circuit, fixed)) if warm is None else warm.lu
            for step in range(MOST_STEPS):
                right = source - self.back @ (count * current - fixed[:, None] * v)
                following = lu.solve(right)
                moved = np.abs(following - x).max(axis=0)
                x = following
                v = self.across @ x
                # Moves that shrink by a factor q leave at most q/(1-q) of the last one to go: slow ones go on for longer.
                done = (moved < STEP_V) & (moved < SHRINK * before + ROUNDING_V)
                if done.any():
                    rested = going[done]
                    result[:, rested] = x[:, done]
                    settled[rested] = True
                    keep = np.flatnonzero(~done & np.isfinite(moved))
                    if not len(keep):
                        break
                    going, x, v, moved = going[keep], x[:, keep], v[:, keep], moved[keep]
                    own = own.keep(keep)
                before = moved
                current, slope = own.node(v)
                if step in (REFACTORED if warm is None else REFACTORED_LATE):
                    fixed = (count * slope).mean(axis=1)
                    lu = factor(jacobian(self.circuit, fixed))
        except RuntimeError:  # singular: a switching driver at the fold of what its line can carry
            return result, np.zeros_like(settled)
        if near and settled.any():
            self._warm = _Warm(result[:, settled][:, -1], fixed, lu)
        settled &= self._surely_running(lit, self.across @ result)
        return result, settled

    def _surely_running(self, lit: LitLamps, v: Floats) -> Flags:
        """Return which frames have every switching driver running, in the only state with all of them running.

        With R the resistances that couple the drivers and D = P/cutoff^2 their steepest slopes, the largest row sum of
        R D below 1 makes the equations strictly monotone while all drivers run, so that they have one root at most. A
        row of R D is at most the drop at that driver times the greatest v/cutoff^2 of its island, since the drop is R
        times P/v, and more.
        """
        if self._switching is None:
            return np.ones(v.shape[1], dtype=bool)
        rows, first, cutoff = self._switching
        own = v[rows]
        drop = np.maximum.reduceat(self.unloaded_v[rows][:, None] - own, first, axis=0)
        steep = np.maximum.reduceat(own / cutoff[:, None] ** 2, first, axis=0)
        return np.asarray(lit.running(v) & (drop * steep < 1.0).all(axis=0))

    def _read(self, lit: LitLamps, x: Floats) -> FrameCurrents:
        v = self.across @ x
        current, _ = lit.node(v)
        left, full = lit.light(v, self._nominal_v, self._flux_lm)
        return self.readings.of(x, v, self.lamps.count * current, left, full)

    def _alone(self, drawn: FrameCurrents, lit: LitLamps, frame: int) -> None:
        """Enter one frame as the full solver finds it."""
        duty = np.zeros((len(self.spread.load_characteristic), MOST_COLOURS))
        duty[self.live] = lit.duty[:, :, frame].T
        solved = solve_network(self.spread, duty, self.circuit)
        point = solved.point
        x = np.zeros(self.circuit.size)
        for index, volts in ((self.circuit.plus, point.plus_v), (self.circuit.minus, point.minus_v)):
            x[index[index != KNOWN]] = volts[index != KNOWN]
        v = self.across @ x
        left, full = lit.keep(np.array([frame])).light(v[:, None], self._nominal_v, self._flux_lm)
        load = (self.spread.load_count * point.load_a)[self.live]
        one = self.readings.of(x[:, None], v[:, None], load[:, None], left, full)
        collapsed = any(verdict.state != "two" for verdict in solved.verdicts)
        drawn.put(frame, one, collapsed=collapsed, doubtful=bool(solved.verdicts) or bool(len(point.unsolved)))


def _most(network: Network, live: Ints, unloaded_v: Floats) -> Floats:
    """Return the most that each live load ever draws, A: switching drivers at their cutoff, all others without load."""
    characteristics, characteristic = network.characteristics, network.load_characteristic[live]
    highest, _ = drawer(characteristics, characteristic).per_colour(unloaded_v)
    switching = characteristics.falls[characteristic]
    power_w = characteristics.power_w[characteristic] / characteristics.efficiency[characteristic][:, None]
    cutoff_v = np.where(switching, characteristics.cutoff_v[characteristic], 1.0)[:, None]
    falling = np.divide(power_w, cutoff_v, out=np.full_like(power_w, np.inf), where=cutoff_v > 0.0)
    lit = np.where(switching[:, None] & (power_w > 0.0), falling, highest)
    drawn = np.where(network.duty[characteristic] > 0.0, lit, 0.0) * network.duty[characteristic]
    return np.asarray(network.load_count[live] * (drawn.sum(axis=1) + characteristics.idle_a[characteristic]))


def _switching(
    characteristics: LoadCharacteristics, live: Ints, circuit: CircuitEquations
) -> tuple[Ints, Ints, Floats] | None:
    """Return the switching drivers island by island, where each island starts, and their cutoffs; None without any."""
    rows = np.flatnonzero(characteristics.falls[live])
    if not len(rows):
        return None
    rows = rows[np.argsort(circuit.load_island[rows], kind="stable")]
    island = circuit.load_island[rows]
    return rows, np.flatnonzero(np.r_[True, np.diff(island) > 0]), characteristics.cutoff_v[live[rows]]


class Duties:
    """From the slots of many frames to the duties of the lights, the last axis counting the frames."""

    def __init__(self, addresses: AddressMap, live: Ints) -> None:
        table = addresses.load_nodes[live]
        node = table.indices[table.indptr[:-1]]
        cells = addresses.cells
        to_cell = csr_matrix(
            (np.ones(len(addresses.node_cell)), (np.arange(len(addresses.node_cell)), addresses.node_cell)),
            shape=(len(addresses.node_cell), cells),
        )
        shares = (table @ to_cell).tocsr() if len(live) else csr_matrix((0, cells))
        # A light whose nodes all repeat one cell needs no sum, and so most displays need none.
        self._single = shares.nnz == len(live)
        self._shares = shares
        cell = addresses.node_cell[node] if self._single else np.arange(cells)
        head = node if self._single else np.searchsorted(addresses.node_cell, np.arange(cells))
        slot = addresses.seen_slot[cell]
        self._heads = len(slot)
        # Rows of alike lights, and for each of their colours its slots and what each slot value gives.
        self._curves: list[tuple[Ints | slice, int, Ints, Floats]] = []
        characteristic = np.column_stack([addresses.node_full[head], addresses.node_gamma[head]])
        kinds, which = np.unique(characteristic, axis=0, return_inverse=True)
        steps = np.arange(FULL + 1) / FULL
        for k, row in enumerate(kinds):
            own = np.flatnonzero(which.ravel() == k)
            for c in range(MOST_COLOURS):
                if (slot[own, c] != DARK).all():
                    seen = np.ascontiguousarray(slot[own, c])
                    self._curves.append((together(own), c, seen, row[c] * steps ** row[-1]))

    def of(self, frames: Bytes, pulses: bool = False) -> Floats:
        """Return the duties of frames (D, U, 512), shape (4, L, D); with `pulses` 1 for whatever is lit."""
        flat = np.ascontiguousarray(frames.reshape(len(frames), -1).T)
        duty = np.zeros((MOST_COLOURS, self._heads, len(frames)))
        for rows, c, seen, table in self._curves:
            duty[c, rows] = table[flat[seen]]
        if pulses:
            duty = np.where(duty > 0.0, 1.0, 0.0)
        if self._single:
            return duty
        return np.stack([self._shares @ duty[c] for c in range(MOST_COLOURS)])
