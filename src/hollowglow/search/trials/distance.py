"""How far a feed point is from a supply: the one place that will know of positions."""

from __future__ import annotations

import math

from hollowglow.assembly.lengths import span_lengths
from hollowglow.file import Display
from hollowglow.file.reading.drawn_lengths import apart_m
from hollowglow.quantity import measures, units, written

# Lengths are offered as a tape measure is read.
_STEPS_A_METRE = 10
_STEP_US_M = 0.0762  # a quarter of a foot


def distance_m(display: Display, supply: str, string: str, prop: int, spoken: written.Units = "metric") -> float:
    """Return the length of feed cable from a supply to the point before a prop, m, rounded up to 0.1 m or to 3 in.

    A feed of the file from this supply to this point has the length that it states. Otherwise the cable runs straight
    from place to place where the file reckons by places, else along the lead and the spans, with the display's
    `feeding.detour` and `feeding.reserve` added.

    Args:
        display: what the person stated.
        supply: name of the supply.
        string: name of the string.
        prop: number of the prop, from 1.
        spoken: the units that it is written in.
    """
    stated = display.strings[string]
    for feed in stated.feeds:
        if feed.before == prop and feed.supply == supply:
            return feed.length
    way = apart_m(display, supply, string, prop)
    if way is None:
        way = stated.lead.length + float(span_lengths(display, stated).stated_m[: prop - 1].sum())
    feeding = display.feeding
    metres = way * (1.0 + feeding.detour) + feeding.reserve
    if spoken == "us":
        # As it will be read from the file.
        told = written.length(max(1, math.ceil(metres / _STEP_US_M - 1e-9)) * _STEP_US_M, spoken)
        return units.parse(told, measures.LENGTH)
    return max(1, math.ceil(metres * _STEPS_A_METRE - 1e-9)) / _STEPS_A_METRE
