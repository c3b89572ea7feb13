"""What cables and joints of an Assembly may carry, and which fuse stands before them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import overload

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import NONE, Flags, Floats, Ints
from hollowglow.file.model.parts import Cable
from hollowglow.physics import copper

# Currents come from a solver: a load that meets its limit exactly must not be told that it is over.
SLACK = 1e-9


@overload
def over(value: float, limit: float) -> bool: ...
@overload
def over(value: Floats, limit: Floats | float) -> Flags: ...
@overload
def over(value: float, limit: Floats) -> Flags: ...
def over(value: Floats | float, limit: Floats | float) -> Flags | bool:
    """Return whether a load is above its limit by more than rounding; both in the same unit, the limit positive."""
    return value > limit * (1.0 + SLACK)


def cable_ampacity(cable: Cable) -> tuple[float, str]:
    """Return (A, basis) of a cable part; infinite where neither the part nor its size says."""
    if cable.ampacity is not None:
        return cable.ampacity, "the part's own ampacity"
    if cable.size is None:
        return np.inf, "unknown: the part states no size"
    rated = copper.ampacity_a(awg=cable.size.awg, mm2=cable.size.mm2)
    return rated.current_a, rated.basis


def part_ampacity(assembly: Assembly) -> tuple[Floats, list[str]]:
    """Return what each part may carry as a cable (A, inf where it is none) and why."""
    rated = [cable_ampacity(p.cable) if p.cable else (np.inf, "") for p in assembly.display.parts.values()]
    return np.array([a for a, _ in rated], dtype=np.float64), [why for _, why in rated]


def part_joint_rating(assembly: Assembly) -> Floats:
    """Return what each part may carry as a joint, A, inf where it is none or states nothing."""
    joints = [p.joint for p in assembly.display.parts.values()]
    return np.array([j.rating if j and j.rating is not None else np.inf for j in joints], dtype=np.float64)


@dataclass(frozen=True)
class Zones:
    """Which conductors lie behind which fuse in V+.

    A zone is a piece of V+ that is left when every fused edge is taken out and the supplies' terminals are parted. What
    ends in the air before a cut belongs to the zone that it hangs on; a lead that is cut before its first prop is a
    zone of its own.

    Attributes:
        of_edge: zone of each edge, NONE where no V+ is connected to it or it is fused itself, shape (E,).
        of_fuse: zone behind each fuse, NONE where its string has no supply, shape (F,).
        bare: zones that a supply reaches without a fuse, shape (Z,).
    """

    of_edge: Ints
    of_fuse: Ints
    bare: Flags

    def with_fused(self, assembly: Assembly) -> Ints:
        """Return the zone of each edge with every fused edge in the zone behind its fuse, shape (E,)."""
        of_edge = self.of_edge.copy()
        of_edge[assembly.fuses.edge] = self.of_fuse
        return of_edge


def zones(assembly: Assembly) -> Zones:
    """Return the zones of an Assembly."""
    network = assembly.network
    a, b = network.edge_a, network.edge_b
    terminals = 1 + len(network.supply_v)
    fused = np.zeros(len(a), dtype=bool)
    fused[assembly.fuses.edge] = True
    closed = np.isfinite(network.edge_plus_ohm)
    inner = closed & ~fused & (a >= terminals)
    graph = coo_matrix((np.ones(int(inner.sum()), dtype=np.int8), (a[inner], b[inner])), shape=(network.places,) * 2)
    count, label = connected_components(graph, directed=False)
    zone = label.astype(np.int64)
    at_supply = (a >= 1) & (a < terminals)
    dead_lead = np.flatnonzero(~closed & at_supply)
    behind = np.where(closed, zone[b], np.where(a >= terminals, zone[a], NONE))
    behind[dead_lead] = count + np.arange(len(dead_lead))
    bare = np.zeros(count + len(dead_lead), dtype=bool)
    bare[behind[at_supply & ~fused]] = True
    return Zones(np.where(fused, NONE, behind), behind[assembly.fuses.edge], bare)
