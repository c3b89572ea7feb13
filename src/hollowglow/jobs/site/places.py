"""The placing job: where everything is, lines and points taken over from other files, tables and pictures of it."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from pydantic_core import PydanticCustomError

from hollowglow.analysis.site.placement import Scaling, scaling_of
from hollowglow.analysis.site.placement.imports import MOST_BYTES, csv_points, svg_line
from hollowglow.assembly.ids import prop_ids
from hollowglow.file import load_text
from hollowglow.file.history import save
from hollowglow.file.model.site import SetOut
from hollowglow.file.store.files import read_text
from hollowglow.file.store.writing import shown, whole
from hollowglow.file.text.edit import Put, edited
from hollowglow.jobs.site.moves import line_value
from hollowglow.messages.refusal import Input, Refusal
from hollowglow.quantity import measures, units, written
from hollowglow.quantity.shown import cut, nearest_or_all, visible
from hollowglow.quantity.sizes import FOOT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hollowglow.plan import Plan, Progress

Row = dict[str, Any]
TOLERANCE_M = 0.01
BY_BACKDROP = "backdrop"


@dataclass(frozen=True)
class Placing:
    """What placing a display file came to.

    Attributes:
        plan: the whole plan, of the file with the edits carried out.
        edits: what was taken over from other files.
        text, edited: the two texts.
    """

    plan: Plan
    edits: tuple[Put, ...]
    text: str
    edited: str


def place_file(
    path: Path | str,
    lines: Sequence[str] = (),
    points: Sequence[str] = (),
    scale: str | None = None,
    progress: Progress = lambda _step: None,
) -> Placing:
    """Return where a display file has its props, with lines and points taken over from other files.

    Args:
        path: of the display file.
        lines: each "STRING=picture.svg" or "STRING=picture.svg#id".
        points: each "STRING=table.csv".
        scale: what one unit of an SVG picture measures, like "10 mm", or "backdrop" where it is drawn over the backdrop.
        progress: called with the name of each step as it begins.

    Raises:
        DisplayError: when the display file cannot be read, or would state something wrong with what is taken over.
        Refusal: when a picture or a table cannot be used.
    """
    path = Path(path)
    name = visible(str(path))
    progress("load")
    text = read_text(path)
    display = load_text(text, name)
    spoken = written.spoken(text)
    edits: list[Put] = []
    for told, option in ((lines, "line"), (points, "points")):
        for one in told:
            string, source = _split(one, option, list(display.strings))
            place = display.strings[string].place
            backdrop = display.place.backdrop
            if option == "line":
                if scale is None:
                    raise Refusal(
                        Input("line"),
                        " needs ",
                        Input("scale"),
                        ": what one unit of the picture measures, like 10 mm, or backdrop.",
                    )
                file, ident = _file_and_id(source)
                edits.append(line_edit(string, place, _text(file), visible(file), ident, scale, backdrop, spoken))
            else:
                edits.append(points_edit(string, _text(source), visible(source), backdrop, spoken))
    from hollowglow.plan import make_plan

    new = edited(text, edits, name) if edits else text
    made = load_text(new, name) if edits else display
    return Placing(make_plan(made, progress), tuple(edits), text, new)


def apply(made: Placing, path: Path | str) -> None:
    """Write what was taken over into the display file; raises Refusal where it cannot be written."""
    if made.edits:
        changed = ", ".join(dict.fromkeys(str(e.path[1]) for e in made.edits))
        save(Path(path), made.text, made.edited, made.edits, f"places of {changed}")


def _split(told: str, option: str, names: list[str]) -> tuple[str, str]:
    string, equals, source = told.partition("=")
    if not equals or not source or not string:
        example = "rail=yard.svg#rail" if option == "line" else "rail=places.csv"
        raise Refusal(f'found "{cut(told)}", expected STRING=FILE. Write ', Input(option, example), ".", field=option)
    if string not in names:
        hint = nearest_or_all(string, names, "strings")
        raise Refusal(f'found no string "{cut(string)}". {hint}'.rstrip(), field=option)
    return string, source


def _text(source: str) -> str:
    place = Path(source)
    try:
        if place.stat().st_size > MOST_BYTES:
            raise Refusal(
                f"{shown(place)}: found a file of more than {MOST_BYTES // 1_000_000} MB, expected a smaller one."
            )
        return place.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise Refusal(f"{shown(place)}: the file cannot be read ({error.strerror or error}). Check the name.") from None
    except UnicodeDecodeError:
        raise Refusal(
            f"{shown(place)}: found no text in UTF-8, expected a text file. Save it again as UTF-8."
        ) from None


def _file_and_id(source: str) -> tuple[str, str | None]:
    file, mark, name = source.rpartition("#")
    return (file, name) if mark and not Path(source).exists() else (source, None)


def line_edit(
    string: str,
    place: SetOut | None,
    text: str,
    file: str,
    ident: str | None,
    scale: str,
    backdrop: Any,
    units: written.Units = "metric",
) -> Put:
    """Return the edit that sets a string out along a path of an SVG picture.

    Args:
        string: its name.
        place: how it is set out so far.
        text: of the picture.
        file: its name in messages.
        ident: id of the path, None where there is one only.
        scale: what one unit of the picture measures, like "10 mm", or "backdrop".
        backdrop: of the display.
        units: that the line is written in.

    Raises:
        Refusal: when the picture or the scale cannot be used.
    """
    if scale == BY_BACKDROP:
        scaling = _scaling(backdrop)
        size = float(np.linalg.norm(scaling.places_m([[1.0, 0.0]])[0] - scaling.places_m([[0.0, 0.0]])[0]))
        drawn, _ = svg_line(text, file, ident, TOLERANCE_M / max(size, 1e-9) / 4.0)
        flat = scaling.places_m(drawn)
    else:
        unit_m = _scale(scale)
        drawn, corner = svg_line(text, file, ident, TOLERANCE_M / unit_m)
        flat = np.stack([drawn[:, 0] - corner[0], corner[1] - drawn[:, 1]], axis=1) * unit_m
    spots = np.column_stack([flat, np.zeros(len(flat))])
    return Put(("strings", string, "place"), line_value(spots, place, units))


def _scale(scale: str) -> float:
    try:
        return units.parse(scale, measures.LENGTH)
    except PydanticCustomError as error:
        raise Refusal(f"{error.message()}; or backdrop.", field="scale") from None


def _scaling(backdrop: Any) -> Scaling:
    if backdrop is None:
        raise Refusal("The file has no backdrop to measure by. State place.backdrop, or give metres or feet.")
    try:
        return scaling_of(backdrop)
    except ValueError as error:
        raise Refusal(f"place.backdrop: {error}.") from None


def points_edit(string: str, text: str, file: str, backdrop: Any, units: written.Units = "metric") -> Put:
    """Return the edit that puts each prop of a string at a point of a CSV table.

    Args:
        string: its name.
        text: of the table.
        file: its name in messages.
        backdrop: of the display, for points in its pixels.
        units: that the points are written in.

    Raises:
        Refusal: when the table cannot be used.
    """
    spots, pixels = csv_points(text, file, string)
    if pixels:
        spots = np.column_stack([_scaling(backdrop).places_m(spots[:, :2]), spots[:, 2]])
    return Put(("strings", string, "place"), {"points": [written.spot(s, units) for s in spots]})


def spot_rows(plan: Plan) -> list[Row]:
    """Return one row for each prop that has a place: metres and feet, rounded to a tenth of a millimetre."""
    assembly, spots = plan.assembly, plan.placed.spots_m
    own = np.flatnonzero(np.isfinite(spots[:, 0]))
    made = []
    for ident, row in zip(prop_ids(assembly, own), own.tolist(), strict=True):
        x, y, z = spots[row].tolist()
        made.append(
            {
                "id": ident,
                "string": assembly.strings.names[int(assembly.props.string[row])],
                "prop": int(assembly.props.number[row]),
                "kind": assembly.kinds.names[int(assembly.props.kind[row])],
                **{f"{axis}_m": round(v, 4) + 0.0 for axis, v in zip("xyz", (x, y, z), strict=True)},
                **{f"{axis}_ft": round(v / FOOT_M, 4) + 0.0 for axis, v in zip("xyz", (x, y, z), strict=True)},
            }
        )
    return made


def spots_csv(plan: Plan) -> str:
    """Return the places of all props as CSV; raises Refusal where no prop has a place."""
    found = spot_rows(plan)
    if not found:
        raise Refusal("No prop of this display has a place. Give a string place: {line: [[0 m, 2 m], [4 m, 2 m]]}.")
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(found[0])
    for row in found:
        # A spreadsheet takes a text that starts like a formula for one.
        writer.writerow(["'" + v if isinstance(v, str) and v[:1] in tuple("=+-@") else v for v in row.values()])
    return stream.getvalue()


def write_spots(plan: Plan, path: Path) -> None:
    """Write the places of all props as CSV; raises Refusal where it cannot be written, or no prop has a place."""
    text = spots_csv(plan)
    with whole(path) as stream:
        stream.write(text)


def place_document(plan: Plan) -> Row:
    """Return the places, the spacing of each string and what hangs, as plain data for JSON."""
    from hollowglow.view.rows.plan_tables import rows as table_rows

    placed, display = plan.placed, plan.assembly.display
    return {
        "display": display.display,
        "plane": display.place.plane,
        "props": spot_rows(plan),
        "spacing": [
            {
                "string": s.string,
                "pitch": round(s.pitch_m, 6),
                "least": round(s.least_m, 6),
                "most": round(s.most_m, 6),
                "size": round(s.size_m, 6),
                "gap_arcmin": round(s.gap_arcmin, 3),
                "line_from": round(s.line_from_m, 3),
                "line_pitch": round(s.line_pitch_m, 6),
            }
            for s in placed.spacings
        ],
        "hung": [
            {
                "string": h.string,
                "length": round(h.length_m, 6),
                "sags": np.round(h.sag_m, 6).tolist(),
                "weight": round(h.weight_n, 4),
                "pull": round(h.pull_n, 4),
                "hooks": np.round(h.hooks_n, 4).tolist(),
                "unknown": list(h.unknown),
            }
            for h in placed.hung
        ],
        "findings": list(table_rows(_findings(plan))),
    }


def _findings(plan: Plan) -> dict[str, list[Any]]:
    own = [f for f in plan.findings if f.code in ("cable-too-short", "hook-pull")]
    keys = ("code", "severity", "message", "basis", "mend")
    return {"where": [list(f.where) for f in own], **{key: [getattr(f, key) for f in own] for key in keys}}
