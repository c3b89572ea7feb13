"""The network as equations: which voltages are unknown, the conductance matrix, and where the loads enter it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix
from scipy.sparse.csgraph import connected_components

from hollowglow.assembly import Network
from hollowglow.assembly.tables import Flags, Floats, Ints

KNOWN = -1
# Behind less than this, a supply's own drop drowns in rounding: it counts as none.
STIFF_OHM = 1e-7


@dataclass(frozen=True)
class CircuitEquations:
    """A x + (load currents) = s for the unknown voltages x of both rails.

    Unknowns are numbered from the far ends towards the supplies, V+ and V- of a place side by side: eliminating a
    string in this order fills in nothing.

    Attributes:
        network: what it was made from.
        plus, minus: unknown of each place on each rail, KNOWN where the voltage is given, shape (places,).
        plus_given: given V+ of places, NaN elsewhere (a supply without resistance), shape (places,).
        matrix: conductances, with explicit zeros where loads enter, CSC.
        source: right-hand side, A.
        alive: loads that some supply reaches, shape (G,).
        load_plus, load_minus: unknowns at the ends of the live loads, shape (L,).
        slots: positions in `matrix.data` of the four entries of each live load, shape (4, L).
        island: island of each unknown, shape (n,).
        load_island: island of each live load, shape (L,).
        islands: how many there are.
    """

    network: Network
    plus: Ints
    minus: Ints
    plus_given: Floats
    matrix: csc_matrix
    source: Floats
    alive: Flags
    load_plus: Ints
    load_minus: Ints
    slots: Ints
    island: Ints
    load_island: Ints
    islands: int

    @property
    def size(self) -> int:
        """Return how many unknowns there are."""
        return len(self.source)

    def across(self, x: Floats) -> Floats:
        """Return the voltage across each live load, V."""
        return x[self.load_plus] - x[self.load_minus]

    def rails(self, x: Floats) -> tuple[Floats, Floats]:
        """Return V+ and V- of every place, V; places that no V+ reaches show V+ equal to V-."""
        extended = np.append(x, np.nan)  # KNOWN points at this last entry
        minus = np.where(self.minus == KNOWN, 0.0, extended[self.minus])
        plus = np.where(self.plus == KNOWN, self.plus_given, extended[self.plus])
        return np.where(np.isnan(plus) & ~np.isnan(minus), minus, plus), minus


def is_stiff(network: Network) -> Flags:
    """Return which supplies hold their voltage at the terminals whatever is drawn."""
    return network.supply_ohm < STIFF_OHM


def _components(places: int, a: Ints, b: Ints) -> tuple[int, NDArray[np.int32]]:
    ones = np.ones(len(a), dtype=np.int8)
    count, label = connected_components(coo_matrix((ones, (a, b)), shape=(places, places)), directed=False)
    return int(count), label


def prepare(network: Network) -> CircuitEquations:
    """Return the equations of a network."""
    supplies = len(network.supply_v)
    terminals = np.arange(1, 1 + supplies)
    grounded = 1 + supplies
    closed = np.isfinite(network.edge_plus_ohm)
    _, piece = _components(network.places, network.edge_a[closed], network.edge_b[closed])
    fed = np.isin(piece, piece[terminals])
    plus_given = np.full(network.places, np.nan)
    stiff = is_stiff(network)
    plus_given[terminals[stiff]] = network.supply_v[stiff]
    unknown = np.ones((network.places, 2), dtype=bool)
    unknown[:, 0] = fed & np.isnan(plus_given)
    unknown[:grounded, 1] = False
    order = np.full(unknown.size, KNOWN, dtype=np.int64)
    back = unknown[::-1].ravel()
    order[back] = np.arange(int(back.sum()))
    number = order.reshape(unknown.shape)[::-1]
    plus, minus = np.ascontiguousarray(number[:, 0]), np.ascontiguousarray(number[:, 1])
    size = int(back.sum())

    rows: list[Ints] = []
    cols: list[Ints] = []
    data: list[Floats] = []
    source = np.zeros(size)
    given_minus = np.zeros(network.places)

    def rail(index: Ints, given: Floats, ohm: Floats, use: Flags) -> None:
        a, b, g = network.edge_a[use], network.edge_b[use], 1.0 / ohm[use]
        for here, there in ((a, b), (b, a)):
            own = index[here] != KNOWN
            rows.append(index[here][own])
            cols.append(index[here][own])
            data.append(g[own])
            far = index[there]
            both = own & (far != KNOWN)
            rows.append(index[here][both])
            cols.append(far[both])
            data.append(-g[both])
            edge = own & (far == KNOWN)
            np.add.at(source, index[here][edge], g[edge] * given[there[edge]])

    rail(plus, plus_given, network.edge_plus_ohm, closed & fed[network.edge_a])
    rail(minus, given_minus, network.edge_minus_ohm, np.isfinite(network.edge_minus_ohm))
    soft = plus[terminals[~stiff]]
    rows.append(soft)
    cols.append(soft)
    data.append(1.0 / network.supply_ohm[~stiff])
    np.add.at(source, soft, network.supply_v[~stiff] / network.supply_ohm[~stiff])

    place = network.load_place
    alive = (plus[place] != KNOWN) & (minus[place] != KNOWN)
    load_plus, load_minus = plus[place[alive]], minus[place[alive]]
    for r, c in ((load_plus, load_minus), (load_minus, load_plus)):
        rows.append(r)
        cols.append(c)
        data.append(np.zeros(len(r)))
    shape = (size, size)
    matrix = coo_matrix((np.concatenate(data), (np.concatenate(rows), np.concatenate(cols))), shape=shape).tocsc()
    matrix.sort_indices()
    columns = np.repeat(np.arange(size), np.diff(matrix.indptr))
    keys = columns * size + matrix.indices

    def slot(r: Ints, c: Ints) -> Ints:
        return np.searchsorted(keys, c * size + r)

    pairs = (
        (load_plus, load_plus),
        (load_minus, load_minus),
        (load_plus, load_minus),
        (load_minus, load_plus),
    )
    slots = np.array([slot(r, c) for r, c in pairs], dtype=np.int64).reshape(4, -1)
    islands, label = _components(size, columns, matrix.indices.astype(np.int64)) if size else (0, np.zeros(0, np.int32))
    island = label.astype(np.int64)
    return CircuitEquations(
        network=network,
        plus=plus,
        minus=minus,
        plus_given=plus_given,
        matrix=matrix,
        source=source,
        alive=alive,
        load_plus=load_plus,
        load_minus=load_minus,
        slots=slots,
        island=island,
        load_island=island[load_plus],
        islands=islands,
    )
