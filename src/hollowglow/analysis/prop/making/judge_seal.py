"""Findings about water: what the glands close round, where rain comes in, where it runs out."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.making.analyse import KindMaking
from hollowglow.analysis.prop.making.bores.shell_holes import CableHoles
from hollowglow.analysis.prop.making.drain import USUAL_M
from hollowglow.analysis.prop.making.standing import HIGHEST
from hollowglow.analysis.prop.making.words import small, small_down, small_up
from hollowglow.messages import Finding, finding


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
        yield finding(
            "gland-clamp",
            (made.name,),
            f"{cables.gland} of {made.name} clamps {small(low)} to {small(high)}; {cable.part} is {small(cable.diameter_m)}, "
            f"too {'thick' if thick else 'thin'} for it.",
            f"Use a gland whose range takes in {small(cable.diameter_m)}, or a cable of "
            + (f"at most {small_down(high)}." if thick else f"at least {small_up(low)}."),
        )


def _two(made: KindMaking, cables: CableHoles) -> Iterator[Finding]:
    if cables.fitting is None or cables.count >= cables.passing:
        return
    widest = max((c.diameter_m for c in cables.cables if c.diameter_m is not None), default=None)
    high = cables.fitting.clamp[1]
    if widest is None:
        says, insert = "", "one whose insert has a hole for each cable"
    else:
        room = "has room for them but cannot close round two" if high >= 2.0 * widest else "is too small for them"
        wide = f"side by side two of {small(widest)} are {small(2.0 * widest)} wide"
        says = f"; {wide}, it clamps {small(high)} at most and {room}"
        holes = f"{cables.passing} holes of {small(widest)}"
        insert = f"a gland that takes at least {small_up(2.0 * widest)} with an insert of {holes}"
    yield finding(
        "gland-two-cables",
        (made.name,),
        f"{cables.passing} cables go through {cables.count} x {cables.gland} of {made.name}{says}.",
        f"Use {cables.passing} glands (gland.count: {cables.passing}), or {insert}.",
    )


def _rain(made: KindMaking, cables: CableHoles, drip_loop_m: float) -> Iterator[Finding]:
    hangs = made.kind.hangs
    frame = made.frame
    assert frame is not None
    closed = f"closed by {cables.gland}" if cables.gland is not None else "sealed by hand"
    if hangs == "tip up" and cables.place != "base":
        height = frame.height_m if cables.place == "tip" else frame.widest_height_m
        yield finding(
            "hole-in-rain",
            (made.name,),
            f"{made.name} hangs tip up and its cable holes ({closed}) are at the {cables.place}, {small(height)} above the "
            "base: rain runs over them and what gets in falls on the lights.",
            f"Move them to the base (gland.at: base), {small(height)} lower, where they point down.",
        )
    elif cables.place == HIGHEST[hangs]:
        code = "hole-in-rain" if cables.gland is None else "gland-on-top"
        if code == "gland-on-top" and drip_loop_m > 0.0:
            return
        other = "tip" if frame.turned else "side"
        yield finding(
            code,
            (made.name,),
            f"{made.name} hangs {hangs} and its cable holes ({closed}) are on top, {small(frame.height_m)} above its lowest "
            "point, where rain stands and follows the cables in.",
            f"Close them with glands and let each cable hang in a loop of at least {small_up(0.05)} below its hole (drip_loop)."
            if cables.gland is None
            else f"Let each cable hang in a loop of at least {small_up(0.05)} below its gland (drip_loop), or move the glands "
            f"to the {other}.",
        )


def judge_water(made: KindMaking) -> Iterator[Finding]:
    """Yield the findings about the drain of one kind; one without a shell has none."""
    drain, frame = made.drain, made.frame
    if frame is None:
        return
    size = f"{small(drain.diameter_m)} ({drain.metric.name} or {drain.inch.name})"
    if drain.place is None:
        yield finding(
            "drain-missing",
            (made.name,),
            f"{made.name} has no drain: water that gets in, and the dew that forms inside, cannot leave.",
            f"Drill one hole of {small(USUAL_M[0])} to {small(USUAL_M[1])} at the {drain.lowest}, its lowest point as it hangs "
            f"{made.kind.hangs}.",
        )
        return
    if drain.standing_m is not None and drain.standing_m > 0.0:
        yield finding(
            "drain-not-lowest",
            (made.name,),
            f"{made.name} hangs {made.kind.hangs} with its drain at the {drain.place}: water stands {small(drain.standing_m)} "
            "deep before it runs out.",
            f"Drill the drain of {size} at the {drain.lowest} (drain.at: lowest).",
        )
    low, high = USUAL_M
    if not low - 1e-9 <= drain.diameter_m <= high + 1e-9:
        small_one = drain.diameter_m < low
        yield finding(
            "drain-size",
            (made.name,),
            f"The drain of {made.name} is {small(drain.diameter_m)}: "
            + ("a drop closes it." if small_one else "insects and splashing water come in."),
            f"Drill {small(low)} to {small(high)}.",
        )
