"""Numbers as a page shows them: sensible digits, a unit always, metric or US as the person chose."""

from __future__ import annotations

import math

from hollowglow.quantity.quantities import stretch, tell
from hollowglow.quantity.reader import US, Reader
from hollowglow.quantity.written import Units
from hollowglow.quantity.written import length as spot

__all__ = ["Units", "amps", "feet", "length", "percent", "quantity", "rounded", "size", "spot", "volts"]
UNKNOWN = "–"
_READERS = {"metric": Reader(unknown=UNKNOWN), "us": Reader(us_first=True, unknown=UNKNOWN)}


def rounded(value: float | None, digits: int = 3) -> str:
    """Return a number with so many digits that count, no exponent.

    >>> rounded(1234.5), rounded(0.012345), rounded(99.96), rounded(None)
    ('1,234', '0.0123', '100', '–')
    """
    if value is None or not math.isfinite(value):
        return UNKNOWN
    if value == 0:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    text = f"{value:,.{places}f}"
    whole = len(text.replace("-", "").replace(",", "").split(".")[0])
    if places and whole + places > digits and whole > 1:  # it was rounded up to one more digit
        text = f"{value:,.{max(0, digits - whole)}f}"
    return text


def quantity(value: float | None, unit: str, digits: int = 3) -> str:
    """Return a number with its unit.

    >>> quantity(11.274, "V", 4), quantity(0.83, "A"), quantity(None, "W")
    ('11.27 V', '0.830 A', '–')
    """
    return UNKNOWN if value is None or not math.isfinite(value) else f"{rounded(value, digits)} {unit}"


def percent(share: float | None) -> str:
    """Return a share as a percentage without a fraction.

    >>> percent(0.174), percent(-0.001), percent(None)
    ('17 %', '0 %', '–')
    """
    return UNKNOWN if share is None or not math.isfinite(share) else f"{round(share * 100)} %"


def amps(current_a: float | None) -> str:
    """Return a current that keeps changing, always with as many places.

    >>> amps(3.081), amps(None)
    ('3.08 A', '–')
    """
    return UNKNOWN if current_a is None or not math.isfinite(current_a) else f"{current_a:.2f} A"


def volts(voltage_v: float | None) -> str:
    """Return a voltage that keeps changing, always with as many places.

    >>> volts(11.2749), volts(None)
    ('11.27 V', '–')
    """
    return UNKNOWN if voltage_v is None or not math.isfinite(voltage_v) else f"{voltage_v:.2f} V"


def size(count: int) -> str:
    """Return the size of a file in the unit that suits it.

    >>> size(71), size(70_000), size(5_400_000)
    ('71 B', '68.4 KiB', '5.15 MiB')
    """
    if count < 1024:
        return f"{count} B"
    return quantity(count / 1024, "KiB") if count < 2**20 else quantity(count / 2**20, "MiB")


def length(metres: float | None, units: Units = "metric") -> str:
    """Return a length for a hand that measures, the chosen units first and the others behind.

    >>> length(1.8), length(0.15), length(1.8, "us")
    ('1.80 m (5 ft 11 in)', '150 mm (5 7/8 in)', '5 ft 11 in (1.80 m)')
    """
    return tell(stretch(math.nan if metres is None else metres), _READERS[units])


def feet(metres: float) -> str:
    """Return a length in feet and inches; below a foot in inches to the eighth, from 100 m in feet alone.

    >>> feet(0.3048), feet(0.1), feet(-3), feet(3048)
    ('1 ft', '3 7/8 in', '-9 ft 10 in', '10,000 ft')
    """
    return tell(stretch(metres), US)
