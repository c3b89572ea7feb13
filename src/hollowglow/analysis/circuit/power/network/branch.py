"""Whether a network of constant-power lights has a steady state, and only one: continuation in the load.

The duty of every light is multiplied by a load fraction. From no load upward the voltages follow a curve in (voltage,
fraction); constant-power lights bend it over at a fold, after which it returns to lower fractions at lower voltages.
The curve is followed past the fold with the most-falling light's voltage as the parameter (local parametrisation,
Rheinboldt and Burkardt, ACM TOMS 9, 1983), until a light reaches its cutoff. Where it passes fraction 1 the network
has a steady state: never, once, or twice.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.linalg import splu

from hollowglow.analysis.circuit.power.network.equations import KNOWN, CircuitEquations
from hollowglow.analysis.circuit.power.network.loads import Drawer, drawer
from hollowglow.analysis.circuit.power.network.newton import STEP_V, factor, imbalance, jacobian, solve, unloaded
from hollowglow.assembly.tables import Flags, Floats, Ints

State = Literal["one", "two", "fold", "cutoff", "lost"]
MOST_POINTS = 400
_CLOSE = 1e-7


@dataclass(frozen=True)
class Verdict:
    """What the curve says about one island.

    Attributes:
        state: "one" steady state; "two"; none because of a "fold"; none because a light reaches its "cutoff" first;
            "lost" where the curve could not be followed to a decision.
        fraction: load fraction at which it goes (fold, cutoff), 1 for "one" and "two", the last reached for "lost".
        load: row of the live load (of the whole circuit) that is weakest there.
        upper_v, lower_v: voltage across that light at full load on either side of the fold, V, NaN where none.
        off: how many drivers are off in the steady state shown, where there is one with some of them off.
        upper, lower: voltages (V) of the island's unknowns at full load on either side of the fold, None where none.
        end: those where the curve ends without having reached full load.
    """

    state: State
    fraction: float
    load: int
    upper_v: float = float("nan")
    lower_v: float = float("nan")
    off: int = 0
    upper: Floats | None = None
    lower: Floats | None = None
    end: Floats | None = None


@dataclass(frozen=True)
class _Island:
    """One island as a circuit of its own."""

    circuit: CircuitEquations
    drawer: Drawer
    count: Floats
    duty: Floats
    constant_power: Ints
    cutoff_v: Floats
    loads: Ints


def _cut_out(
    circuit: CircuitEquations, drawer_all: Drawer, count: Floats, duty: Floats, island: int
) -> tuple[_Island, Ints]:
    keep = np.flatnonzero(circuit.island == island)
    loads = np.flatnonzero(circuit.load_island == island)
    renumber = np.full(circuit.size, KNOWN, dtype=np.int64)
    renumber[keep] = np.arange(len(keep))
    matrix = csc_matrix(circuit.matrix[keep][:, keep])
    plus, minus = renumber[circuit.load_plus[loads]], renumber[circuit.load_minus[loads]]
    # Slicing may drop the explicit zeros where loads enter: put them back.
    zero = csc_matrix((np.zeros(2 * len(plus)), (np.r_[plus, minus], np.r_[minus, plus])), shape=matrix.shape)
    matrix = _with_pattern(matrix, zero)
    columns = np.repeat(np.arange(len(keep)), np.diff(matrix.indptr))
    keys = columns * len(keep) + matrix.indices
    pairs = ((plus, plus), (minus, minus), (plus, minus), (minus, plus))
    slots = np.array([np.searchsorted(keys, c * len(keep) + r) for r, c in pairs], dtype=np.int64)
    part = replace(
        circuit,
        matrix=matrix,
        source=circuit.source[keep],
        load_plus=plus,
        load_minus=minus,
        slots=slots,
        island=np.zeros(len(keep), dtype=np.int64),
        load_island=np.zeros(len(loads), dtype=np.int64),
        islands=1,
    )
    characteristics = circuit.network.characteristics
    characteristic = drawer_all.characteristic[loads]
    constant_power = np.flatnonzero(
        characteristics.falls[characteristic]
        & (duty[loads] * characteristics.power_w[characteristic] > 0.0).any(axis=1)
    )
    own = _Island(
        part,
        drawer(characteristics, characteristic),
        count[loads],
        duty[loads],
        constant_power,
        characteristics.cutoff_v[characteristic[constant_power]],
        loads,
    )
    return own, keep


def _with_pattern(matrix: csc_matrix, zero: csc_matrix) -> csc_matrix:
    a, b = matrix.tocoo(), zero.tocoo()
    data = np.concatenate([a.data, b.data])
    rows, cols = np.concatenate([a.row, b.row]), np.concatenate([a.col, b.col])
    joined = coo_matrix((data, (rows, cols)), shape=matrix.shape).tocsc()
    joined.sort_indices()
    return joined


def surely_single(circuit: CircuitEquations, drawer_all: Drawer, count: Floats, duty: Floats) -> Flags:
    """Return by island whether no two steady states with every driver running can exist.

    With each constant-power slope at its steepest (at the cutoff) and every other slope left out, a positive definite
    Jacobian makes the equations strictly monotone wherever all drivers run, and such equations have one root at most
    (Ortega and Rheinboldt, Iterative Solution of Nonlinear Equations, 5.4.3).
    """
    characteristics = circuit.network.characteristics
    characteristic = drawer_all.characteristic
    worst = np.zeros(len(characteristic))
    switching = characteristics.falls[characteristic]
    power = (
        np.einsum("nc,nc->n", duty[switching], characteristics.power_w[characteristic[switching]])
        / characteristics.efficiency[characteristic[switching]]
    )
    worst[switching] = -count[switching] * power / characteristics.cutoff_v[characteristic[switching]] ** 2
    return positive_definite(circuit, jacobian(circuit, worst))


def positive_definite(circuit: CircuitEquations, matrix: csc_matrix) -> Flags:
    """Return by island whether a symmetric matrix has positive pivots only, eliminated in its own order."""
    try:
        lu = factor(matrix)
    except RuntimeError:
        return np.zeros(circuit.islands, dtype=bool)
    if not (lu.perm_r == lu.perm_c).all():
        return np.zeros(circuit.islands, dtype=bool)
    bad = np.zeros(circuit.islands, dtype=bool)
    bad[circuit.island[(lu.U.diagonal() <= 0.0)[lu.perm_c]]] = True
    return ~bad


class _Curve:
    """The curve of one island: points (x, fraction), each found with one light's voltage held."""

    def __init__(self, island: _Island) -> None:
        self.island = island
        circuit = island.circuit
        self.rows_plus = circuit.load_plus
        self.rows_minus = circuit.load_minus

    def margins(self, x: Floats) -> Floats:
        return self.island.circuit.across(x)[self.island.constant_power] - self.island.cutoff_v

    def _parts(self, x: Floats, fraction: float) -> tuple[Floats, Floats, csc_matrix]:
        """Return imbalance, its derivative by the fraction, and its Jacobian."""
        own = self.island
        v = own.circuit.across(x)
        full, slope = own.drawer.node(v, own.duty)
        still, still_slope = own.drawer.node(v, np.zeros_like(own.duty))
        current = own.count * (still + fraction * (full - still))
        conductance = own.count * (still_slope + fraction * (slope - still_slope))
        by_fraction = np.zeros(own.circuit.size)
        np.add.at(by_fraction, own.circuit.load_plus, own.count * (full - still))
        np.add.at(by_fraction, own.circuit.load_minus, -own.count * (full - still))
        return imbalance(own.circuit, x, current), by_fraction, jacobian(own.circuit, conductance)

    def _bordered(self, matrix: csc_matrix, by_fraction: Floats, load: int) -> csc_matrix:
        n = len(by_fraction)
        body = matrix.tocoo()
        ends = np.array([self.rows_plus[load], self.rows_minus[load]])
        every = np.arange(n)
        data = np.concatenate([body.data, by_fraction, [1.0, -1.0]])
        rows = np.concatenate([body.row, every, [n, n]])
        cols = np.concatenate([body.col, np.full(n, n), ends])
        return coo_matrix((data, (rows, cols)), shape=(n + 1, n + 1)).tocsc()

    def tangent(self, x: Floats, fraction: float, load: int) -> tuple[Floats, float]:
        """Return (dx, dfraction) for one volt less across `load`."""
        _, by_fraction, matrix = self._parts(x, fraction)
        right = np.zeros(len(x) + 1)
        right[-1] = -1.0
        step = splu(self._bordered(matrix, by_fraction, load)).solve(right)
        return step[:-1], float(step[-1])

    def held(self, x: Floats, fraction: float, load: int, voltage: float) -> tuple[Floats, float] | None:
        """Return the point of the curve where `load` has `voltage`, None where Newton does not find it."""
        x = x.copy()
        for _ in range(25):
            wrong, by_fraction, matrix = self._parts(x, fraction)
            miss = x[self.rows_plus[load]] - x[self.rows_minus[load]] - voltage
            try:
                lu = splu(self._bordered(matrix, by_fraction, load))
            except RuntimeError:
                return None
            step = lu.solve(np.concatenate([-wrong, [-miss]]))
            if not np.isfinite(step).all():
                return None
            x += step[:-1]
            fraction += float(step[-1])
            if np.abs(step[:-1]).max() < STEP_V and abs(float(step[-1])) < 1e-9:
                return x, fraction
        return None


def follow(circuit: CircuitEquations, drawer_all: Drawer, count: Floats, duty: Floats, island: int) -> Verdict:
    """Return the verdict on one island with constant-power lights, by following its curve from no load.

    Args:
        circuit, drawer_all, count, duty: the whole circuit and its live loads.
        island: which island.
    """
    own, _ = _cut_out(circuit, drawer_all, count, duty, island)
    curve = _Curve(own)
    nothing = np.zeros_like(own.duty)
    start = solve(own.circuit, own.drawer, own.count, nothing, unloaded(own.circuit))
    x, fraction = start.x, 0.0
    weakest = int(np.argmin(curve.margins(x)))
    if curve.margins(x)[weakest] < 0.0:
        return Verdict("cutoff", 0.0, int(own.loads[own.constant_power[weakest]]))
    upper: Floats | None = None
    load = int(own.constant_power[weakest])
    reach = float(own.circuit.across(x)[load] - own.cutoff_v[weakest])
    size = reach / 60.0
    peak = (fraction, load, x)
    for _ in range(MOST_POINTS):
        dx, dfraction = curve.tangent(x, fraction, load)
        falls = -own.circuit.across(dx)[own.constant_power]
        steepest = int(np.argmax(falls))
        if int(own.constant_power[steepest]) != load and falls[steepest] > 1.2:
            load = int(own.constant_power[steepest])
            continue
        now = float(own.circuit.across(x)[load])
        stop = float(own.cutoff_v[np.flatnonzero(own.constant_power == load)[0]])
        target = max(now - size, stop)
        move = now - target
        found = curve.held(x + dx * move, fraction + dfraction * move, load, target)
        if found is None:
            size *= 0.5
            if size < reach * 1e-5:
                return Verdict("lost", fraction, int(own.loads[load]), upper=upper)
            continue
        following, reached = found
        margins = curve.margins(following)
        if margins.min() < -_CLOSE:  # another light passed its cutoff inside the step
            size = move * 0.5
            if size > 1e-7:
                continue
        crossed = (fraction - 1.0) * (reached - 1.0) <= 0.0 and fraction != reached
        if crossed:
            root = _at_full(own, x, fraction, following, reached)
            if root is not None and upper is None:
                upper = root
            elif root is not None and upper is not None:
                high, low = float(own.circuit.across(upper)[load]), float(own.circuit.across(root)[load])
                return Verdict("two", 1.0, int(own.loads[load]), high, low, upper=upper, lower=root)
        if reached > peak[0]:
            peak = (reached, load, following)
        elif upper is None and reached < fraction:
            top, over = _fold(curve, peak, size)
            if top < 1.0:
                return Verdict("fold", top, int(own.loads[load]), end=over)
            both = _beside(own, curve, peak[1], (x, over, following))
            if both is None:
                return Verdict("lost", fraction, int(own.loads[load]))
            high, low = (float(own.circuit.across(side)[peak[1]]) for side in both)
            return Verdict("two", 1.0, int(own.loads[peak[1]]), high, low, upper=both[0], lower=both[1])
        x, fraction = following, reached
        size = min(size * 1.3, reach / 40.0)
        if curve.margins(x).min() <= _CLOSE:
            at = int(own.constant_power[np.argmin(curve.margins(x))])
            if upper is None:
                return Verdict("cutoff", fraction, int(own.loads[at]), end=x)
            return Verdict("one", 1.0, int(own.loads[at]), upper=upper)
    return Verdict("lost", fraction, int(own.loads[load]), upper=upper)


def partly_off(
    circuit: CircuitEquations, drawer_all: Drawer, count: Floats, duty: Floats, island: int, end: Floats | None
) -> tuple[Floats | None, Flags]:
    """Return a steady state of an island with some drivers off, where there is one.

    The fewest drivers are taken out, the weakest first, with which the others run; the state counts only if every
    driver taken out then really has less than its cutoff (else it would start again, and the string would flicker).

    Args:
        circuit, drawer_all, count, duty: the whole circuit and its live loads.
        island: which island.
        end: voltages (V) of the island's unknowns where its curve ended, None: unloaded.

    Returns:
        Voltages (V) of the island's unknowns, None where there is no such state, and which of all switching drivers are off.
    """
    own, _ = _cut_out(circuit, drawer_all, count, duty, island)
    rows = own.drawer.falling
    cutoff = circuit.network.characteristics.cutoff_v[own.drawer.characteristic[rows]]
    idle = unloaded(own.circuit)
    weakness = own.circuit.across(idle if end is None else end)[rows] / cutoff
    # What is below its cutoff without any load never starts; what nearly ties with it goes with it.
    weakness = np.where(own.circuit.across(idle)[rows] < cutoff, -np.inf, weakness)
    sets = [off for off in _growing(weakness) if off[np.isneginf(weakness)].all()]
    none = np.zeros(len(drawer_all.running), dtype=bool)
    best: tuple[Floats, Flags] | None = None
    low, high = 0, len(sets) - 1
    while low <= high:
        middle = (low + high) // 2
        off = sets[middle]
        found = solve(own.circuit, replace(own.drawer, running=~off), own.count, own.duty, most_steps=16, halvings=6)
        v = own.circuit.across(found.x)[rows]
        if bool(found.converged.all()) and (off | (v >= cutoff)).all():
            best, high = (found.x, off), middle - 1
        else:
            low = middle + 1
    if best is None:
        return None, none
    x, off = best
    if not (own.circuit.across(x)[rows] < cutoff)[off].all():
        return None, none
    stopped = none.copy()
    stopped[np.flatnonzero(np.isin(drawer_all.falling, own.loads[rows[off]]))] = True
    return x, stopped


def _growing(weakness: Floats) -> list[Flags]:
    """Return sets of drivers to take out, from none to all, the weakest first and those that tie together."""
    order = np.argsort(weakness, kind="stable")
    ranked = weakness[order]
    breaks = np.flatnonzero(np.append(True, ~(ranked[1:] <= ranked[:-1] + 1e-9)))
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    return [rank < int(n) for n in [*breaks, len(order)]]


def _at_full(own: _Island, a: Floats, fa: float, b: Floats, fb: float) -> Floats | None:
    """Return the voltages at fraction 1 between two points of the curve."""
    share = (1.0 - fa) / (fb - fa)
    found = solve(own.circuit, own.drawer, own.count, own.duty, a + share * (b - a))
    return found.x if bool(found.converged.all()) else None


def _fold(curve: _Curve, peak: tuple[float, int, Floats], size: float) -> tuple[float, Floats]:
    """Return the largest fraction near the highest point found, and its voltages, by search on the held voltage."""
    from scipy.optimize import minimize_scalar

    fraction, load, x = peak
    across = float(curve.island.circuit.across(x)[load])

    def below(voltage: float) -> float:
        found = curve.held(x, fraction, load, voltage)
        return -found[1] if found is not None else -fraction

    best = minimize_scalar(below, bounds=(across - 2.0 * size, across + 2.0 * size), method="bounded")
    found = curve.held(x, fraction, load, float(best.x))
    return (found[1], found[0]) if found is not None and found[1] > fraction else (fraction, x)


def _beside(
    own: _Island, curve: _Curve, load: int, points: tuple[Floats, Floats, Floats]
) -> tuple[Floats, Floats] | None:
    """Return the voltages at fraction 1 before and after the fold, given points before, on and after it."""
    from scipy.optimize import brentq

    _, top, _ = points
    volts = [float(own.circuit.across(p)[load]) for p in points]

    def beyond(voltage: float) -> float:
        found = curve.held(top, 1.0, load, voltage)
        return found[1] - 1.0 if found is not None else -1.0

    sides: list[Floats] = []
    for outer in (volts[0], volts[2]):
        if beyond(outer) * beyond(volts[1]) > 0.0:
            return None
        voltage = brentq(beyond, outer, volts[1], xtol=1e-12)
        found = curve.held(top, 1.0, load, voltage)
        if found is None:
            return None
        sides.append(found[0])
    return sides[0], sides[1]
