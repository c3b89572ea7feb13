"""Inches as a tape and a set of drills have them: whole ones, feet, and parts of two."""

from __future__ import annotations

from fractions import Fraction

from hollowglow.quantity.sizes import FOOT_IN, INCH_M

# A ruler in inches has marks this fine.
SIXTEENTHS = 16
EIGHTHS = 8


def fraction(inches: Fraction) -> str:
    """Return so many inches as a workshop writes them.

    >>> fraction(Fraction(32, 64)), fraction(Fraction(31, 64)), fraction(Fraction(72, 64)), fraction(Fraction(0))
    ('1/2', '31/64', '1 1/8', '0')
    """
    whole, rest = divmod(inches.numerator, inches.denominator)
    part = f"{rest}/{inches.denominator}" if rest else ""
    return " ".join(filter(None, (str(whole) if whole or not part else "", part)))


def inch_words(inches: Fraction) -> str:
    """Return inches with their unit: 5/32 in, 1 1/16 in, 2 in."""
    return f"{fraction(inches)} in"


def feet_and_inches(parts: int, to_the_inch: int, nothing: str = "0 in") -> str:
    """Return a length of so many parts of an inch as a tape shows it.

    >>> feet_and_inches(1279, 8), feet_and_inches(192, 16), feet_and_inches(0, 16, "0 ft")
    ('13 ft 3 7/8 in', '1 ft', '0 ft')
    """
    feet, rest = divmod(parts, FOOT_IN * to_the_inch)
    words = [f"{feet} ft"] if feet else []
    words += [inch_words(Fraction(rest, to_the_inch))] if rest else []
    return " ".join(words) or nothing


def drill_in(diameter_m: float) -> Fraction:
    """Return the drill of an inch set nearest to a diameter: 64ths up to 1 in, 16ths (hole saws) above.

    Args:
        diameter_m: of the hole, m, above 0.

    Returns:
        Diameter of the drill, in, at least 1/64.

    Source: ASME B94.11M lists the fractional twist drills in 64ths; hole saws come in 16ths.
    """
    inches = diameter_m / INCH_M
    parts = 64 if inches <= 1.0 else SIXTEENTHS
    return Fraction(max(1, round(inches * parts)), parts)
