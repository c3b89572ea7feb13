"""From a plan to the numbers that the pictures want."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.circuit.power import part_ampacity
from hollowglow.assembly.ids import fuse_ids
from hollowglow.assembly.tables import NONE, CableSort, Floats
from hollowglow.draw.circuit.before_after import before_after as draw_both
from hollowglow.draw.circuit.line_diagram import (
    DiagramCable,
    DiagramFeed,
    DiagramFuse,
    LineDiagram,
    StringLine,
    single_line,
)
from hollowglow.draw.circuit.profile import Profile
from hollowglow.draw.circuit.profile import string_profile as draw_profile
from hollowglow.draw.sheet.markers import Verdict
from hollowglow.draw.sheet.records import Drawing
from hollowglow.file.reading.inheritance import nearest
from hollowglow.messages.refusal import Job, Refusal, Words, parts
from hollowglow.plan import Plan
from hollowglow.quantity.reader import Units
from hollowglow.quantity.shown import show


def string_row(plan: Plan, name: str | None) -> int | None:
    """Return the row of a string by its name, None for None; raises Refusal where there is none of that name."""
    names = list(plan.assembly.strings.names)
    if name is not None and name not in names:
        hint: Words = nearest(name, names) or (Job("plan", "FILE"), " lists them.")
        raise Refusal(f"There is no string {show(name)} in this display. ", *parts(hint))
    return None if name is None else names.index(name)


def distances_m(plan: Plan, string: int) -> Floats:
    """Return the distance of each prop of a string from the supply, along lead and spans, m."""
    cables = plan.assembly.cables
    own = (cables.string == string) & np.isin(cables.sort, (CableSort.LEAD, CableSort.SPAN))
    return np.cumsum(cables.length_m[own])


def profile(plan: Plan, string: int, units: Units = "both") -> Profile:
    """Return the voltage profile of one string (by row), one entry a prop, the prop's worst node; its axis in `units`."""
    assembly, power = plan.assembly, plan.power
    first, last = int(assembly.strings.first_prop[string]), int(assembly.strings.first_prop[string + 1])
    nodes = slice(int(assembly.strings.first_node[string]), int(assembly.strings.first_node[string + 1]))
    load, prop = assembly.nodes.load[nodes], assembly.nodes.prop[nodes] - first
    order = np.lexsort((power.coincident_v[load], prop))
    worst = load[order][np.searchsorted(prop[order], np.arange(last - first))]
    place = assembly.network.load_place[worst]
    alive = power.alive[worst]
    name = assembly.strings.names[string]
    stated = assembly.display.strings[name]
    distance = distances_m(plan, string)
    characteristic = assembly.network.load_characteristic[worst]
    limit = assembly.display.limits.lowest_voltage or float(assembly.kinds.lowest_v[characteristic].max())
    names = stated.supplies
    supply_v = max((float(assembly.network.supply_v[assembly.supplies.index(s)]) for s in names), default=0.0)

    def column(values: Floats) -> tuple[float, ...]:
        return tuple(np.where(alive, values, np.nan).tolist())

    return Profile(
        title=f"{name}: voltage along the string at full white",
        distance_m=tuple(distance.tolist()),
        v_plus=column(power.mean.plus_v[place]),
        v_minus=column(power.mean.minus_v[place]),
        v_across=column(power.across_v[worst]),
        v_coincident=column(power.coincident_v[worst]),
        supply_v=supply_v,
        limit_v=limit,
        labels=tuple(f"{n}" for n in range(1, last - first + 1)),
        feeds=tuple((float(distance[f.before - 1]), f"feed {f.supply}") for f in stated.feeds),
        gap_words="no steady voltage" if bool((alive & np.isnan(power.coincident_v[worst])).any()) else "no V+ here",
        cuts_m=tuple(float(distance[f.before - 1]) for f in stated.feeds if f.cut),
        units=units,
    )


def string_profile(plan: Plan, string: int) -> Drawing:
    """Return the picture of one string's voltages."""
    return draw_profile(profile(plan, string))


def before_after(before: Plan, after: Plan, string: int) -> Drawing:
    """Return the picture of one string (by row, the same in both plans) before and after a change."""
    name = after.assembly.strings.names[string]
    title = f"{name}: voltage at full white, before and after"
    return draw_both(profile(before, string), profile(after, string), title=title)


def line_diagram(plan: Plan, supply: int, units: Units = "both") -> Drawing:
    """Return the single-line diagram of one supply (by row) with all that it powers, lengths in `units`."""
    assembly = plan.assembly
    name = assembly.supplies[supply]
    lines = tuple(_string_line(plan, row, name) for row in powered_by(plan, name))
    power = float(plan.power.mean.supply_a[supply] * assembly.network.supply_v[supply])
    return single_line(
        LineDiagram(
            title=f"{name}: single-line diagram",
            supply=name,
            voltage_v=float(assembly.network.supply_v[supply]),
            rating_w=float(assembly.supply_rating_w[supply]),
            load_fraction=power / float(assembly.supply_rating_w[supply]),
            strings=lines,
            verdict=_verdict(plan, name),
            units=units,
        )
    )


def line_diagrams(plan: Plan) -> Iterator[tuple[str, Drawing]]:
    """Yield (file stem, single-line diagram) of every supply that powers a string."""
    for row, name in enumerate(plan.assembly.supplies):
        if powered_by(plan, name):
            yield f"supply-{name}", line_diagram(plan, row)


def powered_by(plan: Plan, supply: str) -> list[int]:
    """Return the strings (rows) whose lead or a feed starts at a supply."""
    strings = plan.assembly.display.strings.values()
    return [i for i, string in enumerate(strings) if supply in string.supplies]


def _verdict(plan: Plan, where: str) -> Verdict:
    found = {f.severity for f in plan.findings if where in f.where}
    return "stop" if "stop" in found else "warn" if "warn" in found else ""


def _fuses(plan: Plan, row: int) -> dict[int, DiagramFuse]:
    assembly = plan.assembly
    table = assembly.fuses
    rows = np.flatnonzero(table.string == row).tolist()
    ids = fuse_ids(assembly, rows)
    current = np.abs(plan.power.mean.edge_plus_a[table.edge[rows]])
    return {
        int(table.number[r]): DiagramFuse(float(table.rating_a[r]), float(a), _verdict(plan, name))
        for r, a, name in zip(rows, current.tolist(), ids, strict=True)
    }


def _shares(plan: Plan) -> Floats:
    """Return the current of each piece of cable over what it may carry, NaN where that is not known, shape (cables,)."""
    cables, mean = plan.assembly.cables, plan.power.mean
    carried = np.maximum(np.abs(mean.edge_plus_a), np.abs(mean.edge_minus_a))
    flows = np.where(cables.edge == NONE, 0.0, carried[cables.edge])
    allowed, _ = part_ampacity(plan.assembly)
    rated = allowed[cables.part]
    return np.where(np.isfinite(rated), flows / rated, np.nan)


def _string_line(plan: Plan, row: int, supply: str) -> StringLine:
    assembly = plan.assembly
    name = assembly.strings.names[row]
    stated = assembly.display.strings[name]
    cables = assembly.cables
    fuses = _fuses(plan, row)
    spans = (cables.string == row) & (cables.sort == CableSort.SPAN)
    part = int(cables.part[spans][0]) if spans.any() else NONE
    share = _shares(plan)
    # The lead has number 0, a feed that of the prop before which it joins.
    runs = {
        int(cables.number[r]): DiagramCable(
            float(cables.length_m[r]), assembly.part_name(int(cables.part[r])), float(share[r])
        )
        for r in np.flatnonzero(
            (cables.string == row) & np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED))
        ).tolist()
    }
    return StringLine(
        name=name,
        props=stated.prop_count,
        lead=runs[0],
        spans_m=tuple(cables.length_m[spans].tolist()),
        span_cable=assembly.part_name(part),
        fuse=fuses.get(0),
        feeds=tuple(
            DiagramFeed(
                f.before,
                runs[f.before],
                fuses.get(f.before),
                f.cut,
                "" if f.supply == supply else f.supply,
            )
            for f in sorted(stated.feeds, key=lambda f: f.before)
        ),
        note=f"output {stated.output}",
        span_share=float(share[spans].max(initial=0.0)),
        supply="" if stated.supply in (None, supply) else str(stated.supply),
        powered=stated.supply is not None,
    )


def pictures(plan: Plan) -> Iterator[tuple[str, Drawing]]:
    """Yield (file stem, picture) of every string's profile and every supply's single-line diagram."""
    for row, name in enumerate(plan.assembly.strings.names):
        yield f"profile-{name}", string_profile(plan, row)
    yield from line_diagrams(plan)
