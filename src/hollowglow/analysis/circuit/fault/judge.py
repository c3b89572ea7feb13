"""What shorts mean for the builder: those that stay, cables that get too hot, joints that can smoulder."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.circuit.fault.heat import copper_area_mm2
from hollowglow.analysis.circuit.fault.limits import SupplyLimits, sources_of
from hollowglow.analysis.circuit.fault.mends import Mends
from hollowglow.analysis.circuit.fault.points import JOINT
from hollowglow.analysis.circuit.fault.result import HELD, OPENS, OUTCOMES, STAYS, Faults
from hollowglow.analysis.circuit.power import BLADE_A
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import fuse_ids
from hollowglow.assembly.tables import NONE, Floats, Ints
from hollowglow.messages import Finding, finding
from hollowglow.physics.fuses import OPENS_FROM
from hollowglow.physics.shorts import COPPER_CONSTANT, COPPER_ZERO_C, PVC_FINAL_C, START_C
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import amps, percent, seconds, several, watts

# IEC 62368-1: a source of more than 100 W into a fault is of its highest class, PS3.
SMOULDER_W = 100.0


def judge(assembly: Assembly, faults: Faults, edge_plus_a: Floats) -> Iterator[Finding]:
    """Yield every finding about shorts.

    Args:
        build: the display expanded.
        faults: its shorts.
        edge_plus_a: current in V+ of each edge at the `mean` operating point, A: what fuses must carry.
    """
    mends = Mends(assembly, faults, edge_plus_a)
    yield from _not_cleared(assembly, faults, mends)
    yield from _too_hot(assembly, faults, mends)
    yield from _smoulders(assembly, faults)
    yield from _held(assembly, faults)


def fuse_name(assembly: Assembly, faults: Faults, point: int) -> str:
    """Return the id of the fuse that decides at a point, a dash where its lead or feed has none."""
    fuse = int(faults.entries.fuse[faults.entry[point]])
    return fuse_ids(assembly, [fuse])[0] if fuse != NONE else "-"


def worst_of(rows: Ints, group: Ints, badness: Floats) -> list[int]:
    """Return of each group the row that is worst, the first along the string where several are."""
    order = rows[np.lexsort((rows, -badness[rows], group[rows]))]
    _, first = np.unique(group[order], return_index=True)
    return sorted(order[first].tolist())


def _place(assembly: Assembly, faults: Faults, point: int) -> str:
    return faults.points.take(slice(point, point + 1)).ids(assembly)[0]


def _not_cleared(assembly: Assembly, faults: Faults, mends: Mends) -> Iterator[Finding]:
    points = faults.points
    rows = np.flatnonzero(faults.outcome == STAYS)
    rating = faults.entries.rating_a[faults.entry]
    short_of = np.where(np.isfinite(rating), -faults.fuse_a / rating, faults.lasting_a)
    sources = sources_of(assembly)
    for point in worst_of(rows, points.piece, short_of):
        place, fuse = _place(assembly, faults, point), fuse_name(assembly, faults, point)
        supply = assembly.supplies[int(faults.supply[point])]
        total, own = float(faults.current_a[point]), float(faults.fuse_a[point])
        part = int(faults.overloaded[point])
        lasting = float(faults.lasting_a[point])
        held = f" (the limit of {supply})" if faults.limited[point] else ""
        if fuse == "-":
            message = (
                f"A dead short at {place} draws {amps(total)}{held} without a fuse, {_stays(lasting, total)}: more than "
                f"{assembly.part_name(part)} may carry."
            )
        else:
            share = f"{amps(own)} of it through {fuse}" if own < 0.999 * total else f"through {fuse}"
            message = (
                f"A dead short at {place} draws {amps(total)}{held}, {share} ({amps(float(rating[point]))}), "
                f"{percent(own / float(rating[point]))} of its rating: {_why_not(sources, faults, point)}."
            )
            if part != NONE:
                message = (
                    f"{message[:-1]}, and {amps(lasting)} stays on, more than {assembly.part_name(part)} may carry."
                )
        yield finding(
            "short-not-cleared", (place, *((fuse,) if fuse != "-" else (supply,))), message, mends.to_open(point)
        )


def _stays(lasting: float, total: float) -> str:
    return f"{amps(lasting)} on average (effective)" if lasting < 0.999 * total else "for as long as it likes"


def _why_not(sources: SupplyLimits, faults: Faults, point: int) -> str:
    multiple = float(faults.fuse_a[point] / faults.entries.rating_a[faults.entry[point]])
    if multiple < OPENS_FROM * (1.0 - 1e-9):
        return f"it need not open below {percent(OPENS_FROM)}"
    on = seconds(float(sources.on_s[faults.supply[point]]))
    return f"it need not open within the {on} that the supply stays on"


def _too_hot(assembly: Assembly, faults: Faults, mends: Mends) -> Iterator[Finding]:
    rows = np.flatnonzero((faults.outcome == OPENS) & (faults.hottest_c > PVC_FINAL_C * (1.0 + 1e-9)))
    factor = math.log((COPPER_ZERO_C + PVC_FINAL_C) / (COPPER_ZERO_C + START_C))
    for point in worst_of(rows, faults.points.piece, faults.hottest_c):
        place, fuse = _place(assembly, faults, point), fuse_name(assembly, faults, point)
        part = int(faults.cable[point])
        rating = float(faults.entries.rating_a[faults.entry[point]])
        current, longest = float(faults.fuse_a[point]), float(faults.opens_within_s[point])
        cable = assembly.display.parts[assembly.parts[part]].cable
        assert cable is not None  # it got hot because it is one
        area = current * math.sqrt(longest / factor) / COPPER_CONSTANT
        smaller = [a for a in BLADE_A if a < rating]
        wider = max(area, copper_area_mm2(cable))
        yield finding(
            "cable-overheats-in-short",
            (place, fuse),
            f"A dead short at {place} may take {seconds(longest)} to open {fuse} ({amps(rating)}) at {amps(current)}; until "
            f"then {assembly.parts[part]} can reach up to {faults.hottest_c[point]:,.0f} degC (estimate), and PVC bears "
            f"{PVC_FINAL_C:.0f} degC for a moment.",
            (f"Use a smaller fuse ({amps(smaller[-1])} or less), or " if smaller else "Use ")
            + f"a cable with at least {number(wider)} mm2 of copper ({_awg(wider)}) in place of {assembly.parts[part]}.",
        )


def _awg(area_mm2: float) -> str:
    """Return the thinnest even gauge with at least this area."""
    gauge = math.floor(36.0 - 39.0 * math.log(math.sqrt(4.0 * area_mm2 / math.pi) / 0.127) / math.log(92.0) + 1e-9)
    gauge -= gauge % 2
    return f"{gauge} AWG or heavier" if gauge >= 0 else "beyond 0 AWG"


def _smoulders(assembly: Assembly, faults: Faults) -> Iterator[Finding]:
    points = faults.points
    rows = np.flatnonzero((points.what == JOINT) & (faults.smoulder_w > SMOULDER_W))
    for point in worst_of(rows, points.string, faults.smoulder_w):
        place = _place(assembly, faults, point)
        fuse = fuse_name(assembly, faults, point)
        opens = f"without opening {fuse}" if fuse != "-" else "without a fuse to open"
        yield finding(
            "joint-can-smoulder",
            (place,),
            f"A wet or charred joint at {place} could turn up to {watts(float(faults.smoulder_w[point]))} into heat, at "
            f"{number(float(faults.smoulder_ohm[point]))} ohm between V+ and V-, {opens} (estimate, lights not counted).",
            f"Seal that joint against water and relieve it of pull; a smaller fuse lets less into it: "
            f"{amps(_cool_fuse(assembly, faults, point))} or less keeps it below {watts(SMOULDER_W)}.",
        )


def _cool_fuse(assembly: Assembly, faults: Faults, point: int) -> float:
    """Return the largest usual fuse that lets less than the limit into a fault there, A."""
    most = SMOULDER_W / float(faults.source_v[point]) / OPENS_FROM
    fits = [a for a in BLADE_A if a <= most]
    return fits[-1] if fits else math.floor(10.0 * most) / 10.0


def _held(assembly: Assembly, faults: Faults) -> Iterator[Finding]:
    held = (faults.outcome == HELD) & (faults.entries.fuse[faults.entry] != NONE)
    if not held.any():
        return
    fuses = np.unique(faults.entries.fuse[faults.entry[held]])
    names = fuse_ids(assembly, fuses)
    supplies = [assembly.supplies[s] for s in np.unique(faults.supply[held]).tolist()]
    rows = np.flatnonzero(held)
    point = int(rows[np.argmax(faults.lasting_a[rows])])
    yield finding(
        "fuse-may-stay-whole",
        (*supplies, *names),
        f"In a dead short {several(supplies)} would switch off and on again before {several(names)} must open. The "
        f"cables stay cool (at most {amps(float(faults.lasting_a[point]))} effective), but no fuse tells where the short "
        "is.",
        f"Look up in the data sheet what the supply does in a short and state it (limit: constant, or limit_on above "
        f"{seconds(float(sources_of(assembly).on_s[faults.supply[point]]))}); smaller fuses open sooner.",
    )


def outcome_words(faults: Faults) -> list[str]:
    """Return how each short ends, in the words of the document."""
    return [OUTCOMES[i] for i in faults.outcome.tolist()]
