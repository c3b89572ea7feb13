"""A plan written out: JSON, tables as CSV, pictures as SVG."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from strandwright.build.ids import prop_id
from strandwright.jobs import document
from strandwright.jobs.files import folder, whole
from strandwright.plan import Plan

Row = dict[str, Any]


def addresses(plan: Plan) -> Iterator[Row]:
    """Yield the address table: one row for each cell, with the nodes that show it."""
    build, signal = plan.build, plan.signal
    nodes, props = build.nodes, build.props
    string = props.string[nodes.prop]
    first = np.flatnonzero((np.diff(string, prepend=-1) != 0) | (np.diff(nodes.cell, prepend=0) != 0))
    last = np.append(first[1:], len(string)) - 1
    for a, b in zip(first.tolist(), last.tolist(), strict=True):
        row = int(string[a])
        name = build.strings.names[row]
        kind = int(props.kind[nodes.prop[a]])
        slot, colours = int(signal.slot[a]), int(build.kinds.colours[kind])
        yield {
            "output": f"{build.controllers[int(build.strings.controller[row])]}/{int(build.strings.output[row])}",
            "string": name,
            "prop": prop_id(name, int(props.number[nodes.prop[a]])),
            "kind": build.kinds.names[kind],
            "cell": int(nodes.cell[a]),
            "first_node": int(signal.chain[a]),
            "last_node": int(signal.chain[b]),
            "universe": int(signal.universe[a]),
            "first_slot": slot,
            "last_slot": slot + colours - 1,
        }


def tables(plan: Plan) -> Iterator[tuple[str, Iterable[Row]]]:
    """Yield (file stem, rows) of every table."""
    yield "addresses", addresses(plan)
    head = document.head(plan)
    for name in ("bill", "findings", "supplies", "outputs", "fuses", "assumptions"):
        yield name, head[name]
    yield "work", head["cost"]["operations"]
    for name, table in document.LONG_TABLES.items():
        yield name, document.rows(table(plan))


def write_json(plan: Plan, path: Path) -> None:
    """Write the plan's JSON document; raises UseError where it cannot be written."""
    with whole(path) as stream:
        document.write(plan, stream)


def write_csv(plan: Plan, place: Path) -> list[Path]:
    """Write every table as CSV into a folder and return the files' paths; raises UseError where that fails."""
    folder(place)
    written = []
    for name, rows in tables(plan):
        target = place / f"{name}.csv"
        with whole(target) as stream:
            _write_rows(csv.writer(stream, lineterminator="\r\n"), rows)
        written.append(target)
    return written


def _write_rows(writer: Any, rows: Iterable[Row]) -> None:
    columns: list[str] = []
    for row in rows:
        if not columns:
            columns = list(row)
            writer.writerow(columns)
        writer.writerow([_cell(row[c]) for c in columns])


def _cell(value: Any) -> Any:
    if isinstance(value, (list, tuple)):
        value = "; ".join(str(v) for v in value)
    # A spreadsheet takes a text that starts like a formula for one; a dash alone is no formula.
    if isinstance(value, str) and value != "-" and value[:1] in tuple("=+-@\t\r"):
        return "'" + value
    return "" if value is None else value


def write_svg(plan: Plan, place: Path) -> list[Path]:
    """Write every picture as SVG into a folder and return the files' paths; raises UseError where that fails."""
    from strandwright.draw import to_svg
    from strandwright.jobs.pictures import pictures

    folder(place)
    written: list[Path] = []
    taken: set[str] = set()
    for name, drawing in pictures(plan):
        target = place / f"{_file_stem(name, taken)}.svg"
        with whole(target) as stream:
            stream.write(to_svg(drawing))
        written.append(target)
    return written


def _file_stem(name: str, taken: set[str]) -> str:
    """Return a name that every file system takes, apart from those taken already also where case does not count."""
    stem = plain = re.sub(r"[^\w.-]+", "-", name)
    count = 1
    while stem.casefold() in taken:
        count += 1
        stem = f"{plain}-{count}"
    taken.add(stem.casefold())
    return stem
