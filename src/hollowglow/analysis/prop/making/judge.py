"""What would not fit, not seal, not drain or not hold: findings about how the kinds are built."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.making.analyse import KindMaking, Making
from hollowglow.analysis.prop.making.judge_room import judge_room
from hollowglow.analysis.prop.making.judge_seal import judge_cables, judge_water
from hollowglow.analysis.prop.making.mass import SWING_FACTOR
from hollowglow.analysis.prop.making.words import mass
from hollowglow.assembly import Assembly
from hollowglow.messages import Finding, finding


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
    unknown = f" without {', '.join(weight.unknown_after)}, whose mass is not stated" if weight.unknown_after else ""
    says = f"{made.name} weighs {mass(weight.after_kg)}{unknown}"
    if weight.overloaded:
        assert weight.holds_kg is not None
        says += (
            f", {weight.load_n:.2f} N; swinging in wind it may pull {SWING_FACTOR:g} times that, {weight.swinging_n:.1f} N, "
            f"and {weight.hook} holds {mass(weight.holds_kg)}, {weight.holds_kg * weight.load_n / weight.after_kg:.1f} N"
        )
    else:
        cells = (
            "with its cells" if made.kind.shell is not None and made.kind.shell.batteries is not None else "as bought"
        )
        says += f", {mass(weight.gain_kg)} more than {cells}, and hangs by the moulded loop {weight.hook}"
    metal = " of metal" if weight.metal is False else ""
    yield finding(
        "hook-weak",
        (made.name,),
        f"{says}.",
        f"Hang it by a hook{metal} that holds at least {mass(weight.wanted_kg)}, through a washer or round the neck, and by "
        "nothing moulded.",
    )
