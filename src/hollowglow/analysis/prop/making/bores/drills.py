"""Which drill makes a hole: the nearest metric size and the nearest one in 64ths of an inch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from hollowglow.quantity.inches import inch_words
from hollowglow.quantity.sizes import INCH_M

_SLACK = 1e-9


@dataclass(frozen=True, slots=True)
class Drill:
    """A drill: its diameter in m and its name, as "12 mm" or "15/32 in"."""

    diameter_m: float
    name: str


def metric(diameter_m: float, least_m: float = 0.0) -> Drill:
    """Return the metric drill nearest to a diameter: every 0.1 mm up to 3 mm, every 0.5 mm above.

    Args:
        diameter_m: wanted, m.
        least_m: the hole may not be smaller than that, m.

    Raises:
        ValueError: where the diameter is not positive.
    """
    mm = _positive(diameter_m) * 1e3
    step = 0.1 if max(mm, least_m * 1e3) <= 3.0 + _SLACK else 0.5
    size = _nearest(mm, step, least_m * 1e3)
    return Drill(size * 1e-3, f"{size:.1f}".removesuffix(".0") + " mm")


def inch(diameter_m: float, least_m: float = 0.0) -> Drill:
    """Return the drill nearest to a diameter among 64ths of an inch; arguments and errors as for `metric`."""
    size = _nearest(_positive(diameter_m) / INCH_M, 1.0 / 64.0, least_m / INCH_M)
    return Drill(size * INCH_M, inch_words(Fraction(round(size * 64.0), 64)))


def _positive(diameter_m: float) -> float:
    if not diameter_m > 0.0:
        raise ValueError(f"a hole of {diameter_m:g} m cannot be drilled")
    return diameter_m


def _nearest(wanted: float, step: float, least: float) -> float:
    """Return the multiple of a step nearest to what is wanted (of two the smaller), not below the least, never 0."""
    count = max(1, math.ceil(wanted / step - 0.5 - _SLACK))
    return max(count, math.ceil(least / step - _SLACK)) * step
