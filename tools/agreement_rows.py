"""A published value, as printed, beside ours: the row of the agreement table, and how far the two lie apart."""

from __future__ import annotations

import math
from dataclasses import dataclass

ROUNDED = "the published value is rounded"
EXACT = "-"
NO_DIFFERENCE_PERCENT = 1e-7  # what solving in floats leaves


@dataclass(frozen=True, slots=True)
class Row:
    """One published value, as printed, beside ours."""

    quantity: str
    published: str
    unit: str
    ours: float
    reason: str = ROUNDED


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that one source holds for."""

    title: str
    source: str
    rows: tuple[Row, ...]


def significant(value: float, digits: int = 6) -> str:
    """Return a number with so many significant digits, trailing zeros dropped."""
    return f"{value:.{digits}g}"


def difference(row: Row) -> str:
    """Return how far ours lies from the published value, in percent of that."""
    share = 100.0 * (row.ours / float(row.published) - 1.0)
    if abs(share) < NO_DIFFERENCE_PERCENT:
        return "none"
    if abs(share) < 1e-4:
        return "under 0.0001 %"
    decimals = max(0, 1 - math.floor(math.log10(abs(share))))
    return f"{share:+.{decimals}f} %"
