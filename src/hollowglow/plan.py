"""The whole computation: a Display expanded, analysed and judged, with the time that each step took."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from hollowglow.analysis import data as signal
from hollowglow.analysis import match
from hollowglow.analysis.circuit import fault, mains, power
from hollowglow.analysis.circuit.mains import Class2Numbers, Mains
from hollowglow.analysis.money import cost
from hollowglow.analysis.prop import making, optics
from hollowglow.analysis.prop.optics import PropLight
from hollowglow.analysis.site import placement as place
from hollowglow.assembly import Assembly, expand
from hollowglow.file import Display
from hollowglow.messages import Finding, by_weight

Progress = Callable[[str], None]
# In this order, "load" done by whoever reads the file.
STEPS = (
    "load",
    "expand",
    "power",
    "signal",
    "cost",
    "faults",
    "mains",
    "light",
    "match",
    "making",
    "place",
    "findings",
)


@dataclass(frozen=True)
class Plan:
    """Everything that is known about a display.

    `optics` is the light as far as readings correct it, `computed` that of the model alone, `timings` seconds by step.
    """

    assembly: Assembly
    power: power.Power
    signal: signal.Signal
    cost: cost.Cost
    faults: fault.Faults
    mains: Mains
    class2: tuple[Class2Numbers, ...]
    computed: optics.Optics
    optics: optics.Optics
    lit: PropLight
    making: making.Making
    placed: place.PlacedDisplay
    levels: tuple[match.Row, ...]
    findings: tuple[Finding, ...]
    timings: dict[str, float]

    @property
    def stopped(self) -> bool:
        """Return whether a finding says not to build or energise this."""
        return any(f.severity == "stop" for f in self.findings)


def silent(_step: str) -> None:
    """Say nothing about progress."""


def make_plan(
    display: Display,
    progress: Progress = silent,
    readings: optics.KindReadings = optics.NO_READINGS,
    before: Plan | None = None,
) -> Plan:
    """Return the plan of a display.

    Args:
        display: what the person stated.
        progress: called with the name of each step as it begins.
        readings: what was measured on props that were built; it corrects the light of their kinds.
        before: an earlier plan; kinds that are stated alike in both keep their light, which takes longest.
    """
    timings: dict[str, float] = {}
    last = time.perf_counter()

    def done(step: str) -> None:
        nonlocal last
        now = time.perf_counter()
        timings[step] = now - last
        last = now

    progress("expand")
    assembly = expand(display)
    done("expand")
    progress("power")
    powered = power.analyse(assembly)
    done("power")
    progress("signal")
    signalled = signal.analyse(assembly)
    done("signal")
    progress("cost")
    costed = cost.analyse(assembly, powered.mean.edge_plus_a, powered.mean.edge_minus_a)
    done("cost")
    progress("faults")
    faults = fault.analyse(assembly)
    done("faults")
    progress("mains")
    delivered = powered.mean.supply_a * assembly.network.supply_v
    circuits = mains.analyse(assembly, delivered)
    limited = mains.class2(assembly, delivered, powered.mean.edge_plus_a)
    done("mains")
    progress("light")
    computed = optics.analyse(assembly, before=None if before is None else (before.assembly, before.computed))
    glowing = optics.corrected(computed, assembly.kinds.names, readings)
    lit = optics.of_props(assembly, glowing, powered.relative)
    done("light")
    progress("match")
    levels = match.at_file(assembly, glowing, powered.relative, powered.alive)
    done("match")
    progress("making")
    made = making.analyse(assembly)
    done("making")
    progress("place")
    placed = place.analyse(assembly, made)
    done("place")
    progress("findings")
    findings = [
        *power.judge(assembly, powered),
        *fault.judge(assembly, faults, powered.mean.edge_plus_a),
        *signal.judge(assembly, signalled),
        *cost.judge(assembly),
        *mains.judge(assembly, circuits, limited),
        *optics.judge(assembly, glowing),
        *match.judge(assembly, glowing, levels),
        *making.judge(assembly, made),
        *place.judge(assembly, made, placed),
    ]
    done("findings")
    return Plan(
        assembly=assembly,
        power=powered,
        signal=signalled,
        cost=costed,
        faults=faults,
        mains=circuits,
        class2=limited,
        computed=computed,
        optics=glowing,
        lit=lit,
        making=made,
        placed=placed,
        levels=levels,
        findings=by_weight(findings),
        timings=timings,
    )
