"""Spliced or plugged: what each way costs a string in money, minutes, joints and volts; and plugs that do not fit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.money.cost.known import known_part
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import run_joint_id
from hollowglow.assembly.resistances import cable_ohm_per_m
from hollowglow.assembly.tables import CableSort, Floats, Ints
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.load import load_part
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.told import Fact

PLUG_MISMATCH = Code(
    "plug-mismatch",
    "stop",
    "feed",
    "the parts' mating shapes",
    ("string", "at", "kind", "plug", "sort", "other", "other_sort"),
)
DEFAULT_SPLICE = "splice-solder"
DEFAULT_PLUG = "plug-3pin-18awg"


@dataclass(frozen=True, slots=True)
class JoiningWay:
    """One way of joining a string's props.

    Attributes:
        how: "spliced" or "plugged".
        parts: the joint, and the cable or extension between.
        cost: of spans and joints, None where a price is unknown.
        minutes: of cutting and joining.
        joints: contacts that can fail.
        drop_v: voltage lost in spans and joints to the prop that loses most at full white, V+ and V- together; an
            estimate at the currents of the plan.
        as_stated: whether the file has it this way.
    """

    how: str
    parts: tuple[str, ...]
    cost: float | None
    minutes: float
    joints: int
    drop_v: float
    as_stated: bool


@dataclass(frozen=True, slots=True)
class Joining:
    """Both ways for one string."""

    string: str
    spliced: JoiningWay
    plugged: JoiningWay


def _extensions(assembly: Assembly) -> list[tuple[str, float, str, str]]:
    """Return (name, length, cable, plug) of every ready-made extension known."""
    found: dict[str, tuple[str, float, str, str]] = {}
    for name in raw_catalogue().with_role("extension"):
        if name not in assembly.display.parts:
            ready = load_part(name).extension
            assert ready is not None
            found[name] = (name, ready.length, ready.cable, ready.plug)
    for name, part in assembly.display.parts.items():
        if part.extension is not None:
            found[name] = (name, part.extension.length, part.extension.cable, part.extension.plug)
    return list(found.values())


def _sum(*terms: tuple[float, float | None]) -> float | None:
    """Return the sum of quantity x price, None where a price is unknown and its quantity is not zero."""
    total = 0.0
    for quantity, price in terms:
        if quantity and price is None:
            return None
        total += quantity * (price or 0.0)
    return round(total, 2)


def compare(assembly: Assembly, plus_a: Floats, minus_a: Floats) -> tuple[Joining, ...]:
    """Return both ways of joining for every string with more than one prop.

    Args:
        build: the display expanded.
        plus_a, minus_a: current of each network edge on the two rails at full white, A, shape (E,).
    """
    cables = assembly.cables
    spans = np.flatnonzero(cables.sort == CableSort.SPAN)
    current = plus_a[cables.edge[spans]] + minus_a[cables.edge[spans]]
    first = np.searchsorted(cables.string[spans], np.arange(len(assembly.strings.names) + 1))
    extensions = _extensions(assembly)
    made = []
    for row, name in enumerate(assembly.strings.names):
        own = slice(int(first[row]), int(first[row + 1]))
        if own.start != own.stop:
            made.append(_compare_one(assembly, name, spans[own], current[own], extensions))
    return tuple(made)


def _compare_one(
    assembly: Assembly, name: str, rows: Ints, current: Floats, extensions: list[tuple[str, float, str, str]]
) -> Joining:
    display = assembly.display
    labour, span = display.labour, display.strings[name].span
    assert span is not None
    lengths = assembly.cables.length_m[rows]
    n = len(rows)
    stated_ready = span.extension is not None
    stated_part = known_part(assembly, span.joint) if span.joint else None
    stated_joint = stated_part.joint if stated_part else None
    stated_plug = stated_ready or (stated_joint is not None and stated_joint.sort == "plug")
    cable = assembly.parts[int(assembly.cables.part[rows[0]])]

    def drop(per_m: float, metres: Floats, joint_ohm: float) -> float:
        return float(np.max(np.cumsum(current * (metres * per_m + 2.0 * joint_ohm)), initial=0.0))

    def minutes(*terms: tuple[float, float]) -> float:
        return sum(times * seconds for times, seconds in terms) / 60.0

    cable_part = known_part(assembly, cable)
    assert cable_part.cable is not None
    per_m = cable_ohm_per_m(cable_part.cable, display.ambient)
    splice = DEFAULT_SPLICE if stated_plug or span.joint is None else span.joint
    splice_part = known_part(assembly, splice)
    assert splice_part.joint is not None
    splice_s = labour.terminal if splice_part.joint.sort == "terminal" else labour.splice
    spliced = JoiningWay(
        "spliced",
        (splice, cable),
        _sum((float(lengths.sum()), cable_part.price), (2 * n, splice_part.price)),
        minutes((n, labour.cut_piece), (2 * n, splice_s)),
        2 * n,
        drop(per_m, lengths, splice_part.joint.resistance),
        not stated_plug and span.joint is not None,
    )
    plug_wanted = span.joint if stated_plug and span.joint else None
    longest = float(lengths.max())
    fitting = [e for e in extensions if e[1] >= longest - 1e-9 and (plug_wanted is None or e[3] == plug_wanted)]
    same = [e for e in fitting if e[2] == cable]
    chosen = min(same or fitting, key=lambda e: e[1], default=None)
    if stated_ready:
        chosen = next(e for e in extensions if e[0] == span.extension)
    if chosen is None or (stated_plug and not stated_ready):
        plug = plug_wanted or DEFAULT_PLUG
        plug_part = known_part(assembly, plug)
        assert plug_part.joint is not None
        plugged = JoiningWay(
            "plugged",
            (plug, cable),
            _sum((float(lengths.sum()), cable_part.price), (2 * n, plug_part.price)),
            minutes((n, labour.cut_piece), (4 * n, labour.fit_plug), (2 * n, labour.plug)),
            2 * n,
            drop(per_m, lengths, plug_part.joint.resistance),
            stated_plug,
        )
        return Joining(name, spliced, plugged)
    extension, length, inner, plug = chosen
    plug_part, inner_part = known_part(assembly, plug), known_part(assembly, inner)
    assert plug_part.joint is not None
    assert inner_part.cable is not None
    plugged = JoiningWay(
        "plugged",
        (plug, extension),
        _sum((n, known_part(assembly, extension).price), (n, plug_part.price)),
        minutes((2 * n, labour.fit_plug), (2 * n, labour.plug)),
        2 * n,
        drop(cable_ohm_per_m(inner_part.cable, display.ambient), np.full(n, length), plug_part.joint.resistance),
        stated_plug,
    )
    return Joining(name, spliced, plugged)


def judge(assembly: Assembly) -> Iterator[Finding]:
    """Yield a finding for every kind on a string whose pigtail plug does not fit the plug of its spans or its lead."""
    for name, string in assembly.display.strings.items():
        yield from _judge_lead(assembly, name)
        span = string.span
        if span is None:
            continue
        ready = known_part(assembly, span.extension).extension if span.extension else None
        joint_name = ready.plug if ready else span.joint
        joint = known_part(assembly, joint_name).joint if joint_name else None
        for kind in dict.fromkeys(run.kind for run in string.props):
            pigtail = assembly.display.kinds[kind].pigtail
            if pigtail is None or pigtail.plug is None:
                continue
            own = known_part(assembly, pigtail.plug).joint
            assert own is not None
            if joint is None or joint.sort != "plug" or joint.mating != own.mating:
                sort = joint.mating or joint.sort if joint else None
                yield _mismatch(
                    (name, kind),
                    {"string": name, "at": "spans", "kind": kind, "plug": pigtail.plug, "sort": own.mating or own.sort},
                    (joint_name if joint else None, sort),
                    () if ready else (Put(("strings", name, "span", "joint"), pigtail.plug),),
                )


def _mismatch(
    where: tuple[str, str], facts: dict[str, Fact], other: tuple[str | None, str | None], edits: tuple[Put, ...]
) -> Finding:
    found = {**facts, "other": other[0], "other_sort": other[1]}
    return PLUG_MISMATCH.found(where, found, [Mend("same-plug", edits=edits)])


def _judge_lead(assembly: Assembly, name: str) -> Iterator[Finding]:
    string = assembly.display.strings[name]
    kind = string.props[0].kind
    pigtail = assembly.display.kinds[kind].pigtail
    if string.lead.joint is None or pigtail is None or pigtail.plug is None:
        return
    joint, own = known_part(assembly, string.lead.joint).joint, known_part(assembly, pigtail.plug).joint
    assert joint is not None
    assert own is not None
    if joint.sort != "plug" or joint.mating != own.mating:
        plug, lead = pigtail.plug, string.lead.joint
        yield _mismatch(
            (run_joint_id(name, 0), kind),
            {"string": name, "at": "lead", "kind": kind, "plug": plug, "sort": own.mating or own.sort},
            (lead, joint.mating or joint.sort),
            (Put(("strings", name, "lead", "joint"), plug),),
        )
