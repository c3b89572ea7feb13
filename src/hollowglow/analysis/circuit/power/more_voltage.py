"""How to bring more voltage to a prop: another feed, heavier cable, a lower level, or another supply."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hollowglow.analysis.circuit.power.analyse import nominal_voltage
from hollowglow.analysis.circuit.power.network.loads import drawer
from hollowglow.analysis.circuit.power.result import Power
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import prop_of
from hollowglow.assembly.tables import NONE, CableSort, Floats, of_string
from hollowglow.messages import Mend
from hollowglow.messages.told import Facts
from hollowglow.physics.colour import WhiteChange, white_change
from hollowglow.quantity.quantities import Quantity, voltage


@dataclass(frozen=True)
class MoreVoltage:
    """The mends of too little voltage, for a whole display."""

    assembly: Assembly
    power: Power

    def for_the_lowest(self, prop: str, needed_v: float) -> tuple[Mend, ...]:
        """Return the mends of a light whose voltage is below what it needs."""
        supplies, unloaded = self._reaching(prop)
        if unloaded <= needed_v:
            # What cable will lose is not known: lights that are short of voltage draw too little now.
            return _other_supply(supplies, unloaded)
        return self._along(prop)

    def for_the_light(
        self, load: int, prop: str, wrong: Callable[[WhiteChange], Floats], limit: float
    ) -> tuple[Mend, ...]:
        """Return the mends of a light whose white is dim or shifted: `wrong` tells by how much, `limit` what may be."""
        supplies, unloaded = self._reaching(prop)
        if float(wrong(self._change(load, unloaded))[0]) > limit:
            return _other_supply(supplies, unloaded, nominal=voltage(float(self._nominal_v[load])))
        return (*self._along(prop), Mend("lower-levels"))

    @cached_property
    def _nominal_v(self) -> Floats:
        return nominal_voltage(self.assembly)

    def _change(self, load: int, at_v: float) -> WhiteChange:
        """Return what becomes of the white of one load at a voltage."""
        network, kinds = self.assembly.network, self.assembly.kinds
        characteristic = network.load_characteristic[[load]]
        draw = drawer(network.characteristics, characteristic)
        nominal, here = draw.light(self._nominal_v[[load]]), draw.light(np.array([at_v]))
        relative = np.divide(here, nominal, out=np.zeros_like(nominal), where=nominal > 0.0)
        lit = np.where(nominal > 0.0, kinds.flux_lm[characteristic] * network.duty[characteristic], 0.0)
        return white_change(relative, lit, kinds.xy[characteristic])

    def _reaching(self, prop: str) -> tuple[list[str], float]:
        """Return the supplies whose V+ reaches a prop, and the highest of their voltages, V."""
        name, at = prop_of(prop)
        stated = self.assembly.display.strings[name]
        cuts = [f.before for f in stated.feeds if f.cut]
        first = max((c for c in cuts if c <= at), default=0)
        last = min((c for c in cuts if c > at), default=stated.prop_count + 1)
        own = [stated.supply] if stated.supply is not None and first == 0 else []
        found = dict.fromkeys([*own, *(f.supply for f in stated.feeds if first <= f.before < last)])
        rows = [self.assembly.supplies.index(s) for s in found]
        return list(found), float(self.assembly.network.supply_v[rows].max(initial=0.0))

    def _along(self, prop: str) -> tuple[Mend, ...]:
        """Return where to feed again, unless the prop is fed itself, and what to make heavier."""
        name, at = prop_of(prop)
        stated = self.assembly.display.strings[name]
        count = stated.prop_count
        fed = sorted({1, *(f.before for f in stated.feeds)})
        heavier = self._heavier(name, at)
        if at in fed:
            return (heavier,)
        last = max(f for f in fed if f <= at)
        # Two thirds of the way to a free end leaves the same drop on both sides of the new feed.
        middle = at if any(f > at for f in fed) else min(count, last + max(1, round(2 * (count - last) / 3)))
        return (Mend("feed-again", {"before": middle, "supply": self._reaching(prop)[0][0]}), heavier)

    def _heavier(self, name: str, at: int) -> Mend:
        """Return the mend of a string's lead or spans, whichever lose more at the point together."""
        cables = self.assembly.cables
        point = self.power.coincident
        own = of_string(cables.string, self.assembly.strings.names.index(name))
        edge, sort = cables.edge[own], cables.sort[own]
        both = np.abs(point.edge_plus_a[edge]) + np.abs(point.edge_minus_a[edge])
        drop = np.where(edge == NONE, 0.0, both * cables.ohm[own])
        lead = float(drop[sort == CableSort.LEAD].sum())
        spans = float(drop[sort == CableSort.SPAN].sum())
        piece, lost = ("lead", lead) if lead > spans else ("spans", spans)
        return Mend("heavier-cable", {"piece": piece, "lost": voltage(lost), "at": at})


def _other_supply(supplies: list[str], unloaded_v: float, **needed: Quantity) -> tuple[Mend, ...]:
    facts: Facts = {"supplies": tuple(supplies), "unloaded": voltage(unloaded_v), **needed}
    return (Mend("other-supply", facts), Mend("other-lights"))
