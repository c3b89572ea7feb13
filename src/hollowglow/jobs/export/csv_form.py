"""CSV tables: those of the plan, and what is kept for the season."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from hollowglow.analysis.circuit import commission
from hollowglow.analysis.money import spares
from hollowglow.analysis.site import packing
from hollowglow.assembly.ids import prop_ids
from hollowglow.file.reading.assumptions import keeping_assumptions
from hollowglow.file.store.writing import whole
from hollowglow.jobs.export import tables as export
from hollowglow.plan import Plan
from hollowglow.view.open_forms import positions

Table = tuple[str, tuple[str, ...], list[tuple[Any, ...]]]


def keeping_tables(plan: Plan) -> Iterator[Table]:
    """Yield (name, columns, rows) of what is kept: spares, hanging order with boxes, places, what a meter should read."""
    assembly = plan.assembly
    kept = spares.analyse(assembly, plan.cost.bill)
    yield (
        "spares",
        ("part", "fitted", "failures", "basis", "expected", "spares", "quantity", "unit", "chance", "total"),
        [
            (
                r.part,
                r.fitted,
                r.failures,
                r.basis,
                round(r.expected, 6),
                r.spares,
                r.quantity,
                r.unit,
                round(r.chance, 6),
                r.total,
            )
            for r in kept.rows
        ],
    )
    taken = [(one.where, one.value, one.reason) for one in keeping_assumptions(assembly.display)]
    yield "keeping-assumptions", ("where", "value", "reason"), taken
    packed = packing.analyse(assembly.display.packing, packing.things(assembly, mass_of_kinds(plan)))
    yield (
        "hanging",
        ("hang", "id", "what", "joined_to_next", "box", "layer_from_top", "pack", "fits"),
        [
            (
                one.hang,
                one.thing.id,
                one.thing.what,
                one.thing.joined,
                packed.box_id(one.box),
                one.layer,
                one.pack,
                one.fits,
            )
            for one in packed.things
        ],
    )
    known = np.isfinite(plan.placed.spots_m[:, 0]).tolist()
    spots = zip(prop_ids(assembly), positions(plan).tolist(), known, strict=True)
    yield (
        "positions",
        ("id", "across", "away", "up", "place"),
        [(name, *(round(v, 4) for v in at), "stated" if here else "along a line") for name, at, here in spots],
    )
    made = commission.analyse(assembly)
    yield (
        "commissioning",
        ("id", "where", "reach", "off", "off_low", "off_high", "white", "white_low", "white_high", "current"),
        [
            (
                r.spot.id,
                r.spot.where,
                r.spot.reach,
                *(
                    round(v, 3) if math.isfinite(v) else None
                    for v in (
                        r.off_v,
                        r.off_low_v,
                        r.off_high_v,
                        r.white_v,
                        r.white_low_v,
                        r.white_high_v,
                        r.current_a,
                    )
                ),
            )
            for r in made.readings
        ],
    )


def mass_of_kinds(plan: Plan) -> dict[str, float]:
    """Return what is known of the mass of one prop of each kind, kg, by name."""
    return {made.name: made.weight.after_kg for made in plan.making.kinds}


def write(plan: Plan, place: Path) -> Iterator[Path]:
    """Write every table and yield the files."""
    yield from export.write_csv(plan, place)
    for name, columns, rows in keeping_tables(plan):
        target = place / f"{name}.csv"
        with whole(target) as stream:
            writer = csv.writer(stream, lineterminator="\r\n")
            writer.writerow(columns)
            writer.writerows([export.cell(value) for value in row] for row in rows)
        yield target
