"""A plan written out: JSON, tables as CSV, pictures as SVG."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain
from pathlib import Path
from typing import Any

import numpy as np

from hollowglow.assembly.ids import prop_id
from hollowglow.file.store.writing import file_stem, folder, whole
from hollowglow.messages.told import NO_WAYS
from hollowglow.plan import Plan
from hollowglow.view.rows import document
from hollowglow.view.rows.plan_tables import rows

Row = dict[str, Any]
ADDRESS_COLUMNS = (
    "output",
    "string",
    "prop",
    "kind",
    "cell",
    "first_node",
    "last_node",
    "universe",
    "first_slot",
    "last_slot",
)


def addresses(plan: Plan, string: str | None = None) -> Iterator[Row]:
    """Yield the address table: one row for each cell, with the nodes that show it.

    Args:
        plan: whose cells they are.
        string: name of the only string to tell of; None: all of them.
    """
    assembly, signal = plan.assembly, plan.signal
    nodes, props = assembly.nodes, assembly.props
    row_of = props.string[nodes.prop]
    first = np.flatnonzero((np.diff(row_of, prepend=-1) != 0) | (np.diff(nodes.cell, prepend=0) != 0))
    last = np.append(first[1:], len(row_of))[: len(first)] - 1
    for a, b in zip(first.tolist(), last.tolist(), strict=True):
        row = int(row_of[a])
        name = assembly.strings.names[row]
        if string is not None and name != string:
            continue
        kind = int(props.kind[nodes.prop[a]])
        slot, colours = int(signal.slot[a]), int(assembly.kinds.colours[kind])
        values = (
            f"{assembly.controllers[int(assembly.strings.controller[row])]}/{int(assembly.strings.output[row])}",
            name,
            prop_id(name, int(props.number[nodes.prop[a]])),
            assembly.kinds.names[kind],
            int(nodes.cell[a]),
            int(signal.chain[a]),
            int(signal.chain[b]),
            int(signal.universe[a]),
            slot,
            slot + colours - 1,
        )
        yield dict(zip(ADDRESS_COLUMNS, values, strict=True))


def tables(plan: Plan) -> Iterator[tuple[str, Sequence[str], Iterable[Row]]]:
    """Yield (file stem, column names, rows) of every table; one without rows has its columns all the same."""
    yield "addresses", ADDRESS_COLUMNS, addresses(plan)
    for name, table in (document.SHORT_TABLES | document.LONG_TABLES).items():
        columns = table(plan)
        yield name, tuple(columns), rows(columns)


def write_json(plan: Plan, path: Path, ways: Mapping[str, str] = NO_WAYS) -> None:
    """Write the plan's JSON document, its mends as `ways` has them; raises Refusal where it cannot be written."""
    with whole(path) as stream:
        document.write(plan, stream, ways)


def write_csv(plan: Plan, place: Path) -> list[Path]:
    """Write every table as CSV into a folder and return the files' paths; raises Refusal where that fails."""
    folder(place)
    written = []
    for name, columns, lines in tables(plan):
        target = place / f"{name}.csv"
        with whole(target) as stream:
            _write_rows(csv.writer(stream, lineterminator="\r\n"), columns, lines)
        written.append(target)
    return written


def addresses_csv(plan: Plan, string: str | None = None) -> str:
    """Return the address table as CSV, of one string or of all of them."""
    text = io.StringIO(newline="")
    _write_rows(csv.writer(text, lineterminator="\r\n"), ADDRESS_COLUMNS, addresses(plan, string))
    return text.getvalue()


def _write_rows(writer: Any, columns: Sequence[str], lines: Iterable[Row]) -> None:
    writer.writerow(columns)
    for row in lines:
        writer.writerow([cell(row[c]) for c in columns])


def cell(value: Any) -> Any:
    """Return a value as a CSV file holds it: lists joined, nothing that a spreadsheet takes for a formula."""
    if isinstance(value, (list, tuple)):
        value = "; ".join(str(v) for v in value)
    # A spreadsheet takes a text that starts like a formula for one; a dash alone is no formula.
    if isinstance(value, str) and value != "-" and value[:1] in tuple("=+-@\t\r"):
        return "'" + value
    return "" if value is None else value


def write_svg(plan: Plan, place: Path, beside: Path | None = None) -> list[Path]:
    """Write every picture as SVG into a folder.

    Args:
        plan: of the display.
        place: the folder, made if it is not there.
        beside: where the display file is, for its backdrop; left out without it.

    Returns:
        The files' paths.

    Raises:
        Refusal: where that fails.
    """
    from hollowglow.draw.sheet.svg import to_svg
    from hollowglow.view.pictures.circuit import pictures
    from hollowglow.view.pictures.kinds import pictures_of_kinds
    from hollowglow.view.pictures.yard import pictures_of_yard

    folder(place)
    written: list[Path] = []
    taken: set[str] = set()
    for name, drawing in chain(pictures_of_yard(plan, beside), pictures(plan), pictures_of_kinds(plan)):
        target = place / f"{file_stem(name, taken)}.svg"
        with whole(target) as stream:
            stream.write(to_svg(drawing))
        written.append(target)
    return written
