"""A strip that is wrapped round a shell to mark its holes by angle, at true size, in pieces that a page holds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.draw.sheet.layout import fit_text
from hollowglow.draw.sheet.records import Anchor, Circle, Drawing, Line, Record, Rect, Text
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import Reader, Units
from hollowglow.quantity.sizes import INCH_MM

PAGE_MM = (190.0, 240.0)
EDGE_MM = 5.0
PIECE_MM = 165.0
GLUE_MM = 10.0
HEAD_MM = 24.0
BAR_MM = 100.0
_WORD_MM = 2.4
_LOUD = "TRUE SIZE: print at 100 %, not fitted to the page, then measure the bar at the foot before you mark"
_BAND_MM = 24.0
_STEP_DEG = 5


@dataclass(frozen=True, slots=True)
class StripMark:
    """A hole on the strip: what it is, its angle, how far above (+) or below its line, and its diameter, m."""

    what: str
    angle_deg: float
    up_m: float
    diameter_m: float | None


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip: title, length once round the shell, its marks, and lines for the table of angles and heights.

    `units` are those of its words.
    """

    title: str
    girth_m: float
    marks: tuple[StripMark, ...]
    table: tuple[str, ...] = ()
    units: Units = "both"


def wrap_strip(strip: Strip) -> Iterator[Drawing]:
    """Yield the sheets of a strip: pieces to be glued end to end at their angles, then the table."""
    girth = 1e3 * strip.girth_m
    pieces = max(1, math.ceil(girth / PIECE_MM))
    row_mm = _BAND_MM + 10.0
    table_mm = 4.2 * (len(strip.table) + 1) if strip.table else 0.0
    room = PAGE_MM[1] - HEAD_MM - 18.0
    rows_per_page = max(1, int(room / row_mm))
    pages = [range(k, min(k + rows_per_page, pieces)) for k in range(0, pieces, rows_per_page)]
    own_page = len(pages[-1]) * row_mm + table_mm > room and bool(strip.table)
    total = len(pages) + own_page
    for number, page in enumerate(pages, 1):
        records = _head(strip, number, total)
        y = HEAD_MM
        for piece in page:
            records += _piece(strip, girth, piece, pieces, y)
            y += row_mm
        if number == len(pages) and not own_page:
            records += _table(strip, y)
            y += table_mm
        yield _sheet(strip, records, y, number, total)
    if own_page:
        yield _sheet(strip, _head(strip, total, total) + _table(strip, HEAD_MM), HEAD_MM + table_mm, total, total)


def _sheet(strip: Strip, records: list[Record], y: float, number: int, total: int) -> Drawing:
    x, long = EDGE_MM, 4.0 * INCH_MM if strip.units == "us" else BAR_MM
    bar: list[Record] = [Line(x, y + 6.0, x + long, y + 6.0, "edge")]
    bar += [Line(x + k, y + 4.0, x + k, y + 8.0, "edge") for k in (0.0, long / 2.0, long)]
    told = {"metric": "100 mm", "us": "4 in", "both": "100 mm / 3.94 in"}[strip.units]
    bar.append(Text(x + long + 2.0, y + 7.0, told, _WORD_MM, "label"))
    girth = tell(extent(strip.girth_m), Reader(strip.units))
    words = f"{strip.title}: wrap-around strip, {girth} once round, sheet {number} of {total}."
    return Drawing(PAGE_MM[0], y + 12.0, strip.title, (*records, *bar), words)


def _head(strip: Strip, number: int, total: int) -> list[Record]:
    inner = PAGE_MM[0] - 2.0 * EDGE_MM
    sheet = f", sheet {number} of {total}" if total > 1 else ""
    girth = tell(extent(strip.girth_m), Reader(strip.units))
    words = f"once round: {girth}; middle line on the widest place, words upright with the tip up"
    return [
        Text(EDGE_MM, 7.2, fit_text(f"{strip.title}{sheet}", inner, 4.6), 4.0, "title"),
        Text(EDGE_MM, 12.0, fit_text(_LOUD, inner, 2.9), 2.6, "stop"),
        Text(EDGE_MM, 16.5, fit_text(words, inner, _WORD_MM), _WORD_MM, "label"),
    ]


def _piece(strip: Strip, girth: float, piece: int, pieces: int, y: float) -> list[Record]:
    start = piece * PIECE_MM
    length = min(PIECE_MM, girth - start)
    x = EDGE_MM
    middle = y + _BAND_MM / 2.0
    records: list[Record] = [Rect(x, y, length, _BAND_MM, "edge")]
    glue = "0°" if piece == pieces - 1 else f"piece {piece + 2}"
    records.append(Rect(x + length, y, GLUE_MM, _BAND_MM, "feed"))
    records.append(Text(x + length + 0.5, y + 3.4, "glue", 2.4, "label"))
    records.append(Text(x + length + 0.5, y + 6.6, glue, 2.4, "label"))
    records.append(Line(x, middle, x + length, middle, "aim"))
    for angle in range(0, 360, _STEP_DEG):
        at = girth * angle / 360.0 - start
        if not -1e-9 <= at <= length + 1e-9:
            continue
        tall = 5.0 if angle % 45 == 0 else 3.5 if angle % 15 == 0 else 2.0
        records.append(Line(x + at, y + _BAND_MM - tall, x + at, y + _BAND_MM, "tick"))
        if angle % 15 == 0 and at < length - 6.0:
            records.append(Text(x + at + 0.6, y + _BAND_MM - 2.2, f"{angle}°", 2.4, "label"))
    for mark in strip.marks:
        at = girth * (mark.angle_deg % 360.0) / 360.0 - start
        if not 0.0 <= at <= length or (at == length and piece < pieces - 1):
            continue
        high = middle - 1e3 * mark.up_m
        radius = 500.0 * (mark.diameter_m or 0.002)
        if y < high < y + _BAND_MM:
            records.append(Circle(x + at, high, radius, "bore"))
            records += [
                Line(x + at - 2.0, high, x + at + 2.0, high, "tick"),
                Line(x + at, high - 2.0, x + at, high + 2.0, "tick"),
            ]
        else:
            records.append(Line(x + at, y, x + at, y + _BAND_MM, "limit"))
        side: Anchor = "end" if at > length - 30.0 else "start"
        shift = -0.8 if side == "end" else 0.8
        records.append(Text(x + at + shift, y + 2.8, f"{mark.what} {mark.angle_deg:.0f}°", 2.6, "label", side))
    return records


def _table(strip: Strip, y: float) -> list[Record]:
    return [Text(EDGE_MM, y + 4.2 * k + 3.0, line, _WORD_MM, "label") for k, line in enumerate(strip.table)]
