"""Lines and points drawn elsewhere: a path of an SVG picture flattened, points from a CSV table."""

from __future__ import annotations

import csv
import io
import math
import re
import warnings
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic_core import PydanticCustomError

from hollowglow.messages.refusal import Refusal
from hollowglow.quantity import measures, units
from hollowglow.quantity.shown import cut, nearest_or_all
from hollowglow.quantity.sizes import FOOT_M

Array = NDArray[np.float64]

MOST_BYTES = 20_000_000
_MOST_POINTS = 100_000
_DEEPEST = 12
_AXES = ("x", "y", "z")


def svg_line(text: str, file: str, name: str | None, tolerance: float) -> tuple[Array, tuple[float, float]]:
    """Return a path of an SVG picture as straight pieces, and the picture's bottom left corner, in its own units.

    Args:
        text: of the picture.
        file: its name in messages.
        name: id of the path; may be left out where there is only one.
        tolerance: how far a piece may stray from a curve, in the picture's units, above 0.

    Returns:
        Points, y downwards, shape (n, 2), transforms carried out; and x and y of the corner.

    Raises:
        Refusal: when it is no SVG picture, or has no such path, or the path is in several pieces.
    """
    if re.search(r"<!ENTITY", text, re.IGNORECASE):
        raise Refusal(f"{file}: found entities of its own, expected a plain SVG picture. Save it again as plain SVG.")
    from svgpathtools import Document

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what it says of odd transforms is no help to a person
            document: Any = Document(io.StringIO(text))
            paths = [path for path in document.paths() if len(path)]
            root = document.root
    except Exception as error:  # unrelated types for broken XML, odd numbers and cut path data
        told = cut(" ".join(str(error).split()), 80)
        raise Refusal(f"{file}: found no SVG picture that can be read ({told}). Save it again as plain SVG.") from None
    ids = [path.element.get("id") or "" for path in paths]
    if not paths:
        raise Refusal(f"{file}: found no path, expected a line drawn in the picture. Draw one, not text or an image.")
    if name is None and len(paths) > 1:
        listed = nearest_or_all("", [i for i in ids if i], "paths")
        raise Refusal(
            f"{file}: found {len(paths)} paths, expected the id of one as in picture.svg#id. {listed}".rstrip()
        )
    if name is not None and name not in ids:
        listed = nearest_or_all(name, [i for i in ids if i], "paths")
        raise Refusal(f'{file}: found no path "{cut(name)}", expected the id of a path. {listed}'.rstrip())
    path = paths[0 if name is None else ids.index(name)]
    points: list[complex] = [path[0].start]
    for segment in path:
        if abs(segment.start - points[-1]) > tolerance:
            raise Refusal(f"{file}: found a path in several pieces, expected one line. Split it, and name one piece.")
        points += _flat(segment, tolerance)
        if len(points) > _MOST_POINTS:
            raise Refusal(f"{file}: found a path of more than {_MOST_POINTS:,} pieces, expected a simpler one.")
    found = np.array([(p.real, p.imag) for p in points])
    keep = np.concatenate([[True], np.any(np.diff(found, axis=0) != 0.0, axis=1)])
    if not np.isfinite(found).all() or keep.sum() < 2:
        raise Refusal(f"{file}: found a path without length, expected a line.")
    return found[keep], _corner(root)


def _flat(segment: Any, tolerance: float) -> list[complex]:
    """Return the points that follow a segment's start, halved until pieces are within a tolerance of the curve."""
    if type(segment).__name__ == "Line":
        return [segment.end]

    def halved(a: float, b: float, start: complex, end: complex, depth: int) -> list[complex]:
        inside = [segment.point(a + (b - a) * share) for share in (0.25, 0.5, 0.75)]
        if depth >= _DEEPEST or (depth > 0 and max(_off(p, start, end) for p in inside) <= tolerance):
            return [end]
        middle = (a + b) / 2.0
        return [*halved(a, middle, start, inside[1], depth + 1), *halved(middle, b, inside[1], end, depth + 1)]

    return halved(0.0, 1.0, segment.start, segment.end, 0)


def _off(point: complex, start: complex, end: complex) -> float:
    along = end - start
    length = abs(along)
    if length == 0.0:
        return abs(point - start)
    return abs(((point - start) * along.conjugate()).imag) / length


def _corner(root: Any) -> tuple[float, float]:
    box = [float(v) for v in re.findall(r"-?[\d.]+(?:[eE][+-]?\d+)?", root.get("viewBox") or "")]
    if len(box) == 4:
        return box[0], box[1] + box[3]
    height = re.match(r"\s*([\d.]+)\s*(?:px)?\s*$", root.get("height") or "")
    return 0.0, float(height.group(1)) if height else 0.0


def csv_points(text: str, file: str, string: str) -> tuple[Array, bool]:
    """Return the points of a string from a CSV table, one row a prop, in the order of its column `prop` if it has one.

    Columns are `x_m`, `y_m`, `z_m` in metres, or `x_ft` and so on in feet, or `x`, `y`, `z` with a unit in every cell,
    or `x_px`, `y_px` in pixels of the backdrop; z may be left out. Where there is a column `string`, only its rows count.

    Returns:
        Points, m (or pixels), shape (n, 3), and whether they are pixels.

    Raises:
        Refusal: when a column is missing, or a cell is no number; it says which row.
    """
    rows = list(csv.reader(io.StringIO(text)))
    head = [cell.strip().lower().lstrip("\ufeff") for cell in rows[0]] if rows else []
    unit = next((u for u in ("_m", "_ft", "_px", "") if f"x{u}" in head and f"y{u}" in head), None)
    if unit is None:
        raise Refusal(f"{file}: found no columns x_m and y_m (or x_ft and y_ft), expected one row a prop with both.")
    columns = {axis: head.index(axis + unit) for axis in _AXES if axis + unit in head}
    mine, order = (head.index(name) if name in head else None for name in ("string", "prop"))
    found: list[tuple[float, list[float]]] = []
    for number, row in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in row) or (mine is not None and _cell(row, mine) != string):
            continue
        rank = float(len(found))
        if order is not None:
            rank = _number(_cell(row, order), f"{file}, row {number}, prop", "a number")
        spot = [0.0, 0.0, 0.0]
        for axis, column in columns.items():
            where = f"{file}, row {number}, {axis}{unit}"
            spot[_AXES.index(axis)] = _length(_cell(row, column), where, unit)
        found.append((rank, spot))
    if not found:
        raise Refusal(f'{file}: found no row for string "{cut(string)}", expected one for each of its props.')
    return np.array([spot for _, spot in sorted(found, key=lambda one: one[0])]), unit == "_px"


def _cell(row: Sequence[str], column: int) -> str:
    return row[column].strip().removeprefix("'") if column < len(row) else ""


def _length(cell: str, where: str, unit: str) -> float:
    if unit == "":
        try:
            return units.parse(cell, measures.SPOT)
        except PydanticCustomError as error:
            raise Refusal(f"{where}: {error.message()}.") from None
    number = _number(cell, where, {"_m": "metres", "_ft": "feet", "_px": "pixels"}[unit])
    return number * (FOOT_M if unit == "_ft" else 1.0)


def _number(cell: str, where: str, what: str) -> float:
    try:
        number = float(cell)
    except ValueError:
        number = math.nan
    if not math.isfinite(number) or abs(number) > 1e6:
        raise Refusal(f'{where}: found "{cut(cell)}", expected {what} like 2.4.')
    return number
