"""Texts that tell a measure in metric and US units, told in the units of one reader."""

from __future__ import annotations

import re

from hollowglow.quantity.reader import Units

_METRIC = r"[+−-]?\d[\d.,]* (?:mm|cm|m|kg|g)"
_US = r"[+−-]?(?:\d[\d.,]* )?(?:\d[\d.,]*|\d+/\d+) (?:in|ft|oz|lb)(?: [\d/ ]*\d in)?"
_WAYS = (
    re.compile(rf"({_METRIC}) / ({_US})\b"),
    re.compile(rf"({_METRIC}) \(({_US})\)"),
    re.compile(rf"({_METRIC}) or ({_US})\b"),
)


def one_measure(text: str, units: Units) -> str:
    """Return a text in which each measure that stands there in both units stands in the wanted ones only.

    >>> one_measure("drill 13 mm or 1/2 in, 10.4 mm (0.41 in) from its middle, lead 4.1 m / 13.3 ft", "us")
    'drill 1/2 in, 0.41 in from its middle, lead 13.3 ft'
    """
    if units == "both":
        return text
    for way in _WAYS:
        text = way.sub(r"\1" if units == "metric" else r"\2", text)
    return text
