"""The only place where counts become things: a Display expanded into a Build."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, TypeVar

import numpy as np

from strandwright.build.kinds import MOST_COLOURS, expand_kinds, light_of, load_laws
from strandwright.build.tables import (
    NONE,
    Build,
    Cables,
    CableSort,
    Flags,
    Floats,
    Fuses,
    Ints,
    Joints,
    JointSort,
    Kinds,
    Network,
    Nodes,
    Props,
    Strings,
)
from strandwright.display import Display
from strandwright.display.kind import DEFAULT_CABLE
from strandwright.display.model import Feed, FuseRef, Lead, String, Supply
from strandwright.display.parts import Cable
from strandwright.physics import copper

Table = TypeVar("Table")


class _Columns:
    """Columns of a table, gathered string by string; a scalar stands for a whole column of its string."""

    def __init__(self, table: type[Any]) -> None:
        self.names = [f.name for f in fields(table)]
        self.pieces: dict[str, list[Any]] = {name: [] for name in self.names}
        self.rows = 0

    def add(self, rows: int, **columns: Any) -> None:
        for name in self.names:
            column = columns[name]
            whole = isinstance(column, np.ndarray) and column.shape == (rows,)
            self.pieces[name].append(column if whole else np.full(rows, column))
        self.rows += rows

    def column(self, name: str) -> Any:
        kind = np.float64 if name.endswith(("ohm", "_m", "_a", "count")) else np.int64
        pieces = self.pieces[name]
        return np.concatenate(pieces).astype(kind, copy=False) if pieces else np.zeros(0, kind)

    def table(self, make: Callable[..., Table]) -> Table:
        return make(**{name: self.column(name) for name in self.names})


@dataclass(frozen=True)
class _Edges:
    """The columns of the network's edges."""

    a: Ints
    b: Ints
    plus_ohm: Floats
    minus_ohm: Floats


@dataclass(frozen=True)
class _Pieces:
    """The columns of one string's cables."""

    sort: Ints
    number: Ints
    part_number: Ints
    part: Ints
    length_m: Floats
    ohm: Floats
    edge: Ints


@dataclass(frozen=True)
class _Loads:
    """The columns of the network's loads."""

    prop: Ints
    place: Ints
    law: Ints
    count: Floats


def cable_ohm_per_m(cable: Cable, ambient_c: float) -> float:
    """Return the resistance of one conductor of a cable at the conductor temperature, ohm/m.

    Args:
        cable: the part; its own resistance counts where stated, else that of its size.
        ambient_c: conductor temperature, °C.
    """
    if cable.resistance is not None:
        at_20 = cable.resistance
    elif cable.size is not None and cable.size.awg is not None:
        at_20 = copper.awg_resistance_ohm_per_m(cable.size.awg, stranded=cable.strand == "stranded")
    else:
        assert cable.size is not None  # one of them is stated: checked by the model
        assert cable.size.mm2 is not None
        at_20 = copper.class5_resistance_ohm_per_m(cable.size.mm2)
    return float(copper.at_temperature(at_20, ambient_c))


class _Catalogue:
    """The display's parts by index, with the numbers that expansion asks for."""

    def __init__(self, display: Display) -> None:
        self.parts = display.parts
        self.names = tuple(display.parts)
        self.index = {name: i for i, name in enumerate(self.names)}
        self.ohm_per_m = {
            name: cable_ohm_per_m(part.cable, display.ambient)
            for name, part in display.parts.items()
            if part.cable is not None
        }

    def joint(self, name: str | None) -> tuple[int, float]:
        """Return (part index, ohm) of a joint; (NONE, 0) where there is none."""
        if name is None:
            return NONE, 0.0
        joint = self.parts[name].joint
        assert joint is not None  # references are checked when the file is read
        return self.index[name], joint.resistance

    def fuse(self, ref: FuseRef) -> tuple[float, int, float]:
        """Return (rating, part index, ohm) of a fuse; a bare rating has no part and no resistance."""
        if ref.part is None:
            assert ref.rating_a is not None
            return ref.rating_a, NONE, 0.0
        fuse = self.parts[ref.part].fuse
        assert fuse is not None
        return fuse.rating, self.index[ref.part], fuse.resistance


@dataclass(frozen=True)
class _KindCables:
    """Pigtail and inner wiring of each kind, one row a kind."""

    pigtail_m: Floats
    pigtail_ohm: Floats
    pigtail_part: Ints
    wired: Flags
    wire_m: Floats
    wire_ohm: Floats
    wire_part: Ints


def _kind_cables(display: Display, catalogue: _Catalogue) -> _KindCables:
    pigtails = [kind.pigtail for kind in display.kinds.values()]
    wirings = [kind.fill.wiring if kind.fill.count > 1 else None for kind in display.kinds.values()]
    return _KindCables(
        pigtail_m=np.array([p.length if p else 0.0 for p in pigtails]),
        pigtail_ohm=np.array([p.length * catalogue.ohm_per_m[p.cable] if p else 0.0 for p in pigtails]),
        pigtail_part=np.array([catalogue.index[p.cable] if p else NONE for p in pigtails], dtype=np.int64),
        wired=np.array([w is not None for w in wirings], dtype=bool),
        wire_m=np.array([w.length if w else 0.0 for w in wirings]),
        wire_ohm=np.array([w.length * catalogue.ohm_per_m[w.cable] if w else 0.0 for w in wirings]),
        wire_part=np.array([catalogue.index[w.cable] if w else NONE for w in wirings], dtype=np.int64),
    )


def resolved_supply(display: Display, supply: Supply) -> tuple[float, float, float]:
    """Return (voltage V, rating W, resistance ohm) of a supply; what the file states goes before its part."""
    part = display.parts[supply.part].supply if supply.part is not None else None
    voltage = supply.voltage if supply.voltage is not None else part.voltage if part else 0.0
    rating = supply.rating if supply.rating is not None else part.rating if part else 0.0
    resistance = supply.resistance if supply.resistance is not None else part.resistance if part else 0.0
    return voltage, rating, resistance


class _Expansion:
    """The tables while they grow."""

    def __init__(self, display: Display, kinds: Kinds) -> None:
        self.display = display
        self.kinds = kinds
        self.catalogue = _Catalogue(display)
        self.kind_cables = _kind_cables(display, self.catalogue)
        self.kind_index = {name: i for i, name in enumerate(kinds.names)}
        self.supply_index = {name: i for i, name in enumerate(display.supplies)}
        self.controllers = tuple(display.controllers)
        self.gangs = {name: c.gangs for name, c in display.controllers.items()}
        self.props, self.nodes = _Columns(Props), _Columns(Nodes)
        self.cables, self.joints, self.fuses = _Columns(Cables), _Columns(Joints), _Columns(Fuses)
        self.edges, self.loads = _Columns(_Edges), _Columns(_Loads)
        self.places = 1 + len(display.supplies)

    def string(self, row: int, string: String) -> None:
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
            law=np.repeat(kind, width),
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

    def _gaps(self, string: String, n: int) -> tuple[Floats, int, tuple[int, float]]:
        """Return the lengths of the spans (m), their cable's part index, and their joint (part index, ohm)."""
        span = string.span
        if span is None or n == 1:
            return np.zeros(0), NONE, (NONE, 0.0)
        if span.extension is not None:
            ready = self.display.parts[span.extension].extension
            assert ready is not None
            cable = self.catalogue.index[ready.cable]
            return np.full(n - 1, ready.length), cable, self.catalogue.joint(ready.plug)
        assert span.length is not None
        length = np.broadcast_to(np.asarray(span.length), (n - 1,)) + self.display.drip_loop
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
        approach = np.concatenate([[lead_ohm], pigtail[:-1] + length * per_m + 2.0 * joint_ohm])
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
        cable = (run.length + self.display.drip_loop) * self.catalogue.ohm_per_m[run.cable]
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
        loop = self.display.drip_loop
        lead = string.lead
        tails = inner.pigtail_part[kind] != NONE
        length, span_part, _ = self._gaps(string, n)
        span_ohm = per_m[self.catalogue.names[span_part]] if n > 1 else 0.0
        outward = np.concatenate([edge["approach"][1:], [NONE]])
        pieces = _Columns(_Pieces)

        def add(sort: CableSort, edges: Ints, number: Any, part: Any, metres: Any, ohm: Any, wire: Any = 0) -> None:
            pieces.add(
                len(edges),
                sort=int(sort),
                number=number,
                part_number=wire,
                part=part,
                length_m=metres,
                ohm=ohm,
                edge=edges,
            )

        metres = lead.length + loop
        add(CableSort.LEAD, edge["approach"][:1], 0, index[lead.cable], metres, metres * per_m[lead.cable])
        own = kind[tails]
        for sort, edges in ((CableSort.IN, edge["in"]), (CableSort.OUT, outward)):
            add(
                sort, edges[tails], number[tails], inner.pigtail_part[own], inner.pigtail_m[own], inner.pigtail_ohm[own]
            )
        prop = edge["wire_prop"]
        own = kind[prop]
        add(
            CableSort.WIRE,
            edge["wire"],
            prop + 1,
            inner.wire_part[own],
            inner.wire_m[own],
            inner.wire_ohm[own],
            edge["wire_number"],
        )
        add(CableSort.SPAN, edge["approach"][1:], number[:-1], span_part, length, length * span_ohm)
        for i, feed in enumerate(feeds):
            metres = feed.length + loop
            at = edge["feed"][i : i + 1]
            add(CableSort.FEED, at, feed.before, index[feed.cable], metres, metres * per_m[feed.cable])
        made = pieces.table(_Pieces)
        order = np.lexsort((made.part_number, made.sort, made.number, made.sort == CableSort.FEED))
        columns = {f.name: getattr(made, f.name)[order] for f in fields(_Pieces)}
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


def duties(display: Display, kinds: Kinds) -> Floats:
    """Return the duty of each colour of each kind at the file's levels and trims, shape (K, colours)."""
    duty = np.zeros((len(kinds.names), MOST_COLOURS))
    for row, name in enumerate(kinds.names):
        colours = int(kinds.colours[row])
        duty[row, :colours] = display.duties(name, colours)
    return duty


def expand(display: Display) -> Build:
    """Return everything that a display will physically consist of."""
    kinds = expand_kinds(display)
    grown = _Expansion(display, kinds)
    for row, string in enumerate(display.strings.values()):
        grown.string(row, string)
    supplies = [resolved_supply(display, s) for s in display.supplies.values()]
    props, nodes = grown.props.table(Props), grown.nodes.table(Nodes)
    loads, edges = grown.loads.table(_Loads), grown.edges.table(_Edges)
    count = len(display.strings)
    controllers = {name: i for i, name in enumerate(display.controllers)}
    first_prop = np.searchsorted(props.string, np.arange(count + 1))
    strings = Strings(
        names=tuple(display.strings),
        controller=np.array([controllers[s.output.controller] for s in display.strings.values()], dtype=np.int64),
        output=np.array([s.output.number for s in display.strings.values()], dtype=np.int64),
        supply=np.array(
            [NONE if s.supply is None else grown.supply_index[s.supply] for s in display.strings.values()],
            dtype=np.int64,
        ),
        first_prop=first_prop,
        first_node=np.searchsorted(nodes.prop, first_prop),
    )
    network = Network(
        places=grown.places,
        supply_v=np.array([v for v, _, _ in supplies]),
        supply_ohm=np.array([r for _, _, r in supplies]),
        edge_a=edges.a,
        edge_b=edges.b,
        edge_plus_ohm=edges.plus_ohm,
        edge_minus_ohm=edges.minus_ohm,
        load_place=loads.place,
        load_law=loads.law,
        load_count=loads.count,
        laws=load_laws([light_of(display, name) for name in kinds.names]),
        duty=duties(display, kinds),
    )
    return Build(
        display=display,
        supplies=tuple(display.supplies),
        supply_rating_w=np.array([w for _, w, _ in supplies]),
        controllers=tuple(display.controllers),
        parts=grown.catalogue.names,
        kinds=kinds,
        strings=strings,
        props=props,
        nodes=nodes,
        cables=grown.cables.table(Cables),
        joints=grown.joints.table(Joints),
        fuses=grown.fuses.table(Fuses),
        load_prop=loads.prop,
        network=network,
    )
