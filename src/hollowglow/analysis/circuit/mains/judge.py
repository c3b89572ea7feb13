"""What the mains side means for the builder: findings about breakers, residual-current devices and Class 2."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from hollowglow.analysis.circuit.mains.circuits import AT_ONCE, MAY_TRIP, STAGGER_S, LoadedCircuit, Mains, inrush_a
from hollowglow.analysis.circuit.mains.class2 import WET_V, Class2Numbers
from hollowglow.assembly import Assembly
from hollowglow.messages import Finding, finding
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import amps, at_most, percent, several, watts

CONTINUOUS = 0.80
_ELECTRICIAN = "ask a licensed electrician"
_SLACK = 1.0 + 1e-9


def judge(assembly: Assembly, mains: Mains, limited: Sequence[Class2Numbers]) -> Iterator[Finding]:
    """Yield every finding about mains circuits and about Class 2."""
    for circuit in mains.circuits:
        if circuit.voltage_v is not None:
            yield from _load(circuit)
            yield from _leakage(assembly, circuit)
            yield from _inrush(assembly, circuit)
    yield from _class2(limited)


def _load(circuit: LoadedCircuit) -> Iterator[Finding]:
    assert circuit.current_a is not None and circuit.breaker_a is not None  # noqa: PT018 - it has a voltage
    share = circuit.current_a / circuit.breaker_a
    if share <= CONTINUOUS * _SLACK:
        return
    most = CONTINUOUS * circuit.breaker_a
    over = circuit.current_a - most
    yield finding(
        "mains-over" if share > _SLACK else "mains-load",
        (circuit.name,),
        f"{circuit.name} carries {amps(circuit.current_a)} at full white, {percent(share)} of its "
        f"{amps(circuit.breaker_a)} breaker ({several(circuit.supplies)}, power factor included).",
        f"Move supplies that take at least {amps(over)} to another circuit, or lower the levels so that at most "
        f"{amps(most)} flows; for another breaker {_ELECTRICIAN}.",
    )


def _leakage(assembly: Assembly, circuit: LoadedCircuit) -> Iterator[Finding]:
    if circuit.rcd_a is None or circuit.leakage_a is None:
        return
    most = MAY_TRIP * circuit.rcd_a
    if circuit.leakage_a <= most * _SLACK:
        return
    own = [assembly.display.supplies[name].leakage for name in circuit.supplies]
    fits, total = 0, 0.0
    for leak in sorted(own):
        total += leak
        fits += total <= most * _SLACK
    circuits = math.ceil(circuit.leakage_a / most * (1.0 - 1e-9))
    way = (
        f"Spread the supplies over at least {circuits} circuits with a device each ({fits} of these fit on one)"
        if fits
        else "Use supplies that leak less"
    )
    yield finding(
        "leakage-adds-up",
        (circuit.name, *circuit.supplies),
        f"The supplies on {circuit.name} leak {amps(circuit.leakage_a)} to earth all the time; its device of "
        f"{amps(circuit.rcd_a)} may trip from {amps(most)} (half its rating), and rain adds to it.",
        f"{way}, or use supplies whose data sheets state {at_most(most / len(own))} each; never defeat the device.",
    )


def _inrush(assembly: Assembly, circuit: LoadedCircuit) -> Iterator[Finding]:
    assert circuit.inrush_a is not None and circuit.at_once_a is not None  # noqa: PT018 - it has a voltage
    assert circuit.voltage_v is not None and circuit.breaker_a is not None  # noqa: PT018
    if circuit.inrush_a <= circuit.at_once_a * _SLACK:
        return
    curve = assembly.display.mains[circuit.name].curve
    alone = [n for n in circuit.supplies if inrush_a(assembly, n, circuit.voltage_v) > circuit.at_once_a * _SLACK]
    if alone:
        mend = (
            f"{several(alone)} alone can reach it: use supplies with at most {amps(circuit.at_once_a)} of inrush or an "
            f"inrush limiter; for another breaker {_ELECTRICIAN}."
        )
    else:
        shown = "; then ".join(several(group) for group in circuit.groups[:4])
        more = f"; then {len(circuit.groups) - 4} more groups" if len(circuit.groups) > 4 else ""
        mend = f"Switch them on in {len(circuit.groups)} groups {STAGGER_S:g} s apart: {shown}{more}."
    yield finding(
        "inrush-adds-up",
        (circuit.name, *circuit.supplies),
        f"Switched on cold together, the supplies on {circuit.name} surge to {amps(circuit.inrush_a)}; its "
        f"{amps(circuit.breaker_a)} breaker of curve {curve} may open at once from {amps(circuit.at_once_a)} peak "
        f"({number(AT_ONCE[curve])} times its rating).",
        mend,
    )


def _count(circuits: int) -> str:
    return "is 1 circuit" if circuits == 1 else f"are {circuits:,} circuits"


def _class2(limited: Sequence[Class2Numbers]) -> Iterator[Finding]:
    beyond = [one for one in limited if one.what == "supply" and not one.within]
    circuits = [one for one in limited if one.what == "circuit" and not one.within]
    if not beyond:
        return
    worst = max(beyond, key=lambda one: one.power_w / max(one.most_w, 1e-9))
    # Above the voltage of wet contact no power is small enough.
    why = (
        f"{worst.id} ({worst.voltage_v:g} V) is above the {WET_V:g} V of wet contact"
        if not worst.wet
        else f"{worst.id} is rated {watts(worst.power_w)} at {worst.voltage_v:g} V, and Class 2 ends at "
        f"{watts(worst.most_w)} and {amps(worst.most_a)} there"
    )
    others = f" ({len(beyond)} supplies in all)" if len(beyond) > 1 else ""
    fused = f"; so by fuse or load {_count(len(circuits))}" if circuits else ""
    yield finding(
        "beyond-class-two",
        [one.id for one in beyond],
        f"{why}{others}{fused}.",
        f"Wire it as a power circuit by the local code ({_ELECTRICIAN}), or bring {worst.id} within: {worst.split}. Only "
        "listed and marked supplies are Class 2, and built props are not listed products.",
    )
