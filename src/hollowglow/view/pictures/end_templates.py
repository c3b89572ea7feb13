"""The drill templates of a shell's two ends, seen along its axis: cable holes and the drain."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.prop.making import KindMaking
from hollowglow.draw.forms import DxfFace
from hollowglow.draw.prop.template import DrillHole, FaceOutline, FaceTemplate
from hollowglow.file.model.kind import Place
from hollowglow.quantity.reader import Units

_RIM_M = 0.012
_ENDS: tuple[Place, ...] = ("base", "tip")


def end_templates(made: KindMaking, units: Units = "both") -> Iterator[tuple[Place, FaceTemplate]]:
    """Yield (end, template) of each end of a kind's shell that has holes, sizes told in `units`.

    Each is a disc of paper with its middle on the axis, wide enough for its holes.
    """
    for place in _ENDS:
        holes = tuple(_holes(made, place))
        if holes:
            yield place, _template(made, place, holes, units)


def end_faces(made: KindMaking) -> Iterator[tuple[str, DxfFace]]:
    """Yield (name, face) of the same templates for a machine that cuts them."""
    for place, template in end_templates(made):
        holes = tuple((*hole.at_m, hole.diameter_m) for hole in template.holes)
        face = template.face
        yield f"shell-{place}", DxfFace(template.title, face.width_m, face.height_m, face.round, holes)


def _holes(made: KindMaking, place: Place) -> Iterator[DrillHole]:
    cables, drain = made.cables, made.drain
    if cables is not None and cables.place == place and cables.points_m is not None and cables.hole_m is not None:
        for x, y, _ in cables.points_m.tolist():
            yield DrillHole((x, y), cables.hole_m)
    if drain.place == place and drain.point_m is not None:
        yield DrillHole((float(drain.point_m[0]), float(drain.point_m[1])), drain.diameter_m)


def _template(made: KindMaking, place: Place, holes: tuple[DrillHole, ...], units: Units) -> FaceTemplate:
    reach = max(math.hypot(*hole.at_m) + hole.diameter_m / 2.0 for hole in holes)
    size = 2.0 * (reach + _RIM_M)
    frame = made.frame
    flat = frame is not None and bool(np.isinf(frame.bend_m(place)))
    bend = () if flat else ("the end is curved: measured straight on, across the axis",)
    return FaceTemplate(
        title=f"{made.name}: shell, {place} end",
        face=FaceOutline(size, size, round=True),
        holes=holes,
        notes=("the edge is that of the paper, its middle the axis of the prop", *bend),
        units=units,
    )
