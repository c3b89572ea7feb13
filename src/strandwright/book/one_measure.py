"""Texts and pictures that tell a measure in metric and US units, told in the units of one reader."""

from __future__ import annotations

import re
from dataclasses import replace

from strandwright.book.wish import Units
from strandwright.draw.records import Drawing, Record, Text

_METRIC = r"[+−-]?\d[\d.,]* (?:mm|cm|m|kg|g)"
_US = r"[+−-]?(?:\d[\d.,]* )?(?:\d[\d.,]*|\d+/\d+) (?:in|ft|oz|lb)(?: [\d/ ]*\d in)?"
_WAYS = (
    re.compile(rf"({_METRIC}) / ({_US})\b"),
    re.compile(rf"({_METRIC}) \(({_US})\)"),
    re.compile(rf"({_METRIC}) or ({_US})\b"),
)
# Sizes of a section stand one under the other; bars of a scale have round numbers of inches.
_ALONE = (re.compile(rf"{_METRIC}"), re.compile(r"\d+\.\d+ in"))


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


def in_one_measure(drawing: Drawing, units: Units) -> Drawing:
    """Return a picture whose words are `one_measure` of themselves; bars, axes and tables of holes keep both."""
    if units == "both":
        return drawing
    records: list[Record] = []
    for record in drawing.records:
        if not isinstance(record, Text):
            records.append(record)
            continue
        before = records[-1] if records else None
        if isinstance(before, Text) and _one_under_the_other(before, record):
            if units == "us":
                records[-1] = replace(before, text=record.text)
            continue
        records.append(replace(record, text=one_measure(record.text, units)))
    return replace(drawing, records=tuple(records))


def _one_under_the_other(metric: Text, us: Text) -> bool:
    metric_alone, us_alone = _ALONE
    return (
        metric.x == us.x and metric_alone.fullmatch(metric.text) is not None and us_alone.fullmatch(us.text) is not None
    )
