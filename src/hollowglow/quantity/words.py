"""Numbers and lists as a person reads them: sensible digits, units always, metric and US where a hand will measure."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from hollowglow.quantity.numbers import rounded_down, rounded_up
from hollowglow.quantity.quantities import current, length, power, share, tell, time, voltage


def volts(value: float) -> str:
    """Return a voltage such as 11.42 V."""
    return tell(voltage(value))


def amps(value: float) -> str:
    """Return a current in A, or in mA below 0.1 A."""
    return tell(current(value))


def at_least(value: float, show: Callable[[float], str] = amps) -> str:
    """Return "at least 0.68 A" so that who takes the shown number takes enough."""
    return f"at least {show(rounded_up(value))}"


def at_most(value: float, show: Callable[[float], str] = amps) -> str:
    """Return "at most 0.67 A" so that who takes the shown number does not take too much."""
    return f"at most {show(rounded_down(value))}"


def watts(value: float) -> str:
    """Return a power in W."""
    return tell(power(value))


def seconds(value: float) -> str:
    """Return a time in ms, s, min or h."""
    return tell(time(value))


def metres(value: float) -> str:
    """Return a length in metres and feet (in mm and inches below half a metre)."""
    return tell(length(value))


def percent(value: float) -> str:
    """Return a fraction as a percentage."""
    return tell(share(value))


def several(names: Sequence[str], most: int = 3) -> str:
    """Return "a, b and c", or "a, b and 7 more"."""
    shown = list(names[:most])
    rest = len(names) - len(shown)
    if rest:
        return ", ".join(shown) + f" and {rest:,} more"
    return shown[0] if len(shown) == 1 else ", ".join(shown[:-1]) + " and " + shown[-1]
