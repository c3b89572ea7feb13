"""What places mean for the builder: cables that do not reach, hooks that carry too much."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hollowglow.analysis.edits import put
from hollowglow.analysis.prop.making import Making
from hollowglow.analysis.prop.making.mass import GRAVITY_M_S2, SWING_FACTOR
from hollowglow.analysis.site.placement.analyse import PlacedDisplay
from hollowglow.analysis.site.placement.hung import Hung, sag_for
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids
from hollowglow.assembly.tables import CableSort
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.quantity.quantities import Quantity, least_length, least_load, length, load, rated_load

CABLE_TOO_SHORT = Code(
    "cable-too-short", "warn", "place", "the places in the file", ("cables", "worst", "length", "missing")
)
HOOK_PULL = Code(
    "hook-pull",
    "warn",
    "place",
    "the hook's rating against three times the pull of a catenary (three for wind, an estimate of our own)",
    ("string", "number", "pull_n", "pull", "factor", "hook", "holds"),
)
CODES = (CABLE_TOO_SHORT, HOOK_PULL)


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
        needed = math.ceil((float(cables.stated_m[row]) + missing) * 100.0 - 1e-9) / 100.0
        yield CABLE_TOO_SHORT.found(
            names,
            {
                "cables": tuple(names),
                "worst": name,
                "length": length(float(cables.length_m[row])),
                "missing": length(missing),
            },
            _longer(assembly, assembly.strings.names[string], CableSort(sort), least_length(needed)),
        )


def _longer(assembly: Assembly, name: str, sort: CableSort, needed: Quantity) -> Iterator[Mend]:
    """Yield the longer cable, and for one that is cut to length that the drawing decides."""
    span = assembly.display.strings[name].span
    if sort == CableSort.SPAN and span is not None and span.extension is not None:
        yield Mend("longer", {"sort": "extension", "needed": needed})
        return
    # Which feed it is, and which of several stated spans, is left to whoever edits the file.
    one = sort == CableSort.LEAD or (sort == CableSort.SPAN and span is not None and len(span.length or ()) == 1)
    path = ("strings", name, sort.name.lower(), "length")
    yield Mend(
        "longer", {"sort": sort.name.lower(), "needed": needed}, (put(path, length(needed.value)),) if one else ()
    )
    yield Mend("drawn", edits=() if sort == CableSort.FEED else (Put(path, "drawn"),))


def _hooks(assembly: Assembly, making: Making, made: Hung, hook: str, holds_kg: float) -> Iterator[Finding]:
    holds_n = holds_kg * GRAVITY_M_S2
    pull_n = float(made.hooks_n.max())
    if SWING_FACTOR * pull_n <= holds_n * (1.0 + 1e-9):
        return
    number = int(made.hooks_n.argmax()) + 1
    row = assembly.strings.names.index(made.string)
    sag = sag_for(assembly, making, row, holds_n / SWING_FACTOR)
    needed = math.ceil(SWING_FACTOR * pull_n / GRAVITY_M_S2 * 10.0) / 10.0
    path = ("strings", made.string, "place", "sag")
    lower = [] if sag is None else [Mend("sag", {"sag": least_length(sag)}, (put(path, length(sag)),))]
    yield HOOK_PULL.found(
        (made.string,),
        {
            "string": made.string,
            "number": number,
            "pull_n": pull_n,
            "pull": load(pull_n / GRAVITY_M_S2),
            "factor": SWING_FACTOR,
            "hook": hook,
            "holds": rated_load(holds_kg),
        },
        [Mend("stronger-hook", {"needed": least_load(needed)}), *lower],
    )
