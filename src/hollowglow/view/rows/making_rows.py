"""How one kind is built, as plain data: holes with their drills and places, mass, hook load, steps."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from hollowglow.analysis.prop.making import KindMaking
from hollowglow.analysis.prop.making.bores.drills import Drill
from hollowglow.messages.told import phrase

Row = dict[str, Any]
_DIGITS = 6


def _m(value: float | None) -> float | None:
    return None if value is None else round(float(value), _DIGITS)


def _hole(
    where: str, use: str, diameter_m: float | None, drills: tuple[Drill | None, Drill | None], **more: Any
) -> Row:
    metric, inch = drills
    return {
        "where": where,
        "use": use,
        "diameter": _m(diameter_m),
        "drill_metric": metric.name if metric is not None else None,
        "drill_inch": inch.name if inch is not None else None,
        "number": more.get("number"),
        "u": _m(more.get("u")),
        "v": _m(more.get("v")),
        "point": [_m(v) for v in more["point"]] if more.get("point") is not None else None,
    }


def holes(made: KindMaking) -> Iterator[Row]:
    """Yield every hole of one prop: bores of the carrier face by face, cable holes, the drain."""
    if made.carrier is not None and made.carrier.bore is not None:
        bore = made.carrier.bore
        for template in made.carrier.templates:
            for hole in template.holes:
                yield _hole(
                    f"carrier {template.face.name}", "light", bore.diameter_m, (bore.metric, bore.inch),
                    number=hole.light, u=hole.u_m, v=hole.v_m,
                )  # fmt: skip
    cables = made.cables
    if cables is not None:
        points = [None] * cables.count if cables.points_m is None else cables.points_m.tolist()
        for number, point in enumerate(points, 1):
            yield _hole(
                f"shell {cables.place}",
                "cable",
                cables.hole_m,
                (cables.metric, cables.inch),
                number=number,
                point=point,
            )
    drain = made.drain
    if drain.place is not None:
        point = None if drain.point_m is None else drain.point_m.tolist()
        drills = (drain.metric, drain.inch)
        yield _hole(f"shell {drain.place}", "drain", drain.diameter_m, drills, number=1, point=point)


def making_row(made: KindMaking) -> Row:
    """Return how one prop of a kind is built."""
    weight = made.weight
    webs = [] if made.carrier is None else [t.web.width_m for t in made.carrier.templates if t.web is not None]
    return {
        "holes": list(holes(made)),
        "web": _m(min(webs, default=None)) if webs else None,
        "mass_before": _m(weight.before_kg),
        "mass_after": _m(weight.after_kg),
        "mass_unknown": list(weight.unknown_after),
        "hook_load": _m(weight.load_n),
        "switch_stays": None if made.switch is None else made.switch.stays,
        "steps": [
            {
                "step": step.name,
                "how": phrase(step.how),
                "parts": list(step.parts),
                "tools": list(step.tools),
                "minutes": None if step.minutes is None else round(step.minutes, 2),
            }
            for step in made.steps
        ],
    }
