"""Lengths as the file writes them for the person who chose metric or US units, to what a hand can measure."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

Units = Literal["metric", "us"]
_INCH_M = 0.0254
# A tape in inches has marks this fine.
_PARTS = 16
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
    sixteenths = round(abs(metres) / _INCH_M * _PARTS)
    feet, rest = divmod(sixteenths, 12 * _PARTS)
    inches, part = divmod(rest, _PARTS)
    step = math.gcd(part, _PARTS)
    words = [str(inches)] if inches else []
    words += [f"{part // step}/{_PARTS // step}"] if part else []
    said = ([f"{feet} ft"] if feet or not rest else []) + ([f"{' '.join(words)} in"] if words else [])
    return ("-" if metres < 0 and sixteenths else "") + " ".join(said)


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
