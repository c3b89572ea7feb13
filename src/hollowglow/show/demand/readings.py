"""What is read off the voltages of a batch of frames."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix

from hollowglow.analysis.circuit.power import KNOWN, CircuitEquations
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats, Ints
from hollowglow.show.demand.conductors import Conductors
from hollowglow.show.demand.result import FrameCurrents


@dataclass(frozen=True)
class _Ends:
    """Where some conductors end: unknowns of the circuit, KNOWN where a voltage (V) is given instead."""

    index: Ints
    given_v: Floats

    def volts(self, x: Floats) -> Floats:
        """Return the voltages there, V, shape (n, D)."""
        return np.where((self.index == KNOWN)[:, None], self.given_v[:, None], x[np.maximum(self.index, 0)])


class DemandReadings:
    """What is read off the voltages of a batch: currents of supplies, fuses and conductors, sums over strings."""

    def __init__(
        self, assembly: Assembly, circuit: CircuitEquations, live: Ints, conductors: Conductors, mains: Floats
    ) -> None:
        """Prepare.

        Args:
            build: the display expanded.
            circuit: its circuit.
            live: the lights that are fed, shape (L,).
            conductors: those that some frame could overload.
            mains: what each ampere of a supply takes from each mains circuit, A, shape (circuits, S).
        """
        network = assembly.network
        self._mains = mains
        self._circuit = circuit
        self._volts = network.supply_v[:, None]
        string = assembly.load_string[live]
        strings = len(assembly.strings.names)
        self._strings = csr_matrix((np.ones(len(live)), (string, np.arange(len(live)))), shape=(strings, len(live)))
        self._first = np.searchsorted(string, np.arange(strings + 1))
        a = network.edge_a
        floating = (circuit.plus == KNOWN) & np.isnan(circuit.plus_given)
        flows = np.isfinite(network.edge_plus_ohm) & ~floating[a]
        leaves = np.flatnonzero((a >= 1) & (a <= len(network.supply_v)) & flows)
        fused = np.where(flows[assembly.fuses.edge], assembly.fuses.edge, -1)
        self._wanted = np.unique(np.r_[leaves, fused[fused >= 0]])
        self._supply = csr_matrix(
            (np.ones(len(leaves)), (a[leaves] - 1, np.searchsorted(self._wanted, leaves))),
            shape=(len(network.supply_v), len(self._wanted)),
        )
        self._fuse = np.where(fused >= 0, np.searchsorted(self._wanted, fused), len(self._wanted))
        self._ohm = network.edge_plus_ohm[self._wanted][:, None]
        self._a, self._b = a[self._wanted], network.edge_b[self._wanted]
        edge, minus = conductors.edge, conductors.minus
        start, end = a[edge], network.edge_b[edge]
        nothing = np.zeros(len(edge))
        self._start = _Ends(
            np.where(minus, circuit.minus[start], circuit.plus[start]),
            np.where(minus, nothing, circuit.plus_given[start]),
        )
        self._end = _Ends(
            np.where(minus, circuit.minus[end], circuit.plus[end]), np.where(minus, nothing, circuit.plus_given[end])
        )
        self._rails = _Ends(circuit.plus[start], circuit.plus_given[start]), _Ends(circuit.minus[start], nothing)
        self._own_ohm = np.where(minus, network.edge_minus_ohm[edge], network.edge_plus_ohm[edge])[:, None]

    def _plus(self, x: Floats, places: Ints) -> Floats:
        index = self._circuit.plus[places]
        given = self._circuit.plus_given[places][:, None]
        return np.where((index == KNOWN)[:, None], given, x[np.maximum(index, 0)])

    def _edges(self, x: Floats) -> tuple[Floats, Floats]:
        start_v = self._plus(x, self._a)
        return start_v, (start_v - self._plus(x, self._b)) / self._ohm

    def currents(self, x: Floats) -> Floats:
        """Return the currents of supplies, then fuses, conductors and mains circuits, A, shape (limits, D)."""
        _, edge_a = self._edges(x)
        parts = [self._carried(edge_a)]
        if len(self._own_ohm):
            parts.append(self._conducted(x))
        if len(self._mains):
            parts.append(self._mains @ parts[0][: len(self._volts)])
        return np.vstack(parts) if len(parts) > 1 else parts[0]

    def _conducted(self, x: Floats) -> Floats:
        """Return the currents of conductors, A, shape (conductors, D)."""
        return (self._start.volts(x) - self._end.volts(x)) / self._own_ohm

    def _carried(self, edge_a: Floats) -> Floats:
        fuse_a = np.vstack([edge_a, np.zeros((1, edge_a.shape[1]))])[self._fuse]
        return np.vstack([np.asarray(self._supply @ edge_a), fuse_a])

    def islands(self) -> Floats:
        """Return the most that an ampere of each island's lights adds to each current, A, shape (limits, islands).

        That is 1 or 0, and for a mains circuit what an ampere of the supply takes that takes the most.
        """
        circuit = self._circuit
        touched = np.zeros((len(self._wanted), circuit.islands))
        for places in (self._a, self._b):
            edge = np.flatnonzero(circuit.plus[places] != KNOWN)
            touched[edge, circuit.island[circuit.plus[places[edge]]]] = 1.0
        own = np.zeros((len(self._own_ohm), circuit.islands))
        for index in (self._start.index, self._end.index):
            rows = np.flatnonzero(index != KNOWN)
            own[rows, circuit.island[index[rows]]] = 1.0
        carried = np.minimum(self._carried(touched), 1.0)
        mains = (self._mains[:, :, None] * carried[None, : len(self._volts)]).max(axis=1, initial=0.0)
        return np.vstack([carried, own, mains])

    def _summed(self, lights: Floats) -> Floats:
        return np.asarray(self._strings @ lights).T

    def of(self, x: Floats, v: Floats, load_a: Floats, left: Floats, full: Floats) -> FrameCurrents:
        """Return the readings of some frames; the last axis of all arguments counts them."""
        frames = x.shape[1]
        start_v, edge_a = self._edges(x)
        start_v = np.vstack([start_v, np.zeros((1, frames))])
        carried = self._carried(edge_a)
        supply_a, fuse_a = carried[: len(self._volts)], carried[len(self._volts) :]
        lowest = np.full((len(self._first) - 1, frames), np.nan)
        for row in range(len(lowest)):
            own = slice(self._first[row], self._first[row + 1])
            if own.stop > own.start:
                lowest[row] = v[own].min(axis=0)
        conductor_a = np.abs(self._conducted(x))
        between_v = self._rails[0].volts(x) - self._rails[1].volts(x)
        return FrameCurrents(
            supply_a=supply_a.T,
            supply_w=(self._volts * supply_a).T,
            fuse_a=fuse_a.T,
            fuse_w=(fuse_a * start_v[self._fuse]).T,
            conductor_a=conductor_a.T,
            conductor_w=(conductor_a * between_v).T,
            string_a=self._summed(load_a),
            string_w=self._summed(load_a * v),
            lowest_v=lowest.T,
            light_lm=self._summed(left),
            full_light_lm=self._summed(full),
            collapsed=np.zeros(frames, dtype=bool),
            doubtful=np.zeros(frames, dtype=bool),
            alone=np.zeros(frames, dtype=bool),
        )
