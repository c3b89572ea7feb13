"""Lengths as a hand measures them, in mm and in, drills by their inch sizes, figures to three places."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

Units = Literal["metric", "us", "both"]
INCH_M = 0.0254
INCH_MM = 25.4
FOOT_M = 0.3048


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
