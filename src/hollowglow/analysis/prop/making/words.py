"""Small lengths and masses as a builder measures them: tenths of a millimetre and hundredths of an inch."""

from __future__ import annotations

import math

OUNCE_KG = 0.028349523125


def small(length_m: float) -> str:
    """Return a length of a workshop.

    >>> small(0.0128)
    '12.8 mm (0.50 in)'
    """
    if not math.isfinite(length_m):
        return "unknown"
    return f"{length_m * 1e3:.1f} mm ({length_m / 0.0254:.2f} in)"


def small_up(length_m: float) -> str:
    """Return a length that must at least be had, rounded up.

    >>> small_up(0.07471)
    '74.8 mm (2.94 in)'
    """
    return small(math.ceil(length_m * 1e4 - 1e-6) / 1e4)


def small_down(length_m: float) -> str:
    """Return a length that must not be passed, rounded down.

    >>> small_down(0.00659)
    '6.5 mm (0.26 in)'
    """
    return small(math.floor(length_m * 1e4 + 1e-6) / 1e4)


def mass(mass_kg: float) -> str:
    """Return a mass.

    >>> mass(0.212)
    '212 g (7.5 oz)'
    """
    return f"{mass_kg * 1e3:.0f} g ({mass_kg / OUNCE_KG:.1f} oz)"
