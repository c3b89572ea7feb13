"""From deviations of parts to the numbers of the circuit: resistances, supply voltages, and factors of the loads."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_matrix

from hollowglow.analysis.circuit.tolerance.sample import SampledParts
from hollowglow.assembly import Assembly, Network
from hollowglow.assembly.tables import NONE, Floats, Ints


@dataclass(frozen=True)
class Deviations:
    """What the samples change in a network; the last axis counts the samples.

    Attributes:
        plus_ohm, minus_ohm: what is added to the resistance of each edge on each rail, ohm, shape (E, D).
        supply_v: voltage of each supply, V, shape (S, D).
        load: full-duty current of each load over its stated one, shape (G, D).
    """

    plus_ohm: Floats
    minus_ohm: Floats
    supply_v: Floats
    load: Floats


def _gathered(edge: Ints, weight: Floats, edges: int) -> csr_matrix:
    """Return the matrix that adds up weighted things by the edge that they are part of."""
    live = np.flatnonzero(edge != NONE)
    return csr_matrix((weight[live], (edge[live], live)), shape=(edges, len(edge)))


class Adder:
    """Adds deviations of an Assembly's parts up to those of its network."""

    def __init__(self, assembly: Assembly) -> None:
        network = assembly.network
        edges = len(network.edge_a)
        self._network = network
        self._cables = _gathered(assembly.cables.edge, assembly.cables.ohm, edges)
        self._joints = _gathered(assembly.joints.edge, np.ones(len(assembly.joints.edge)), edges)
        self._stated_ohm = assembly.joints.ohm[:, None]
        load = assembly.nodes.load
        self._loads = csr_matrix(
            (1.0 / network.load_count[load], (load, np.arange(len(load)))), shape=(len(network.load_place), len(load))
        )

    def deviations(self, sampled: SampledParts) -> Deviations:
        """Return what a sample changes in the network."""
        cable = self._cables @ (sampled.cable * sampled.copper - 1.0)
        return Deviations(
            plus_ohm=cable + self._joints @ (sampled.joint_plus_ohm - self._stated_ohm),
            minus_ohm=cable + self._joints @ (sampled.joint_minus_ohm - self._stated_ohm),
            supply_v=self._network.supply_v[:, None] * sampled.supply,
            load=np.asarray(self._loads @ sampled.current),
        )


def sampled_network(network: Network, deviations: Deviations, sample: int) -> Network:
    """Return one sample (by its place in `deviations`) as a network of its own, with a characteristic for each load."""
    factor = deviations.load[:, sample][:, None]
    characteristics, characteristic = network.characteristics, network.load_characteristic
    return replace(
        network,
        supply_v=deviations.supply_v[:, sample],
        edge_plus_ohm=network.edge_plus_ohm + deviations.plus_ohm[:, sample],
        edge_minus_ohm=network.edge_minus_ohm + deviations.minus_ohm[:, sample],
        load_characteristic=np.arange(len(characteristic)),
        characteristics=characteristics.spread(characteristic, factor),
        duty=network.duty[characteristic],
    )
