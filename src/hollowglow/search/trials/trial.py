"""One string tried with a feed plan, by the plan's own solver and the plan's own rules."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hollowglow.analysis.circuit import power
from hollowglow.analysis.circuit.power import Power
from hollowglow.analysis.circuit.power.network.loads import drawer
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.tables import Floats
from hollowglow.file import Display
from hollowglow.messages import Finding
from hollowglow.search.trials.choice import Choice, display_with, stated_string
from hollowglow.search.trials.market import Market

# The load of a supply is a matter of all its strings together.
OF_SUPPLIES = ("supply-load", "supply-over")
OF_LIGHT = ("low-voltage", "light-loss", "chromaticity-shift")


@dataclass(frozen=True)
class TrialOutcome:
    """What became of a try: the string expanded and solved, and everything that is wrong with its feeding."""

    assembly: Assembly
    power: Power
    findings: tuple[Finding, ...]

    @property
    def meets(self) -> bool:
        """Return whether nothing is wrong."""
        return not self.findings

    @property
    def only_light(self) -> bool:
        """Return whether what is wrong is want of voltage or light alone."""
        return all(f.code in OF_LIGHT for f in self.findings)


@dataclass(frozen=True)
class TrialString:
    """A string by itself, where its plans are tried.

    Attributes:
        display: the whole display.
        name: the string.
        market: what its plans may be made of.
        others_a: what the other strings draw from each supply at most, A, shape (S,).
    """

    display: Display
    name: str
    market: Market
    others_a: Floats

    @cached_property
    def alone(self) -> Display:
        """Return the display with this string only."""
        return self.display.model_copy(update={"strings": {self.name: self.display.strings[self.name]}})

    def stated(self, choice: Choice) -> Display:
        """Return the string alone as the file would state it."""
        string = stated_string(self.display, self.name, choice, self.market)
        return display_with(self.alone, {self.name: string}, self.market)

    def supply_v(self, assembly: Assembly) -> Floats:
        """Return what each supply gives under the load of the other strings, V, shape (S,)."""
        return assembly.network.supply_v - assembly.network.supply_ohm * self.others_a

    def outcome(self, choice: Choice) -> TrialOutcome:
        """Return what becomes of the string with a choice."""
        return self.judged(self.stated(choice))

    def judged(self, display: Display) -> TrialOutcome:
        """Return what becomes of a display of one string under the load of the others."""
        assembly = expand(display)
        solved = power.analyse(assembly, self.supply_v(assembly))
        found = tuple(f for f in power.judge(assembly, solved) if f.code not in OF_SUPPLIES)
        return TrialOutcome(assembly, solved, found)


def most_drawn(assembly: Assembly) -> dict[str, Floats]:
    """Return what each string draws at most from each supply that reaches it, A, shape (S,), all pulses together.

    Constant currents and resistors draw most at the supply's own voltage, switching drivers at the lowest that they run
    at. Where several supplies reach a string, each is counted as if it brought everything.
    """
    network = assembly.network
    characteristic = network.load_characteristic
    duty = np.where(network.duty[characteristic] > 0.0, 1.0, 0.0)
    draw = drawer(network.characteristics, characteristic)
    voltage = dict(zip(assembly.supplies, network.supply_v.tolist(), strict=True))
    fed = [
        max((voltage[n] for n in (s.supply, *(f.supply for f in s.feeds)) if n is not None), default=0.0)
        for s in assembly.display.strings.values()
    ]
    top = np.array(fed)[assembly.load_string] if fed else np.zeros(0)
    drawn = (
        np.maximum(draw.node(top, duty)[0], draw.node(assembly.kinds.lowest_v[characteristic], duty)[0])
        * network.load_count
    )
    by_string = np.bincount(assembly.load_string, weights=drawn, minlength=len(assembly.strings.names))
    made = {}
    for row, (name, string) in enumerate(assembly.display.strings.items()):
        used = {s for s in (string.supply, *(f.supply for f in string.feeds)) if s is not None}
        made[name] = np.where([s in used for s in assembly.supplies], by_string[row], 0.0)
    return made
