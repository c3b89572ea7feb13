"""Lengths as a hand measures them, in mm and in, drills by their inch sizes, figures to three places, scale bars."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Literal

from hollowglow.draw.sheet.layout import text_width
from hollowglow.draw.sheet.records import Line, Record, Text

Units = Literal["metric", "us", "both"]
INCH_M = 0.0254
INCH_MM = 25.4
FOOT_M = 0.3048
BAR_TEXT_MM = 2.6
# The spaces inside 12.0 mm / 0.47 in.
_UNITED = re.compile(r"(?<=\d) (?=(?:mm|m|in|ft)\b)|(?<=m) (?=/ \d)|(?<=m /) (?=\d)")
_BARS_IN = (0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0, 12.0, 24.0, 48.0, 120.0)


def figure(value: float) -> str:
    """Return a number to three places, without an exponent; "not known" where it is not finite."""
    if not math.isfinite(value):
        return "not known"
    if value == 0.0:
        return "0"
    decimals = 2 - math.floor(math.log10(abs(value)))
    rounded = round(value, decimals)
    decimals = 2 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{min(max(decimals, 0), 6)}f}".replace("-", "−")


def mm_words(length_m: float) -> str:
    """Return a length in mm, to a tenth below 100 mm."""
    mm = 1e3 * length_m
    return f"{mm:.{1 if abs(mm) < 99.95 else 0}f} mm"


def inch_words(length_m: float) -> str:
    """Return a length in decimal inches, to a hundredth below 10 in."""
    inches = length_m / INCH_M
    return f"{inches:.{2 if abs(inches) < 9.995 else 1}f} in"


def told(metric: str, us: str, units: Units) -> str:
    """Return a measure in the units of one reader, given in words of each: 12.0 mm, 0.47 in, or 12.0 mm / 0.47 in."""
    return {"metric": metric, "us": us, "both": f"{metric} / {us}"}[units]


def size_words(length_m: float, units: Units = "both") -> str:
    """Return a length, m, in mm, in inches, or in both."""
    return told(mm_words(length_m), inch_words(length_m), units)


def drill_in(diameter_m: float) -> Fraction:
    """Return the drill of an inch set nearest to a diameter: 64ths up to 1 in, 16ths (hole saws) above.

    Args:
        diameter_m: of the hole, m, above 0.

    Returns:
        Diameter of the drill, in, at least 1/64.

    Source: ASME B94.11M lists the fractional twist drills in 64ths; hole saws come in 16ths.
    """
    inches = diameter_m / INCH_M
    parts = 64 if inches <= 1.0 else 16
    return Fraction(max(1, round(inches * parts)), parts)


def fraction_words(inches: Fraction) -> str:
    """Return inches as on a tape: 5/32, 1 1/16, 2."""
    whole, rest = divmod(inches.numerator, inches.denominator)
    part = f"{rest}/{inches.denominator}" if rest else ""
    return " ".join(filter(None, (str(whole) if whole or not part else "", part))) + " in"


def metre_words(length_m: float) -> str:
    """Return the length of a cable in m, below a metre in mm: 4.06 m, 660 mm."""
    return f"{length_m:.2f} m" if length_m >= 0.9995 else f"{1e3 * length_m:.0f} mm"


def tape_words(length_m: float) -> str:
    """Return a length, m, in feet and inches to an eighth, as a tape shows them: 13 ft 3 7/8 in."""
    eighths = math.floor(length_m / INCH_M * 8 + 0.5)
    feet, rest = divmod(eighths, 12 * 8)
    words = [f"{feet} ft"] if feet else []
    if rest or not feet:
        words.append(fraction_words(Fraction(rest, 8)))
    return " ".join(words)


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
    metric, us = (in_mm, f"{in_mm:g} mm"), (inches * INCH_MM, fraction_words(Fraction(inches)))
    bars = {"metric": (metric,), "us": (us,), "both": (metric, us)}[units]
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


def wrapped(text: str, width_mm: float, size_mm: float) -> tuple[str, ...]:
    """Return `text` broken at spaces into lines whose estimated width is at most `width_mm`, where words allow it.

    A number stays with its unit, and a measure with the same one in other units.
    """
    lines: list[str] = []
    for word in _UNITED.sub("\u00a0", " ".join(text.split())).split(" "):
        if lines and text_width(f"{lines[-1]} {word}", size_mm) <= width_mm:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(line.replace("\u00a0", " ") for line in lines)
