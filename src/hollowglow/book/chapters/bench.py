"""One build sheet for each kind: what is in it, the steps, the holes, the wiring in words, templates at true size."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hollowglow.analysis.prop.making import KindMaking
from hollowglow.book.measures import Measures
from hollowglow.book.page_data import BookSource, Row
from hollowglow.draw.prop.template import drill_template
from hollowglow.draw.sheet.records import Drawing
from hollowglow.jobs.export.strips import wrap_strips
from hollowglow.messages.told import phrase
from hollowglow.plan import Plan
from hollowglow.quantity.reader import Units
from hollowglow.quantity.words import percent
from hollowglow.view.pictures.end_templates import end_templates
from hollowglow.view.pictures.kinds import section_of, templates_of

_NOTHING_M = 5e-5


def bench(source: BookSource) -> list[Row]:
    """Return the build sheet of every kind."""
    return [_kind(source, row) for row in range(len(source.plan.assembly.kinds.names))]


def _kind(source: BookSource, row: int) -> Row:
    plan, say = source.plan, source.measures
    assembly = plan.assembly
    made = plan.making.kinds[row]
    kind = made.kind
    count = int((assembly.props.kind == row).sum())
    drills = _drills(say, made)
    minutes = [s.minutes for s in made.steps if s.minutes is not None]
    weight = made.weight
    facts = [
        ("to build", f"{count:,}"),
        ("lights", f"{kind.fill.count} × {kind.fill.light}"),
        ("shows", "one colour" if kind.fill.gang or kind.fill.count == 1 else f"{kind.fill.count} colours of its own"),
        ("level", percent(assembly.display.level(made.name))),
        ("hangs", kind.hangs),
        ("hook", kind.hook or "none stated"),
        ("gland", "none" if kind.gland is None else f"{kind.gland.count} × {kind.gland.part}, {kind.gland.at}"),
        ("drain", _drain(source, made)),
        ("mass", "not known" if not math.isfinite(weight.after_kg) else say.mass(weight.after_kg)),
        ("work on one", f"{sum(minutes):.0f} min (estimate)"),
    ]
    return {
        "name": made.name,
        "about": kind.about,
        "facts": facts,
        "picture": source.picture(section_of(plan, row, say.units)),
        "steps": [_step(s.name, phrase(s.how, source.reader), s.parts, _tools(s.tools, drills)) for s in made.steps],
        "tools": sorted({tool for s in made.steps for tool in _tools(s.tools, drills)}),
        "parts": sorted({part for s in made.steps for part in s.parts}),
        "holes": list(_holes(source, made)),
        "wiring": list(_wiring(source, made)),
        "templates": [source.picture(sheet) for sheet in template_sheets(plan, row, say.units)],
        "marks": source.marks(made.name, *_own(source, made.name)),
    }


def _drills(say: Measures, made: KindMaking) -> dict[str, str]:
    """Return what the reader calls each drill of a kind, by its metric name."""
    bore = None if made.carrier is None else made.carrier.bore
    drills = [(hole.metric, hole.inch) for hole in (bore, made.cables, made.drain) if hole is not None]
    return {mm.name: say.drill(mm.name, inch.name) for mm, inch in drills if mm is not None and inch is not None}


def _tools(tools: tuple[str, ...], drills: dict[str, str]) -> list[str]:
    """Return tools with the drill that ends their name as the reader calls it."""
    told = []
    for tool in tools:
        old = next((name for name in drills if tool.endswith(f" {name}")), "")
        told.append(tool.removesuffix(old) + drills[old] if old else tool)
    return told


def _own(source: BookSource, kind: str) -> list[str]:
    """Return the parts that a kind is made of: what is wrong with one of them is wrong with the kind."""
    fill = source.plan.assembly.display.kinds[kind].fill
    return [fill.light]


def _step(name: str, how: str, parts: tuple[str, ...], tools: list[str]) -> Row:
    return {"name": name, "how": how, "parts": list(parts), "tools": tools}


def _drain(source: BookSource, made: KindMaking) -> str:
    drain = made.drain
    if drain.place is None:
        return "none"
    return f"{source.measures.small(drain.diameter_m)}, {drain.place}"


def _holes(source: BookSource, made: KindMaking) -> Iterator[Row]:
    """Yield every hole with its drill and its place: bores from the middle of their face, others as the shell stands."""
    say = source.measures

    def row(where: str, use: str, size: float | None, drill: str, place: str) -> Row:
        return {
            "where": where,
            "use": use,
            "size": "-" if size is None else say.small(size),
            "drill": drill,
            "place": place,
        }

    if made.carrier is not None and made.carrier.bore is not None:
        bore = made.carrier.bore
        drill = say.drill(bore.metric.name, bore.inch.name)
        for template in made.carrier.templates:
            for hole in template.holes:
                place = _from_middle(say, hole.u_m, hole.v_m)
                yield row(f"carrier, face {template.face.name}", f"light {hole.light}", bore.diameter_m, drill, place)
    cables = made.cables
    if cables is not None:
        drill = say.drill(cables.metric.name if cables.metric else None, cables.inch.name if cables.inch else None)
        points = [None] * cables.count if cables.points_m is None else cables.points_m.tolist()
        for number, point in enumerate(points, 1):
            yield row(
                f"shell, {cables.place}", f"cable {number}", cables.hole_m, drill or "to the cable", _place(say, point)
            )
    drain = made.drain
    if drain.place is not None:
        point = None if drain.point_m is None else drain.point_m.tolist()
        drill = say.drill(drain.metric.name if drain.metric else None, drain.inch.name if drain.inch else None)
        yield row(f"shell, {drain.place}", "drain", drain.diameter_m, drill, _place(say, point))


def _place(say: Measures, point: list[float] | None) -> str:
    if point is None:
        return "where it fits"
    x, y, z = point
    aside = math.hypot(x, y)
    beside = "on the axis" if aside < _NOTHING_M else f"{say.small(aside)} from the axis"
    return f"{beside}, {'level with the base' if abs(z) < _NOTHING_M else f'{say.small(z)} above the base'}"


def _from_middle(say: Measures, right_m: float, up_m: float) -> str:
    """Return where on a face a hole lies, without a way that is none."""
    ways = ((right_m, "right", "left"), (up_m, "up", "down"))
    told = [_way(say, value, plus, minus) for value, plus, minus in ways if abs(value) >= _NOTHING_M]
    return f"{', '.join(told)} from the middle" if told else "in the middle"


def _way(say: Measures, value_m: float, plus: str, minus: str) -> str:
    return f"{say.small(abs(value_m))} {minus if value_m < -_NOTHING_M else plus}"


def _wiring(source: BookSource, made: KindMaking) -> Iterator[Row]:
    """Yield each core of the pigtails with its function in words, from where to where it goes."""
    fill = made.kind.fill
    last = f"light {fill.count}"
    every = "the light" if fill.count == 1 else f"lights 1 to {fill.count}, one after the other"
    spare = _cores(source, made)
    yield {"core": "plus (V+)", "in": f"to the plus of {every}", "out": f"from the plus of {last}"}
    yield {"core": "data", "in": "to the data input (DI) of light 1", "out": f"from the data output (DO) of {last}"}
    yield {"core": "minus (V−, ground)", "in": f"to the minus of {every}", "out": f"from the minus of {last}"}
    if spare > 3:
        yield {"core": f"{spare - 3} more", "in": "not used: insulate the end", "out": "not used: insulate the end"}


def _cores(source: BookSource, made: KindMaking) -> int:
    pigtail = made.kind.pigtail
    part = None if pigtail is None else source.plan.assembly.display.parts.get(pigtail.cable)
    return 3 if part is None or part.cable is None else part.cable.cores


def template_sheets(plan: Plan, row: int, units: Units = "both") -> Iterator[Drawing]:
    """Yield every template of a kind, sizes in `units`: the faces of its carrier, then the ends of its shell."""
    for _, sheet in templates_of(plan, row, units):
        yield sheet
    made = plan.making.kinds[row]
    for _, template in end_templates(made, units):
        yield from drill_template(template)
    if made.frame is not None and (made.frame.by_points or _on_the_side(made)):
        yield from wrap_strips(made, units)


def _on_the_side(made: KindMaking) -> bool:
    return made.drain.place == "side" or (made.cables is not None and made.cables.place == "side")
