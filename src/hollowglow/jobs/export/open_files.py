"""A plan written into a folder in open forms: CSV, SVG, DXF, IES, GDTF, MVR."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from hollowglow.analysis.circuit import commission
from hollowglow.analysis.money import spares
from hollowglow.analysis.prop.making import HoleMark, KindMaking, girth_m
from hollowglow.analysis.prop.making.marks import marks
from hollowglow.analysis.site import packing
from hollowglow.assembly.ids import prop_ids
from hollowglow.draw.forms import face_dxf, gdtf_file, ies_text, mvr_file, strip_dxf
from hollowglow.draw.prop.strip import Strip, StripMark, wrap_strip
from hollowglow.draw.prop.template import drill_template
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.file.reading.assumptions import keeping_assumptions
from hollowglow.file.store.writing import file_stem, folder, whole, whole_bytes
from hollowglow.jobs.export import tables as export
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan, Progress, silent
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import Reader, Units
from hollowglow.view.open_forms import faces_of, fixture_kinds, fixtures, photometry_of, positions, strip_of
from hollowglow.view.pictures.end_templates import end_faces, end_templates
from hollowglow.view.pictures.kinds import templates_of
from hollowglow.view.pictures.yard import positions_drawing

FORMS = ("csv", "svg", "dxf", "ies", "gdtf", "mvr")
Table = tuple[str, tuple[str, ...], list[tuple[Any, ...]]]


def read_forms(text: str | None) -> tuple[str, ...]:
    """Return which forms a text like "gdtf,mvr" names, all of them for None; raises Refusal for others."""
    if text is None:
        return FORMS
    asked = [word.strip().lower() for word in text.split(",") if word.strip()]
    wrong = next((word for word in asked if word not in FORMS), None)
    if wrong is not None or not asked:
        found = f'"{wrong}"' if wrong is not None else "nothing"
        raise Refusal(f"found {found}, expected some of {', '.join(FORMS)} with commas between.", field="forms")
    return tuple(form for form in FORMS if form in asked)


def write_forms(plan: Plan, place: Path, forms: tuple[str, ...] = FORMS, progress: Progress = silent) -> list[Path]:
    """Write a plan in some forms into a folder and return the files' paths; raises Refusal where that fails.

    Args:
        plan: of the display.
        place: the folder, made where it is missing.
        forms: of FORMS.
        progress: called with the name of each form as it begins.
    """
    folder(place)
    writers: dict[str, Callable[[Plan, Path], Iterator[Path]]] = {
        "csv": _csv,
        "svg": _svg,
        "dxf": _dxf,
        "ies": _ies,
        "gdtf": _gdtf,
        "mvr": _mvr,
    }
    written: list[Path] = []
    for form in forms:
        progress(form)
        written += writers[form](plan, place)
    return written


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


def _csv(plan: Plan, place: Path) -> Iterator[Path]:
    yield from export.write_csv(plan, place)
    for name, columns, rows in keeping_tables(plan):
        target = place / f"{name}.csv"
        with whole(target) as stream:
            writer = csv.writer(stream, lineterminator="\r\n")
            writer.writerow(columns)
            writer.writerows([export.cell(value) for value in row] for row in rows)
        yield target


def wrap_strips(made: KindMaking, units: Units = "both") -> Iterator[Drawing]:
    """Yield the sheets of the strip that is wrapped round a kind's shell, nothing where it has no holes to mark.

    Lengths are told in `units`.
    """
    found = list(marks(made))
    if made.frame is None or not found:
        return
    middle = made.frame.widest_height_m
    table = [_mark_words(mark, units) for mark in found]
    on_it = tuple(StripMark(m.what, m.angle_deg, m.height_m - middle, m.diameter_m) for m in found if m.radius_m > 1e-9)
    yield from wrap_strip(Strip(f"{made.name}: holes of the shell", girth_m(made.frame), on_it, tuple(table), units))


def _mark_words(mark: HoleMark, units: Units) -> str:
    turn = "on the axis" if mark.radius_m < 1e-6 else f"{mark.angle_deg:.1f}°"
    hole = "" if mark.diameter_m is None else f", hole {tell(extent(mark.diameter_m), Reader(units))}"
    way = f"{tell(extent(mark.along_m), Reader(units))} along the wall from the middle of the base"
    return f"{mark.what}: {turn}, {tell(extent(mark.height_m), Reader(units))} above the base, {way}{hole}"


def _svg(plan: Plan, place: Path) -> Iterator[Path]:
    taken: set[str] = set()
    for row, made in enumerate(plan.making.kinds):
        sheets = [(f"template-{made.name}-{face}", sheet) for face, sheet in templates_of(plan, row)]
        for end, template in end_templates(made):
            drawn = drill_template(template)
            stem = f"template-{made.name}-shell-{end}"
            sheets += [(stem if len(drawn) == 1 else f"{stem}-{k}", sheet) for k, sheet in enumerate(drawn, 1)]
        strips = list(wrap_strips(made))
        sheets += [(f"strip-{made.name}" + (f"-{k}" if len(strips) > 1 else ""), s) for k, s in enumerate(strips, 1)]
        for name, drawing in sheets:
            yield _text(place, f"{file_stem(name, taken)}.svg", to_svg(drawing))
    if len(plan.assembly.props.kind):
        yield _text(place, f"{file_stem('positions', taken)}.svg", to_svg(positions_drawing(plan)))


def _dxf(plan: Plan, place: Path) -> Iterator[Path]:
    taken: set[str] = set()
    for made in plan.making.kinds:
        for name, face in (*faces_of(made), *end_faces(made)):
            yield _text(place, f"{file_stem(f'template-{made.name}-{name}', taken)}.dxf", face_dxf(face))
        strip = strip_of(made)
        if strip is not None:
            yield _text(place, f"{file_stem(f'strip-{made.name}', taken)}.dxf", strip_dxf(strip))


def _ies(plan: Plan, place: Path) -> Iterator[Path]:
    taken: set[str] = set()
    for row, name in enumerate(plan.assembly.kinds.names):
        made = photometry_of(plan, row)
        if made is not None:
            yield _text(place, f"{file_stem(name, taken)}.ies", ies_text(made))


def _text(place: Path, name: str, text: str) -> Path:
    with whole(place / name) as stream:
        stream.write(text)
    return place / name


def _gdtf(plan: Plan, place: Path) -> Iterator[Path]:
    for kind in fixture_kinds(plan):
        if kind is not None:
            with whole_bytes(place / kind.file_name) as stream:
                stream.write(gdtf_file(kind))
            yield place / kind.file_name


def _mvr(plan: Plan, place: Path) -> Iterator[Path]:
    kinds = fixture_kinds(plan)
    files = {kind.file_name: gdtf_file(kind) for kind in kinds if kind is not None}
    target = place / f"{file_stem(plan.assembly.display.display, set())[:60]}.mvr"
    with whole_bytes(target) as stream:
        stream.write(mvr_file(plan.assembly.display.display, list(fixtures(plan, kinds)), files))
    yield target
