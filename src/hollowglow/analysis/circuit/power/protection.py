"""Fuses against what flows through them and what lies behind them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis import edits
from hollowglow.analysis.circuit.power.ratings import Zones, over, zones
from hollowglow.analysis.circuit.power.reach import RatedParts, Things, behind_fuses
from hollowglow.analysis.circuit.power.result import Power
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, fuse_ids, owner
from hollowglow.assembly.tables import NONE, CableSort, Ints
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.told import Fact
from hollowglow.quantity.quantities import Quantity, current, share

_OVER = ("fuse", "rating", "thing", "part", "allowed")
_WEIGH = "whether less may flow, or heavier copper or a stronger joint is at hand, only the builder knows"
FUSE_LOAD = Code(
    "fuse-load",
    "warn",
    "feed",
    "common practice: continuous current at most 75 % of a fuse's rating",
    ("fuse", "carries", "rating", "share"),
)
FUSE_BLOWS = Code("fuse-blows", "stop", "feed", "the fuse's rating", FUSE_LOAD.facts)
FUSE_OVER_CABLE = Code(
    "fuse-over-cable", "stop", "feed", "fuse at most the ampacity of the smallest cable behind it", _OVER, _WEIGH
)
FUSE_OVER_JOINT = Code(
    "fuse-over-joint", "stop", "feed", "fuse at most the rating of the weakest plug or splice behind it", _OVER, _WEIGH
)
FUSES_ADD_UP = Code(
    "fuses-add-up",
    "stop",
    "feed",
    "fuses that feed one piece from one side together at most what the piece may carry",
    ("fuses", "reach", "thing", "part", "allowed"),
)
NO_FUSE = Code(
    "no-fuse",
    "warn",
    "feed",
    "protection of every conductor by a fuse or by its supply's limit",
    ("supply", "delivers", "cable", "part", "allowed"),
)
FUSE_CODES = (FUSE_OVER_CABLE, FUSE_OVER_JOINT, FUSES_ADD_UP, FUSE_LOAD, FUSE_BLOWS, NO_FUSE)

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
            facts: dict[str, Fact] = {
                "fuse": name,
                "carries": current(here),
                "rating": current(rating),
                "share": share(here / rating),
            }
            mend = _bigger_fuse(assembly, things, groups[own], i, here / limit)
            yield (FUSE_BLOWS if blows else FUSE_LOAD).found((name,), facts, (mend,))
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


def _next_blade(need: float) -> float | None:
    """Return the smallest usual fuse that carries `need` A; None where there is none."""
    return next((a for a in BLADE_A if not over(need, a)), None)


def _known(amps: float | None) -> Quantity | None:
    return None if amps is None else current(amps)


def _weaker(assembly: Assembly, things: Things, rating: float) -> dict[str, Fact]:
    """Return as facts every part there that may carry less than `rating` A, and what to replace it by."""
    weak = [assembly.parts[p] for p in dict.fromkeys(things.part[over(rating, things.allowed)].tolist())]
    return {"weak": tuple(weak), "enough": current(rating)}


def _bigger_fuse(assembly: Assembly, things: Things, group: Ints, fuse: int, need: float) -> Mend:
    """Return the mend of a fuse that is loaded too much: a bigger one only where all that is behind it allows that."""
    string = assembly.strings.names[int(assembly.fuses.string[fuse])]
    room = things.room(assembly.fuses.number[group], assembly.fuses.rating_a[group], group == fuse)
    blade = _next_blade(need)
    wanted = blade if blade is not None else need
    facts: dict[str, Fact] = {"string": string, "blade": _known(blade), "need": current(need)}
    if not over(wanted, room):
        return Mend("bigger-fuse", facts | {"fits": True}, _rated(assembly, fuse, blade))
    if over(wanted, things.weakest()):
        return Mend("apart-or-heavier", facts | _weaker(assembly, things, wanted))
    return Mend("apart", facts)


def _rated(assembly: Assembly, fuse: int, rating: float | None) -> tuple[Put, ...]:
    """Return the edit that states another rating of a fuse; none where a part stands there, or no usual fuse will do."""
    fuses, cables = assembly.fuses, assembly.cables
    if rating is None or fuses.part[fuse] != NONE:
        return ()
    run = np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED)) & (cables.string == fuses.string[fuse])
    row = int(np.flatnonzero(run & (cables.number == fuses.number[fuse]))[0])
    return (edits.put((*edits.run_path(assembly, row), "fuse"), current(rating)),)


def _too_big(assembly: Assembly, things: Things, fuse: int, name: str, need: float) -> Iterator[Finding]:
    """Yield findings where a fuse is rated for more than a cable or a joint behind it."""
    rating = float(assembly.fuses.rating_a[fuse])
    string = assembly.strings.names[int(assembly.fuses.string[fuse])]
    weakest = things.weakest()
    for code, kind in ((FUSE_OVER_CABLE, things.cables()), (FUSE_OVER_JOINT, things.joints())):
        if not over(rating, kind.weakest()):
            continue
        at = kind.weakest_row()
        thing, part, allowed = kind.name(assembly, at), assembly.parts[int(kind.part[at])], float(kind.allowed[at])
        # A fuse that protects the weakest thing behind it helps only where it also carries what is drawn.
        carries = _blade(need, weakest)
        largest = _blade(0.0, weakest)
        helps = carries is not None or (largest is None and not over(need, weakest))
        small: dict[str, Fact] = {"string": string, "blade": _known(largest), "most": current(weakest)}
        yield code.found(
            (name, thing),
            {"fuse": name, "rating": current(rating), "thing": thing, "part": part, "allowed": current(allowed)},
            (
                Mend(
                    "smaller-fuse" if helps else "too-small-fuse",
                    small | _weaker(assembly, kind, rating) | {"helps": helps},
                ),
            ),
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
        string = assembly.strings.names[int(assembly.fuses.string[group[0]])]
        uncut = {feed.before for feed in assembly.display.strings[string].feeds if not feed.cut}
        cuts = tuple(
            edits.cut(assembly, string, before) for before in assembly.fuses.number[group].tolist() if before in uncut
        )
        yield FUSES_ADD_UP.found(
            (*names, thing),
            {
                "fuses": tuple(names),
                "reach": current(float(reach[at])),
                "thing": thing,
                "part": assembly.parts[int(things.part[at])],
                "allowed": current(float(things.allowed[at])),
            },
            (Mend("apart", edits=cuts),),
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
        mend = _first_fuse(assembly, power, things, run_of_edge[edges], groups.get(own, np.zeros(0, dtype=np.int64)))
        yield NO_FUSE.found(
            (owner(cable), cable),
            {
                "supply": assembly.supplies[supply],
                "delivers": current(float(most[supply]), 3),
                "cable": cable,
                "part": assembly.parts[int(cables.part[at])],
                "allowed": current(float(cables.allowed[at])),
            },
            (mend,),
        )


def _first_fuse(assembly: Assembly, power: Power, things: Things, runs: Ints, group: Ints) -> Mend:
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
    facts: dict[str, Fact] = {"string": string, "places": tuple(places), "need": current(need)}
    if blade is not None:
        paths = [(*edits.run_path(assembly, row), "fuse") for row in runs.tolist()]
        put = tuple(edits.put(path, current(blade)) for path in paths)
        return Mend("first-fuse", facts | {"blade": current(blade)}, put)
    if room > 0.0 and not over(need, room):
        return Mend("first-fuse", facts | {"blade": None, "room": current(room)})
    if len(entries) > 1:
        return Mend("cut-and-fuse", facts | {"cut": True})
    following = _next_blade(need)
    wanted = following if following is not None else need
    return Mend("apart-or-heavier", facts | {"next": _known(following)} | _weaker(assembly, things, wanted))
