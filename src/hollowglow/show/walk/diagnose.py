"""What the open answers mean: the likely cause from their pattern along each string, and what several strings share."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hollowglow.assembly.ids import span_id
from hollowglow.show.walk import order
from hollowglow.show.walk.causes import (
    Diagnosis,
    dark_controller,
    dark_from,
    dark_string,
    dark_supply,
    disorder,
    expected,
    lone,
    these,
    trial,
    undecided,
    unknown,
    voltages,
    weak_end,
    wrong_look,
)
from hollowglow.show.walk.walk import DARK, DIM, DISORDER, FLICKERS, LIT, WRONG, open_answers

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from hollowglow.measured.readings import Answered
    from hollowglow.show.walk.layout import Layout, PropPlace, StringPlace


def diagnose(layout: Layout, answers: Sequence[Answered]) -> tuple[Diagnosis, ...]:
    """Return what the answers that are open mean, string by string; every open answer is in one diagnosis at least.

    Args:
        layout: of the display.
        answers: all of them, the oldest first.
    """
    left = open_answers(answers)
    newest = {(a.step, a.target): a for a in answers}
    known = {target: a.answer for (step, target), a in newest.items() if step == "prop"}
    right = [target for (step, target), a in newest.items() if step == "order" and a.answer == LIT]
    made = list(_wide(layout, left))
    explained = {answer for one in made for answer in one.answers}
    for string in layout.strings:
        mine = [a for a in left if _string_of(layout, a) == string.name and a.id not in explained]
        if mine:
            made += _of_string(layout, string, mine, known, [p for p in right if _home(layout, p) == string.name])
    made += [trial(a) for a in left if a.step == "load"]
    done = {answer for one in made for answer in one.answers}
    gone = [a for a in left if a.id not in done]
    return (*made, *(unknown(a) for a in gone))


def _string_of(layout: Layout, answer: Answered) -> str | None:
    if answer.step == "load":
        return None
    if answer.target in layout.prop_rows:
        return _home(layout, answer.target)
    if answer.step == "output":
        row = layout.output_rows.get(answer.target)
        return None if row is None else layout.strings[row].name
    return answer.target if answer.target in layout.string_rows else None


def _home(layout: Layout, prop: str) -> str | None:
    row = layout.prop_rows.get(prop)
    return None if row is None else layout.strings[layout.props[row].string].name


def _dark_strings(layout: Layout, left: Sequence[Answered]) -> dict[str, tuple[str, ...]]:
    """Return the strings of which nothing lights, with the answers that say so."""
    dark: dict[str, tuple[str, ...]] = {}
    for string in layout.strings:
        props = {layout.props[row].id for row in string.props}
        whole = [a for a in left if a.answer == DARK and a.step in ("string", "output")]
        mine = [a.id for a in whole if _string_of(layout, a) == string.name]
        single = {a.target: a.id for a in left if a.answer == DARK and a.target in props}
        if mine or (props and props == set(single)):
            dark[string.name] = (*mine, *single.values())
    return dark


def _wide(layout: Layout, left: Sequence[Answered]) -> Iterator[Diagnosis]:
    """Yield what several strings have in common: a controller, or a supply."""
    dark = _dark_strings(layout, left)
    controllers = list(dict.fromkeys(s.controller for s in layout.strings))
    # What darkens several supplies at once is what they have in common; else a supply is likelier than a controller.
    for name in controllers:
        mine = [s for s in layout.strings if s.controller == name]
        if len({s.supply for s in mine}) > 1 and all(s.name in dark for s in mine):
            yield dark_controller(name, mine, [dark.pop(s.name) for s in mine])
    for name in layout.supplies:
        mine = [s for s in layout.strings if s.supply == name]
        if len(mine) > 1 and all(s.name in dark for s in mine):
            yield dark_supply(layout, name, mine, [dark.pop(s.name) for s in mine])


def _of_string(
    layout: Layout, string: StringPlace, left: Sequence[Answered], known: Mapping[str, str], right: Sequence[str]
) -> Iterator[Diagnosis]:
    props = [layout.props[row] for row in string.props]
    dark = _dark_strings(layout, left).get(string.name)
    if dark is not None:
        yield dark_string(string, props, dark)
    else:
        yield from _dark_props(string, props, [a for a in left if a.answer == DARK], known)
    yield from _wrong(layout, string, [a for a in left if a.answer == WRONG], right)
    yield from _weak(string, props, [a for a in left if a.answer == DIM], known)
    yield from _flickering(string, props, [a for a in left if a.answer == FLICKERS])
    for a in left:
        if a.answer == DISORDER:
            yield disorder(string, a)


def _dark_props(
    string: StringPlace, props: Sequence[PropPlace], left: Sequence[Answered], known: Mapping[str, str]
) -> Iterator[Diagnosis]:
    ids: dict[str, list[str]] = {}
    for a in left:
        ids.setdefault(a.target, []).append(a.id)
    dark = [p.id in ids for p in props]
    for first, last in _runs(dark):
        mine = tuple(i for p in props[first : last + 1] for i in ids[p.id])
        # Whatever was not looked at after a dark prop counts neither for nor against: only a lit one ends it.
        ends = last + 1 == len(props) or not any(known.get(p.id) == LIT for p in props[last + 1 :])
        several = last > first or last + 1 == len(props)
        if ends and several and first > 0 and props[first - 1].id in known:
            yield dark_from(string, props, first, mine)
        elif ends:
            yield undecided(props, first, last, mine)
        else:
            for p in props[first : last + 1]:
                yield lone(p, tuple(ids[p.id]))
    others = tuple(i for target, found in ids.items() if target not in {p.id for p in props} for i in found)
    if others:
        yield Diagnosis(
            (string.name,),
            f"something of {string.name} stayed dark where it should have lit",
            f"Walk the props of {string.name} one by one; the first dark one tells where to measure.",
            None,
            others,
        )


def _wrong(layout: Layout, string: StringPlace, left: Sequence[Answered], right: Sequence[str]) -> Iterator[Diagnosis]:
    """Yield what wrong colours mean.

    Args:
        layout: of the display.
        string: which string.
        left: its open answers of wrong colour.
        right: ids of its props whose colours were found right.
    """
    judged: dict[str, tuple[str | None, list[Answered]]] = {}
    rest = []
    for a in left:
        if a.step == "order" and a.seen:
            found = order.judge(a.seen, string.order, string.output, string.light)
            judged.setdefault(found.says, (found.order, []))[1].append(a)
        else:
            rest.append(a)
    for says, (found_order, mine) in judged.items():
        targets = tuple(a.target for a in mine)
        prop = layout.props[layout.prop_rows[targets[0]]]
        if found_order is not None and mine[0].seen[3] == "w" and right:
            says = (
                f"its lights take colours in the order {found_order.upper()}, while those of {', '.join(right[:3])} are "
                f"right with {string.order.upper()}: lights of another make are mixed into {string.name}"
            )
            step = f"Change the lights in {targets[0]}, or move them to an output of their own. Nothing to measure."
            span = None
        elif found_order is not None and mine[0].seen[3] == "w":
            step = (
                f"Change it, then look at the colours of {targets[0]} and of the last prop again; nothing to measure."
            )
            span = None
        else:
            step = f"Measure V+ to V- at the lights in {targets[0]} while they should be white: {expected(prop)}."
            span = voltages(prop)
        yield Diagnosis(targets, f"{', '.join(targets)}: {says}", step, span, tuple(a.id for a in mine))
    for a in rest:
        yield wrong_look(layout, string, a)


def _weak(
    string: StringPlace, props: Sequence[PropPlace], left: Sequence[Answered], known: Mapping[str, str]
) -> Iterator[Diagnosis]:
    ids: dict[str, list[str]] = {}
    for a in left:
        ids.setdefault(a.target, []).append(a.id)
    runs = _runs([p.id in ids for p in props])
    for first, last in runs:
        mine = tuple(i for p in props[first : last + 1] for i in ids[p.id])
        here, end = props[first], props[last]
        to_end = not any(known.get(p.id) == LIT for p in props[last + 1 :])
        if not to_end:
            yield Diagnosis(
                tuple(p.id for p in props[first : last + 1]),
                f"{these(here, end)} dim while props further on are not: their own joints or lights, not the string",
                f"Measure V+ to V- at the lights in {here.id}: {expected(here)}.",
                voltages(here),
                mine,
            )
        else:
            yield weak_end(string, props, first, last, mine)
    whole = tuple(i for target, found in ids.items() if target not in {p.id for p in props} for i in found)
    if whole:
        yield weak_end(string, props, 0, len(props) - 1, whole)


def _flickering(string: StringPlace, props: Sequence[PropPlace], left: Sequence[Answered]) -> Iterator[Diagnosis]:
    ids: dict[str, list[str]] = {}
    for a in left:
        ids.setdefault(a.target, []).append(a.id)
    for first, last in _runs([p.id in ids for p in props]):
        mine = tuple(i for p in props[first : last + 1] for i in ids[p.id])
        here = props[first]
        upstream = span_id(string.name, props[first - 1].number) if first else "the lead"
        says = (
            f"{these(here, props[last]).removesuffix(' is').removesuffix(' are')} flicker: the data is disturbed from "
            f"{here.id} on, or a joint in {upstream} makes poor contact"
        )
        yield Diagnosis(
            (here.id,),
            says,
            f"Move the cable and joints of {upstream} while someone watches; measure V+ to V- at {here.id}: "
            f"{expected(here)}, and it must stand still.",
            voltages(here),
            mine,
        )
    whole = tuple(i for target, found in ids.items() if target not in {p.id for p in props} for i in found)
    if whole:
        yield Diagnosis(
            (string.name,),
            f"{string.name} flickers as a whole: its data at output {string.output}, V- between supply and controller, or "
            "a joint in the lead",
            f"Measure V+ to V- at {props[0].id}: {expected(props[0])}, and it must stand still.",
            voltages(props[0]),
            whole,
        )


def _runs(flags: Sequence[bool]) -> list[tuple[int, int]]:
    """Return first and last of every run of true."""
    runs: list[tuple[int, int]] = []
    for i, flag in enumerate(flags):
        if flag and runs and runs[-1][1] == i - 1:
            runs[-1] = (runs[-1][0], i)
        elif flag:
            runs.append((i, i))
    return runs
