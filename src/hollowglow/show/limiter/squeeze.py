"""What a frame of switching drivers draws, between two numbers that are certain and close in on each other.

The bound of `bound.py` says that no light of any frame has less than v_low, nor more than without load, v0. Between two
voltages every light draws between what it draws at either: a driver the more the lower, the others the less. With R >= 0
the resistances that the lights see, the true voltages then lie between v0 - R i_most and v0 - R i_least, which is a
narrower pair, and so on. Factors of the network without load serve every step of every frame.

A closer start is a box round where the last frame like it came to rest: where each light's voltage, worked out so from those
of the box, lies in the box again, a steady state lies there (Brouwer's fixed point), and there is no other.

Only displays are taken in which no frame has a second steady state: the criterion of `Demand` at full load.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from scipy.sparse import csr_matrix

from hollowglow.analysis.circuit.power import factor, jacobian
from hollowglow.assembly.tables import Floats
from hollowglow.physics.loads import IDLE_RAMP_V
from hollowglow.show.demand.addresses import Bytes
from hollowglow.show.demand.lamps import LitLamps
from hollowglow.show.demand.network import Demand

if TYPE_CHECKING:
    from hollowglow.show.limiter.bound import Bound

_MOST_STEPS = 25
_MARGIN_V = 1e-9
_SLOW = 0.7
# The box is so much wider than the last step; it closes where steps shrink to less than 0.6.
_BOX = 1.5
# Where no light asks for a larger share of the most that one asks for more or less than before, the last box will do.
_LIKE = 0.1


class Squeeze:
    """Brackets the currents of supplies, fuses and conductors of a display with switching drivers."""

    def __init__(self, demand: Demand, bound: Bound) -> None:
        """Prepare; `possible` tells beforehand whether a display can be bracketed."""
        circuit = demand.circuit
        self._demand, self._bound = demand, bound
        self._lu = factor(jacobian(circuit, np.zeros(len(demand.live))))
        self._rises = csr_matrix(np.maximum(bound.transfer, 0.0))
        self._falls = csr_matrix(np.minimum(bound.transfer, 0.0))
        self._count = demand.lamps.count
        self._rest_v: Floats | None = None
        self._rest_a = 0.0
        self._asked: Floats | None = None
        self._half_v = 0.0

    @staticmethod
    def possible(demand: Demand, bound: Bound | None) -> bool:
        """Return whether the display has switching drivers, and a bound under which none has a second steady state."""
        characteristics, live, circuit = demand.spread.characteristics, demand.live, demand.circuit
        switching = characteristics.falls[live]
        if bound is None or not switching.any():
            return False
        if (bound.low_v[switching] < IDLE_RAMP_V).any() or (characteristics.cutoff_v[live[switching]] <= 0.0).any():
            return False
        island = circuit.load_island[switching]
        drop, steep = np.zeros(circuit.islands), np.zeros(circuit.islands)
        np.maximum.at(drop, island, (demand.unloaded_v - bound.low_v)[switching])
        np.maximum.at(steep, island, demand.unloaded_v[switching] / characteristics.cutoff_v[live[switching]] ** 2)
        return bool((drop * steep < 1.0).all())

    def bracket(self, frame: Bytes, enough: Callable[[Floats, Floats], bool]) -> tuple[Floats, Floats] | None:
        """Return two currents for each limit between which the size of the true one lies, A.

        Args:
            frame: slots, shape (U, 512).
            enough: whether a pair of such currents says enough.

        Returns:
            The pair, each of shape (limits,); None where steps do not lead there.
        """
        demand, bound = self._demand, self._bound
        lit = demand.lamps.at(demand.duties.of(frame[None]))
        between = self._near(lit)
        if between is None:
            between = np.column_stack([bound.low_v, demand.unloaded_v])
        width = np.inf
        for _ in range(_MOST_STEPS):
            drawn = self._drawn(lit, between)
            most, least = drawn[:, 0], drawn[:, 1]
            high = bound.still_a + self._rises @ most + self._falls @ least
            low = bound.still_a + self._rises @ least + self._falls @ most
            pair = np.maximum(np.maximum(low, -high), 0.0), np.maximum(high, -low)
            if enough(*pair):
                self._rest_v, self._rest_a = between.mean(axis=1), 0.5 * float(most.sum() + least.sum())
                self._asked = lit.flat
                return pair
            found = self._caused(drawn)
            between[:, 0] = np.maximum(between[:, 0], found[:, 0] - _MARGIN_V)
            between[:, 1] = np.minimum(between[:, 1], found[:, 1] + _MARGIN_V)
            now = float((between[:, 1] - between[:, 0]).max(initial=0.0))
            if not now < _SLOW * width:
                return None
            width = now
        return None

    def _drawn(self, lit: LitLamps, between: Floats) -> Floats:
        """Return the most and the least that each light draws between two voltages of shape (L, 2), A, shape (L, 2)."""
        ends = self._count * lit.node(between)[0]
        return np.column_stack([np.maximum(ends[:, 0], ends[:, 1]), np.minimum(ends[:, 0], ends[:, 1])])

    def _caused(self, drawn: Floats) -> Floats:
        """Return the voltages across the lights that some currents of theirs cause, V, shape (L, k)."""
        demand = self._demand
        source = demand.circuit.source[:, None]
        return np.asarray(demand.across @ self._lu.solve(source - demand.back @ drawn))

    def _near(self, lit: LitLamps) -> Floats | None:
        """Return voltages between which the true ones lie for sure, near those of the last frame; None if not so near."""
        low_v, high_v = self._bound.low_v, self._demand.unloaded_v
        if self._rest_v is None or self._rest_a <= 0.0:
            return None
        drawn = self._count * lit.node(self._rest_v[:, None])[0]
        more = float(drawn.sum()) / self._rest_a
        guess = np.clip(high_v - more * (high_v - self._rest_v), low_v, high_v)[:, None]
        if self._half_v > 0.0 and self._like_the_last(lit):
            found = self._inside(lit, guess, self._half_v)
            if found is not None:
                return found
        middle = self._caused(self._count * lit.node(guess)[0])
        self._half_v = _BOX * float(np.abs(middle - guess).max(initial=0.0)) + _MARGIN_V
        return self._inside(lit, middle, self._half_v)

    def _like_the_last(self, lit: LitLamps) -> bool:
        """Return whether every light is asked for about what it was, as in one frame at two scales."""
        if self._asked is None:
            return False
        return float(np.abs(lit.flat - self._asked).max(initial=0.0)) <= _LIKE * float(lit.flat.max(initial=0.0))

    def _inside(self, lit: LitLamps, middle: Floats, half_v: float) -> Floats | None:
        """Return voltages in a box round some of shape (L, 1) between which the true ones lie; None where they may not."""
        low_v, high_v = self._bound.low_v, self._demand.unloaded_v
        box = np.clip(np.hstack([middle - half_v, middle + half_v]), low_v[:, None], high_v[:, None])
        found = self._caused(self._drawn(lit, box))
        found += np.array([-_MARGIN_V, _MARGIN_V])
        inside = (found[:, 0] >= box[:, 0] - _MARGIN_V).all() and (found[:, 1] <= box[:, 1] + _MARGIN_V).all()
        return np.clip(found, low_v[:, None], high_v[:, None]) if inside else None
