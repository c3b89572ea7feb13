"""What to cut for one string, equal pieces together with the label of each, and what comes ready made."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.money.cost import CutList
from hollowglow.assembly.ids import cable_ids
from hollowglow.assembly.tables import CableSort
from hollowglow.book.page_data import BookSource, Row

HUNG = ("lead", "span", "feed")


def runs(source: BookSource, pieces: CutList, own: range) -> Iterator[Row]:
    """Yield every piece that hangs between things, one by one, with its label."""
    say = source.measures
    for i in own:
        if pieces.use[i] in HUNG:
            loop = float(pieces.drip_loop_m[i])
            yield {
                "id": pieces.id[i],
                "use": pieces.use[i],
                "part": pieces.part[i],
                "length": say.run(float(pieces.length_m[i])),
                "loop": say.run(loop) if loop else "-",
            }


def together(rows: list[Row]) -> list[Row]:
    """Return the rows of `runs` that are cut alike as one, with the labels of all of them."""
    groups: dict[tuple[str, ...], list[str]] = {}
    keys = ("use", "part", "length", "loop")
    for row in rows:
        groups.setdefault(tuple(row[key] for key in keys), []).append(row["id"])
    return [dict(zip(keys, key, strict=True)) | {"count": f"{len(ids):,}", "ids": ids} for key, ids in groups.items()]


def inner(source: BookSource, pieces: CutList, own: range) -> Iterator[Row]:
    """Yield the pieces inside props, equal ones as one row, with the labels of the first and the last of them."""
    groups: dict[tuple[str, str, float], list[str]] = {}
    for i in own:
        if pieces.use[i] not in HUNG:
            groups.setdefault((pieces.use[i], pieces.part[i], round(float(pieces.length_m[i]), 6)), []).append(
                pieces.id[i]
            )
    for (use, part, length), ids in groups.items():
        yield {
            "use": use,
            "part": part,
            "length": source.measures.run(length),
            "count": f"{len(ids):,}",
            "ids": _from_to(ids),
        }


def ready(source: BookSource, row: int) -> Row | None:
    """Return the extensions that join the props of a string, None where its spans are cut."""
    assembly = source.plan.assembly
    span = assembly.display.strings[assembly.strings.names[row]].span
    table = assembly.cables
    rows = np.flatnonzero((table.string == row) & (table.sort == CableSort.SPAN))
    if span is None or span.extension is None or not len(rows):
        return None
    return {
        "part": span.extension,
        "count": f"{len(rows):,}",
        "length": source.measures.run(float(table.length_m[rows[0]])),
        "ids": _from_to(cable_ids(assembly, rows)),
    }


def _from_to(ids: list[str]) -> str:
    return ids[0] if len(ids) == 1 else f"{ids[0]} to {ids[-1]}"
