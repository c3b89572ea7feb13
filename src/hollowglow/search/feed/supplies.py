"""Which supply feeds which zone of V+ once every string has its plan: the power of the supplies shared out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.power.ratings import over, zones
from hollowglow.assembly.resistances import resolved_supply
from hollowglow.assembly.tables import NONE, CableSort
from hollowglow.file import Display
from hollowglow.search.feed.string_plan import StringPlan
from hollowglow.search.trials.choice import Choice, moved
from hollowglow.search.trials.trial import TrialOutcome

_STEP_W = 5.0


@dataclass(frozen=True, slots=True)
class ZoneLoad:
    """What one zone of a string draws from its supply: the lead among its entries or not, its feeds' props, W."""

    string: str
    supply: str
    lead: bool
    props: tuple[int, ...]
    power_w: float


@dataclass(frozen=True, slots=True)
class SupplyLoad:
    """What a supply delivers with the plans; `needed_w` is the rating that it would take, where its own is too small."""

    supply: str
    power_w: float
    rating_w: float
    needed_w: float | None


@dataclass(frozen=True)
class Shared:
    """The plans' choices with their supplies, and what each supply then delivers."""

    choices: dict[str, Choice]
    loads: tuple[SupplyLoad, ...]


def zone_loads(name: str, outcome: TrialOutcome) -> tuple[ZoneLoad, ...]:
    """Return what each zone of a string draws, from its solved state."""
    assembly, network = outcome.assembly, outcome.assembly.network
    zone = zones(assembly).with_fused(assembly)
    terminals = len(assembly.supplies)
    edges = np.flatnonzero((network.edge_a >= 1) & (network.edge_a <= terminals) & (zone != NONE))
    edges = edges[np.isfinite(network.edge_plus_ohm[edges])]
    feed_at = {
        int(e): int(n)
        for e, n, s in zip(assembly.cables.edge, assembly.cables.number, assembly.cables.sort, strict=True)
        if s == CableSort.FEED
    }
    found: dict[tuple[int, int], list[int]] = {}
    for edge in edges.tolist():
        found.setdefault((int(zone[edge]), int(network.edge_a[edge]) - 1), []).append(edge)
    made = []
    for (_, supply), mine in found.items():
        current = float(np.nansum(outcome.power.mean.edge_plus_a[mine]))
        props = tuple(sorted(feed_at[e] for e in mine if e in feed_at))
        lead = any(e not in feed_at for e in mine)
        made.append(ZoneLoad(name, assembly.supplies[supply], lead, props, current * float(network.supply_v[supply])))
    return tuple(made)


def share_out(display: Display, plans: Sequence[StringPlan]) -> Shared:
    """Return the plans with zones moved to other supplies of the same voltage where their own has too little room.

    Strings that stay as the file has them keep their supplies. Zones are moved from the largest on, each to the supply
    with the least room that still takes it.
    """
    limit = display.limits.supply_load
    stated = {name: resolved_supply(display, s) for name, s in display.supplies.items()}
    loads = [load for plan in plans for load in zone_loads(plan.string, plan.after)]
    free = {p.string for p in plans if not p.choice.kept}
    power = {name: sum(z.power_w for z in loads if z.supply == name) for name in display.supplies}
    goes: dict[tuple[str, bool, tuple[int, ...]], str] = {}
    for zone in sorted(loads, key=lambda z: -z.power_w):
        here = zone.supply
        if zone.string not in free or not over(power[here], limit * stated[here][1]):
            continue
        room = {
            name: limit * rating - power[name]
            for name, (voltage, rating, _) in stated.items()
            if name != here and voltage == stated[here][0]
        }
        fits = [name for name, left in room.items() if not over(zone.power_w, max(left, 1e-12))]
        if fits:
            there = min(fits, key=lambda n: room[n])
            power[here] -= zone.power_w
            power[there] += zone.power_w
            goes[zone.string, zone.lead, zone.props] = there
    choices = {p.string: p.choice for p in plans}
    for (string, lead, props), there in goes.items():
        choices[string] = moved(choices[string], there if lead else None, dict.fromkeys(props, there))
    return Shared(choices, tuple(_load(name, power[name], stated[name][1], limit) for name in display.supplies))


def _load(name: str, power_w: float, rating_w: float, limit: float) -> SupplyLoad:
    needed = _STEP_W * float(np.ceil(power_w / limit / _STEP_W - 1e-9)) if over(power_w, limit * rating_w) else None
    return SupplyLoad(name, power_w, rating_w, needed)
