"""The list of holes under a drill template: places, diameters with drills, thinnest webs, in the units of the reader."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hollowglow.draw.sheet.records import Record, Text
from hollowglow.quantity.inches import drill_in, inch_words
from hollowglow.quantity.numbers import signed
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import METRIC, US, Reader, Units
from hollowglow.quantity.sizes import INCH_M

ROW_MM = 4.2
LIST_MM = 2.4
_BOTH_MM = (0.0, 12.0, 50.0, 88.0, 136.0)
_ONE_MM = (0.0, 12.0, 60.0, 120.0)


@dataclass(frozen=True, slots=True)
class Listed:
    """A hole: its centre from the middle of the face (right, up), its diameter and its thinnest web, all in m.

    `beyond` is the hole (from 0) on the other side of that web, None where it is the edge of the face; `thin` where the web
    is thinner than it should be.
    """

    at_m: tuple[float, float]
    diameter_m: float
    web_m: float
    beyond: int | None
    thin: bool


Rows = Sequence[tuple[int, Listed]]
"""Holes with their numbers."""


def hole_lists(holes: Sequence[Listed], most: int) -> list[list[tuple[int, Listed]]]:
    """Return holes with their numbers from 1, cut into lists of at most `most`; one empty list where there is no hole."""
    numbered = list(enumerate(holes, 1))
    return [numbered[start : start + most] for start in range(0, max(len(numbered), 1), most)]


def list_height(rows: Rows) -> float:
    """Return the height of a list on the page, mm."""
    return ROW_MM * (len(rows) + 1) + 2.0


def hole_list(rows: Rows, left: float, top: float, units: Units) -> list[Record]:
    """Return a list of holes with its heads, from its top left corner on the page, mm."""
    diameter = "diameter" if units == "metric" else "diameter, nearest inch drill"
    inches = ("the same in inches",) if units == "both" else ()
    heads = ("hole", "right, up of the middle", *inches, diameter, "thinnest web")
    columns = _BOTH_MM if units == "both" else _ONE_MM
    y = top + 3.0
    records: list[Record] = [Text(left + at, y, word, LIST_MM, "tick") for at, word in zip(columns, heads, strict=True)]
    for number, hole in rows:
        y += ROW_MM
        *words, web = (str(number), *_places(hole, units), _diameter(hole, units), _web(hole, units))
        records += [Text(left + at, y, word, LIST_MM, "label") for at, word in zip(columns, words, strict=False)]
        records.append(Text(left + columns[-1], y, web, LIST_MM, "warn" if hole.thin else "label"))
    return records


def _places(hole: Listed, units: Units) -> tuple[str, ...]:
    """Return where a hole lies; in inches alone to a thousandth, since a hundredth is too coarse to drill by."""
    (x, y), digits = hole.at_m, 3 if units == "us" else 2
    metric = f"{signed(1e3 * x, 1)}, {signed(1e3 * y, 1)} mm"
    us = f"{signed(x / INCH_M, digits)}, {signed(y / INCH_M, digits)} in"
    return Reader(units).pick(metric, us)


def _diameter(hole: Listed, units: Units) -> str:
    if units == "metric":
        return tell(extent(hole.diameter_m), METRIC)
    drill = drill_in(hole.diameter_m)
    off_m = float(drill) * INCH_M - hole.diameter_m
    off = f"{signed(off_m / INCH_M, 3)} in" if units == "us" else f"{signed(1e3 * off_m, 2)} mm"
    size = tell(extent(hole.diameter_m), US if units == "us" else METRIC)
    return f"{size}, drill {inch_words(drill)} ({off})"


def _web(hole: Listed, units: Units) -> str:
    to = "the edge" if hole.beyond is None else f"hole {hole.beyond + 1}"
    if hole.web_m <= 0.0:
        return f"breaks into {to}"
    return f"{tell(extent(hole.web_m), Reader(units))} to {to}{', thin' if hole.thin else ''}"
