"""A quick bound on what a frame draws, from above and certain: one product with a sparse matrix.

Given the currents i of all lights, those of supplies, fuses, cables, joints and mains circuits are linear: I = I0 + K i,
with I0 what flows with no light on and K from the conductances alone. So with 0 <= i <= i_high, I lies between
I0 + min(K, 0) i_high and I0 + max(K, 0) i_high. What bounds i:

- The inverse of a rail's conductance matrix has no negative entry and no light gives current, so no voltage across a light
  exceeds the one with all lights off, v0. Constant currents, those of resistors and idle current never fall with voltage:
  each is at most the characteristic's value at v0.
- A switching driver draws P/v, most at the lowest voltage. Let v_low be the limit of v <- v0 - R (i_high + P/v), started
  at v0, with everything at 255 and all other lights at their bound (R: the resistances seen by the lights). The map
  rises with v, so the sequence falls, and where its limit stays above every cutoff, no frame has a light below v_low:
  on the way from no load to the frame the voltages start at v0, move without a jump and cannot cross v_low, since there
  the map of any smaller load lies above. So P/v_low bounds the driver. Where there is no such limit, there is no bound.

The same v_low, which holds for every light, bounds currents from below: all but switching drivers draw at least what they draw
there, drivers at least P/v0. Where lights are saturated even at v_low, both bounds are one and nothing need be solved.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix, hstack
from scipy.sparse.linalg import SuperLU

from hollowglow.analysis.circuit.power import KNOWN, drawer, factor, jacobian
from hollowglow.assembly.kinds import MOST_COLOURS
from hollowglow.assembly.tables import Floats
from hollowglow.show.demand.addresses import DARK, FULL, Bytes
from hollowglow.show.demand.conductors import responses
from hollowglow.show.demand.network import Demand

_ROUNDS = 200
_SETTLED_V = 1e-9
_MARGIN_V = 1e-6
# Shares of a light's current below this are counted as if the light were always on.
_FAINT = 1e-9


@dataclass(frozen=True)
class Bound:
    """Bounds on the currents of supplies, fuses, conductors and mains circuits, linear in the duties that slots ask for.

    Attributes:
        slots: which slots of a flat frame matter, shape (n,).
        curves: share of full duty by slot value, one row for each curve, shape (curves, 256).
        curve: row of each slot, shape (n,).
        highest, lowest: what a slot at 255 adds to the upper and to the lower bound, A, shape (limits, n).
        surely: what it adds at the least to the current, with all others at their most against it, A, shape (limits, n).
        base: the three with all slots at zero, A, shape (3, limits).
        transfer: share of each live light's current that each limit carries, shape (limits, L).
        still_a: what it carries with no light on, A, shape (limits,).
        low_v: voltage that no live light of any frame falls below, V, shape (L,).
    """

    slots: np.ndarray
    curves: Floats
    curve: np.ndarray
    highest: csr_matrix
    lowest: csr_matrix
    surely: csr_matrix
    base: Floats
    transfer: Floats
    still_a: Floats
    low_v: Floats

    def currents(self, frame: Bytes) -> Floats:
        """Return a current for each limit that its true current does not exceed either way, A."""
        share = self.curves[self.curve, frame.reshape(-1)[self.slots]]
        above = self.base[0] + self.highest @ share
        below = self.base[1] + self.lowest @ share
        return np.asarray(np.maximum(above, -below))

    def at_least(self, frame: Bytes) -> Floats:
        """Return a current for each limit that its true current surely reaches, A."""
        share = self.curves[self.curve, frame.reshape(-1)[self.slots]]
        return np.asarray(self.base[2] + self.surely @ share)


def bound_of(demand: Demand) -> Bound | None:
    """Return the bound of a display; None where its switching drivers leave none, or nothing is fed."""
    circuit, network, assembly = demand.circuit, demand.spread, demand.assembly
    live = demand.live
    if not circuit.size or not len(live):
        return None
    lu = factor(jacobian(circuit, np.zeros(len(live))))
    found = _by_colour(demand, lu)
    if found is None:
        return None
    most, least, least_idle_a, low_v = found
    idle_a = network.characteristics.idle_a[live]
    count = network.load_count[live]

    unloaded = lu.solve(circuit.source)
    a, ohm = network.edge_a, network.edge_plus_ohm
    supplies = len(network.supply_v)
    floating = (circuit.plus == KNOWN) & np.isnan(circuit.plus_given)
    flows = np.isfinite(ohm) & ~floating[a]
    groups = [np.flatnonzero((a == 1 + s) & flows) for s in range(supplies)]
    groups += [np.array([e]) if flows[e] else np.zeros(0, np.int64) for e in assembly.fuses.edge.tolist()]
    transfer = np.zeros((len(groups), len(live)))
    base = np.zeros(len(groups))
    for row, edges in enumerate(groups):
        moved, still = responses(circuit, lu, unloaded, edges, np.zeros(len(edges), dtype=np.bool_))
        transfer[row], base[row] = moved.sum(axis=0), still.sum()
    own = demand.conductors
    moved, still = responses(circuit, lu, unloaded, own.edge, own.minus)
    mains = demand.mains.per_a
    transfer = np.vstack([transfer, moved, mains @ transfer[:supplies]])
    base = np.concatenate([base, still, mains @ base[:supplies]])
    table = demand.addresses
    weight = csr_matrix(table.load_nodes[live].multiply(count[:, None]))
    sides = []
    bases = []
    used = table.seen_slot[table.node_cell]
    flat, where = np.unique(used[used != DARK], return_inverse=True)
    rises, falls = np.maximum(transfer, 0.0), np.minimum(transfer, 0.0)
    for side, per_colour in ((rises, most), (falls, most), (rises, least)):
        faint = np.abs(side) < _FAINT
        always = np.where(faint, side, 0.0) @ (count * per_colour.sum(axis=1))
        if per_colour is most:
            bases.append(base + side @ (count * idle_a) + always)
        else:
            bases.append(base + rises @ (count * least_idle_a) + falls @ (count * idle_a))
        kept = csr_matrix(np.where(faint, 0.0, side))
        columns = []
        for c in range(MOST_COLOURS):
            full = csr_matrix(kept.multiply(per_colour[:, c][None, :])) @ weight
            columns.append(csr_matrix(full.multiply(table.node_full[:, c][None, :])))
        nodes = csr_matrix(hstack(columns))
        place = used.T.ravel()
        to_slot = csr_matrix(
            (
                np.ones(int((place != DARK).sum())),
                (np.flatnonzero(place != DARK), np.searchsorted(flat, place[place != DARK])),
            ),
            shape=(len(place), len(flat)),
        )
        sides.append((nodes @ to_slot).tocsr())
    gammas, gamma_row = np.unique(table.node_gamma, return_inverse=True)
    curve = np.zeros(len(flat), dtype=np.int64)
    curve[where] = np.broadcast_to(gamma_row.ravel()[:, None], used.shape)[used != DARK]
    steps = (np.arange(FULL + 1) / FULL) ** gammas[:, None]
    return Bound(
        flat, steps, curve, sides[0], sides[1], csr_matrix(sides[2] + sides[1]), np.stack(bases), transfer, base, low_v
    )


def _by_colour(demand: Demand, lu: SuperLU) -> tuple[Floats, Floats, Floats, Floats] | None:
    """Return greatest and least current of a node by colour at full duty, its least idle current (A), its least voltage (V)."""
    network, circuit, live = demand.spread, demand.circuit, demand.live
    characteristics = network.characteristics
    draw = drawer(characteristics, live)
    highest, _ = draw.per_colour(demand.unloaded_v)
    count, duty = network.load_count[live], network_duty(demand)
    switching = characteristics.falls[live]
    lit = switching & (duty * characteristics.power_w[live] > 0.0).any(axis=1)
    power_w = characteristics.power_w[live] / characteristics.efficiency[live][:, None]
    others = count * (np.where(switching, 0.0, (highest * duty).sum(axis=1)) + characteristics.idle_a[live])
    drawn_w = count * np.where(switching, (power_w * duty).sum(axis=1), 0.0)
    cutoff = np.where(lit, characteristics.cutoff_v[live], 0.0)
    v = demand.unloaded_v.copy()
    for _ in range(_ROUNDS):
        if (v[lit] < cutoff[lit]).any():
            return None
        right = np.zeros(circuit.size)
        current = others + np.divide(drawn_w, v, out=np.zeros_like(v), where=drawn_w > 0.0)
        np.add.at(right, circuit.load_plus, -current)
        np.add.at(right, circuit.load_minus, current)
        following = demand.unloaded_v + circuit.across(lu.solve(right))
        moved = float(np.abs(following - v)[lit].max(initial=0.0))
        v = following
        if moved < _SETTLED_V:
            low = v - _MARGIN_V
            if (low[lit] < cutoff[lit]).any():
                return None
            least, _ = draw.per_colour(np.where(switching, demand.unloaded_v, low))
            most = np.where(lit[:, None], power_w / np.where(lit, low, 1.0)[:, None], highest)
            return most, least, characteristics.idle_a[live] * np.clip(low, 0.0, 1.0), low
    return None


def network_duty(demand: Demand) -> Floats:
    """Return the duty of each live light with every slot at 255, shape (L, 4)."""
    own: Floats = demand.assembly.network.duty[demand.assembly.network.load_characteristic[demand.live]]
    return own
