"""Which supplies meet at V+."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from hollowglow.assembly import Assembly


def joined_supplies(assembly: Assembly) -> list[list[int]]:
    """Return the groups of supplies (rows) whose V+ are connected by closed edges, groups of one left out."""
    network = assembly.network
    closed = np.isfinite(network.edge_plus_ohm)
    a, b = network.edge_a[closed], network.edge_b[closed]
    graph = coo_matrix((np.ones(len(a), dtype=np.int8), (a, b)), shape=(network.places, network.places))
    _, label = connected_components(graph, directed=False)
    groups: dict[int, list[int]] = {}
    for supply in range(len(network.supply_v)):
        groups.setdefault(int(label[1 + supply]), []).append(supply)
    return [g for g in groups.values() if len(g) > 1]
