"""What supplies take from the mains: the current of each circuit, linear in the currents of the supplies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.mains.circuits import taken_per_w
from hollowglow.analysis.circuit.mains.judge import CONTINUOUS
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats


@dataclass(frozen=True)
class MainsCircuits:
    """The mains circuits of a display that state a breaker and have a supply.

    Attributes:
        names: "mains/" and the name in the file, since a supply may have the same.
        per_a: what each ampere of a supply takes from the circuit, A, shape (circuits, S).
        per_w: what each watt of a supply takes from it, W, shape (circuits, S).
        allowed_a: 80 % of the rating of the breaker, as for loads that go on for hours, A, shape (circuits,).
    """

    names: tuple[str, ...]
    per_a: Floats
    per_w: Floats
    allowed_a: Floats

    @classmethod
    def of(cls, assembly: Assembly) -> MainsCircuits:
        """Return the circuits of an Assembly.

        A supply takes its power V·I by `mains.circuits.taken_per_w`, as in the plan; effective values are added.
        """
        display = assembly.display
        taken = {name: np.zeros((2, len(assembly.supplies))) for name in display.mains}
        for row, name in enumerate(assembly.supplies):
            supply = display.supplies[name]
            if supply.circuit in taken:
                mains_v = display.mains[supply.circuit].voltage
                per_w, apparent_per_w = taken_per_w(supply)
                taken[supply.circuit][:, row] = assembly.network.supply_v[row] * apparent_per_w / mains_v, per_w
        own = [name for name, shares in taken.items() if shares.any()]
        allowed = CONTINUOUS * np.array([display.mains[name].breaker for name in own], dtype=np.float64)
        shares = np.array([taken[name] for name in own]).reshape(len(own), 2, len(assembly.supplies))
        return cls(tuple(f"mains/{name}" for name in own), shares[:, 0], shares[:, 1], allowed)
