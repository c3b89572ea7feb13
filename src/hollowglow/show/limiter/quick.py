"""What a frame draws, between two numbers that are certain, in a few steps from where the last frame came to rest.

For displays whose lights never draw less at a higher voltage, switching drivers that is excluded. After each step the
voltages are those that some currents j of the lights cause exactly, while the characteristics ask for i at these voltages.
The true state differs from this one by the response of a network of positive resistances (the chord slopes of the
laws among them) to the current sources i - j. There no branch carries more than the sources together (no-gain property:
D. H. Wolaver, IEEE Trans. Circuit Theory 17 (1970) 436): with one source, part the places by a voltage between those
of the branch's ends; all that crosses flows the same way, and is no more than the source. So the true current of a
supply, fuse or conductor is that of this state, give or take the sum of |i - j| over the lights of its islands, whatever the
steps were.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.sparse.linalg import SuperLU

from hollowglow.analysis.circuit.power import factor, jacobian
from hollowglow.assembly.tables import Floats
from hollowglow.show.demand.addresses import Bytes
from hollowglow.show.demand.lamps import LitLamps
from hollowglow.show.demand.network import Demand

_MOST_STEPS = 60
_HALVINGS = 12
# Factors are kept for as long as each step leaves so little of the doubt that was before it.
_SHRINK = 0.3


@dataclass
class LastRest:
    """Where the last frame of a kind came to rest.

    Attributes:
        x: voltages of the unknowns, V.
        v: across the lights, V.
        caused: currents of the lights that cause these, A.
        slope, lu: slopes (S) that the last factors hold, and these; None before the first step.
    """

    x: Floats
    v: Floats
    caused: Floats
    slope: Floats | None = None
    lu: SuperLU | None = None


class Quick:
    """Brackets the currents of supplies, fuses and conductors of a display without switching drivers."""

    def __init__(self, demand: Demand) -> None:
        """Prepare; `possible` tells beforehand whether a display can be bracketed."""
        self._demand = demand
        self._count = demand.lamps.count[:, 0]
        self._islands = demand.readings.islands()

    @staticmethod
    def possible(demand: Demand) -> bool:
        """Return whether no light of the display is a switching driver, and some light is fed."""
        characteristics = demand.spread.characteristics
        return bool(demand.circuit.size and len(demand.live)) and not characteristics.falls[demand.live].any()

    def rest(self) -> LastRest:
        """Return where frames begin: nothing drawn."""
        demand = self._demand
        return LastRest(demand.unloaded_x, demand.unloaded_v, np.zeros(len(demand.live)))

    def bracket(
        self, frame: Bytes, rest: LastRest, enough: Callable[[Floats, Floats], bool]
    ) -> tuple[Floats, Floats] | None:
        """Return two currents for each limit between which the size of the true one lies, A.

        Args:
            frame: slots, shape (U, 512).
            rest: where a frame like it came to rest; moved to where this one comes.
            enough: whether a pair of such currents says enough.

        Returns:
            The pair, each of shape (limits,); None where steps do not lead there.
        """
        demand, circuit = self._demand, self._demand.circuit
        lit = demand.lamps.at(demand.duties.of(frame[None]))
        current, slope = self._characteristic(lit, rest.v)
        doubt_before = np.inf
        for _ in range(_MOST_STEPS):
            if rest.lu is None or rest.slope is None:
                rest.slope, rest.lu = slope, factor(jacobian(circuit, slope))
            x = rest.lu.solve(circuit.source - demand.back @ (current - rest.slope * rest.v))
            v = demand.across @ x
            caused = current + rest.slope * (v - rest.v)
            current, slope = self._stepped(lit, rest, (x, v, caused), current)
            off = np.bincount(circuit.load_island, np.abs(current - rest.caused), circuit.islands)
            found = np.abs(demand.readings.currents(rest.x[:, None])[:, 0])
            doubt = self._islands @ off
            pair = np.maximum(found - doubt, 0.0), found + doubt
            if enough(*pair):
                return pair
            doubt_now = float(doubt.max())
            if not doubt_now < _SHRINK * doubt_before:
                rest.lu = None
            doubt_before = doubt_now
        return None

    def _characteristic(self, lit: LitLamps, v: Floats) -> tuple[Floats, Floats]:
        current, slope = lit.node(v[:, None])
        return self._count * current[:, 0], self._count * slope[:, 0]

    def _stepped(
        self, lit: LitLamps, rest: LastRest, to: tuple[Floats, Floats, Floats], current: Floats
    ) -> tuple[Floats, Floats]:
        """Move to where a step leads, or in an island that it overshoots so far only as the co-content falls.

        Returns currents and slopes by the characteristics there; see power/newton.py for the measure of overshooting.
        """
        circuit = self._demand.circuit
        x, v, caused = to
        moved_v, moved_x, moved_a = v - rest.v, x - rest.x, caused - rest.caused
        before = np.bincount(circuit.load_island, (current - rest.caused) * moved_v, circuit.islands)
        share = np.ones(circuit.islands)
        for _ in range(_HALVINGS):
            now, slope = self._characteristic(lit, v)
            after = np.bincount(circuit.load_island, (now - caused) * moved_v, circuit.islands)
            bad = after > 0.5 * np.abs(before)
            if not bad.any():
                break
            share[bad] *= 0.5
            part = share[circuit.load_island]
            v, caused = rest.v + part * moved_v, rest.caused + part * moved_a
            x = rest.x + share[circuit.island] * moved_x
        rest.x, rest.v, rest.caused = x, v, caused
        return now, slope
