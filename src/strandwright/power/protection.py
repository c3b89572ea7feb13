"""Fuses against what flows through them and what lies behind them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from strandwright.build import Build
from strandwright.build.ids import cable_ids, fuse_ids, joint_ids
from strandwright.build.tables import NONE, CableSort, Flags, Floats, Ints, JointSort
from strandwright.findings import Finding, finding
from strandwright.findings.words import amps, number, percent, several
from strandwright.power.ratings import part_ampacity, part_joint_rating, zones
from strandwright.power.result import Power

BLADE_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0)


def judge_fuses(build: Build, power: Power) -> Iterator[Finding]:
    """Yield every finding about fuses and about cables without one."""
    fuses, network = build.fuses, build.network
    zone = zones(build)
    edge_zone = zone.of_edge.copy()
    edge_zone[fuses.edge] = zone.of_fuse
    ampacity, why = part_ampacity(build)
    joint_rating = part_joint_rating(build)
    smallest_cable = _smallest(build.cables.edge, ampacity[build.cables.part], edge_zone, len(zone.bare))
    smallest_joint = _smallest(build.joints.edge, joint_rating[build.joints.part], edge_zone, len(zone.bare))
    limit = build.display.limits.fuse_load
    ids = fuse_ids(build)
    carried = np.abs(power.mean.edge_plus_a[fuses.edge])
    for i, name in enumerate(ids):
        rating, here = float(fuses.rating_a[i]), float(carried[i])
        if here > rating:
            yield finding(
                "fuse-blows",
                (name,),
                f"{name} carries {amps(here)} and is rated {amps(rating)}.",
                f"{_fuse_for(here, limit)} Check that the cable and the plugs behind it allow that, or feed again.",
            )
        elif here > limit * rating:
            yield finding(
                "fuse-load",
                (name,),
                f"{name} carries {amps(here)}, {percent(here / rating)} of its {amps(rating)}.",
                f"{_fuse_for(here, limit)} Check that the cable and the plugs behind it allow that, or feed again.",
            )
        own = int(zone.of_fuse[i])
        for code, (smallest, row), table in (
            ("fuse-over-cable", smallest_cable[own], build.cables),
            ("fuse-over-joint", smallest_joint[own], build.joints),
        ):
            if rating > smallest and row != NONE:
                thing = (cable_ids if code == "fuse-over-cable" else joint_ids)(build, [row])[0]
                part = int(table.part[row])
                fits = [a for a in BLADE_A if a <= smallest]
                fuse = f"a fuse of {amps(fits[-1])}" if fits else f"a fuse of at most {amps(smallest)}"
                yield finding(
                    code,
                    (name, thing),
                    f"{name} is {amps(rating)}; behind it {thing} ({build.parts[part]}) may carry {amps(smallest)}.",
                    f"Use {fuse}, or replace {build.parts[part]} by one for at least {amps(rating)}.",
                    why[part] if code == "fuse-over-cable" else None,
                )
    yield from _fed_twice(build, zone.of_fuse, ampacity, why, joint_rating)
    yield from _unfused(build, edge_zone, zone.bare, smallest_cable, network.supply_v)


def _fed_twice(
    build: Build, fuse_zone: Ints, ampacity: Floats, why: list[str], joint_rating: Floats
) -> Iterator[Finding]:
    """Yield findings where several fuses, each small enough, feed one piece of a string from the same side.

    Along a string a fault is fed from the left by all fuses before it and from the right by all after it, so a piece
    must stand the larger of both sums.
    """
    fuses = build.fuses
    for row, name in enumerate(build.strings.names):
        own = np.flatnonzero(fuses.string == row)
        for zone in np.unique(fuse_zone[own]):
            group = own[fuse_zone[own] == zone]
            if len(group) < 2:
                continue
            start = np.maximum(fuses.number[group], 1)
            rating = fuses.rating_a[group]
            first, last = int(start.min()), _cut_after(build, name, int(start.min()))
            worst: tuple[float, str, str, float, float, str | None] | None = None
            for table, rated, ids, sorts in (
                (build.cables, ampacity, cable_ids, (CableSort.IN, CableSort.OUT, CableSort.WIRE, CableSort.SPAN)),
                (build.joints, joint_rating, joint_ids, (JointSort.SPAN_NEAR, JointSort.SPAN_FAR)),
            ):
                rows = np.flatnonzero((table.string == row) & np.isin(table.sort, sorts))
                rows = rows[(table.number[rows] >= first) & (table.number[rows] < last)]
                before = (start[None, :] <= table.number[rows][:, None]) @ rating
                allowed = rated[table.part[rows]]
                reach = np.maximum(before, rating.sum() - before)
                over = (reach > allowed) & (rating.max() <= allowed)
                if over.any():
                    pick = int(np.argmax(np.where(over, reach / allowed, 0.0)))
                    part = int(table.part[rows[pick]])
                    excess = float(reach[pick] / allowed[pick])
                    if worst is None or excess > worst[0]:
                        reason = why[part] if ids is cable_ids else None
                        thing = ids(build, [int(rows[pick])])[0]
                        worst = (excess, thing, build.parts[part], float(reach[pick]), float(allowed[pick]), reason)
            if worst is not None:
                _, thing, part_name, reach_a, allowed_a, reason = worst
                names = fuse_ids(build, group)
                yield finding(
                    "fuses-add-up",
                    (*names, thing),
                    f"{several(names)} together let {amps(reach_a)} into {thing} ({part_name}), which may carry "
                    f"{amps(allowed_a)}.",
                    "Use smaller fuses, heavier parts, or cut: true on the feed, so that each fuse feeds its own part.",
                    reason,
                )


def _cut_after(build: Build, name: str, first: int) -> int:
    """Return the number of the prop after which the piece of string that holds prop `first` ends in V+, plus one."""
    stated = build.display.strings[name]
    cuts = [f.before for f in stated.feeds if f.cut and f.before > first]
    return min(cuts, default=stated.prop_count + 1)


def _smallest(edge: Ints, rated: Floats, edge_zone: Ints, count: int) -> list[tuple[float, int]]:
    """Return for each zone (smallest rating, its row), (inf, NONE) where nothing there has one."""
    zone = np.where(edge == NONE, NONE, edge_zone[edge])
    rows = np.flatnonzero((zone != NONE) & np.isfinite(rated))
    order = rows[np.lexsort((-rows, -rated[rows]))]
    best = np.full(count, NONE, dtype=np.int64)
    best[zone[order]] = order  # the last write wins: the smallest rating nearest the supply
    return [(float(rated[r]), int(r)) if r != NONE else (np.inf, NONE) for r in best.tolist()]


def _fuse_for(current: float, limit: float) -> str:
    need = current / limit
    fits = [a for a in BLADE_A if a >= need]
    return f"Use a fuse of {amps(fits[0])}." if fits else f"Use a fuse of at least {amps(need)}."


def _unfused(
    build: Build, edge_zone: Ints, bare: Flags, smallest: list[tuple[float, int]], supply_v: Floats
) -> Iterator[Finding]:
    network = build.network
    reach: dict[int, tuple[float, int]] = {}
    starts = np.flatnonzero((network.edge_a >= 1) & (network.edge_a <= len(supply_v)) & (edge_zone != NONE))
    for edge in starts:
        zone = int(edge_zone[edge])
        if bare[zone] and edge not in build.fuses.edge:
            supply = int(network.edge_a[edge]) - 1
            most = float(build.supply_rating_w[supply] / supply_v[supply])
            if most > reach.get(zone, (0.0, 0))[0]:
                reach[zone] = (most, supply)
    for zone, (most, supply) in reach.items():
        weakest, row = smallest[zone]
        if row != NONE and most > weakest:
            cable = cable_ids(build, [row])[0]
            fits = [a for a in BLADE_A if a <= weakest]
            fuse = f"a fuse of {amps(fits[-1])}" if fits else f"a fuse of at most {amps(weakest)}"
            yield finding(
                "no-fuse",
                (cable.partition("/")[0], cable),
                f"{build.supplies[supply]} can deliver {number(most)} A into {cable} "
                f"({build.parts[int(build.cables.part[row])]}), which may carry {amps(weakest)}, with no fuse between.",
                f"Put {fuse} in V+ where the cable leaves the supply.",
            )
