"""Bars of a round length beside a picture that is drawn to scale."""

from __future__ import annotations

import math
from fractions import Fraction

from hollowglow.draw.sheet.layout import text_width
from hollowglow.draw.sheet.records import Line, Record, Text
from hollowglow.quantity.inches import inch_words
from hollowglow.quantity.reader import Reader, Units
from hollowglow.quantity.sizes import INCH_MM

BAR_TEXT_MM = 2.6
_BARS_IN = (0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 120.0)


def scale_bars(
    x: float, y: float, page_per_mm: float, room_mm: float = 42.0, units: Units = "both"
) -> tuple[Record, ...]:
    """Return bars of a round number of mm and of in, of both one above the other, from (x, y) to the right.

    `page_per_mm` is the width on the page of one mm of the thing; no bar with its words is wider than `room_mm`
    where a bar of the smallest kind fits at all.
    """
    longest = room_mm - 1.6 - text_width("1000 mm", BAR_TEXT_MM)
    in_mm = _round_mm(longest / page_per_mm)
    inches = max((size for size in _BARS_IN if size * INCH_MM * page_per_mm <= longest), default=_BARS_IN[0])
    bars = Reader(units).pick((in_mm, f"{in_mm:g} mm"), (inches * INCH_MM, inch_words(Fraction(inches))))
    records: list[Record] = []
    for row, (length, words) in enumerate(bars):
        level, end = y + 4.0 * row, x + length * page_per_mm
        records += [Line(x, level, end, level, "edge")]
        records += [Line(at, level - 0.9, at, level + 0.9, "edge") for at in (x, end)]
        records.append(Text(end + 1.4, level + 0.35 * BAR_TEXT_MM, words, BAR_TEXT_MM, "label"))
    return tuple(records)


def _round_mm(most_mm: float) -> float:
    exponent = math.floor(math.log10(most_mm))
    unit = float(f"1e{exponent}")
    return max((factor * unit for factor in (2, 5) if factor * unit <= most_mm), default=unit)
