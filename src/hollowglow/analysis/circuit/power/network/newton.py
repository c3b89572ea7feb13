"""Newton's method on the circuit, damped island by island.

For constant currents and resistors the load current rises with voltage, so the equations are the gradient of a convex function
(the total co-content, Millar 1951): along a Newton step its slope is F(x + t dx).dx, and a step is accepted only when
that slope has not turned up by more than half its initial size. Each island is damped by itself.

Where the very first step overshoots (a string that sags into the knees of its lights), or a dozen steps have not come
to rest, the start is moved by a few steps in which every load is a resistor of its present v/i: these keep all voltages
between 0 and the supply's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import SuperLU, splu

from hollowglow.analysis.circuit.power.network.equations import CircuitEquations
from hollowglow.analysis.circuit.power.network.loads import Drawer
from hollowglow.assembly.tables import Flags, Floats

STEP_V = 1e-8
MOST_STEPS = 60
_HALVINGS = 24
_SECANTS = 3
_PATIENCE = 12
_SMALLEST_V = 1e-9


@dataclass(frozen=True)
class Solution:
    """Voltages of the unknowns and what the last step said.

    Attributes:
        x: unknown voltages, V.
        converged: by island.
        steps: Newton steps taken.
        residual_a: largest imbalance of current at any unknown, by island, A.
    """

    x: Floats
    converged: Flags
    steps: int
    residual_a: Floats


def factor(matrix: csc_matrix) -> SuperLU:
    """Return the LU factors in the order given, without pivoting off the diagonal.

    Strings have no dense blocks worth gathering, hence the small panels.
    """
    return splu(
        matrix,
        permc_spec="NATURAL",
        diag_pivot_thresh=0.0,
        relax=2,
        panel_size=4,
        options={"SymmetricMode": True},
    )


def jacobian(circuit: CircuitEquations, slope: Floats) -> csc_matrix:
    """Return the conductance matrix with the slopes (S) of the live loads entered."""
    data = circuit.matrix.data.copy()
    if not slope.any():
        return csc_matrix((data, circuit.matrix.indices, circuit.matrix.indptr), shape=circuit.matrix.shape)
    pp, mm, pm, mp = circuit.slots
    for slots, sign in ((pp, 1.0), (mm, 1.0), (pm, -1.0), (mp, -1.0)):
        np.add.at(data, slots, sign * slope)
    return csc_matrix((data, circuit.matrix.indices, circuit.matrix.indptr), shape=circuit.matrix.shape)


class Factors:
    """LU factors of the Jacobian, kept while the slopes stay what they were (lights in saturation have none)."""

    def __init__(self, circuit: CircuitEquations) -> None:
        self._circuit = circuit
        self._slope: Floats | None = None
        self._lu: SuperLU | None = None

    def solve(self, slope: Floats, right: Floats) -> Floats:
        """Return J(slope)^-1 right; raises RuntimeError where J is singular."""
        if self._lu is None or self._slope is None or not np.array_equal(slope, self._slope):
            self._lu = factor(jacobian(self._circuit, slope))
            self._slope = slope
        solved: Floats = self._lu.solve(right)
        return solved


def unloaded(circuit: CircuitEquations, factors: Factors | None = None) -> Floats:
    """Return the voltages with nothing drawn, V."""
    if not circuit.size:
        return np.zeros(0)
    return (factors or Factors(circuit)).solve(np.zeros(len(circuit.load_plus)), circuit.source)


def imbalance(circuit: CircuitEquations, x: Floats, current: Floats) -> Floats:
    """Return the sum of currents out of every unknown, A; `current` is that of the live loads."""
    out: Floats = circuit.matrix @ x - circuit.source
    np.add.at(out, circuit.load_plus, current)
    np.add.at(out, circuit.load_minus, -current)
    return out


def solve(
    circuit: CircuitEquations,
    drawer: Drawer,
    count: Floats,
    duty: Floats,
    start: Floats | None = None,
    most_steps: int = MOST_STEPS,
    halvings: int = _HALVINGS,
) -> Solution:
    """Return the voltages at which every current adds up.

    Args:
        circuit: the equations.
        drawer: evaluator of the live loads.
        count: equal nodes at each live load, shape (L,).
        duty: duty of each colour of each live load, shape (L, c).
        start: voltages to start from, V; unloaded where None.
        most_steps, halvings: when to give up.

    Returns:
        The solution; islands that did not converge are marked, never passed off as solved.
    """
    if circuit.size == 0:
        return Solution(np.zeros(0), np.zeros(0, dtype=bool), 0, np.zeros(0))
    islands = circuit.islands
    label = circuit.island
    factors = Factors(circuit)
    x = _start(circuit, drawer, count, duty, factors) if start is None else start.copy()

    def evaluate(at: Floats) -> tuple[Floats, Floats]:
        current, slope = drawer.node(circuit.across(at), duty)
        return imbalance(circuit, at, count * current), count * slope

    def per_island(values: Floats) -> Floats:
        return np.bincount(label, weights=values, minlength=islands).astype(np.float64)

    residual, slope = evaluate(x)
    converged = np.zeros(islands, dtype=bool)
    steps = 0
    for _ in range(most_steps):
        if steps == _PATIENCE and start is None:
            rescued = _as_resistors(circuit, drawer, count, duty, unloaded(circuit, factors))
            x = np.where(converged[label], x, rescued)
            residual, slope = evaluate(x)
        steps += 1
        try:
            dx = factors.solve(slope, -residual)
        except RuntimeError:  # exactly singular: a fold of a constant-power load, or a number out of range
            break
        dx[converged[label]] = 0.0
        if not np.isfinite(dx).all():
            break
        before = per_island(residual * dx)
        step = np.ones(islands)
        trial, trial_slope = evaluate(x + dx)
        for _halving in range(halvings):
            after = per_island(trial * dx)
            uphill = (after > 0.5 * np.abs(before)) & ~converged & (np.abs(before) > 1e-14)
            if not uphill.any():
                break
            # Regula falsi on the slope along the step, kept away from nothing and from no change.
            sum_of_slopes = np.where(uphill, np.abs(before) + np.abs(after), 1.0)
            back = np.clip(np.abs(before) / sum_of_slopes, 0.1, 0.9)
            step = np.where(uphill, step * back, step)
            trial, trial_slope = evaluate(x + step[label] * dx)
        x = x + step[label] * dx
        residual, slope = trial, trial_slope
        largest = np.zeros(islands)
        np.maximum.at(largest, label, np.abs(dx))
        converged |= (largest < STEP_V) & (step == 1.0)
        if converged.all():
            break
    worst = np.zeros(islands)
    np.maximum.at(worst, label, np.abs(residual))
    return Solution(x, converged, steps, worst)


def _start(circuit: CircuitEquations, drawer: Drawer, count: Floats, duty: Floats, factors: Factors) -> Floats:
    """Return where to start from: a first step of Newton from no load, or resistors on islands where it overshoots."""
    x = unloaded(circuit, factors)

    def drawn(at: Floats) -> tuple[Floats, Floats]:
        current, slope = drawer.node(circuit.across(at), duty)
        return count * current, count * slope

    current, slope = drawn(x)
    residual = imbalance(circuit, x, current)
    try:
        step = factors.solve(slope, -residual)
    except RuntimeError:
        return x
    beyond = imbalance(circuit, x + step, drawn(x + step)[0])
    before = np.bincount(circuit.island, weights=residual * step, minlength=circuit.islands)
    after = np.bincount(circuit.island, weights=beyond * step, minlength=circuit.islands)
    overshot = ~(after <= 0.5 * np.abs(before))
    if not overshot.any():
        return x + step
    return np.where(overshot[circuit.island], _as_resistors(circuit, drawer, count, duty, x), x + step)


def _as_resistors(circuit: CircuitEquations, drawer: Drawer, count: Floats, duty: Floats, x: Floats) -> Floats:
    """Return the voltages after a few steps from `x` in which each load is a resistor of its present v/i."""
    for _ in range(_SECANTS):
        v = np.maximum(circuit.across(x), _SMALLEST_V)
        current, _ = drawer.node(v, duty)
        try:
            x = factor(jacobian(circuit, count * current / v)).solve(circuit.source)
        except RuntimeError:  # loads so heavy that rounding eats the line before them
            return x
    return x
