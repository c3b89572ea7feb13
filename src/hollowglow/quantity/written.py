"""Values as a display file writes them: lengths in the units of its person to what a hand can measure, others handy."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Literal

from hollowglow.quantity.inches import SIXTEENTHS, feet_and_inches
from hollowglow.quantity.measures import EFFICIENCY, RATIO, Measure
from hollowglow.quantity.sizes import INCH_M

Units = Literal["metric", "us"]
# Unit inside -> the units that a file states it in, each with its size, the largest first.
_STATED: Mapping[str, tuple[tuple[float, str], ...]] = {
    "m": ((1.0, "m"), (1e-3, "mm")),
    "s": ((3600.0, "h"), (60.0, "min"), (1.0, "s"), (1e-3, "ms"), (1e-6, "us")),
    "A": ((1.0, "A"), (1e-3, "mA")),
    "ohm": ((1.0, "ohm"), (1e-3, "mohm")),
    "K": ((1.0, "degC"),),
    "degree": ((1.0, "deg"),),
    "lumen": ((1.0, "lm"),),
}
_COMMENT = re.compile(r"#[^\n]*")
_SPOKEN = re.compile(r"""\d[ ]?(?:(ft|foot|feet|in|inch|inches|['"])|(mm|cm|m))(?![\w²³^*"/])""")


def length(metres: float, units: Units = "metric") -> str:
    """Return a length as the file writes it: to a tenth of a millimetre, or in feet and inches to the sixteenth.

    >>> length(1.5), length(-1e-9), length(1234.56789)
    ('1.5 m', '0 m', '1234.5679 m')
    >>> length(1.2192, "us"), length(0.1, "us"), length(-1.3716, "us"), length(0.0, "us"), length(3.9635, "us")
    ('4 ft', '3 15/16 in', '-4 ft 6 in', '0 ft', '13 ft 1/16 in')
    """
    if units == "metric":
        return f"{round(metres, 4) + 0.0:.4f}".rstrip("0").rstrip(".") + " m"
    sixteenths = round(abs(metres) / INCH_M * SIXTEENTHS)
    sign = "-" if metres < 0 and sixteenths else ""
    return sign + feet_and_inches(sixteenths, SIXTEENTHS, "0 ft")


def spot(place: Sequence[float], units: Units = "metric") -> list[str]:
    """Return a place as the file writes it; a third length of nothing is left out.

    >>> spot((1.5, -0.1524, 0.0)), spot((1.5, -0.1524, 0.0254), "us")
    (['1.5 m', '-0.1524 m'], ['4 ft 11 1/16 in', '-6 in', '1 in'])
    """
    x, y, z = (float(v) for v in place)
    return [length(v, units) for v in ((x, y) if round(z, 4) == 0.0 else (x, y, z))]


@lru_cache(maxsize=8)
def spoken(text: str) -> Units:
    """Return the units that most lengths of a display file are written in; metric where there are none.

    >>> spoken("{diameter: 10 in}  # 25 cm, 254 mm"), spoken("length: 2.5 m"), spoken("size: 0.75 mm2")
    ('us', 'metric', 'metric')
    """
    found = [us != "" for us, _ in _SPOKEN.findall(_COMMENT.sub("", text))]
    return "us" if 2 * sum(found) > len(found) else "metric"


def stated(value: object, measure: Measure | None = None) -> str:
    """Return a value as the file states it; without a measure it is a number, a word, yes or no, or nothing.

    >>> from hollowglow.quantity import measures
    >>> stated(0.015, measures.SHORT_LENGTH), stated(0.0, measures.LENGTH), stated(0.1, measures.SHARE)
    ('15 mm', '0 m', '10 %')
    >>> stated(90.0, measures.TIME), stated(0.8, measures.RATIO), stated(False), stated(None)
    ('1.5 min', '0.8', 'false', 'none')
    """
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, float):
        return str(value)
    if measure is None or measure in (RATIO, EFFICIENCY):
        return f"{value:g}"
    if measure.unit == "":
        return f"{100.0 * value:g} %"
    units = _STATED.get(measure.unit, ((1.0, measure.unit),))
    size, unit = next((one for one in units if abs(value or 1.0) >= one[0]), units[-1])
    return f"{value / size:g} {unit}"
