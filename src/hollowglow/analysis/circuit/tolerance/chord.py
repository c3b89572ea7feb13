"""Many samples of one circuit solved together through the factors of the circuit as stated.

Each edge keeps its stated conductance; what a sample adds to its resistance enters as a voltage in series with it, that
resistance times the current of the step before. Each light keeps the slope that it has in the circuit as stated. So
every step solves one linear system whose matrix is the same for all samples, and along a line without loops the currents
are right after one step, however bad a joint is. Where a sample has come to rest, Kirchhoff's laws and the characteristics of
that sample hold exactly; the fixed matrix only decides how soon. (Chord method: Ortega and Rheinboldt, Iterative
Solution of Nonlinear Equations, 7.1.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from hollowglow.analysis.circuit.power import KNOWN, CircuitEquations, Point, factor, is_stiff, jacobian
from hollowglow.analysis.circuit.tolerance.loads import SampledLamps
from hollowglow.analysis.circuit.tolerance.parts import Deviations
from hollowglow.assembly import Network
from hollowglow.assembly.tables import Flags, Floats, Ints

STEP_V = 1e-7
MOST_STEPS = 40


@dataclass(frozen=True)
class SampledRest:
    """Where the samples came to rest; the last axis counts the samples, numbers of a sample that did not are NaN.

    Attributes:
        across_v: voltage across each live load, V, shape (L, D).
        supply_a: current out of each supply, A, shape (S, D).
        edge_plus_a: current in V+ of the edges asked for, A, shape (F, D).
        settled: which samples came to rest, shape (D,).
        plus_v, minus_v: volts above the common V- terminal at the places asked for, shape (P, D).
    """

    across_v: Floats
    supply_a: Floats
    edge_plus_a: Floats
    settled: Flags
    plus_v: Floats
    minus_v: Floats


@dataclass(frozen=True)
class _Rails:
    """The live edges of both rails, the soft supplies' own resistances last, as rows of one incidence matrix."""

    incidence: csr_matrix
    sources: csr_matrix
    siemens: Floats
    plus_edges: Ints
    minus_edges: Ints


def _rails(circuit: CircuitEquations) -> _Rails:
    network = circuit.network
    supplies = len(network.supply_v)
    stiff = is_stiff(network)
    floating = (circuit.plus == KNOWN) & np.isnan(circuit.plus_given)
    plus_edges = np.flatnonzero(np.isfinite(network.edge_plus_ohm) & ~floating[network.edge_a])
    minus_edges = np.flatnonzero(np.isfinite(network.edge_minus_ohm))
    soft = np.flatnonzero(~stiff)
    rows: list[Ints] = []
    cols: list[Ints] = []
    signs: list[Floats] = []
    source_rows: list[Ints] = []
    source_cols: list[Ints] = []
    source_signs: list[Floats] = []
    first = 0
    for index, edges in ((circuit.plus, plus_edges), (circuit.minus, minus_edges)):
        here = first + np.arange(len(edges))
        for ends, sign in ((network.edge_a[edges], 1.0), (network.edge_b[edges], -1.0)):
            known = index[ends] == KNOWN
            rows.append(here[~known])
            cols.append(index[ends][~known])
            signs.append(np.full(int((~known).sum()), sign))
            if index is circuit.plus:
                source_rows.append(here[known])
                source_cols.append(ends[known] - 1)
                source_signs.append(np.full(int(known.sum()), sign))
        first += len(edges)
    here = first + np.arange(len(soft))
    rows.append(here)
    cols.append(circuit.plus[1 + soft])
    signs.append(np.full(len(soft), -1.0))
    source_rows.append(here)
    source_cols.append(soft)
    source_signs.append(np.ones(len(soft)))
    count = first + len(soft)

    def matrix(values: list[Floats], at: list[Ints], to: list[Ints], width: int) -> csr_matrix:
        return csr_matrix((np.concatenate(values), (np.concatenate(at), np.concatenate(to))), shape=(count, width))

    ohm = np.concatenate(
        [network.edge_plus_ohm[plus_edges], network.edge_minus_ohm[minus_edges], network.supply_ohm[soft]]
    )
    return _Rails(
        incidence=matrix(signs, rows, cols, circuit.size),
        sources=matrix(source_signs, source_rows, source_cols, supplies),
        siemens=1.0 / ohm,
        plus_edges=plus_edges,
        minus_edges=minus_edges,
    )


class Chord:
    """One circuit at one duty, factored once, ready to solve any sample of it."""

    def __init__(
        self, circuit: CircuitEquations, duty: Floats, stated: Point, edges: Ints, places: Ints | None = None
    ) -> None:
        """Prepare the samples.

        Args:
            circuit: the equations as stated.
            duty: of each colour by row of the characteristics, shape (K, c).
            stated: their solution, from which every sample starts.
            edges: edges whose current in V+ is wanted.
            places: places whose voltages are wanted.
        """
        network = circuit.network
        self._rails = rails = _rails(circuit)
        live = np.flatnonzero(circuit.alive)
        self._live = live
        self._lamps = SampledLamps(network.characteristics, network.load_characteristic[live], duty)
        self._count = network.load_count[live][:, None]
        at = np.arange(len(live))
        ends = (np.r_[at, at], np.r_[circuit.load_plus, circuit.load_minus])
        self._load = csr_matrix((np.repeat([1.0, -1.0], len(live)), ends), shape=(len(live), circuit.size))
        x = np.zeros(circuit.size)
        for index, volts in ((circuit.plus, stated.plus_v), (circuit.minus, stated.minus_v)):
            x[index[index != KNOWN]] = volts[index != KNOWN]
        self._start = x
        across = (self._load @ x)[:, None]
        one = np.ones_like(across)
        _, slope = self._lamps.current_and_slope(across, one)
        self._slope = slope * self._count
        self._lu = factor(jacobian(circuit, self._slope[:, 0]))
        self._back = rails.incidence.T.tocsr()
        self._load_back = self._load.T.tocsr()
        row = np.full(len(network.edge_a), -1)
        row[rails.plus_edges] = np.arange(len(rails.plus_edges))
        self._wanted = row[edges]
        starts = network.edge_a[rails.plus_edges]
        leaves = np.flatnonzero((starts >= 1) & (starts <= len(network.supply_v)))
        self._out = csr_matrix(
            (np.ones(len(leaves)), (starts[leaves] - 1, leaves)), shape=(len(network.supply_v), len(rails.siemens))
        )
        asked = np.zeros(0, dtype=np.int64) if places is None else places
        self._plus, self._minus = circuit.plus[asked], circuit.minus[asked]
        supplied = np.isfinite(circuit.plus_given[asked])
        self._given = np.where(supplied, asked - 1, KNOWN)
        self._cutoff = _Cutoffs(circuit, network, live, duty, self._load @ _unloaded(circuit))

    def solve(self, deviations: Deviations) -> SampledRest:
        """Return where the samples come to rest."""
        rails = self._rails
        samples = deviations.supply_v.shape[1]
        ohm = np.zeros((len(rails.siemens), samples))
        plus = len(rails.plus_edges)
        ohm[:plus] = deviations.plus_ohm[rails.plus_edges]
        ohm[plus : plus + len(rails.minus_edges)] = deviations.minus_ohm[rails.minus_edges]
        known = rails.sources @ deviations.supply_v
        spread = deviations.load[self._live]
        siemens = rails.siemens[:, None]
        across_v = np.full((len(self._live), samples), np.nan)
        supply_a = np.full((len(deviations.supply_v), samples), np.nan)
        edge_a = np.full((len(self._wanted), samples), np.nan)
        settled = np.zeros(samples, dtype=bool)
        plus_v, minus_v = (np.full((len(self._plus), samples), np.nan) for _ in range(2))
        going = np.arange(samples)
        x = np.repeat(self._start[:, None], samples, axis=1)
        series = ohm * (siemens * (rails.incidence @ x + known))
        for _ in range(MOST_STEPS):
            v = self._load @ x
            drawn = self._count * self._lamps.current(v, spread) - self._slope * v
            right = -(self._back @ (siemens * (known - series))) - self._load_back @ drawn
            following = self._lu.solve(right)
            amps = siemens * (rails.incidence @ following + known - series)
            again = ohm * amps
            moved = np.abs(following - x).max(axis=0, initial=0.0)
            missed = np.abs(again - series).max(axis=0, initial=0.0)
            done = (moved < STEP_V) & (missed < STEP_V)
            x, series = following, again
            if done.any():
                rested = going[done]
                settled[rested] = True
                across_v[:, rested] = self._load @ x[:, done]
                supply_a[:, rested] = self._out @ amps[:, done]
                plus_v[:, rested], minus_v[:, rested] = self._volts(x[:, done], deviations.supply_v[:, rested])
                edge_a[:, rested] = np.where(self._wanted[:, None] >= 0, amps[self._wanted][:, done], 0.0)
                keep = ~done & np.isfinite(moved)
                going = going[keep]
                if not len(going):
                    break
                x, series, ohm, known, spread = (a[:, keep] for a in (x, series, ohm, known, spread))
        settled &= self._cutoff.surely_running(across_v, deviations.supply_v)
        for values in (across_v, supply_a, edge_a, plus_v, minus_v):
            values[:, ~settled] = np.nan
        return SampledRest(across_v, supply_a, edge_a, settled, plus_v, minus_v)

    def _volts(self, x: Floats, supply_v: Floats) -> tuple[Floats, Floats]:
        """Return V+ and V- of the places asked for; NaN in V+ where no supply reaches."""
        lost = np.full((1, x.shape[1]), np.nan)
        beyond = np.concatenate([x, lost])  # KNOWN points at this last row
        sources = np.concatenate([supply_v, lost])
        plus = np.where((self._plus == KNOWN)[:, None], sources[self._given], beyond[self._plus])
        minus = np.where((self._minus == KNOWN)[:, None], 0.0, beyond[self._minus])
        return plus, minus


def _unloaded(circuit: CircuitEquations) -> Floats:
    x: Floats = factor(jacobian(circuit, np.zeros(len(circuit.load_plus)))).solve(circuit.source)
    return x


class _Cutoffs:
    """Tells the samples in which every constant-power driver runs, and no second state with all of them running exists.

    With R the resistances that couple the drivers and D = P/cutoff^2 the steepest slopes, the largest row sum of R D
    below 1 makes the equations strictly monotone while all drivers run, so that they have one root at most. A row of
    R D is at most the drop at that driver times the greatest v/cutoff^2, since the drop is R times P/v (and more).
    """

    def __init__(
        self, circuit: CircuitEquations, network: Network, live: Ints, duty: Floats, unloaded_v: Floats
    ) -> None:
        characteristics, characteristic = network.characteristics, network.load_characteristic[live]
        powered = (duty[characteristic] * characteristics.power_w[characteristic] > 0.0).any(axis=1)
        self._rows = np.flatnonzero(characteristics.falls[characteristic] & powered)
        self._cutoff_v = characteristics.cutoff_v[characteristic[self._rows]][:, None]
        self._unloaded_v = unloaded_v[self._rows][:, None]
        self._stated_v = network.supply_v[:, None]
        island = circuit.load_island[self._rows]
        order = np.argsort(island, kind="stable")
        self._rows = self._rows[order]
        self._cutoff_v, self._unloaded_v = self._cutoff_v[order], self._unloaded_v[order]
        self._first = np.flatnonzero(np.r_[True, np.diff(island[order]) > 0]) if len(order) else np.zeros(0, np.int64)

    def surely_running(self, across_v: Floats, supply_v: Floats) -> Flags:
        """Return which samples are beyond doubt; the others are for the full solver, shape (D,)."""
        if not len(self._rows):
            return np.ones(across_v.shape[1], dtype=bool)
        v = np.nan_to_num(across_v[self._rows], nan=0.0)
        highest = (supply_v / self._stated_v).max(axis=0)
        drop = np.maximum.reduceat(self._unloaded_v * highest - v, self._first, axis=0)
        steep = np.maximum.reduceat(v / self._cutoff_v**2, self._first, axis=0)
        return np.asarray((v >= self._cutoff_v).all(axis=0) & (drop * steep < 1.0).all(axis=0))
