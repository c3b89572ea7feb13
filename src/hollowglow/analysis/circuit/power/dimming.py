"""To which level lights must be lowered so that a current surely comes down to what is allowed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hollowglow.analysis import edits
from hollowglow.analysis.circuit.power.analyse import solve_network
from hollowglow.analysis.circuit.power.network.loads import drawer
from hollowglow.analysis.circuit.power.ratings import over
from hollowglow.analysis.circuit.power.result import Point, Power
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import NONE, Floats, of_string
from hollowglow.messages import Mend


@dataclass(frozen=True)
class Dimming:
    """Levels that mend an overload, for a whole display.

    What lights draw beside their idle current goes down with the level, but where the voltage rises meanwhile, the
    current of a light that is short of voltage rises with it: at most to that at the voltage of all lights off.
    """

    assembly: Assembly
    power: Power

    @cached_property
    def _idle(self) -> Point:
        """The network with every level at zero: idle currents, and the highest voltages that there can be."""
        network = self.assembly.network
        return solve_network(network, np.zeros_like(network.duty)).point

    @cached_property
    def _growth(self) -> Floats:
        """By how much the current of each lit light may grow when lights are dimmed, infinite: not known, shape (G,)."""
        network = self.assembly.network
        place, characteristic = network.load_place, network.load_characteristic
        draw = drawer(network.characteristics, characteristic)
        own = network.duty[characteristic]
        highest = self._idle.plus_v[place] - self._idle.minus_v[place]
        now, then = (np.einsum("nc,nc->n", draw.per_colour(v)[0], own) for v in (self.power.across_v, highest))
        dark = ~self.power.alive | (then == 0.0)
        growth = np.divide(then, now, out=np.full(len(characteristic), np.inf), where=now > 0.0)
        # A switching driver draws less at more voltage, as long as it runs.
        switching = network.characteristics.falls[characteristic]
        growth[switching] = np.inf if self.power.verdicts else 1.0
        return np.where(dark, 1.0, np.maximum(growth, 1.0))

    def for_supply(self, supply: int, allowed_w: float) -> tuple[Mend, ...]:
        """Return the level at which a supply delivers at most `allowed_w`.

        Nothing where no level does, or none can be named without solving anew.
        """
        assembly = self.assembly
        volts = float(assembly.network.supply_v[supply])
        fed = [row for row, names in enumerate(self._supplies_by_string) if assembly.supplies[supply] in names]
        alone = all(len(self._supplies_by_string[row]) == 1 for row in fed)
        growth = self._growth[np.isin(assembly.load_string, fed)] if alone else self._growth
        drawn, idle = (volts * p.supply_a[supply : supply + 1] for p in (self.power.mean, self._idle))
        level = _level(drawn, idle, allowed_w, float(growth.max(initial=1.0)))
        return self._mend(level, fed if alone else range(len(assembly.strings.names)))

    def for_cable(self, string: int, part: int, allowed_a: float) -> tuple[Mend, ...]:
        """Return the level at which all cable of a part on a string carries enough less.

        Nothing where no level does, or none can be named without solving anew.
        """
        assembly, cables = self.assembly, self.assembly.cables
        own = of_string(cables.string, string)
        edges = cables.edge[own][(cables.part[own] == part) & (cables.edge[own] != NONE)]
        supplies = self._supplies_by_string[string]
        growth = self._growth if len(supplies) > 1 else self._growth[of_string(assembly.load_string, string)]
        most = float(growth.max(initial=1.0))
        if assembly.display.strings[assembly.strings.names[string]].feeds:
            # Between feeds more current on one side may be less on the other: only what is proportional is sure.
            falls = assembly.network.characteristics.falls[assembly.network.load_characteristic]
            if over(most, 1.0) or falls.any():
                return ()
        mean, idle = (
            np.concatenate([p.edge_plus_a[edges], p.edge_minus_a[edges]]) for p in (self.power.mean, self._idle)
        )
        level = _level(np.abs(mean), np.where(mean < 0.0, -idle, idle), allowed_a, most)
        return self._mend(level, range(len(assembly.strings.names)) if len(supplies) > 1 else (string,))

    def _mend(self, level: int | None, strings: Iterable[int]) -> tuple[Mend, ...]:
        """Return the mend that lowers all kinds on some strings (rows) to a level in percent of today's, if there is one."""
        if level is None:
            return ()
        display, names = self.assembly.display, self.assembly.strings.names
        kinds = (run.kind for row in strings for run in display.strings[names[row]].props)
        return (
            Mend("lower-levels", {"level": level}, edits.dimmed(self.assembly, dict.fromkeys(kinds), level / 100.0)),
        )

    @cached_property
    def _supplies_by_string(self) -> list[set[str]]:
        strings = self.assembly.display.strings.values()
        return [{n for n in (s.supply, *(f.supply for f in s.feeds)) if n is not None} for s in strings]


def _level(drawn: Floats, idle: Floats, allowed: float, growth: float) -> int | None:
    """Return the largest whole percent of today's level at which what is drawn in each place is allowed, None if 0.

    Args:
        drawn, idle: what is drawn today, and with every level at zero, in A or W, shape (n,).
        allowed: what may be drawn in each place, in the same unit.
        growth: by how much what is drawn beside `idle` may grow when lights are dimmed.
    """
    if not np.isfinite(growth) or not np.isfinite(drawn).all() or over(np.abs(idle), allowed).any():
        return None
    lit = (drawn - idle) * growth
    share = float(((allowed - idle)[lit > 0.0] / lit[lit > 0.0]).min(initial=1.0))
    level = int(100.0 * share * (1.0 + 1e-10))
    return level if 0 < level < 100 else None
