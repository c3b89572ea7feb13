"""One measured number with what was promised of it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Row:
    """A line of the table; `target` is empty and `met` None where nothing is promised."""

    what: str
    value: str
    unit: str
    target: str = ""
    met: bool | None = None


def figures(value: float, digits: int = 3) -> str:
    """Return a number with so many significant digits and no exponent where it is of everyday size.

    >>> figures(0.012345), figures(1234.5), figures(3.2e-13)
    ('0.0123', '1,234', '3.2e-13')
    """
    if value == 0.0 or 1e-4 <= abs(value) < 1000.0:
        return f"{value:.{digits}g}"
    return f"{value:,.0f}" if 1000.0 <= abs(value) < 1e9 else f"{value:.{digits}g}"


def at_most(what: str, value: float, limit: float, unit: str) -> Row:
    """Return the row of a number that may not pass a limit."""
    return Row(what, figures(value), unit, f"at most {limit:g}", value <= limit)


def at_least(what: str, value: float, limit: float, unit: str) -> Row:
    """Return the row of a number that must reach a limit."""
    return Row(what, figures(value), unit, f"at least {limit:g}", value >= limit)


def plain(what: str, value: float, unit: str) -> Row:
    """Return the row of a number that nothing is promised of."""
    return Row(what, figures(value), unit)
