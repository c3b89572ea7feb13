"""Small lengths that a builder must at least have, or must not pass: rounded to tenths of a millimetre."""

from __future__ import annotations

import math

from hollowglow.quantity.quantities import Quantity, small


def small_up(length_m: float) -> Quantity:
    """Return a length that must at least be had, rounded up.

    >>> from hollowglow.quantity.quantities import tell
    >>> tell(small_up(0.07471))
    '74.8 mm (2.94 in)'
    """
    return small(math.ceil(length_m * 1e4 - 1e-6) / 1e4)


def small_down(length_m: float) -> Quantity:
    """Return a length that must not be passed, rounded down.

    >>> from hollowglow.quantity.quantities import tell
    >>> tell(small_down(0.00659))
    '6.5 mm (0.26 in)'
    """
    return small(math.floor(length_m * 1e4 + 1e-6) / 1e4)
