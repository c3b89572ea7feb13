"""Findings about water: what the glands close round, where rain comes in, where it runs out."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.edits import put
from hollowglow.analysis.prop.making.analyse import KindMaking
from hollowglow.analysis.prop.making.bores.shell_holes import CableHoles
from hollowglow.analysis.prop.making.drain import USUAL_M
from hollowglow.analysis.prop.making.rounding import small_down, small_up
from hollowglow.analysis.prop.making.standing import HIGHEST
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.told import Fact, Pick
from hollowglow.quantity.quantities import small

# A cable's loop below its hole, from which water drips: an estimate of our own.
_LOOP_M = 0.05
_LOWEST = "common practice: one drain at the lowest point"
GLAND_CLAMP = Code(
    "gland-clamp",
    "warn",
    "fill",
    "the gland's clamping range",
    ("kind", "gland", "low", "high", "cable", "diameter", "thick"),
    "which other gland or cable to buy is the builder's choice",
)
GLAND_TWO_CABLES = Code(
    "gland-two-cables",
    "warn",
    "fill",
    "common practice: one gland, or one hole of an insert, for each cable",
    ("kind", "gland", "count", "passing", "widest", "both", "high", "room"),
)
_RAIN = ("kind", "hangs", "gland", "place", "above")
HOLE_IN_RAIN = Code("hole-in-rain", "warn", "fill", "common practice: cables leave from below", _RAIN)
GLAND_ON_TOP = Code("gland-on-top", "note", "fill", "common practice: a drip loop before each gland", _RAIN)
DRAIN_MISSING = Code("drain-missing", "warn", "fill", _LOWEST, ("kind", "hangs"))
DRAIN_NOT_LOWEST = Code("drain-not-lowest", "warn", "fill", _LOWEST, ("kind", "hangs", "place", "standing"))
DRAIN_SIZE = Code("drain-size", "note", "fill", "common practice: 1/8 to 3/16 in", ("kind", "size", "narrow"))
CODES = (GLAND_CLAMP, GLAND_TWO_CABLES, HOLE_IN_RAIN, GLAND_ON_TOP, DRAIN_MISSING, DRAIN_NOT_LOWEST, DRAIN_SIZE)


def judge_cables(made: KindMaking, drip_loop_m: float) -> Iterator[Finding]:
    """Yield the findings about the cable holes of one kind.

    Args:
        made: how it is built.
        drip_loop_m: what the display adds to each cable for a drip loop, m.
    """
    cables = made.cables
    if cables is None:
        return
    yield from _clamp(made, cables)
    yield from _two(made, cables)
    if made.frame is not None and cables.place_stated:
        yield from _rain(made, cables, drip_loop_m)


def _clamp(made: KindMaking, cables: CableHoles) -> Iterator[Finding]:
    if cables.fitting is None:
        return
    low, high = cables.fitting.clamp
    for cable in cables.cables:
        if cable.diameter_m is None or low - 1e-9 <= cable.diameter_m <= high + 1e-9:
            continue
        thick = cable.diameter_m > high
        facts: dict[str, Fact] = {"kind": made.name, "gland": cables.gland, "low": small(low), "high": small(high)}
        facts |= {"cable": cable.part, "diameter": small(cable.diameter_m), "thick": thick}
        other = {"most": small_down(high)} if thick else {"least": small_up(low)}
        yield GLAND_CLAMP.found((made.name,), facts, [Mend("other-gland-or-cable", other)])


def _two(made: KindMaking, cables: CableHoles) -> Iterator[Finding]:
    if cables.fitting is None or cables.count >= cables.passing:
        return
    widest = max((c.diameter_m for c in cables.cables if c.diameter_m is not None), default=None)
    high = cables.fitting.clamp[1]
    facts: dict[str, Fact] = {"kind": made.name, "gland": cables.gland, "count": cables.count}
    facts |= {"passing": cables.passing, "high": small(high), "widest": None, "both": None, "room": None}
    insert: dict[str, Fact] = {"takes": None}
    if widest is not None:
        facts |= {"widest": small(widest), "both": small(2.0 * widest), "room": high >= 2.0 * widest}
        insert = {"takes": small_up(2.0 * widest)}
    edit = Put(("kinds", made.name, "gland", "count"), cables.passing)
    yield GLAND_TWO_CABLES.found((made.name,), facts, [Mend("more-glands", edits=(edit,)), Mend("insert", insert)])


def _rain(made: KindMaking, cables: CableHoles, drip_loop_m: float) -> Iterator[Finding]:
    hangs = made.kind.hangs
    frame = made.frame
    assert frame is not None
    facts: dict[str, Fact] = {"kind": made.name, "hangs": hangs, "gland": cables.gland, "place": cables.place}
    if hangs == "tip up" and cables.place != "base":
        height = frame.height_m if cables.place == "tip" else frame.widest_height_m
        lower = Mend("to-the-base", edits=(Put(("kinds", made.name, "gland", "at"), "base"),))
        yield HOLE_IN_RAIN.found((made.name,), facts | {"above": small(height)}, [lower])
    elif cables.place == HIGHEST[hangs]:
        if cables.gland is not None and drip_loop_m > 0.0:
            return
        facts |= {"above": small(frame.height_m)}
        edit = put(("drip_loop",), small_up(_LOOP_M))
        if cables.gland is None:
            yield HOLE_IN_RAIN.found((made.name,), facts, [Mend("glands-and-loop", {"loop": small_up(_LOOP_M)})])
            return
        other = "tip" if frame.turned else "side"
        ways = [Mend("loop", {"loop": small_up(_LOOP_M)}, (edit,)), Mend("move-glands", {"other": other})]
        yield GLAND_ON_TOP.found((made.name,), facts, ways)


def judge_water(made: KindMaking) -> Iterator[Finding]:
    """Yield the findings about the drain of one kind; one without a shell has none."""
    drain, frame = made.drain, made.frame
    if frame is None:
        return
    facts: dict[str, Fact] = {"kind": made.name, "hangs": made.kind.hangs}
    path = ("kinds", made.name, "drain")
    low, high = USUAL_M
    usual: dict[str, Fact] = {"low": small(low), "high": small(high)}
    if drain.place is None:
        drill = Mend("drill", {**usual, "lowest": drain.lowest}, (Put((*path, "at"), drain.lowest),))
        yield DRAIN_MISSING.found((made.name,), facts, [drill])
        return
    if drain.standing_m is not None and drain.standing_m > 0.0:
        drills = Pick(drain.metric.name, drain.inch.name)
        lowest: dict[str, Fact] = {"size": small(drain.diameter_m), "drills": drills, "lowest": drain.lowest}
        drill = Mend("drill-lowest", lowest, (Put((*path, "at"), "lowest"),))
        standing = facts | {"place": drain.place, "standing": small(drain.standing_m)}
        yield DRAIN_NOT_LOWEST.found((made.name,), standing, [drill])
    if not low - 1e-9 <= drain.diameter_m <= high + 1e-9:
        narrow = drain.diameter_m < low
        edit = put((*path, "diameter"), small(low if narrow else high))
        size: dict[str, Fact] = {"kind": made.name, "size": small(drain.diameter_m), "narrow": narrow}
        yield DRAIN_SIZE.found((made.name,), size, [Mend("drill", usual, (edit,))])
