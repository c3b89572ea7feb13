"""Cables and joints that some frame could overload, and of those only the ones that can be the first to be.

What a rail carries falls along it, because lights take current out of V+ and put it into V- and never the other way:

- In a branch that ends, whatever lies farther out carries no more than what lies before it.
- Between two places where the rail branches or a supply holds it, the current, counted in one direction, never rises along
  the way. So in the middle it is no larger, either way, than at one of two places on either side of it.

So of all that may carry as much or more, only the outermost places need be looked at, and of these only the ones whose
current could pass the rating with every light drawing the most that it ever does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import SuperLU

from hollowglow.analysis.circuit.power import KNOWN, CircuitEquations, over, part_ampacity, part_joint_rating
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, joint_ids
from hollowglow.assembly.tables import NONE, Flags, Floats, Ints

Sort = Literal["cable", "joint"]

_BLOCK = 128
_SAME = 1e-9


@dataclass(frozen=True)
class Conductors:
    """Conductors of the network that are to be watched, n of them.

    Attributes:
        names: id of the cable or joint on each that may carry the least; V- is told where V+ carries something else.
        sorts: what it is.
        edge: edge of the network, shape (n,).
        minus: whether its V- is meant, else its V+, shape (n,).
        rated_a: what it may carry, A, shape (n,).
    """

    names: tuple[str, ...]
    sorts: tuple[Sort, ...]
    edge: Ints
    minus: Flags
    rated_a: Floats

    def __len__(self) -> int:
        return len(self.names)


def conductors_of(assembly: Assembly, circuit: CircuitEquations, lu: SuperLU | None, most_a: Floats) -> Conductors:
    """Return the conductors of an Assembly that some frame could overload.

    Args:
        build: the display expanded.
        circuit: its equations.
        lu: factors of its conductance matrix with no light on; None where nothing is fed.
        most_a: the most that each live load ever draws, A, shape (L,).
    """
    rated, names, sorts = _weakest(assembly)
    network = assembly.network
    flowing = (np.isfinite(network.edge_plus_ohm) & ~_floating(circuit), np.isfinite(network.edge_minus_ohm))
    supplies = len(network.supply_v)
    edges, minus = [], []
    for rail in (0, 1):
        fixed = np.arange(network.places) <= supplies
        first = leading(network.edge_a, network.edge_b, flowing[rail], fixed, rated)
        edges += first.tolist()
        minus += [bool(rail)] * len(first)
    edge, is_minus = np.array(edges, dtype=np.int64), np.array(minus, dtype=np.bool_)
    kept: list[int] = []
    told: list[str] = []
    if lu is not None and len(edge):
        before: dict[int, Floats] = {}
        unloaded = lu.solve(circuit.source)
        for start in range(0, len(edge), _BLOCK):
            rows = np.arange(start, min(start + _BLOCK, len(edge)))
            moved, base = responses(circuit, lu, unloaded, edge[rows], is_minus[rows])
            most = np.abs(base) + np.abs(moved) @ most_a
            for k in np.flatnonzero(over(most, rated[edge[rows]])).tolist():
                row, at = int(rows[k]), int(edge[rows[k]])
                other = before.get(at)
                own = np.append(moved[k], base[k])
                if other is not None and np.allclose(own, other, rtol=0.0, atol=_SAME):
                    continue
                told.append(names[at] if other is None else f"{names[at]} (V-)")
                before[at] = own
                kept.append(row)
    edge, is_minus = edge[kept], is_minus[kept]
    return Conductors(tuple(told), tuple(sorts[e] for e in edge.tolist()), edge, is_minus, rated[edge])


def responses(
    circuit: CircuitEquations, lu: SuperLU, unloaded: Floats, edge: Ints, minus: Flags
) -> tuple[Floats, Floats]:
    """Return how much of each live load's current every conductor carries (n, L), and what it carries without, A (n,).

    Args:
        circuit: the equations.
        lu: factors of its conductance matrix with no light on.
        unloaded: unknown voltages with no light on, V.
        edge, minus: which conductors, shape (n,).
    """
    network = circuit.network
    plus_v, minus_v = circuit.rails(unloaded)
    start = np.where(minus, network.edge_b[edge], network.edge_a[edge])
    end = np.where(minus, network.edge_a[edge], network.edge_b[edge])
    ohm = np.where(minus, network.edge_minus_ohm[edge], network.edge_plus_ohm[edge])
    volts = np.where(minus, minus_v[start] - minus_v[end], plus_v[start] - plus_v[end])
    probe = np.zeros((circuit.size, len(edge)))
    at = np.arange(len(edge))
    for place, sign in ((start, 1.0), (end, -1.0)):
        index = np.where(minus, circuit.minus[place], circuit.plus[place])
        known = index != KNOWN
        probe[index[known], at[known]] += sign / ohm[known]
    solved = lu.solve(probe)
    return np.asarray((solved[circuit.load_minus] - solved[circuit.load_plus]).T), np.asarray(volts / ohm)


def leading(a: Ints, b: Ints, flows: Flags, fixed: Flags, rated: Floats) -> Ints:
    """Return the edges of one rail that need be looked at, rising; without a rating none is.

    Args:
        a, b: places that each edge joins, shape (E,).
        flows: whether this rail is closed there, shape (E,).
        fixed: places whose voltage a supply holds, shape (places,).
        rated: what each edge may carry, A, inf where nothing says, shape (E,).
    """
    used = np.flatnonzero(flows)
    places = len(fixed)
    ends = np.concatenate([a[used], b[used]])
    there = csr_matrix((np.tile(used + 1, 2), (ends, np.arange(len(ends)))), shape=(places, len(ends)))
    around = [there.data[there.indptr[p] : there.indptr[p + 1]] - 1 for p in range(places)]
    left = np.diff(there.indptr)
    far = a + b
    gone = np.zeros(len(a), dtype=np.bool_)
    order: list[tuple[int, int]] = []
    waiting = np.flatnonzero((left == 1) & ~fixed).tolist()
    while waiting:
        place = waiting.pop()
        if left[place] != 1:
            continue
        edge = next(int(e) for e in around[place] if not gone[e])
        order.append((edge, place))
        gone[edge] = True
        towards = int(far[edge]) - place
        left[place] -= 1
        left[towards] -= 1
        if left[towards] == 1 and not fixed[towards]:
            waiting.append(towards)
    wanted = _outermost(order, far, rated)
    wanted += _between(around, gone, left, fixed, far, rated)
    return np.array(sorted(wanted), dtype=np.int64)


def _outermost(order: list[tuple[int, int]], far: Ints, rated: Floats) -> list[int]:
    """Return the edges of branches that end before which none lies that may carry as little; `order` is from the ends."""
    least: dict[int, float] = {}
    wanted = []
    for edge, place in reversed(order):
        before = least.get(int(far[edge]) - place, np.inf)
        least[place] = min(before, float(rated[edge]))
        if rated[edge] < before:
            wanted.append(edge)
    return wanted


def _between(around: list[Ints], gone: Flags, left: Ints, fixed: Flags, far: Ints, rated: Floats) -> list[int]:
    """Return those on ways between branchings and supplies that have none on one side that may carry as little."""
    wanted = []
    walked = gone.copy()
    for start in np.flatnonzero((left > 0) & (fixed | (left != 2))).tolist():
        for edge in around[start].tolist():
            if walked[edge]:
                continue
            way, place = [edge], int(far[edge]) - start
            walked[edge] = True
            while not fixed[place] and left[place] == 2:
                edge = next(int(e) for e in around[place] if not gone[e] and e != way[-1])
                walked[edge] = True
                way.append(edge)
                place = int(far[edge]) - place
            own = rated[way]
            ahead = np.minimum.accumulate(np.append(np.inf, own))[:-1]
            behind = np.minimum.accumulate(np.append(np.inf, own[::-1]))[:-1][::-1]
            wanted += [e for e, keep in zip(way, (own < ahead) | (own < behind), strict=True) if keep]
    return wanted


def _weakest(assembly: Assembly) -> tuple[Floats, dict[int, str], dict[int, Sort]]:
    """Return what each edge may carry, A, and the id and sort of the cable or joint that says so."""
    cables, joints = assembly.cables, assembly.joints
    rated = np.full(len(assembly.network.edge_a), np.inf)
    names: dict[int, str] = {}
    sorts: dict[int, Sort] = {}
    for table, by_part, ids, sort in (
        (cables, part_ampacity(assembly)[0], cable_ids, "cable"),
        (joints, part_joint_rating(assembly), joint_ids, "joint"),
    ):
        own = by_part[table.part] if len(table.part) else np.zeros(0)
        rows = np.flatnonzero((table.edge != NONE) & np.isfinite(own))
        rows = rows[np.argsort(own[rows], kind="stable")]
        edges, first = np.unique(table.edge[rows], return_index=True)
        weaker = own[rows[first]] < rated[edges]
        rows, edges = rows[first[weaker]], edges[weaker]
        rated[edges] = own[rows]
        names |= dict(zip(edges.tolist(), ids(assembly, rows), strict=True))
        sorts |= dict.fromkeys(edges.tolist(), sort)
    return rated, names, sorts


def _floating(circuit: CircuitEquations) -> Flags:
    """Return which edges begin on a piece of V+ that no supply reaches, shape (E,)."""
    a = circuit.network.edge_a
    return np.asarray((circuit.plus[a] == KNOWN) & np.isnan(circuit.plus_given[a]))
