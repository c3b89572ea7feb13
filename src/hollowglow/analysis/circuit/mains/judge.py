"""What the mains side means for the builder: findings about breakers, residual-current devices and Class 2."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from hollowglow.analysis.circuit.mains.circuits import AT_ONCE, MAY_TRIP, STAGGER_S, LoadedCircuit, Mains, inrush_a
from hollowglow.analysis.circuit.mains.class2 import WET_V, Class2Numbers
from hollowglow.analysis.edits import dimmed, put
from hollowglow.assembly import Assembly
from hollowglow.messages import Code, Finding, Mend
from hollowglow.quantity.numbers import rounded_down
from hollowglow.quantity.quantities import current, power, share, time, voltage

CONTINUOUS = 0.80
_SLACK = 1.0 + 1e-9
_CARRIES = ("circuit", "current", "share", "breaker", "supplies")
MAINS_OVER = Code("mains-over", "stop", "feed", "the breaker's rating", _CARRIES)
MAINS_LOAD = Code("mains-load", "warn", "feed", "NEC 210.20(A): continuous load at most 80 % of the breaker", _CARRIES)
LEAKAGE_ADDS_UP = Code(
    "leakage-adds-up",
    "warn",
    "feed",
    "IEC 61008-1: a residual-current device may trip from half its rated residual current",
    ("circuit", "leakage", "rcd", "most"),
)
INRUSH_ADDS_UP = Code(
    "inrush-adds-up",
    "warn",
    "feed",
    "IEC 60898-1: instantaneous tripping from 3, 5 or 10 times the rating (curve B, C, D)",
    ("circuit", "inrush", "breaker", "curve", "at_once", "multiple"),
)
BEYOND_CLASS_TWO = Code(
    "beyond-class-two",
    "note",
    "feed",
    "NEC chapter 9 table 11(B); wet contact at most 30 V dc (its note 4)",
    (
        "supply",
        "voltage",
        "wet",
        "wet_voltage",
        "power",
        "most_power",
        "most_current",
        "supplies",
        "circuits",
    ),
)
CODES = (BEYOND_CLASS_TWO, MAINS_OVER, MAINS_LOAD, LEAKAGE_ADDS_UP, INRUSH_ADDS_UP)


def judge(assembly: Assembly, mains: Mains, limited: Sequence[Class2Numbers]) -> Iterator[Finding]:
    """Yield every finding about mains circuits and about Class 2."""
    for circuit in mains.circuits:
        if circuit.voltage_v is not None:
            yield from _load(assembly, circuit)
            yield from _leakage(assembly, circuit)
            yield from _inrush(assembly, circuit)
    yield from _class2(limited)


def _load(assembly: Assembly, circuit: LoadedCircuit) -> Iterator[Finding]:
    assert circuit.current_a is not None and circuit.breaker_a is not None  # noqa: PT018 - it has a voltage
    loaded = circuit.current_a / circuit.breaker_a
    if loaded <= CONTINUOUS * _SLACK:
        return
    most = CONTINUOUS * circuit.breaker_a
    lit = [
        s for s in assembly.display.strings.values() if {s.supply, *(f.supply for f in s.feeds)} & {*circuit.supplies}
    ]
    kinds = dict.fromkeys(run.kind for string in lit for run in string.props)
    yield (MAINS_OVER if loaded > _SLACK else MAINS_LOAD).found(
        (circuit.name,),
        {
            "circuit": circuit.name,
            "current": current(circuit.current_a),
            "share": share(loaded),
            "breaker": current(circuit.breaker_a),
            "supplies": circuit.supplies,
        },
        [
            Mend("move-supplies", {"over": current(circuit.current_a - most)}),
            Mend("lower-levels", {"most": current(most)}, dimmed(assembly, kinds, most / circuit.current_a)),
        ],
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
    each = most / len(own)
    little = current(rounded_down(each))
    edits = [
        put(("supplies", name, "leakage"), little)
        for name, leak in zip(circuit.supplies, own, strict=True)
        if leak > little.value
    ]
    yield LEAKAGE_ADDS_UP.found(
        (circuit.name, *circuit.supplies),
        {
            "circuit": circuit.name,
            "leakage": current(circuit.leakage_a),
            "rcd": current(circuit.rcd_a),
            "most": current(most),
        },
        [
            Mend("spread-supplies", {"circuits": circuits, "fits": fits}),
            Mend("less-leakage", {"each": current(each)}, tuple(edits)),
        ],
    )


def _inrush(assembly: Assembly, circuit: LoadedCircuit) -> Iterator[Finding]:
    assert circuit.inrush_a is not None and circuit.at_once_a is not None  # noqa: PT018 - it has a voltage
    assert circuit.voltage_v is not None and circuit.breaker_a is not None  # noqa: PT018
    at_once = circuit.at_once_a
    if circuit.inrush_a <= at_once * _SLACK:
        return
    curve = assembly.display.mains[circuit.name].curve
    alone = tuple(n for n in circuit.supplies if inrush_a(assembly, n, circuit.voltage_v) > at_once * _SLACK)
    edits = tuple(put(("supplies", name, "inrush"), current(rounded_down(at_once))) for name in alone)
    yield INRUSH_ADDS_UP.found(
        (circuit.name, *circuit.supplies),
        {
            "circuit": circuit.name,
            "inrush": current(circuit.inrush_a),
            "breaker": current(circuit.breaker_a),
            "curve": curve,
            "at_once": current(at_once),
            "multiple": AT_ONCE[curve],
        },
        [
            Mend("less-inrush", {"alone": alone}, edits)
            if alone
            else Mend("switch-in-groups", {"groups": circuit.groups, "apart": time(STAGGER_S, stated=True)})
        ],
    )


def _class2(limited: Sequence[Class2Numbers]) -> Iterator[Finding]:
    beyond = [one for one in limited if one.what == "supply" and not one.within]
    circuits = [one for one in limited if one.what == "circuit" and not one.within]
    if not beyond:
        return
    worst = max(beyond, key=lambda one: one.power_w / max(one.most_w, 1e-9))
    yield BEYOND_CLASS_TWO.found(
        [one.id for one in beyond],
        {
            "supply": worst.id,
            "voltage": voltage(worst.voltage_v, stated=True),
            # Above the voltage of wet contact no power is small enough.
            "wet": worst.wet,
            "wet_voltage": voltage(WET_V, stated=True),
            "power": power(worst.power_w),
            "most_power": power(worst.most_w),
            "most_current": current(worst.most_a),
            "supplies": len(beyond),
            "circuits": len(circuits),
        },
        [Mend("power-circuit"), *([worst.split] if worst.split else [])],
    )
