"""What is read off the voltages of a batch of frames."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_matrix

from strandwright.build import Build
from strandwright.build.tables import Floats, Ints
from strandwright.demand.result import Drawn
from strandwright.power import KNOWN, Circuit


class Readings:
    """What is read off the voltages of a batch: currents of supplies and fuses, sums over strings."""

    def __init__(self, build: Build, circuit: Circuit, live: Ints) -> None:
        network = build.network
        self._circuit = circuit
        self._volts = network.supply_v[:, None]
        string = build.load_string[live]
        strings = len(build.strings.names)
        self._strings = csr_matrix((np.ones(len(live)), (string, np.arange(len(live)))), shape=(strings, len(live)))
        self._first = np.searchsorted(string, np.arange(strings + 1))
        a = network.edge_a
        floating = (circuit.plus == KNOWN) & np.isnan(circuit.plus_given)
        flows = np.isfinite(network.edge_plus_ohm) & ~floating[a]
        leaves = np.flatnonzero((a >= 1) & (a <= len(network.supply_v)) & flows)
        fused = np.where(flows[build.fuses.edge], build.fuses.edge, -1)
        self._wanted = np.unique(np.r_[leaves, fused[fused >= 0]])
        self._supply = csr_matrix(
            (np.ones(len(leaves)), (a[leaves] - 1, np.searchsorted(self._wanted, leaves))),
            shape=(len(network.supply_v), len(self._wanted)),
        )
        self._fuse = np.where(fused >= 0, np.searchsorted(self._wanted, fused), len(self._wanted))
        self._ohm = network.edge_plus_ohm[self._wanted][:, None]
        self._a, self._b = a[self._wanted], network.edge_b[self._wanted]

    def _plus(self, x: Floats, places: Ints) -> Floats:
        index = self._circuit.plus[places]
        given = self._circuit.plus_given[places][:, None]
        return np.where((index == KNOWN)[:, None], given, x[np.maximum(index, 0)])

    def _edges(self, x: Floats) -> tuple[Floats, Floats]:
        start_v = self._plus(x, self._a)
        return start_v, (start_v - self._plus(x, self._b)) / self._ohm

    def currents(self, x: Floats) -> Floats:
        """Return the currents of supplies, then fuses, A, shape (S + fuses, D)."""
        _, edge_a = self._edges(x)
        return self._carried(edge_a)

    def _carried(self, edge_a: Floats) -> Floats:
        fuse_a = np.vstack([edge_a, np.zeros((1, edge_a.shape[1]))])[self._fuse]
        return np.vstack([np.asarray(self._supply @ edge_a), fuse_a])

    def islands(self) -> Floats:
        """Return 1 for each island that a supply or fuse carries current of, 0 elsewhere, shape (S + fuses, islands)."""
        circuit = self._circuit
        touched = np.zeros((len(self._wanted), circuit.islands))
        for places in (self._a, self._b):
            edge = np.flatnonzero(circuit.plus[places] != KNOWN)
            touched[edge, circuit.island[circuit.plus[places[edge]]]] = 1.0
        return np.minimum(self._carried(touched), 1.0)

    def _summed(self, lights: Floats) -> Floats:
        return np.asarray(self._strings @ lights).T

    def of(self, x: Floats, v: Floats, load_a: Floats, left: Floats, full: Floats) -> Drawn:
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
        return Drawn(
            supply_a=supply_a.T,
            supply_w=(self._volts * supply_a).T,
            fuse_a=fuse_a.T,
            fuse_w=(fuse_a * start_v[self._fuse]).T,
            string_a=self._summed(load_a),
            string_w=self._summed(load_a * v),
            lowest_v=lowest.T,
            light_lm=self._summed(left),
            full_light_lm=self._summed(full),
            collapsed=np.zeros(frames, dtype=bool),
            doubtful=np.zeros(frames, dtype=bool),
            alone=np.zeros(frames, dtype=bool),
        )
