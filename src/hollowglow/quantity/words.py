"""Numbers and lists as a person reads them: sensible digits, units always, metric and US where a hand will measure."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

# What rounding in the computer leaves behind must not push a whole number to the next one.
_SLACK = 1e-10


def number(value: float, digits: int = 3) -> str:
    """Return a number with so many significant digits, without exponents in the range a builder meets."""
    if not math.isfinite(value):
        return "unknown"
    if value == 0.0:
        return "0"
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:,.{min(decimals, 9)}f}"
    return text


def volts(value: float) -> str:
    """Return a voltage such as 11.42 V."""
    return f"{value:.2f} V" if math.isfinite(value) else "unknown"


def amps(value: float) -> str:
    """Return a current in A, or in mA below 0.1 A."""
    if not math.isfinite(value):
        return "unknown"
    if abs(value) < 0.1:
        return f"{value * 1e3:.3g} mA"
    return f"{value:.3g} A" if abs(value) < 1000.0 else f"{number(value)} A"


def rounded_up(value: float, digits: int = 3) -> float:
    """Return the smallest number not below a value that `number` or `amps` shows exactly."""
    return _at_last_digit(value, digits, math.ceil, 1.0 - _SLACK)


def rounded_down(value: float, digits: int = 3) -> float:
    """Return the largest number not above a value that `number` or `amps` shows exactly."""
    return _at_last_digit(value, digits, math.floor, 1.0 + _SLACK)


def _at_last_digit(value: float, digits: int, towards: Callable[[float], int], slack: float) -> float:
    """Return a positive value brought to its last shown digit; zero and what is not finite as they are."""
    if not math.isfinite(value) or value <= 0.0:
        return value
    decimals = max(0, digits - 1 - math.floor(math.log10(value)))
    return towards(value * slack * 10.0**decimals) / 10.0**decimals


def at_least(value: float, show: Callable[[float], str] = amps) -> str:
    """Return "at least 0.68 A" so that who takes the shown number takes enough."""
    return f"at least {show(rounded_up(value))}"


def at_most(value: float, show: Callable[[float], str] = amps) -> str:
    """Return "at most 0.67 A" so that who takes the shown number does not take too much."""
    return f"at most {show(rounded_down(value))}"


def watts(value: float) -> str:
    """Return a power in W."""
    return f"{number(value)} W"


def seconds(value: float) -> str:
    """Return a time in ms, s, min or h."""
    if not math.isfinite(value):
        return "unknown"
    for unit, size in (("h", 3600.0), ("min", 60.0), ("s", 1.0)):
        if value >= size * (2.0 if size > 1.0 else 1.0):
            return f"{number(value / size, 2)} {unit}"
    return f"{1e3 * value:.3g} ms"


def metres(value: float) -> str:
    """Return a length in metres and feet (in mm and inches below half a metre)."""
    if value < 0.5:
        return f"{value * 1e3:.0f} mm ({value / 0.0254:.1f} in)"
    return f"{value:.2f} m ({value / 0.3048:.1f} ft)"


def percent(value: float) -> str:
    """Return a fraction as a percentage."""
    if not math.isfinite(value):
        return "unknown"
    share = 100.0 * value
    return f"{share:.0f} %" if abs(share) >= 10 else f"{share:.1f} %"


def several(names: Sequence[str], most: int = 3) -> str:
    """Return "a, b and c", or "a, b and 7 more"."""
    shown = list(names[:most])
    rest = len(names) - len(shown)
    if rest:
        return ", ".join(shown) + f" and {rest:,} more"
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + " and " + shown[-1]
