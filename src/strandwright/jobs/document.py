"""The plan as one JSON document: its tables row by row, so that a large one can be written as it is made."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator
from dataclasses import asdict, fields
from json.encoder import encode_basestring
from typing import IO, Any

import numpy as np

from strandwright import __version__
from strandwright.build.ids import cable_ids, fuse_ids, joint_ids, node_ids, prop_ids
from strandwright.build.tables import NONE, Floats, Ints
from strandwright.cost import Line, Operation, cut_list
from strandwright.display.assumptions import assumptions
from strandwright.fault import outcome_words
from strandwright.jobs.kind_table import holes, kind_rows, kinds, steps
from strandwright.jobs.level_rows import level_row
from strandwright.mains import Circuit
from strandwright.plan import Plan
from strandwright.signal import output_name

Row = dict[str, Any]
Columns = dict[str, list[Any]]
_CHUNK = 20_000
_DIGITS = 9


def _real(value: float) -> float | None:
    """Return a float for JSON, None where there is no number."""
    return round(value, _DIGITS) if math.isfinite(value) else None


def _column(values: Floats, digits: int = _DIGITS) -> list[float | None]:
    rounded = np.round(values, digits)
    plain: list[float | None] = rounded.tolist()
    if not np.isfinite(rounded).all():
        plain = [v if v is not None and math.isfinite(v) else None for v in plain]
    return plain


def _columns(**columns: list[Any]) -> Columns:
    return columns


def rows(columns: Columns) -> Iterator[Row]:
    """Yield the rows of a table that is held as columns."""
    names = tuple(columns)
    for values in zip(*columns.values(), strict=True):
        yield dict(zip(names, values, strict=True))


def nodes(plan: Plan) -> Columns:
    """Return the table of nodes: worst case, full white at the file's levels."""
    build, power, signal = plan.build, plan.power, plan.signal
    table, props = build.nodes, build.props
    place = build.network.load_place[table.load]
    string = np.array(build.strings.names, dtype=object)[props.string[table.prop]]
    return _columns(
        id=node_ids(build),
        string=string.tolist(),
        prop=props.number[table.prop].tolist(),
        index=signal.chain.tolist(),
        cell=table.cell.tolist(),
        v_plus=_column(power.mean.plus_v[place]),
        v_minus=_column(power.mean.minus_v[place]),
        v_together=_column(power.together_v[table.load]),
        current=_column(power.mean.load_a[table.load]),
        light=_column(power.light[table.load]),
        shift_uv=_column(power.shift_uv[table.load]),
        lightness=_column(power.lightness[table.load]),
        universe=signal.universe.tolist(),
        slot=signal.slot.tolist(),
    )


def _flows(plan: Plan, edge: Ints) -> tuple[Floats, Floats]:
    mean = plan.power.mean
    idle = edge == NONE
    return (
        np.where(idle, 0.0, np.abs(mean.edge_plus_a[edge])) if len(edge) else np.zeros(0),
        np.where(idle, 0.0, np.abs(mean.edge_minus_a[edge])) if len(edge) else np.zeros(0),
    )


def cables(plan: Plan) -> Columns:
    """Return the table of cables; drop and loss are those of both conductors together."""
    build, table = plan.build, plan.build.cables
    plus, minus = _flows(plan, table.edge)
    return _columns(
        id=cable_ids(build),
        part=[build.parts[i] for i in table.part.tolist()],
        length=_column(table.length_m),
        resistance=_column(table.ohm),
        current=_column(np.maximum(plus, minus)),
        current_plus=_column(plus),
        current_minus=_column(minus),
        drop=_column((plus + minus) * table.ohm),
        loss=_column((plus**2 + minus**2) * table.ohm),
    )


def joints(plan: Plan) -> Columns:
    """Return the table of joints."""
    build, table = plan.build, plan.build.joints
    plus, minus = _flows(plan, table.edge)
    return _columns(
        id=joint_ids(build),
        part=[build.parts[i] for i in table.part.tolist()],
        current=_column(np.maximum(plus, minus)),
        drop=_column((plus + minus) * table.ohm),
        loss=_column((plus**2 + minus**2) * table.ohm),
    )


def fuses(plan: Plan) -> Columns:
    """Return the table of fuses."""
    build, table = plan.build, plan.build.fuses
    plus, _ = _flows(plan, table.edge)
    return _columns(
        id=fuse_ids(build),
        part=[build.part_name(i) for i in table.part.tolist()],
        rating=_column(table.rating_a),
        current=_column(plus),
        load_fraction=_column(plus / table.rating_a),
    )


def supplies(plan: Plan) -> Columns:
    """Return the table of supplies; power is that of the ideal source, before its own resistance."""
    build = plan.build
    current = plan.power.mean.supply_a
    power = current * build.network.supply_v
    return _columns(
        id=list(build.supplies),
        voltage=_column(build.network.supply_v),
        rating=_column(build.supply_rating_w),
        current=_column(current),
        power=_column(power),
        load_fraction=_column(power / build.supply_rating_w),
    )


def faults(plan: Plan) -> Columns:
    """Return the table of dead shorts; times are null where a fuse need not open."""
    build, table = plan.build, plan.faults
    fuse = table.entries.fuse[table.entry]
    names = np.array([*fuse_ids(build), "-"], dtype=object)  # NONE points at the last
    parts = np.array([*build.parts, "-"], dtype=object)
    return _columns(
        id=table.points.ids(build),
        supply=np.array(build.supplies, dtype=object)[table.supply].tolist(),
        fuse=names[fuse].tolist(),
        loop=_column(table.loop_ohm, 6),
        current=_column(table.current_a, 4),
        current_fuse=_column(table.fuse_a, 4),
        current_lasting=_column(table.lasting_a, 4),
        opens_after=_column(table.opens_after_s, 4),
        opens_within=_column(table.opens_within_s, 4),
        outcome=outcome_words(table),
        hottest=parts[table.cable].tolist(),
        temperature=_column(table.hottest_c, 1),
        smoulder_power=_column(table.smoulder_w, 2),
        smoulder_resistance=_column(table.smoulder_ohm, 4),
    )


def mains(plan: Plan) -> Columns:
    """Return the table of mains circuits."""
    made = plan.mains.circuits

    def column(value: Callable[[Circuit], float | None]) -> list[float | None]:
        return [None if v is None else _real(v) for v in map(value, made)]

    return _columns(
        id=[c.name for c in made],
        supplies=[list(c.supplies) for c in made],
        voltage=column(lambda c: c.voltage_v),
        breaker=column(lambda c: c.breaker_a),
        power=column(lambda c: c.power_w),
        current=column(lambda c: c.current_a),
        load_fraction=column(lambda c: c.load_fraction),
        leakage=column(lambda c: c.leakage_a),
        residual=column(lambda c: c.residual_a),
        inrush=column(lambda c: c.inrush_a),
        opens_at_once=column(lambda c: c.at_once_a),
        switch_on=[[" + ".join(g) for g in c.groups] for c in made],
        energy=column(lambda c: c.energy_kwh),
        price=column(lambda c: c.price),
    )


def class2(plan: Plan) -> Columns:
    """Return the table of supplies and circuits against the numbers of Class 2."""
    made = plan.class2
    return _columns(
        id=[one.id for one in made],
        what=[one.what for one in made],
        voltage=[_real(one.voltage_v) for one in made],
        power=[_real(one.power_w) for one in made],
        current=[_real(one.current_a) for one in made],
        most_power=[_real(one.most_w) for one in made],
        most_current=[_real(one.most_a) for one in made],
        within=[one.within for one in made],
        wet_contact=[one.wet for one in made],
        split=[one.split for one in made],
    )


def outputs(plan: Plan) -> Columns:
    """Return the table of outputs in use."""
    build, table = plan.build, plan.signal.outputs
    triples = zip(table.controller.tolist(), table.number.tolist(), strict=True)
    return _columns(
        id=[output_name(build, c, n) for c, n in triples],
        string=[build.strings.names[i] for i in table.string.tolist()],
        chain_nodes=table.chain_nodes.tolist(),
        cells=table.cells.tolist(),
        slots=table.slots.tolist(),
        frame_time=_column(table.frame_time_s),
        max_rate=_column(table.max_rate_hz),
        universes=[
            list(range(a, b + 1))
            for a, b in zip(table.first_universe.tolist(), table.last_universe.tolist(), strict=True)
        ],
    )


def findings(plan: Plan) -> Columns:
    """Return the table of findings."""
    return {
        key: [list(f.where) if key == "where" else getattr(f, key) for f in plan.findings]
        for key in ("code", "severity", "where", "message", "basis", "mend")
    }


def assumed(plan: Plan) -> Columns:
    """Return the table of defaults that the plan leans on."""
    taken = list(assumptions(plan.build.display))
    return {key: [getattr(one, key) for one in taken] for key in ("where", "value", "reason")}


def bill(plan: Plan) -> Columns:
    """Return the table of parts to buy."""
    return {f.name: [getattr(line, f.name) for line in plan.cost.bill.lines] for f in fields(Line)}


def work(plan: Plan) -> Columns:
    """Return the table of operations."""
    return {f.name: [getattr(one, f.name) for one in plan.cost.operations] for f in fields(Operation)}


def _cost(plan: Plan) -> Row:
    cost = plan.cost
    return {
        "currency": cost.bill.currency,
        "parts": cost.bill.total,
        "minutes": round(cost.minutes, 1),
        "work": cost.work,
        "unpriced": list(cost.bill.unpriced),
        "operations": list(rows(work(plan))),
    }


def joining(plan: Plan) -> Iterator[Row]:
    """Yield one row for each string with spans: both ways of joining it, the drop null where there is no steady state."""
    for both in plan.cost.joining:
        ways: Row = {}
        for way in (both.spliced, both.plugged):
            ways[way.how] = asdict(way) | {"drop": _real(way.drop_v)}
            del ways[way.how]["drop_v"]
        yield {"string": both.string, **ways}


def _solution(plan: Plan) -> Row:
    return {
        name: {
            "unsolved": len(point.unsolved),
            "steps": point.steps,
            "charge_error": _real(point.charge_error_a),
            "energy_error": _real(point.energy_error),
        }
        for name, point in (("mean", plan.power.mean), ("together", plan.power.together))
    }


def head(plan: Plan) -> Row:
    """Return the document's small parts: everything but the long tables."""
    build = plan.build
    return {
        "display": build.display.display,
        "strandwright": __version__,
        "counts": {
            "strings": len(build.strings.names),
            "props": len(build.props.string),
            "emitters": int(
                np.dot(
                    np.bincount(build.props.kind, minlength=len(build.kinds.names)),
                    build.kinds.nodes * build.kinds.emitters,
                )
            ),
            "nodes": len(build.nodes.prop),
            "cells": int(plan.signal.outputs.cells.sum()),
            "cables": len(build.cables.string),
            "joints": len(build.joints.string),
            "fuses": len(build.fuses.string),
        },
        "assumptions": list(rows(assumed(plan))),
        "findings": list(rows(findings(plan))),
        "kinds": kind_rows(plan),
        "levels": [level_row(row) for row in plan.levels],
        "supplies": list(rows(supplies(plan))),
        "outputs": list(rows(outputs(plan))),
        "fuses": list(rows(fuses(plan))),
        "mains": list(rows(mains(plan))),
        "class2": list(rows(class2(plan))),
        "bill": list(rows(bill(plan))),
        "cost": _cost(plan),
        "joining": list(joining(plan)),
        "solution": _solution(plan),
        "timings": {k: round(v, 6) for k, v in plan.timings.items()},
    }


def cuts(plan: Plan) -> Columns:
    """Return the cut list."""
    pieces = cut_list(plan.build)
    return _columns(
        id=pieces.id,
        use=pieces.use,
        part=pieces.part,
        length=_column(pieces.length_m),
        drip_loop=_column(pieces.drip_loop_m),
    )


def props(plan: Plan) -> Columns:
    """Return the table of props whose light or place is known.

    Their light is that of full white at the file's levels and the voltages that reach them.
    """
    build, lit, spots = plan.build, plan.lit, plan.placed.spots_m
    known = np.array([kind is not None for kind in plan.optics.kinds], dtype=bool)
    shown = np.isfinite(spots[:, 0]) | (known[build.props.kind] if len(known) else False)
    own = np.flatnonzero(shown)
    names = build.kinds.names
    return _columns(
        id=prop_ids(build, own),
        kind=[names[k] for k in build.props.kind[own].tolist()],
        x=_column(spots[own, 0], 6),
        y=_column(spots[own, 1], 6),
        z=_column(spots[own, 2], 6),
        flux_out=_column(lit.flux_out_lm[own]),
        mean_luminance=_column(lit.mean_cd_m2[own]),
        intensity=_column(lit.intensity_cd[own]),
    )


SHORT_TABLES: dict[str, Callable[[Plan], Columns]] = {
    "kinds": kinds,
    "holes": holes,
    "steps": steps,
    "bill": bill,
    "findings": findings,
    "supplies": supplies,
    "outputs": outputs,
    "fuses": fuses,
    "mains": mains,
    "class2": class2,
    "assumptions": assumed,
    "work": work,
}
LONG_TABLES: dict[str, Callable[[Plan], Columns]] = {
    "props": props,
    "nodes": nodes,
    "cables": cables,
    "joints": joints,
    "faults": faults,
    "cuts": cuts,
}


def document(plan: Plan) -> Row:
    """Return the whole plan as plain data for JSON."""
    return head(plan) | {name: list(rows(table(plan))) for name, table in LONG_TABLES.items()}


def write(plan: Plan, stream: IO[str]) -> None:
    """Write the document to a text stream, its long tables piece by piece."""
    text = json.dumps(head(plan), indent=1, ensure_ascii=False, allow_nan=False)
    stream.write(text[: text.rindex("}")].rstrip())
    for name, table in LONG_TABLES.items():
        stream.write(f',\n "{name}": [')
        columns = table(plan)
        count = len(columns["id"])
        template = "{" + ", ".join(f"{json.dumps(key)}: %s" for key in columns) + "}"
        for start in range(0, count, _CHUNK):
            encoded = [_encoded(values[start : start + _CHUNK]) for values in columns.values()]
            lines = ",\n  ".join(template % row for row in zip(*encoded, strict=True))
            stream.write(("\n  " if start == 0 else ",\n  ") + lines)
        stream.write("\n ]" if count else "]")
    stream.write("\n}\n")


def _encoded(values: list[Any]) -> list[str]:
    """Return the JSON text of each value of a column (texts, or finite numbers and None)."""
    if values and isinstance(values[0], str):
        return [encode_basestring(v) for v in values]
    return ["null" if v is None else repr(v) for v in values]
