"""What shorts mean for the builder: those that stay, cables that get too hot, joints that can smoulder."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.circuit.fault.heat import copper_area_mm2
from hollowglow.analysis.circuit.fault.limits import sources_of
from hollowglow.analysis.circuit.fault.mends import Mends
from hollowglow.analysis.circuit.fault.points import JOINT
from hollowglow.analysis.circuit.fault.result import HELD, OPENS, OUTCOMES, STAYS, Faults
from hollowglow.analysis.circuit.power import BLADE_A
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import fuse_ids
from hollowglow.assembly.tables import NONE, Floats, Ints
from hollowglow.messages import Code, Finding, Mend
from hollowglow.physics.fuses import OPENS_FROM
from hollowglow.physics.shorts import COPPER_CONSTANT, COPPER_ZERO_C, PVC_FINAL_C, START_C
from hollowglow.quantity.quantities import current, power, resistance, share, temperature, time

# IEC 62368-1: a source of more than 100 W into a fault is of its highest class, PS3.
SMOULDER_W = 100.0
SHORT_NOT_CLEARED = Code(
    "short-not-cleared",
    "stop",
    "feed",
    "ISO 8820-3 time-current points (a fuse need not open below 135 %); IEC 60364-4-43",
    (
        "place",
        "string",
        "current",
        "supply",
        "limited",
        "fuse",
        "rating",
        "through",
        "of_rating",
        "opens_from",
        "on_time",
        "part",
        "lasting",
    ),
)
CABLE_OVERHEATS_IN_SHORT = Code(
    "cable-overheats-in-short",
    "stop",
    "feed",
    "IEC 60364-4-43: I2t at most k2S2, k = 115 for copper in PVC",
    ("place", "fuse", "rating", "current", "within", "cable", "hottest", "bears"),
)
JOINT_CAN_SMOULDER = Code(
    "joint-can-smoulder",
    "note",
    "feed",
    "maximum power transfer; more than 100 W is the highest class of power source in IEC 62368-1",
    ("place", "heat", "ohm", "fuse", "most"),
)
FUSE_MAY_STAY_WHOLE = Code(
    "fuse-may-stay-whole",
    "note",
    "feed",
    "ISO 8820-3 time-current points; the supply's limit as stated or assumed",
    ("supplies", "fuses", "lasting"),
    "what the supply does in a short is looked up in its data sheet",
)
CODES = (SHORT_NOT_CLEARED, CABLE_OVERHEATS_IN_SHORT, JOINT_CAN_SMOULDER, FUSE_MAY_STAY_WHOLE)


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
    yield from _smoulders(assembly, faults, mends)
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
    on_s = sources_of(assembly).on_s
    for point in worst_of(rows, points.piece, short_of):
        place, fuse = _place(assembly, faults, point), fuse_name(assembly, faults, point)
        supply = assembly.supplies[int(faults.supply[point])]
        fused = fuse != "-"
        rated, through = float(rating[point]), float(faults.fuse_a[point])
        part = int(faults.overloaded[point])
        yield SHORT_NOT_CLEARED.found(
            (place, fuse if fused else supply),
            {
                "place": place,
                "string": assembly.strings.names[int(points.string[point])],
                "current": current(float(faults.current_a[point])),
                "supply": supply,
                "limited": bool(faults.limited[point]),
                "fuse": fuse if fused else None,
                "rating": current(rated) if fused else None,
                "through": current(through),
                "of_rating": share(through / rated) if fused else None,
                "opens_from": share(OPENS_FROM),
                # None where too little flows for the fuse to open at all.
                "on_time": None
                if through / rated < OPENS_FROM * (1.0 - 1e-9)
                else time(float(on_s[faults.supply[point]])),
                "part": assembly.parts[part] if part != NONE else None,
                "lasting": current(float(faults.lasting_a[point])),
            },
            mends.to_open(point),
        )


def _too_hot(assembly: Assembly, faults: Faults, mends: Mends) -> Iterator[Finding]:
    rows = np.flatnonzero((faults.outcome == OPENS) & (faults.hottest_c > PVC_FINAL_C * (1.0 + 1e-9)))
    factor = math.log((COPPER_ZERO_C + PVC_FINAL_C) / (COPPER_ZERO_C + START_C))
    for point in worst_of(rows, faults.points.piece, faults.hottest_c):
        place, fuse = _place(assembly, faults, point), fuse_name(assembly, faults, point)
        part = int(faults.cable[point])
        rating = float(faults.entries.rating_a[faults.entry[point]])
        flows, longest = float(faults.fuse_a[point]), float(faults.opens_within_s[point])
        cable = assembly.display.parts[assembly.parts[part]].cable
        assert cable is not None  # it got hot because it is one
        area = flows * math.sqrt(longest / factor) / COPPER_CONSTANT
        smaller = [a for a in BLADE_A if a < rating]
        wider = max(area, copper_area_mm2(cable))
        ways = [Mend("wider-cable", {"area_mm2": wider, "awg": _awg(wider)})]
        if smaller:
            edits = mends.fuse(int(faults.entry[point]), smaller[-1])
            ways.insert(0, Mend("smaller-fuse", {"smaller": current(smaller[-1])}, edits))
        yield CABLE_OVERHEATS_IN_SHORT.found(
            (place, fuse),
            {
                "place": place,
                "fuse": fuse,
                "rating": current(rating),
                "current": current(flows),
                "within": time(longest),
                "cable": assembly.parts[part],
                "hottest": temperature(float(faults.hottest_c[point])),
                "bears": temperature(PVC_FINAL_C),
            },
            ways,
        )


def _awg(area_mm2: float) -> int | None:
    """Return the thinnest even gauge with at least this area, None beyond 0 AWG."""
    gauge = math.floor(36.0 - 39.0 * math.log(math.sqrt(4.0 * area_mm2 / math.pi) / 0.127) / math.log(92.0) + 1e-9)
    gauge -= gauge % 2
    return gauge if gauge >= 0 else None


def _smoulders(assembly: Assembly, faults: Faults, mends: Mends) -> Iterator[Finding]:
    points = faults.points
    rows = np.flatnonzero((points.what == JOINT) & (faults.smoulder_w > SMOULDER_W))
    for point in worst_of(rows, points.string, faults.smoulder_w):
        place = _place(assembly, faults, point)
        fuse = fuse_name(assembly, faults, point)
        cool = _cool_fuse(faults, point)
        yield JOINT_CAN_SMOULDER.found(
            (place,),
            {
                "place": place,
                "heat": power(float(faults.smoulder_w[point])),
                "ohm": resistance(float(faults.smoulder_ohm[point])),
                "fuse": fuse if fuse != "-" else None,
                "most": power(SMOULDER_W),
            },
            [
                Mend("seal"),
                Mend("smaller-fuse", {"smaller": current(cool)}, mends.fuse(int(faults.entry[point]), cool)),
            ],
        )


def _cool_fuse(faults: Faults, point: int) -> float:
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
    on = time(float(sources_of(assembly).on_s[faults.supply[point]]))
    yield FUSE_MAY_STAY_WHOLE.found(
        (*supplies, *names),
        {
            "supplies": tuple(supplies),
            "fuses": tuple(names),
            "lasting": current(float(faults.lasting_a[point])),
        },
        [Mend("state-limit", {"on_time": on})],
    )


def outcome_words(faults: Faults) -> list[str]:
    """Return how each short ends, in the words of the document."""
    return [OUTCOMES[i] for i in faults.outcome.tolist()]
