"""The same circuit at other duties: the light and power of each, with the equations prepared once."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from hollowglow.analysis.circuit.power.analyse import nominal_voltage, solve_network
from hollowglow.analysis.circuit.power.network.equations import CircuitEquations, prepare
from hollowglow.analysis.circuit.power.network.loads import drawer
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags, Floats


@dataclass(frozen=True)
class Relit:
    """A circuit at one duty.

    Attributes:
        relative: light of each colour over its nominal light, as the voltages leave it, shape (G, c); NaN without a
            steady state, 0 where no supply reaches.
        alive: loads that some supply reaches, shape (G,).
        current_a: out of each supply, shape (S,).
        power_w: of all supplies together, voltage without load times current; NaN without a steady state.
    """

    relative: Floats
    alive: Flags
    current_a: Floats
    power_w: float


@dataclass(frozen=True)
class Relight:
    """An Assembly whose levels are to be tried out."""

    assembly: Assembly
    _circuit: CircuitEquations = field(init=False)
    _nominal: Floats = field(init=False)

    def __post_init__(self) -> None:
        network = self.assembly.network
        object.__setattr__(self, "_circuit", prepare(network))
        light = drawer(network.characteristics, network.load_characteristic).light(nominal_voltage(self.assembly))
        object.__setattr__(self, "_nominal", light)

    def at(self, duty: Floats) -> Relit:
        """Return the circuit at a duty of each colour by kind, shape (K, c), at currents averaged over time."""
        network = self.assembly.network
        point = solve_network(network, duty, self._circuit).point
        nominal = self._nominal
        relative = np.divide(point.light, nominal, out=np.zeros_like(nominal), where=nominal > 0.0)
        return Relit(relative, self._circuit.alive, point.supply_a, float(point.supply_a @ network.supply_v))
