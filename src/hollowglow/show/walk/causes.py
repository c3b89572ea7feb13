"""One likely cause each: what it is in words, what to measure next, and the voltage that the plan has there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hollowglow.assembly.ids import run_id, span_id
from hollowglow.messages.refusal import Job, Words
from hollowglow.quantity.words import volts

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hollowglow.measured.readings import Answered
    from hollowglow.show.walk.layout import Layout, PropPlace, StringPlace

# How far a supply at rest may stray from what it is marked with (common practice, no source).
_MARGIN = 0.05


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """One likely cause.

    Attributes:
        where: ids of what it is about, the place to go to first.
        says: the cause in words.
        measure: what to do next, with the voltage to expect.
        expected_v: lowest and highest voltage that is right there, None where nothing is measured.
        answers: ids of the answers that it explains.
    """

    where: tuple[str, ...]
    says: str
    measure: Words
    expected_v: tuple[float, float] | None
    answers: tuple[str, ...]


def dark_controller(name: str, mine: Sequence[StringPlace], ids: Sequence[tuple[str, ...]]) -> Diagnosis:
    """Return what strings of several supplies on one controller have in common."""
    names = ", ".join(s.name for s in mine)
    return Diagnosis(
        (name,),
        f"every string of controller {name} is dark ({names}), on more than one supply: its network cable, address, "
        "universes or power",
        "See whether its network light flickers while this runs, and whether it is set to the universes shown. "
        "Nothing to measure yet.",
        None,
        tuple(i for some in ids for i in some),
    )


def dark_supply(layout: Layout, name: str, mine: Sequence[StringPlace], ids: Sequence[tuple[str, ...]]) -> Diagnosis:
    """Return what all strings of one supply have in common."""
    names = ", ".join(s.name for s in mine)
    own = layout.props[mine[0].props[0]].supply_v
    return Diagnosis(
        (name,),
        f"every string of supply {name} is dark ({names}): the supply, or what feeds it, or the controller",
        f"Measure V+ to V- at the supply's terminals: {volts(own)}. Nothing there: a licensed electrician looks at the "
        f"mains side. If it is there: the network, address and universes of controller {mine[0].controller}.",
        (own * (1.0 - _MARGIN), own * (1.0 + _MARGIN)),
        tuple(i for some in ids for i in some),
    )


def voltages(prop: PropPlace) -> tuple[float, float] | None:
    """Return what may stand across a prop: from everything at full white to nothing lit."""
    if not (math.isfinite(prop.full_v) and math.isfinite(prop.supply_v)):
        return None
    return (min(prop.full_v, prop.supply_v), max(prop.full_v, prop.supply_v))


def expected(prop: PropPlace) -> str:
    """Return what the plan expects across a prop, in words."""
    span = voltages(prop)
    if span is None:
        return "the plan knows no voltage there"
    return f"the plan has {volts(prop.full_v)} with all at full white, about {volts(prop.supply_v)} with all dark"


def dark_string(string: StringPlace, props: Sequence[PropPlace], ids: tuple[str, ...]) -> Diagnosis:
    """Return what a string that is all dark means."""
    fuse = "its fuse, its lead" if string.fused else "its lead"
    return Diagnosis(
        (string.name, string.output, props[0].id),
        f"all of {string.name} is dark: {fuse}, output {string.output}, or the first prop's data",
        f"Measure V+ to V- where the lead enters {props[0].id}: {expected(props[0])}. Nothing there: "
        f"{'the fuse, then ' if string.fused else ''}the lead. If it is there: the data wire from output "
        f"{string.output}, then the first driver of {props[0].id}.",
        voltages(props[0]),
        ids,
    )


def dark_from(string: StringPlace, props: Sequence[PropPlace], first: int, ids: tuple[str, ...]) -> Diagnosis:
    """Return what darkness from one prop (counted from 0) to the end means."""
    here, before = props[first], props[first - 1]
    cut = next((f for f in string.feeds if f.cut and f.before == here.number), None)
    span = span_id(string.name, before.number)
    if cut is not None:
        return Diagnosis(
            (run_id(string.name, here.number), here.id),
            f"everything from {here.id} on is dark, and V+ there comes from the feed before it: that feed, its fuse, "
            f"supply {cut.supply}, or the data line in {span}",
            f"Measure V+ to V- where the cable enters {here.id}: {expected(here)}. Nothing there: the feed and its fuse. "
            "If it is there: the data line.",
            voltages(here),
            ids,
        )
    return Diagnosis(
        (span, before.id, here.id),
        f"everything after {before.id} is dark: the data line between {before.id} and {here.id} ({span}), the last "
        f"driver of {before.id}, or the first driver of {here.id}",
        f"Measure V+ to V- where the cable enters {here.id}: {expected(here)}. Nothing there: V+ or V- is open in {span} "
        f"or its joints. If it is there: the data wire in {span}; then bridge the drivers on either side, one at a time.",
        voltages(here),
        ids,
    )


def undecided(props: Sequence[PropPlace], first: int, last: int, ids: tuple[str, ...]) -> Diagnosis:
    """Return what dark props mean while nothing is known of those after them."""
    here = props[first]
    further = ""
    if last + 1 < len(props):
        further = (
            f"Look at {props[last + 1].id} next: if it lights, {here.id} itself is at fault; if not, data or power ends "
            "before it. "
        )
    elif first > 0:
        further = f"Look at {props[first - 1].id} next: if it lights, data or power ends between the two. "
    return Diagnosis(
        tuple(p.id for p in props[first : last + 1]),
        f"{these(here, props[last])} dark, and nothing after is known to light: power or data up to {here.id}, or its own "
        "light",
        f"{further}Then measure V+ to V- where the cable enters {here.id}: {expected(here)}.",
        voltages(here),
        ids,
    )


def lone(prop: PropPlace, ids: tuple[str, ...]) -> Diagnosis:
    """Return what a dark prop among lit ones means."""
    return Diagnosis(
        (prop.id,),
        f"{prop.id} alone is dark while others light, so data passes through it: its LEDs, its driver's output, or power "
        "to its own lights",
        f"Measure V+ to V- at the lights in {prop.id}: {expected(prop)}. If it is there: change the light; "
        "if not: the joint inside.",
        voltages(prop),
        ids,
    )


def wrong_look(layout: Layout, string: StringPlace, a: Answered) -> Diagnosis:
    """Return what colours mean that nobody looked at one by one."""
    row = layout.prop_rows.get(a.target)
    prop = layout.props[string.props[0] if row is None else row]
    if a.step == "gang":
        return Diagnosis(
            (a.target,),
            f"{a.target}: not all lights of a prop act as one: the controller repeats each cell over another number of "
            f"lights than the {prop.lights} of {prop.id}, or one light has another colour order",
            f"Compare the controller's count with {prop.lights}; the first prop that is wrong tells where it slips. "
            "Nothing to measure.",
            None,
            (a.id,),
        )
    return Diagnosis(
        (a.target,),
        f"{a.target} is not white: one colour is missing or weak, or its colours are in another order",
        f"Look at its colours one by one (jump to: order {prop.id}); then measure V+ to V- at its lights: "
        f"{expected(prop)}.",
        voltages(prop),
        (a.id,),
    )


def weak_end(string: StringPlace, props: Sequence[PropPlace], first: int, last: int, ids: tuple[str, ...]) -> Diagnosis:
    """Return what props (counted from 0) mean that are dim up to the last one that was looked at."""
    here, end = props[first], props[last]
    worst = props[-1]
    blame = f"{span_id(string.name, props[first - 1].number)} and its joints" if first else "the lead and the supply"
    return Diagnosis(
        (end.id, here.id),
        f"{these(here, end)} dim or pinkish towards the end of {string.name}: too little voltage; blue and green go first",
        (
            f"With all at full white measure V+ to V- at {end.id}: {expected(end)}; and at {worst.id}: {expected(worst)}. "
            f"As the plan says: feed {string.name} again",
            Job("feed", aside=True),
            f". Lower than that: a bad joint before it, likely in {blame}; measure V+ and V- on both sides of it.",
        ),
        voltages(end),
        ids,
    )


def these(first: PropPlace, last: PropPlace) -> str:
    """Return one prop or a run of them, with its verb."""
    return f"{first.id} is" if first.id == last.id else f"{first.id} to {last.id} are"


def disorder(string: StringPlace, a: Answered) -> Diagnosis:
    """Return what props out of order mean."""
    if a.step == "direction":
        says = f"{string.name} runs the other way than the file says, or jumps: its lead may be at the other end"
    elif a.step == "output":
        says = f"output {a.target} does not light {string.name}: two leads are swapped at the controller"
    else:
        says = f"{a.target} is not where the file has it: props are swapped, or the controller's addresses are shifted"
    return Diagnosis(
        (a.target,),
        says,
        f"Read the numbers of its props (jump to: code {string.name}), and change the file or the hanging order. "
        "Nothing to measure.",
        None,
        (a.id,),
    )


def trial(a: Answered) -> Diagnosis:
    """Return what was seen at full load."""
    return Diagnosis(
        (a.target,),
        f"supply {a.target} at full load: {a.answer}",
        (
            "See in the plan what this supply carries and which string is lowest",
            Job("plan", aside=True),
            ", then measure its "
            "terminals at full white, and feel no joint or plug while it is live: look for heat after switching off.",
        ),
        None,
        (a.id,),
    )


def unknown(a: Answered) -> Diagnosis:
    """Return what is left to say of an answer about something that the display no longer has."""
    return Diagnosis(
        (a.target,),
        f"{a.target} was {a.answer}, but the display file has nothing of this name now",
        "Walk it again under its new name. Nothing to measure.",
        None,
        (a.id,),
    )
