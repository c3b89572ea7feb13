"""What this display is, what may hurt in it, and what the tool still finds wrong with it."""

from __future__ import annotations

import numpy as np

from hollowglow.assembly.ids import prop_ids
from hollowglow.book.page_data import BookSource, Row
from hollowglow.messages import SEVERITY_WORDS
from hollowglow.quantity.words import amps, percent, several, volts, watts
from hollowglow.view.pictures.circuit import distances_m
from hollowglow.view.pictures.kinds import glow_of_kinds
from hollowglow.view.pictures.yard import yard_drawing

# Points of light with a glow around them look no finer on paper at more.
_PIXELS_A_MM = 5.0


def front(source: BookSource) -> Row:
    """Return the title page and the display at a glance: picture, counts, kinds, strings, supplies."""
    plan = source.plan
    assembly = plan.assembly
    display, units = assembly.display, source.measures.units
    looks = glow_of_kinds(plan, units=units)
    night = looks
    if plan.placed.any:
        night = yard_drawing(plan, night=True, behind=source.behind, pixels_a_mm=_PIXELS_A_MM, units=units)
    return {
        "name": display.display,
        "about": display.about,
        "picture": source.picture(night),
        "behind": source.behind_words,
        "looks": None if night is looks else source.picture(looks),
        "counts": _counts(source),
        "kinds": _kinds(source),
        "strings": _strings(source),
        "supplies": _supplies(source),
        "stops": [f.told(source.reader) for f in source.stops],
    }


def _counts(source: BookSource) -> list[list[str]]:
    plan = source.plan
    assembly = plan.assembly
    cells = int(plan.signal.outputs.cells.sum())
    counts = [
        (len(assembly.props.string), "prop"),
        (len(assembly.strings.names), "string"),
        (len(assembly.nodes.prop), "node"),
        (cells, "cell"),
        (len(assembly.supplies), "supply"),
        (len(assembly.controllers), "controller"),
    ]
    plural = {"supply": "supplies"}
    counted = [[f"{n:,}", word if n == 1 else plural.get(word, f"{word}s")] for n, word in counts if n]
    hours = sum(one.minutes for one in plan.cost.operations) / 60.0
    cost = [[f"{plan.cost.bill.total:,.0f}", f"{plan.cost.bill.currency} of parts"]] if plan.cost.bill.total else []
    return [*counted, *cost, [f"{hours:,.0f}", "hours of work (estimate)"]]


def _kinds(source: BookSource) -> list[Row]:
    assembly = source.plan.assembly
    count = np.bincount(assembly.props.kind, minlength=len(assembly.kinds.names)).tolist()
    rows = []
    for name, props in zip(assembly.kinds.names, count, strict=True):
        kind = assembly.display.kinds[name]
        rows.append(
            {
                "name": name,
                "about": kind.about,
                "props": f"{props:,}",
                "fill": f"{kind.fill.count} × {kind.fill.light}",
                "level": percent(assembly.display.level(name)),
            }
        )
    return rows


def _strings(source: BookSource) -> list[Row]:
    plan, say = source.plan, source.measures
    assembly = plan.assembly
    rows = []
    for row, (name, stated) in enumerate(assembly.display.strings.items()):
        reach = distances_m(plan, row)
        rows.append(
            {
                "name": name,
                "about": stated.about,
                "props": f"{stated.prop_count:,}",
                "output": str(stated.output),
                "supply": stated.supply or "none of its own",
                "reach": say.run(float(reach[-1])) if len(reach) else "-",
            }
        )
    return rows


def _supplies(source: BookSource) -> list[Row]:
    plan = source.plan
    assembly = plan.assembly
    current = plan.power.mean.supply_a
    power = current * assembly.network.supply_v
    return [
        {
            "name": name,
            "voltage": volts(float(assembly.network.supply_v[i])),
            "rating": watts(float(assembly.supply_rating_w[i])),
            "load": f"{watts(float(power[i]))}, {amps(float(current[i]))}",
            "share": percent(float(power[i] / assembly.supply_rating_w[i])),
        }
        for i, name in enumerate(assembly.supplies)
    ]


def cautions(source: BookSource) -> list[Row]:
    """Return the cautions that belong to this very display, each with a head and its words."""
    assembly = source.plan.assembly
    display = assembly.display
    supplies = list(assembly.supplies)
    said: list[tuple[str, str]] = []
    if supplies:
        circuits = list(display.mains)
        place = f" Its mains side is fed by {several(circuits, 4)}." if circuits else ""
        said.append(
            (
                "Mains",
                f"{_count(len(supplies), 'supply', 'supplies')} ({several(supplies, 4)}) "
                f"{'turn' if len(supplies) > 1 else 'turns'} mains into low voltage.{place} Mains wiring is not part of "
                "this book: local codes decide, and a licensed electrician does it. Every outdoor circuit goes through "
                "a residual-current device (RCD, GFCI). Supplies stand dry, upright and with air around them.",
            )
        )
        volt = sorted({f"{v:g} V" for v in assembly.network.supply_v.tolist()})
        said.append(
            (
                "Low voltage still burns",
                f"{several(volt, 4)} does not shock a dry hand, but {_total(source)} can set a bad joint alight. Fuse "
                "every run as the sheets say, and never replace a fuse by a larger one.",
            )
        )
    shared = _shared(source)
    if len(supplies) > 1:
        said.append(
            (
                "One V+ per supply",
                "Never join the plus of two supplies. All minus cores are common. "
                + (
                    f"Strings with more than one supply: {several(shared, 5)}; V+ is cut where their sheets say so."
                    if shared
                    else "In this display every string has one supply."
                ),
            )
        )
    joints = len(assembly.joints.string)
    if joints:
        kinds = sorted({assembly.parts[p] for p in assembly.joints.part.tolist()})
        said.append(
            (
                "Wet joints",
                f"{_count(joints, 'joint hangs', 'joints hang')} out in the rain ({several(kinds, 5)}). "
                "Each is made dry, sealed, and hung with a drip loop so that water "
                "runs off below it. Work on them only with the supply unplugged.",
            )
        )
    said.append(
        (
            "Ladders",
            f"{_count(len(assembly.props.string), 'prop is', 'props are')} hung by hand.{_highest(source)} "
            "Level ground, one person at the foot, never in wind or frost, tools on a lanyard, and no reaching beyond the "
            "rails. What can be joined on the ground is joined on the ground.",
        )
    )
    said.append(
        (
            "What you build is not a listed product",
            "Props that someone built carry no approval, and this book claims none. Ratings and rules here defer to "
            "local codes and to licensed electricians.",
        )
    )
    return [{"head": head, "words": words} for head, words in said]


def _count(number: int, one: str, many: str) -> str:
    return f"{number:,} {one if number == 1 else many}"


def _highest(source: BookSource) -> str:
    """Return how high the highest prop hangs, empty where no place is known."""
    placed, plane = source.plan.placed, source.plan.assembly.display.place.plane
    if not placed.any:
        return ""
    up = np.nan_to_num(placed.spots_m[:, 1 if plane == "wall" else 2], nan=-np.inf)
    top = int(np.argmax(up))
    if up[top] <= 0.0:
        return ""
    return (
        f" The highest, {prop_ids(source.plan.assembly)[top]}, hangs {source.measures.run(float(up[top]))} above the "
        "level that the file measures from."
    )


def _total(source: BookSource) -> str:
    assembly = source.plan.assembly
    largest = int(np.argmax(assembly.supply_rating_w))
    return f"{watts(float(assembly.supply_rating_w[largest]))} from {assembly.supplies[largest]}"


def _shared(source: BookSource) -> list[str]:
    return [name for name, s in source.plan.assembly.display.strings.items() if len(s.supplies) > 1]


def findings(source: BookSource) -> list[Row]:
    """Return every finding that is still open, the gravest first."""
    return [
        {
            "severity": f.severity,
            "word": SEVERITY_WORDS[f.severity],
            "code": f.code,
            "where": several(f.where, 6),
            "message": f.told(source.reader),
            "mend": f.mend_told(source.reader),
            "basis": f.basis,
        }
        for f in source.plan.findings
    ]
