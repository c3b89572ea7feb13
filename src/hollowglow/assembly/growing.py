"""One string after the other turned into rows: props, nodes, edges of the network, cables, joints, fuses."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from hollowglow.assembly.columns import Columns
from hollowglow.assembly.lengths import Length, run_length, span_lengths
from hollowglow.assembly.resistances import PartNumbers, kind_cables
from hollowglow.assembly.tables import (
    NONE,
    Cables,
    CableSort,
    Flags,
    Floats,
    Fuses,
    Ints,
    Joints,
    JointSort,
    Kinds,
    Nodes,
    Props,
)
from hollowglow.file import Display
from hollowglow.file.model.display import Feed, FuseRef, Lead, String
from hollowglow.file.model.kind import DEFAULT_CABLE


@dataclass(frozen=True)
class Edges:
    """The columns of the network's edges."""

    a: Ints
    b: Ints
    plus_ohm: Floats
    minus_ohm: Floats


@dataclass(frozen=True)
class CablePieces:
    """The columns of one string's cables."""

    sort: Ints
    number: Ints
    part_number: Ints
    part: Ints
    stated_m: Floats
    loop_m: Floats
    length_m: Floats
    ohm: Floats
    edge: Ints


@dataclass(frozen=True)
class Loads:
    """The columns of the network's loads."""

    prop: Ints
    place: Ints
    characteristic: Ints
    count: Floats


class Growing:
    """The tables while they grow."""

    def __init__(self, display: Display, kinds: Kinds) -> None:
        self.display = display
        self.kinds = kinds
        self.catalogue = PartNumbers(display)
        self.kind_cables = kind_cables(display, self.catalogue)
        self.kind_index = {name: i for i, name in enumerate(kinds.names)}
        self.supply_index = {name: i for i, name in enumerate(display.supplies)}
        self.controllers = tuple(display.controllers)
        self.gangs = {name: c.gangs for name, c in display.controllers.items()}
        self.props, self.nodes = Columns(Props), Columns(Nodes)
        self.cables, self.joints, self.fuses = Columns(Cables), Columns(Joints), Columns(Fuses)
        self.edges, self.loads = Columns(Edges), Columns(Loads)
        self.places = 1 + len(display.supplies)

    def string(self, row: int, string: String) -> None:
        """Add everything that a string consists of."""
        kinds, inner = self.kinds, self.kind_cables
        runs = string.props
        kind = np.repeat([self.kind_index[r.kind] for r in runs], [r.count for r in runs])
        n = len(kind)
        feeds = sorted(string.feeds, key=lambda f: f.before)
        fed = np.zeros(n, dtype=bool)
        fed[[f.before - 1 for f in feeds]] = True
        junction = fed & (inner.pigtail_ohm[kind] > 0.0)
        width = np.where(inner.wired[kind], kinds.nodes[kind], 1)
        first = self.places + np.concatenate([[0], np.cumsum(width + junction)[:-1]])
        core = first + junction
        self.places = int(core[-1] + width[-1])
        self._nodes(row, string, kind, width, core)
        edge = self._edges(string, feeds, kind, junction, width, first, core)
        self._cables(row, string, feeds, kind, junction, width, edge)
        self._joints_and_fuses(row, string, feeds, n, edge)

    def _nodes(self, row: int, string: String, kind: Ints, width: Ints, core: Ints) -> None:
        kinds = self.kinds
        n = len(kind)
        count = kinds.nodes[kind]
        prop_base, load_base = self.props.rows, self.loads.rows
        self.props.add(n, string=row, number=np.arange(1, n + 1), kind=kind)
        load_first = np.concatenate([[0], np.cumsum(width)[:-1]])
        inside = np.arange(int(width.sum())) - np.repeat(load_first, width)
        self.loads.add(
            len(inside),
            prop=prop_base + np.repeat(np.arange(n), width),
            place=np.repeat(core, width) + inside,
            characteristic=np.repeat(kind, width),
            count=np.repeat(np.where(width > 1, 1, count), width),
        )
        number = np.arange(int(count.sum())) - np.repeat(np.cumsum(count) - count, count)
        one_cell = kinds.ganged[kind] & self.gangs[string.output.controller]
        cells = np.where(one_cell, 1, count)
        cell_first = np.cumsum(cells) - cells
        self.nodes.add(
            len(number),
            prop=prop_base + np.repeat(np.arange(n), count),
            number=number + 1,
            load=load_base + np.repeat(load_first, count) + np.where(np.repeat(width > 1, count), number, 0),
            cell=1 + np.repeat(cell_first, count) + np.where(np.repeat(one_cell, count), 0, number),
        )

    def _gaps(self, string: String, n: int) -> tuple[Length[Floats], int, tuple[int, float]]:
        """Return the lengths of the spans, their cable's part index, and their joint (part index, ohm)."""
        span, length = string.span, span_lengths(self.display, string)
        if span is None or n == 1:
            return length, NONE, (NONE, 0.0)
        if span.extension is not None:
            ready = self.display.parts[span.extension].extension
            assert ready is not None
            return length, self.catalogue.index[ready.cable], self.catalogue.joint(ready.plug)
        return length, self.catalogue.index[span.cable or DEFAULT_CABLE], self.catalogue.joint(span.joint)

    def _edges(
        self,
        string: String,
        feeds: list[Feed],
        kind: Ints,
        junction: Flags,
        width: Ints,
        first: Ints,
        core: Ints,
    ) -> dict[str, Ints]:
        """Add the string's edges; return by name which edge each of its things is part of."""
        inner = self.kind_cables
        n = len(kind)
        last = core + width - 1
        length, part, (_, joint_ohm) = self._gaps(string, n)
        per_m = self.catalogue.ohm_per_m[self.catalogue.names[part]] if n > 1 else 0.0
        lead_ohm, fuse_ohm = self._run_ohm(string.lead, string.fuse)
        pigtail = inner.pigtail_ohm[kind]
        approach = np.concatenate([[lead_ohm], pigtail[:-1] + length.whole_m * per_m + 2.0 * joint_ohm])
        approach = approach + np.where(junction, 0.0, pigtail)
        plus = approach.copy()
        plus[0] += fuse_ohm
        plus[[f.before - 1 for f in feeds if f.cut]] = np.inf
        start = 0
        if string.supply is None:
            plus[0] = np.inf
        else:
            start = 1 + self.supply_index[string.supply]
        base = self.edges.rows
        self.edges.add(n, a=np.concatenate([[start], last[:-1]]), b=first, plus_ohm=plus, minus_ohm=approach)
        inward = np.arange(base, base + n)
        if junction.any():
            inward[junction] = self.edges.rows + np.arange(int(junction.sum()))
            own = pigtail[junction]
            self.edges.add(len(own), a=first[junction], b=core[junction], plus_ohm=own, minus_ohm=own)
        wires = np.repeat(np.arange(n), width - 1)
        wire_number = np.arange(len(wires)) - np.repeat(np.cumsum(width - 1) - (width - 1), width - 1)
        wire_base = self.edges.rows
        if len(wires):
            ohm = inner.wire_ohm[kind[wires]]
            self.edges.add(
                len(wires),
                a=core[wires] + wire_number,
                b=core[wires] + wire_number + 1,
                plus_ohm=ohm,
                minus_ohm=ohm,
            )
        feed_base = self.edges.rows
        for feed in feeds:
            run, fuse = self._run_ohm(feed, feed.fuse)
            place = first[feed.before - 1]
            self.edges.add(1, a=1 + self.supply_index[feed.supply], b=place, plus_ohm=run + fuse, minus_ohm=run)
        return {
            "approach": np.arange(base, base + n),
            "in": inward,
            "wire": wire_base + np.arange(len(wires)),
            "wire_prop": wires,
            "wire_number": wire_number + 1,
            "feed": feed_base + np.arange(len(feeds)),
        }

    def _run_ohm(self, run: Lead | Feed, fuse: FuseRef | None) -> tuple[float, float]:
        """Return (cable and joint, fuse) resistance of a lead or a feed, ohm."""
        cable = run_length(self.display, run.length).whole_m * self.catalogue.ohm_per_m[run.cable]
        return cable + self.catalogue.joint(run.joint)[1], self.catalogue.fuse(fuse)[2] if fuse else 0.0

    def _cables(
        self,
        row: int,
        string: String,
        feeds: list[Feed],
        kind: Ints,
        junction: Flags,
        width: Ints,
        edge: dict[str, Ints],
    ) -> None:
        inner, index, per_m = self.kind_cables, self.catalogue.index, self.catalogue.ohm_per_m
        n = len(kind)
        number = np.arange(1, n + 1)
        lead = string.lead
        tails = inner.pigtail_part[kind] != NONE
        length, span_part, _ = self._gaps(string, n)
        span_ohm = per_m[self.catalogue.names[span_part]] if n > 1 else 0.0
        outward = np.concatenate([edge["approach"][1:], [NONE]])
        pieces = Columns(CablePieces)

        def add(
            sort: CableSort, edges: Ints, number: Any, part: Any, metres: Length[Any], ohm: Any, wire: Any = 0
        ) -> None:
            pieces.add(
                len(edges),
                sort=int(sort),
                number=number,
                part_number=wire,
                part=part,
                stated_m=metres.stated_m,
                loop_m=metres.loop_m,
                length_m=metres.whole_m,
                ohm=ohm,
                edge=edges,
            )

        metres = run_length(self.display, lead.length)
        add(CableSort.LEAD, edge["approach"][:1], 0, index[lead.cable], metres, metres.whole_m * per_m[lead.cable])
        own = kind[tails]
        for sort, edges in ((CableSort.IN, edge["in"]), (CableSort.OUT, outward)):
            tail = Length(inner.pigtail_m[own], 0.0)
            add(sort, edges[tails], number[tails], inner.pigtail_part[own], tail, inner.pigtail_ohm[own])
        prop = edge["wire_prop"]
        own = kind[prop]
        add(
            CableSort.WIRE,
            edge["wire"],
            prop + 1,
            inner.wire_part[own],
            Length(inner.wire_m[own], 0.0),
            inner.wire_ohm[own],
            edge["wire_number"],
        )
        add(CableSort.SPAN, edge["approach"][1:], number[:-1], span_part, length, length.whole_m * span_ohm)
        for i, feed in enumerate(feeds):
            metres = run_length(self.display, feed.length)
            at = edge["feed"][i : i + 1]
            add(CableSort.FEED, at, feed.before, index[feed.cable], metres, metres.whole_m * per_m[feed.cable])
        made = pieces.table(CablePieces)
        order = np.lexsort((made.part_number, made.sort, made.number, made.sort == CableSort.FEED))
        columns = {f.name: getattr(made, f.name)[order] for f in fields(CablePieces)}
        self.cables.add(len(order), string=row, **columns)

    def _joints_and_fuses(self, row: int, string: String, feeds: list[Feed], n: int, edge: dict[str, Ints]) -> None:
        def joint(name: str | None, sort: JointSort, number: int, at: Ints) -> None:
            part, ohm = self.catalogue.joint(name)
            if part != NONE:
                self.joints.add(1, string=row, sort=int(sort), number=number, part=part, ohm=ohm, edge=at)

        def fuse(ref: FuseRef | None, number: int, at: Ints) -> None:
            if ref is not None:
                rating, part, ohm = self.catalogue.fuse(ref)
                self.fuses.add(1, string=row, number=number, rating_a=rating, part=part, ohm=ohm, edge=at)

        joint(string.lead.joint, JointSort.LEAD, 0, edge["approach"][:1])
        fuse(string.fuse, 0, edge["approach"][:1])
        _, _, (part, ohm) = self._gaps(string, n)
        if part != NONE:
            both = np.tile([int(JointSort.SPAN_NEAR), int(JointSort.SPAN_FAR)], n - 1)
            self.joints.add(
                2 * (n - 1),
                string=row,
                sort=both,
                number=np.repeat(np.arange(1, n), 2),
                part=part,
                ohm=ohm,
                edge=np.repeat(edge["approach"][1:], 2),
            )
        for i, feed in enumerate(feeds):
            joint(feed.joint, JointSort.FEED, feed.before, edge["feed"][i : i + 1])
            fuse(feed.fuse, feed.before, edge["feed"][i : i + 1])
