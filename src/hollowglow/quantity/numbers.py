"""Bare numbers: rounded to what counts, as a person reads them and as documents have them."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

# What rounding in the computer leaves behind must not push a whole number to the next one.
_SLACK = 1e-10


def number(value: float, digits: int = 3) -> str:
    """Return a number with so many significant digits, without exponents in the range a builder meets."""
    if not math.isfinite(value):
        return "unknown"
    if value == 0.0:
        return "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    return f"{value:,.{min(decimals, 9)}f}"


def figure(value: float) -> str:
    """Return a number of a picture to three places, without an exponent; "not known" where it is not finite."""
    if not math.isfinite(value):
        return "not known"
    if value == 0.0:
        return "0"
    decimals = 2 - math.floor(math.log10(abs(value)))
    rounded = round(value, decimals)
    decimals = 2 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:.{min(max(decimals, 0), 6)}f}".replace("-", "−")


def signed(value: float, decimals: int) -> str:
    """Return a number with its sign, and no minus before nothing.

    >>> signed(1.25, 1), signed(-0.04, 1), signed(-3.0, 2)
    ('+1.2', '+0.0', '−3.00')
    """
    return f"{round(value, decimals) + 0.0:+.{decimals}f}".replace("-", "−")


def rounded_up(value: float, digits: int = 3) -> float:
    """Return the smallest number not below a value that so many significant digits show exactly."""
    return _at_last_digit(value, digits, math.ceil, 1.0 - _SLACK)


def rounded_down(value: float, digits: int = 3) -> float:
    """Return the largest number not above a value that so many significant digits show exactly."""
    return _at_last_digit(value, digits, math.floor, 1.0 + _SLACK)


def _at_last_digit(value: float, digits: int, towards: Callable[[float], int], slack: float) -> float:
    """Return a positive value brought to its last shown digit; zero and what is not finite as they are."""
    if not math.isfinite(value) or value <= 0.0:
        return value
    decimals = max(0, digits - 1 - math.floor(math.log10(value)))
    return towards(value * slack * 10.0**decimals) / 10.0**decimals


def plain(value: float, digits: int = 6) -> float | None:
    """Return a number for JSON, None where there is none (not finite)."""
    return round(float(value), digits) if math.isfinite(value) else None


def plain_tree(value: Any, digits: int = 9) -> Any:
    """Return tables and lists of values for JSON: tuples as lists, every float as `plain` has it."""
    if isinstance(value, dict):
        return {k: plain_tree(v, digits) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain_tree(v, digits) for v in value]
    return plain(value, digits) if isinstance(value, float) else value
