"""What a meter should show where it can reach, with its band, and what another reading or a sight suggests."""

from __future__ import annotations

import math
from collections.abc import Iterable

from hollowglow.analysis.circuit.commission import ACROSS_FUSE, Commissioning, MeterBand, Repair, hints, repairs
from hollowglow.assembly.tables import NONE
from hollowglow.book.page_data import BookSource, Row
from hollowglow.quantity.words import percent, volts


def commissioning(source: BookSource, made: Commissioning) -> Row:
    """Return what to measure at the supplies and string by string, and what a reading outside its band suggests."""
    assembly = source.plan.assembly
    own: dict[int, list[MeterBand]] = {}
    for one in made.readings:
        own.setdefault(one.spot.string, []).append(one)
    own_hints = [_hints(own.get(row, [])) for row in range(len(assembly.strings.names))]
    common = _common(own_hints)
    return {
        "bands": f"{percent(made.share)} of the displays that the stated tolerances make lie within a band, which also "
        "allows for a hand-held meter",
        "supplies": {"rows": [_row(one) for one in own.get(NONE, [])], "hints": _hints(own.get(NONE, []))},
        "hints": common,
        "strings": [
            {
                "name": name,
                "rows": [_row(one) for one in own.get(row, [])],
                "hints": [one for one in own_hints[row] if one not in common],
                "marks": source.marks(name),
            }
            for row, name in enumerate(assembly.strings.names)
        ],
    }


def _common(strings: list[list[Row]]) -> list[Row]:
    """Return the hints that hold for several strings, so that they need standing once only."""
    every = [one for hints in strings for one in hints]
    shared = [one for one in every if every.count(one) > 1]
    return [one for i, one in enumerate(shared) if one not in shared[:i]]


def _row(one: MeterBand) -> Row:
    return {
        "id": one.spot.id,
        "where": one.spot.where,
        "reach": one.spot.reach,
        "off": volts(one.off_v),
        "off_band": _band(one.off_low_v, one.off_high_v),
        "white": volts(one.white_v),
        "white_band": _band(one.white_low_v, one.white_high_v),
    }


def _band(low_v: float, high_v: float) -> str:
    return f"{low_v:.2f}–{high_v:.2f}" if math.isfinite(low_v) and math.isfinite(high_v) else "-"


def _hints(readings: list[MeterBand]) -> list[Row]:
    """Return the hints of the spots that tell most: each supply, or where the power of a string begins and where it ends."""
    telling = [one for one in readings if one.spot.sort in ("supply", "feed", "end")] or readings[-1:]
    found: dict[str, list[tuple[str, str]]] = {}
    for one in telling:
        for hint in hints(one):
            found.setdefault(hint.suggests, []).append((one.spot.id, hint.reading))
    across = [h for one in readings if one.spot.sort == "fuse" for h in hints(one) if h.reading == ACROSS_FUSE]
    fuses = [{"reading": h.reading, "suggests": h.suggests} for h in across[:1]]
    return [
        {"reading": _readings(seen, len(telling)), "suggests": suggests} for suggests, seen in found.items()
    ] + fuses


def _readings(seen: list[tuple[str, str]], spots: int) -> str:
    words = list(dict.fromkeys(reading for _, reading in seen))
    if len(words) == 1 and (len(seen) > 1 or spots == 1):
        return words[0]
    return "; ".join(f"{name}: {reading}" for name, reading in seen)


def repair(source: BookSource, made: Commissioning) -> list[Row]:
    """Return what faults look like, what they mostly are, and what to measure next; first what holds for every string."""
    found: Iterable[Row] = (
        {
            "where": one.where,
            "sign": one.seen,
            "cause": one.likely,
            "next": _next(one),
            "measure": one.measure,
            "then": one.then,
            "marks": source.marks(one.where) if one.where else [],
        }
        for one in repairs(made, source.plan.assembly.strings.names)
    )
    return list(found)


def _next(one: Repair) -> str:
    return f"{one.measure}; {one.then}" if one.then else one.measure
