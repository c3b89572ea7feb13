"""One sheet for each string: the order of its props, spans, voltages and addresses, what to cut, join, feed and fuse."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.money.cost import CutList, cut_list
from hollowglow.assembly.ids import cable_ids, fuse_ids, joint_ids, owner, prop_id, run_fuse_id, run_id
from hollowglow.assembly.tables import CableSort, JointSort, of_string
from hollowglow.book.chapters import cuts
from hollowglow.book.chapters.addressing import span_words
from hollowglow.book.page_data import BookSource, Row
from hollowglow.draw.circuit.profile import string_profile
from hollowglow.quantity.words import amps, percent, several, volts
from hollowglow.view.pictures.circuit import distances_m, profile


def strings(source: BookSource) -> list[Row]:
    """Return the sheet of every string."""
    pieces = cut_list(source.plan.assembly)
    owners = [owner(name) for name in pieces.id]
    first = {name: (owners.index(name), len(owners) - owners[::-1].index(name)) for name in dict.fromkeys(owners)}
    return [
        _string(source, row, pieces, range(*first.get(name, (0, 0))))
        for row, name in enumerate(source.plan.assembly.strings.names)
    ]


def _string(source: BookSource, row: int, pieces: CutList, own: range) -> Row:
    plan, say = source.plan, source.measures
    assembly = plan.assembly
    name = assembly.strings.names[row]
    stated = assembly.display.strings[name]
    reach = distances_m(plan, row)
    feeds = [f"prop {f.before}" for f in stated.feeds]
    facts = [
        ("output", str(stated.output)),
        ("supply", stated.supply or "none of its own"),
        ("props", f"{stated.prop_count:,}"),
        ("fed", "at its start" if not feeds else f"at its start, and again before {several(feeds, 6)}"),
        ("reach", say.run(float(reach[-1])) if len(reach) else "-"),
        ("data chain", f"{int(assembly.strings.first_node[row + 1] - assembly.strings.first_node[row]):,} nodes"),
    ]
    drawn = profile(plan, row, say.units)
    runs = list(cuts.runs(source, pieces, own))
    return {
        "name": name,
        "about": stated.about,
        "facts": facts,
        "picture": source.picture(string_profile(drawn)),
        "order": list(_order(source, row, drawn.v_across)),
        "runs": runs,
        "cuts": cuts.together(runs),
        "ready": cuts.ready(source, row),
        "inner": list(cuts.inner(source, pieces, own)),
        "joints": list(_joints(source, row)),
        "fuses": list(_fuses(source, row)),
        "feeds": list(_feeds(source, row)),
        "ends": list(_ends(source, row)),
        "findings": [
            {"severity": f.severity, "message": f.told(source.reader), "mend": f.mend_told(source.reader)}
            for f in plan.findings
            if f.severity != "note" and any(w == name or w.startswith(f"{name}/") for w in f.where)
        ],
        "marks": source.marks(name),
    }


def _order(source: BookSource, row: int, across_v: tuple[float, ...]) -> Iterator[Row]:
    plan, say = source.plan, source.measures
    assembly, signal = plan.assembly, plan.signal
    name = assembly.strings.names[row]
    first, last = int(assembly.strings.first_prop[row]), int(assembly.strings.first_prop[row + 1])
    reach = distances_m(plan, row).tolist()
    ends = np.searchsorted(assembly.nodes.prop, np.arange(first, last + 1)).tolist()
    fed = {f.before: f for f in assembly.display.strings[name].feeds}
    for i, prop in enumerate(range(first, last)):
        a, b = ends[i], ends[i + 1] - 1
        kind = int(assembly.props.kind[prop])
        last_slot = int(signal.slot[b]) + int(assembly.kinds.colours[kind]) - 1
        feed = fed.get(i + 1)
        yield {
            "id": prop_id(name, int(assembly.props.number[prop])),
            "kind": assembly.kinds.names[kind],
            "level": percent(assembly.display.level(assembly.kinds.names[kind])),
            "at": say.run(reach[i]),
            "before": say.run(reach[i] - (reach[i - 1] if i else 0.0)),
            "volts": volts(across_v[i]),
            "first": f"{int(signal.universe[a])}/{int(signal.slot[a])}",
            "last": f"{int(signal.universe[b])}/{last_slot}",
            "nodes": span_words(int(signal.chain[a]), int(signal.chain[b])),
            "feed": None if feed is None else _feed_words(feed.supply, cut=feed.cut),
        }


def _feed_words(supply: str, *, cut: bool) -> str:
    return f"V+ of {supply} comes in here" + ("; V+ of the span before it is cut, minus and data run on" if cut else "")


_JOINT_WORDS = {
    JointSort.LEAD: "between lead and first prop",
    JointSort.SPAN_NEAR: "at the near end of each span",
    JointSort.SPAN_FAR: "at the far end of each span",
    JointSort.FEED: "where a feed joins",
}


def _joints(source: BookSource, row: int) -> Iterator[Row]:
    assembly = source.plan.assembly
    table = assembly.joints
    own = of_string(table.string, row)
    rows = np.arange(own.start, own.stop)
    for sort in JointSort:
        here = rows[table.sort[own] == sort]
        for part in dict.fromkeys(table.part[here].tolist()):
            same = here[table.part[here] == part]
            ids = joint_ids(assembly, same)
            known = assembly.display.parts[assembly.parts[part]]
            yield {
                "part": assembly.parts[part],
                "about": known.about,
                "where": _JOINT_WORDS[sort],
                "count": f"{len(same):,}",
                "ids": ids[0] if len(ids) == 1 else f"{ids[0]} to {ids[-1]}",
            }


def _fuses(source: BookSource, row: int) -> Iterator[Row]:
    assembly = source.plan.assembly
    table = assembly.fuses
    rows = np.flatnonzero(table.string == row).tolist()
    flow = np.abs(source.plan.power.mean.edge_plus_a[table.edge[rows]]).tolist()
    for r, name, current in zip(rows, fuse_ids(assembly, rows), flow, strict=True):
        rating = float(table.rating_a[r])
        yield {
            "id": name,
            "part": assembly.part_name(int(table.part[r])),
            "rating": amps(rating),
            "current": amps(current),
            "share": percent(current / rating),
        }


def _feeds(source: BookSource, row: int) -> Iterator[Row]:
    assembly, say = source.plan.assembly, source.measures
    name = assembly.strings.names[row]
    table = assembly.cables
    rows = np.flatnonzero((table.string == row) & np.isin(table.sort, (CableSort.LEAD, CableSort.FEED)))
    ids = cable_ids(assembly, rows)
    stated = assembly.display.strings[name]
    by_number = {f.before: f for f in stated.feeds}
    for r, cable in zip(rows.tolist(), ids, strict=True):
        feed = by_number.get(int(table.number[r])) if int(table.sort[r]) == CableSort.FEED else None
        yield {
            "id": cable,
            "supply": (stated.supply or "-") if feed is None else feed.supply,
            "to": prop_id(name, 1 if feed is None else feed.before),
            "cable": assembly.part_name(int(table.part[r])),
            "length": say.run(float(table.length_m[r])),
            "cut": "cut" if feed is not None and feed.cut else "joined" if feed is not None else "-",
        }


def _ends(source: BookSource, row: int) -> Iterator[Row]:
    """Yield core by core in words where the supply ends of the lead and of every feed go."""
    assembly = source.plan.assembly
    name = assembly.strings.names[row]
    stated = assembly.display.strings[name]
    yield {
        "run": run_id(name, 0),
        "plus": _plus(stated.supply, run_fuse_id(name, 0) if stated.fuse is not None else None),
        "data": f"output {stated.output}",
        "minus": stated.supply or stated.output.controller,
    }
    for feed in stated.feeds:
        yield {
            "run": run_id(name, feed.before),
            "plus": _plus(feed.supply, run_fuse_id(name, feed.before) if feed.fuse is not None else None),
            "data": "none: comes along the string",
            "minus": feed.supply,
        }


def _plus(supply: str | None, fuse: str | None) -> str:
    if supply is None:
        return "not joined: power comes at the feeds"
    return supply + (f", through {fuse}" if fuse is not None else ", without a fuse")
