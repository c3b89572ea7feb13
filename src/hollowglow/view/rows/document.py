"""The plan as one JSON document: its tables row by row, so that a large one can be written as it is made."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import asdict, fields
from json.encoder import encode_basestring
from typing import IO, Any

import numpy as np

from hollowglow import __version__
from hollowglow.analysis.money.cost import BillLine, Operation
from hollowglow.file.reading.assumptions import assumptions
from hollowglow.messages.told import NO_WAYS
from hollowglow.plan import Plan
from hollowglow.quantity.numbers import plain
from hollowglow.view.rows.kind_table import holes, kind_rows, kinds, steps
from hollowglow.view.rows.level_rows import level_row
from hollowglow.view.rows.plan_tables import (
    DIGITS,
    Columns,
    Row,
    cables,
    class2,
    cuts,
    faults,
    fuses,
    joints,
    mains,
    nodes,
    outputs,
    props,
    rows,
    supplies,
)

_CHUNK = 20_000


def findings(plan: Plan, ways: Mapping[str, str] = NO_WAYS) -> Columns:
    """Return the table of findings; `ways` are how who reads does what a mend asks for."""
    return {
        "code": [f.code for f in plan.findings],
        "severity": [f.severity for f in plan.findings],
        "where": [list(f.where) for f in plan.findings],
        "message": [f.told() for f in plan.findings],
        "basis": [f.basis for f in plan.findings],
        "mend": [f.mend_told(ways=ways) for f in plan.findings],
    }


def assumed(plan: Plan) -> Columns:
    """Return the table of defaults that the plan leans on."""
    taken = list(assumptions(plan.assembly.display))
    return {key: [getattr(one, key) for one in taken] for key in ("where", "value", "reason")}


def bill(plan: Plan) -> Columns:
    """Return the table of parts to buy."""
    return {f.name: [getattr(line, f.name) for line in plan.cost.bill.lines] for f in fields(BillLine)}


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
            ways[way.how] = asdict(way) | {"drop": plain(way.drop_v, DIGITS)}
            del ways[way.how]["drop_v"]
        yield {"string": both.string, **ways}


def _solution(plan: Plan) -> Row:
    return {
        name: {
            "unsolved": len(point.unsolved),
            "steps": point.steps,
            "charge_error": plain(point.charge_error_a, DIGITS),
            "energy_error": plain(point.energy_error, DIGITS),
        }
        for name, point in (("mean", plan.power.mean), ("coincident", plan.power.coincident))
    }


def head(plan: Plan, ways: Mapping[str, str] = NO_WAYS) -> Row:
    """Return the document's small parts: everything but the long tables."""
    assembly = plan.assembly
    return {
        "display": assembly.display.display,
        "hollowglow": __version__,
        "counts": {
            "strings": len(assembly.strings.names),
            "props": len(assembly.props.string),
            "emitters": int(
                np.dot(
                    np.bincount(assembly.props.kind, minlength=len(assembly.kinds.names)),
                    assembly.kinds.nodes * assembly.kinds.emitters,
                )
            ),
            "nodes": len(assembly.nodes.prop),
            "cells": int(plan.signal.outputs.cells.sum()),
            "cables": len(assembly.cables.string),
            "joints": len(assembly.joints.string),
            "fuses": len(assembly.fuses.string),
        },
        "assumptions": list(rows(assumed(plan))),
        "findings": list(rows(findings(plan, ways))),
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


def document(plan: Plan, ways: Mapping[str, str] = NO_WAYS) -> Row:
    """Return the whole plan as plain data for JSON; `ways` are how who reads does what a mend asks for."""
    return head(plan, ways) | {name: list(rows(table(plan))) for name, table in LONG_TABLES.items()}


def write(plan: Plan, stream: IO[str], ways: Mapping[str, str] = NO_WAYS) -> None:
    """Write the document to a text stream, its long tables piece by piece."""
    text = json.dumps(head(plan, ways), indent=1, ensure_ascii=False, allow_nan=False)
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
