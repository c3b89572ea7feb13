"""What places mean for the builder: cables that do not reach, hooks that carry too much."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hollowglow.analysis.prop.making import Making
from hollowglow.analysis.prop.making.mass import GRAVITY_M_S2, SWING_FACTOR
from hollowglow.analysis.site.placement.analyse import PlacedDisplay
from hollowglow.analysis.site.placement.hung import Hung, sag_for
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids
from hollowglow.assembly.tables import CableSort
from hollowglow.messages import Finding, finding
from hollowglow.quantity.sizes import FOOT_M, POUND_KG
from hollowglow.quantity.words import metres, several

_KEYS = {CableSort.LEAD: "lead.length", CableSort.SPAN: "span.length", CableSort.FEED: "the feed's length"}
_DRAWN = ", state drawn in its place"


def judge(assembly: Assembly, making: Making, placed: PlacedDisplay) -> Iterator[Finding]:
    """Yield every finding about places."""
    yield from _short(assembly, placed)
    for made in placed.hung:
        if made.holds_kg is not None and made.hook is not None:
            yield from _hooks(assembly, making, made, made.hook, made.holds_kg)


def _short(assembly: Assembly, placed: PlacedDisplay) -> Iterator[Finding]:
    """Yield one finding for each string and sort of cable, telling the worst."""
    cables = assembly.cables
    worst: dict[tuple[int, int], list[int]] = {}
    for i, row in enumerate(placed.short.tolist()):
        worst.setdefault((int(cables.string[row]), int(cables.sort[row])), []).append(i)
    for (string, sort), found in worst.items():
        most = max(found, key=lambda i: float(placed.missing_m[i]))
        row, missing = int(placed.short[most]), float(placed.missing_m[most])
        names = cable_ids(assembly, [int(placed.short[i]) for i in found])
        name = cable_ids(assembly, [row])[0]
        needed = _at_least(math.ceil((float(cables.stated_m[row]) + missing) * 100.0 - 1e-9) / 100.0)
        span = assembly.display.strings[assembly.strings.names[string]].span
        ready = sort == CableSort.SPAN and span is not None and span.extension is not None
        longer = f"span.extension one of at least {needed}" if ready else f"{_KEYS[CableSort(sort)]} at least {needed}"
        say = f"{name} does not reach." if len(names) == 1 else f"{several(names)} do not reach."
        yield finding(
            "cable-too-short",
            names,
            f"{say} {name}, {metres(float(cables.length_m[row]))} long, ends {metres(missing)} short of where the drawing "
            "has its other end, pigtails included.",
            f"Make {longer}{'' if ready else _DRAWN}, or move the props closer.",
        )


def _hooks(assembly: Assembly, making: Making, made: Hung, hook: str, holds_kg: float) -> Iterator[Finding]:
    holds_n = holds_kg * GRAVITY_M_S2
    load = float(made.hooks_n.max())
    if SWING_FACTOR * load <= holds_n * (1.0 + 1e-9):
        return
    number = int(made.hooks_n.argmax()) + 1
    row = assembly.strings.names.index(made.string)
    sag = sag_for(assembly, making, row, holds_n / SWING_FACTOR)
    needed = math.ceil(SWING_FACTOR * load / GRAVITY_M_S2 * 10.0) / 10.0
    more = math.ceil(needed / POUND_KG * 10.0 - 1e-9) / 10.0
    mend = f"Hang it on hooks that hold at least {needed:.1f} kg ({more:.1f} lb)"
    mend += f", or let it sag {_at_least(sag)}." if sag is not None else ", or between more of them."
    yield finding(
        "hook-pull",
        (made.string,),
        f"Hook {number} of {made.string} carries {load:.1f} N, the weight of {load / GRAVITY_M_S2:.1f} kg "
        f"({load / GRAVITY_M_S2 / POUND_KG:.1f} lb), at rest and {SWING_FACTOR:g} times that in wind; {hook} holds "
        f"{holds_kg:g} kg ({holds_kg / POUND_KG:.1f} lb).",
        mend,
    )


def _at_least(length_m: float) -> str:
    """Return a length in metres and feet, the feet rounded up so that neither is too short."""
    return f"{length_m:.2f} m ({math.ceil(length_m / FOOT_M * 10.0 - 1e-9) / 10.0:.1f} ft)"
