"""Small lengths and masses as a builder measures them: tenths of a millimetre and hundredths of an inch."""

from __future__ import annotations

import math

from hollowglow.quantity import quantities
from hollowglow.quantity.quantities import tell


def small(length_m: float) -> str:
    """Return a length of a workshop.

    >>> small(0.0128)
    '12.8 mm (0.50 in)'
    """
    return tell(quantities.small(length_m))


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
    return tell(quantities.mass(mass_kg))
