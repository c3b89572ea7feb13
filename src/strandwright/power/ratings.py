"""What cables and joints of a Build may carry, and which fuse stands before them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from strandwright.build import Build
from strandwright.build.tables import NONE, Flags, Floats, Ints
from strandwright.display.parts import Cable
from strandwright.physics import copper


def cable_ampacity(cable: Cable) -> tuple[float, str]:
    """Return (A, basis) of a cable part; infinite where neither the part nor its size says."""
    if cable.ampacity is not None:
        return cable.ampacity, "the part's own ampacity"
    if cable.size is None:
        return np.inf, "unknown: the part states no size"
    rated = copper.ampacity_a(awg=cable.size.awg, mm2=cable.size.mm2)
    return rated.current_a, rated.basis


def part_ampacity(build: Build) -> tuple[Floats, list[str]]:
    """Return what each part may carry as a cable (A, inf where it is none) and why."""
    rated = [cable_ampacity(p.cable) if p.cable else (np.inf, "") for p in build.display.parts.values()]
    return np.array([a for a, _ in rated], dtype=np.float64), [why for _, why in rated]


def part_joint_rating(build: Build) -> Floats:
    """Return what each part may carry as a joint, A, inf where it is none or states nothing."""
    joints = [p.joint for p in build.display.parts.values()]
    return np.array([j.rating if j and j.rating is not None else np.inf for j in joints], dtype=np.float64)


@dataclass(frozen=True)
class Zones:
    """Which conductors lie behind which fuse in V+.

    A zone is a piece of V+ that is left when every fused edge is taken out and the supplies' terminals are parted.

    Attributes:
        of_edge: zone of each edge, NONE where its V+ is open or it is fused itself, shape (E,).
        of_fuse: zone behind each fuse, shape (F,).
        bare: zones that a supply reaches without a fuse, shape (Z,).
    """

    of_edge: Ints
    of_fuse: Ints
    bare: Flags


def zones(build: Build) -> Zones:
    """Return the zones of a Build."""
    network = build.network
    terminals = 1 + len(network.supply_v)
    fused = np.zeros(len(network.edge_a), dtype=bool)
    fused[build.fuses.edge] = True
    closed = np.isfinite(network.edge_plus_ohm)
    free = closed & ~fused
    at_supply = network.edge_a < terminals
    inner = free & ~at_supply
    graph = coo_matrix(
        (np.ones(int(inner.sum()), dtype=np.int8), (network.edge_a[inner], network.edge_b[inner])),
        shape=(network.places, network.places),
    )
    count, label = connected_components(graph, directed=False)
    zone = label.astype(np.int64)
    bare = np.zeros(count, dtype=bool)
    bare[zone[network.edge_b[free & at_supply & (network.edge_a > 0)]]] = True
    of_edge = np.where(free, zone[network.edge_b], NONE)
    return Zones(of_edge, zone[network.edge_b[build.fuses.edge]], bare)
