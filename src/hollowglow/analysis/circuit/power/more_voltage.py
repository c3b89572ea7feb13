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
from hollowglow.physics.colour import WhiteChange, white_change
from hollowglow.quantity.words import at_least, several, volts


@dataclass(frozen=True)
class MoreVoltage:
    """The mends of too little voltage, for a whole display."""

    assembly: Assembly
    power: Power

    def for_the_lowest(self, prop: str, needed_v: float) -> str:
        """Return the mend of a light whose voltage is below what it needs."""
        supplies, unloaded = self._reaching(prop)
        if unloaded <= needed_v:
            # What cable will lose is not known: lights that are short of voltage draw too little now.
            return _other_supply(supplies, unloaded, f"more than {volts(needed_v)}")
        return self._along(prop, dimming_helps=False)

    def for_the_light(self, load: int, prop: str, wrong: Callable[[WhiteChange], Floats], limit: float) -> str:
        """Return the mend of a light whose white is dim or shifted: `wrong` tells by how much, `limit` what may be."""
        supplies, unloaded = self._reaching(prop)
        if float(wrong(self._change(load, unloaded))[0]) > limit:
            return _other_supply(supplies, unloaded, at_least(float(self._nominal_v[load]), volts))
        return self._along(prop, dimming_helps=True)

    @cached_property
    def _nominal_v(self) -> Floats:
        return nominal_voltage(self.assembly)

    def _change(self, load: int, voltage: float) -> WhiteChange:
        """Return what becomes of the white of one load at a voltage."""
        network, kinds = self.assembly.network, self.assembly.kinds
        characteristic = network.load_characteristic[[load]]
        draw = drawer(network.characteristics, characteristic)
        nominal, here = draw.light(self._nominal_v[[load]]), draw.light(np.array([voltage]))
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

    def _along(self, prop: str, dimming_helps: bool) -> str:
        """Return where to feed again and what to make heavier, and a lower level if it helps."""
        name, at = prop_of(prop)
        stated = self.assembly.display.strings[name]
        count = stated.prop_count
        fed = sorted({1, *(f.before for f in stated.feeds)})
        heavier = f"use heavier cable for its {self._hungriest(name)}"
        level = ", or lower the level" if dimming_helps else ""
        if at in fed:
            return f"U{heavier[1:]} before prop {at} of {name}{level}."
        last = max(f for f in fed if f <= at)
        # Two thirds of the way to a free end leaves the same drop on both sides of the new feed.
        middle = at if any(f > at for f in fed) else min(count, last + max(1, round(2 * (count - last) / 3)))
        again = f"Feed {name} again before prop {middle} (supply: {self._reaching(prop)[0][0]})"
        return f"{again}, {heavier}{level}." if dimming_helps else f"{again}, or {heavier}."

    def _hungriest(self, name: str) -> str:
        """Return "lead (it loses 1.2 V)" or "spans (they lose 0.8 V)", whichever loses more at the point together."""
        cables = self.assembly.cables
        point = self.power.coincident
        own = of_string(cables.string, self.assembly.strings.names.index(name))
        edge, sort = cables.edge[own], cables.sort[own]
        both = np.abs(point.edge_plus_a[edge]) + np.abs(point.edge_minus_a[edge])
        drop = np.where(edge == NONE, 0.0, both * cables.ohm[own])
        lead = float(drop[sort == CableSort.LEAD].sum())
        spans = float(drop[sort == CableSort.SPAN].sum())
        return f"lead (it loses {volts(lead)})" if lead > spans else f"spans (they lose {volts(spans)})"


def _other_supply(supplies: list[str], unloaded_v: float, needed: str) -> str:
    gives = f"Even without load {several(supplies)} gives {volts(unloaded_v)} only, so no feed and no cable helps"
    return f"{gives}: use a supply of {needed}, or lights made for {volts(unloaded_v)}."
