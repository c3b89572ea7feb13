"""Fuses against what flows through them and what lies behind them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.circuit.power.ratings import Zones, over, zones
from hollowglow.analysis.circuit.power.reach import RatedParts, Things, behind_fuses
from hollowglow.analysis.circuit.power.result import Power
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, fuse_ids, owner
from hollowglow.assembly.tables import NONE, CableSort, Ints
from hollowglow.messages import Finding, finding
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import amps, at_least, at_most, percent, several

BLADE_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0)


def judge_fuses(assembly: Assembly, power: Power) -> Iterator[Finding]:
    """Yield every finding about fuses and about cables without one."""
    zone = zones(assembly)
    behind = behind_fuses(assembly, zone)
    groups = _fuses_by_zone(zone)
    limit = assembly.display.limits.fuse_load
    names = fuse_ids(assembly)
    carried = np.abs(power.mean.edge_plus_a[assembly.fuses.edge])
    for i, name in enumerate(names):
        rating, here, own = float(assembly.fuses.rating_a[i]), float(carried[i]), int(zone.of_fuse[i])
        if own == NONE:
            continue
        things = behind.of_zone(own)
        if over(here, limit * rating):
            blows = over(here, rating)
            rated = f" and is rated {amps(rating)}" if blows else f", {percent(here / rating)} of its {amps(rating)}"
            yield finding(
                "fuse-blows" if blows else "fuse-load",
                (name,),
                f"{name} carries {amps(here)}{rated}.",
                _bigger_fuse(assembly, things, groups[own], i, here / limit),
            )
        yield from _too_big(assembly, things, i, name, here / limit)
    yield from _added_up(assembly, behind, groups)
    yield from _unfused(assembly, power, zone, behind, groups)


def _fuses_by_zone(zone: Zones) -> dict[int, Ints]:
    groups: dict[int, list[int]] = {}
    for fuse, own in enumerate(zone.of_fuse.tolist()):
        if own != NONE:
            groups.setdefault(own, []).append(fuse)
    return {own: np.array(fuses, dtype=np.int64) for own, fuses in groups.items()}


def _blade(need: float, most: float) -> float | None:
    """Return the largest usual fuse that carries `need` and is not above `most`, both A; None where there is none."""
    fits = [a for a in BLADE_A if not over(need, a) and not over(a, most)]
    return fits[-1] if fits else None


def _next_blade(need: float) -> str:
    """Return the smallest usual fuse that carries `need` A, as words after "a fuse of"."""
    fits = [a for a in BLADE_A if not over(need, a)]
    return amps(fits[0]) if fits else at_least(need)


def _heavier(assembly: Assembly, things: Things, rating: float) -> str:
    """Return "replace wire by one for at least 5 A", of every part there that may carry less than `rating` A."""
    weak = [assembly.parts[p] for p in dict.fromkeys(things.part[over(rating, things.allowed)].tolist())]
    return f"replace {several(weak)} by {'one' if len(weak) == 1 else 'ones'} for {at_least(rating)}"


def _bigger_fuse(assembly: Assembly, things: Things, group: Ints, fuse: int, need: float) -> str:
    """Return the mend of a fuse that is loaded too much: a bigger one only where all that is behind it allows that."""
    string = assembly.strings.names[int(assembly.fuses.string[fuse])]
    room = things.room(assembly.fuses.number[group], assembly.fuses.rating_a[group], group == fuse)
    fits = [a for a in BLADE_A if not over(need, a)]
    wanted = fits[0] if fits else need
    if not over(wanted, room):
        return f"Use a fuse of {_next_blade(need)}."
    apart = f"Feed {string} again with cut: true, so that less flows through this fuse"
    if over(wanted, things.weakest()):
        return f"{apart}, or {_heavier(assembly, things, wanted)} and then use a fuse of {_next_blade(need)}."
    return (
        f"{apart}; a bigger one and the other fuses of {string} together would let too much into its cable or joints."
    )


def _too_big(assembly: Assembly, things: Things, fuse: int, name: str, need: float) -> Iterator[Finding]:
    """Yield findings where a fuse is rated for more than a cable or a joint behind it."""
    rating = float(assembly.fuses.rating_a[fuse])
    string = assembly.strings.names[int(assembly.fuses.string[fuse])]
    weakest = things.weakest()
    for code, kind in (("fuse-over-cable", things.cables()), ("fuse-over-joint", things.joints())):
        if not over(rating, kind.weakest()):
            continue
        at = kind.weakest_row()
        thing, part, allowed = kind.name(assembly, at), assembly.parts[int(kind.part[at])], float(kind.allowed[at])
        # A fuse that protects the weakest thing behind it helps only where it also carries what is drawn.
        carries = _blade(need, weakest)
        largest = _blade(0.0, weakest)
        small = f"a fuse of {at_most(weakest) if largest is None else amps(largest)}"
        heavier = _heavier(assembly, kind, rating)
        if carries is not None or (largest is None and not over(need, weakest)):
            mend = f"Use {small}, or {heavier}."
        else:
            mend = (
                f"To protect it takes {small}, too small for what flows here: {heavier}, or feed {string} again with "
                "cut: true, so that less does."
            )
        yield finding(
            code,
            (name, thing),
            f"{name} is {amps(rating)}; behind it {thing} ({part}) may carry {amps(allowed)}.",
            mend,
            kind.basis(at),
        )


def _added_up(assembly: Assembly, behind: RatedParts, groups: dict[int, Ints]) -> Iterator[Finding]:
    """Yield findings where several fuses, each small enough, feed one piece of a string from the same side."""
    for own, group in groups.items():
        if len(group) < 2:
            continue
        things = behind.of_zone(own)
        rating = assembly.fuses.rating_a[group]
        reach = things.reach(assembly.fuses.number[group], rating)
        bad = over(reach, things.allowed) & ~over(float(rating.max()), things.allowed)
        if not bad.any():
            continue
        at = int(np.argmax(np.where(bad, reach / things.allowed, 0.0)))
        names, thing = fuse_ids(assembly, group), things.name(assembly, at)
        yield finding(
            "fuses-add-up",
            (*names, thing),
            f"{several(names)} together let {amps(float(reach[at]))} into {thing} ({assembly.parts[int(things.part[at])]}), "
            f"which may carry {amps(float(things.allowed[at]))}.",
            "Use smaller fuses, heavier parts, or cut: true on the feed, so that each fuse feeds its own part.",
            things.basis(at),
        )


def _unfused(
    assembly: Assembly, power: Power, zone: Zones, behind: RatedParts, groups: dict[int, Ints]
) -> Iterator[Finding]:
    """Yield findings where a supply reaches a cable without a fuse and can overload it."""
    network, supplies = assembly.network, len(assembly.supplies)
    entries: dict[int, list[int]] = {}
    at_supply = (network.edge_a >= 1) & (network.edge_a <= supplies) & (zone.of_edge != NONE)
    for edge in np.flatnonzero(at_supply).tolist():
        entries.setdefault(int(zone.of_edge[edge]), []).append(edge)
    most = assembly.supply_rating_w / network.supply_v
    runs = np.isin(assembly.cables.sort, (CableSort.LEAD, CableSort.FEED))
    run_of_edge = np.full(len(network.edge_a), NONE, dtype=np.int64)
    run_of_edge[assembly.cables.edge[runs]] = np.flatnonzero(runs)
    for own, edges in entries.items():
        things = behind.of_zone(own)
        cables = things.cables()
        supply = max((int(network.edge_a[e]) - 1 for e in edges), key=lambda s: float(most[s]))
        if not over(float(most[supply]), cables.weakest()):
            continue
        at = cables.weakest_row()
        cable = cables.name(assembly, at)
        yield finding(
            "no-fuse",
            (owner(cable), cable),
            f"{assembly.supplies[supply]} can deliver {number(float(most[supply]))} A into {cable} "
            f"({assembly.parts[int(cables.part[at])]}), which may carry {amps(float(cables.allowed[at]))}, with no fuse "
            "between.",
            _first_fuse(assembly, power, things, run_of_edge[edges], groups.get(own, np.zeros(0, dtype=np.int64))),
        )


def _first_fuse(assembly: Assembly, power: Power, things: Things, runs: Ints, group: Ints) -> str:
    """Return which fuses to put into leads and feeds (rows of cables) that have none, beside the fuses of `group`."""
    edges = assembly.cables.edge[runs]
    supply = assembly.network.edge_a[edges] - 1
    places = [f"{n} at {assembly.supplies[s]}" for n, s in zip(cable_ids(assembly, runs), supply.tolist(), strict=True)]
    string = assembly.strings.names[int(assembly.cables.string[runs[0]])]
    entries = np.concatenate([assembly.cables.number[runs], assembly.fuses.number[group]])
    rating = np.concatenate([np.zeros(len(runs)), assembly.fuses.rating_a[group]])
    room = things.room(entries, rating, np.arange(len(entries)) < len(runs))
    flows = np.nan_to_num(np.abs(power.mean.edge_plus_a[edges]))
    need = float(flows.max()) / assembly.display.limits.fuse_load
    blade = _blade(need, room)
    each = " each" if len(runs) > 1 else ""
    where = f"in V+ of {several(places, len(places))}"
    if blade is not None:
        return f"Put a fuse of {amps(blade)}{each} {where}."
    if room > 0.0 and not over(need, room):
        return f"Put a fuse of {at_most(room)}{each} {where}."
    if len(entries) > 1:
        return (
            f"Set cut: true on the feeds of {string}, so that each feeds its own part, and put a fuse {where}: together "
            "fuses that carry what flows here would let too much into one part."
        )
    wanted = next((a for a in BLADE_A if not over(need, a)), need)
    return (
        f"Feed {string} again with cut: true and put a fuse into both, or {_heavier(assembly, things, wanted)} and put a "
        f"fuse of {_next_blade(need)} {where}."
    )
