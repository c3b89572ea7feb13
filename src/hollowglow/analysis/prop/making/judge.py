"""What would not fit, not seal, not drain or not hold: findings about how the kinds are built."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.making.analyse import KindMaking, Making
from hollowglow.analysis.prop.making.judge_room import CODES as OF_ROOM
from hollowglow.analysis.prop.making.judge_room import judge_room
from hollowglow.analysis.prop.making.judge_seal import CODES as OF_SEALS
from hollowglow.analysis.prop.making.judge_seal import judge_cables, judge_water
from hollowglow.analysis.prop.making.mass import GRAVITY_M_S2, SWING_FACTOR
from hollowglow.assembly import Assembly
from hollowglow.messages import Code, Finding, Mend
from hollowglow.quantity.quantities import mass

HOOK_WEAK = Code(
    "hook-weak",
    "warn",
    "fill",
    "the hook's rating against three times the weight (an estimate of our own); common practice: metal for what is heavier "
    "than it was",
    (
        "kind",
        "mass",
        "unknown",
        "hook",
        "overloaded",
        "weight_n",
        "factor",
        "swinging_n",
        "holds",
        "holds_n",
        "gain",
        "cells",
    ),
    "which hook to buy is the builder's choice",
)
CODES = (*OF_ROOM, *OF_SEALS, HOOK_WEAK)


def judge(assembly: Assembly, making: Making) -> Iterator[Finding]:
    """Yield every finding about how the kinds of an Assembly are made, kind by kind."""
    for made in making.kinds:
        yield from judge_room(made)
        yield from judge_cables(made, assembly.display.drip_loop)
        yield from judge_water(made)
        yield from _hook(made)


def _hook(made: KindMaking) -> Iterator[Finding]:
    weight = made.weight
    if weight.hook is None or not (weight.overloaded or weight.metal_wanted):
        return
    holds = weight.holds_kg
    shell = made.kind.shell
    yield HOOK_WEAK.found(
        (made.name,),
        {
            "kind": made.name,
            "mass": mass(weight.after_kg),
            "unknown": weight.unknown_after,
            "hook": weight.hook,
            "overloaded": weight.overloaded,
            "weight_n": weight.load_n,
            "factor": SWING_FACTOR,
            "swinging_n": weight.swinging_n,
            "holds": None if holds is None else mass(holds),
            "holds_n": None if holds is None else holds * GRAVITY_M_S2,
            "gain": mass(weight.gain_kg),
            "cells": shell is not None and shell.batteries is not None,
        },
        [Mend("other-hook", {"least": mass(weight.wanted_kg), "metal": weight.metal is False})],
    )
