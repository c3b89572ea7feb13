"""What the drawing of a display needs, as plain lists, and the lengths that follow from it."""

from __future__ import annotations

from typing import Any

import numpy as np

from hollowglow.analysis.site.placement import scaling_of
from hollowglow.analysis.site.placement.spacing import width_m
from hollowglow.assembly.ids import cable_ids
from hollowglow.assembly.tables import CableSort
from hollowglow.file.model.site import DrawnMetres
from hollowglow.physics.srgb import linear_srgb, srgb_bytes
from hollowglow.plan import Plan
from hollowglow.view.pictures.yard import prop_xyz, way_m

Row = dict[str, Any]
# A prop without a shell is drawn this wide.
_POINT_M = 0.02


def scene(plan: Plan) -> Row:
    """Return everything that has a place as plain lists, metres, each colour as three numbers from 0 to 255.

    Props stand in one list each for their string (by place in `strings`), number, x, y, z, radius and colour. A colour is
    that of the prop's light at full brightness of the screen, grey where it is not known.
    """
    assembly, display, spots = plan.assembly, plan.assembly.display, plan.placed.spots_m
    own = np.flatnonzero(np.isfinite(spots[:, 0]))
    radii = np.array([max(_POINT_M, width_m(assembly, name)) / 2.0 for name in assembly.kinds.names])
    return {
        "plane": display.place.plane,
        "strings": [_string(plan, row) for row in range(len(assembly.strings.names))],
        "props": {
            "string": assembly.props.string[own].tolist(),
            "number": assembly.props.number[own].tolist(),
            "x": np.round(spots[own, 0], 4).tolist(),
            "y": np.round(spots[own, 1], 4).tolist(),
            "radius": np.round(radii[assembly.props.kind[own]], 4).tolist() if len(own) else [],
            "colour": _colours(prop_xyz(plan)[own]).ravel().tolist(),
        },
        "marks": [
            {"table": table, "name": name, "x": one.at[0], "y": one.at[1]}
            for table, named in (("supplies", display.supplies), ("controllers", display.controllers))
            for name, one in named.items()
            if one.at is not None
        ],
        "backdrop": _backdrop(plan),
    }


def _string(plan: Plan, row: int) -> Row:
    assembly = plan.assembly
    name = assembly.strings.names[row]
    place = assembly.display.strings[name].place
    return {
        "name": name,
        "count": int(assembly.strings.first_prop[row + 1] - assembly.strings.first_prop[row]),
        "placed": place is not None,
        "line": None if place is None or place.line is None else [[p[0], p[1]] for p in place.line],
        "way": [] if place is None else [[round(x, 4), round(y, 4)] for x, y in way_m(plan, row)],
        "moved": [] if place is None else [m.prop for m in place.moved],
    }


def _colours(xyz: Any) -> Any:
    linear = np.clip(linear_srgb(np.nan_to_num(xyz)), 0.0, None)
    top = linear.max(axis=-1, keepdims=True) if len(linear) else np.ones((0, 1))
    shown = np.where(top > 0.0, linear / np.where(top > 0.0, top, 1.0), 0.25)
    return np.asarray(srgb_bytes(shown), dtype=int)


def _backdrop(plan: Plan) -> Row | None:
    stated = plan.assembly.display.place.backdrop
    if stated is None:
        return None
    try:
        matrix = scaling_of(stated).matrix.ravel().tolist()
        trouble = ""
    except ValueError as error:
        matrix, trouble = None, f"place.backdrop: {error}."
    return {
        "picture": stated.picture,
        "matrix": matrix,
        "trouble": trouble,
        "points": [list(p) for p in stated.points] if stated.points is not None else None,
        "length": stated.length,
        "corners": [list(p) for p in stated.corners] if stated.corners is not None else None,
        "width": stated.width,
        "height": stated.height,
    }


def string_lengths(plan: Plan, string: str) -> list[Row]:
    """Return lead, spans and feeds of a string: what each measures, and whether the drawing or the file says so."""
    assembly = plan.assembly
    cables, stated = assembly.cables, assembly.display.strings[string]
    number = assembly.strings.names.index(string)
    sorts = (CableSort.LEAD, CableSort.SPAN, CableSort.FEED)
    rows = np.flatnonzero((cables.string == number) & np.isin(cables.sort, sorts))
    spans = stated.span.length or () if stated.span is not None else ()
    feeds = {feed.before: feed for feed in stated.feeds}
    made = []
    for ident, row in zip(cable_ids(assembly, rows.tolist()), rows.tolist(), strict=True):
        sort, at = cables.sort[row], int(cables.number[row])
        if sort == CableSort.LEAD:
            words, length = f"Lead, from {stated.output.controller} to prop 1", stated.lead.length
        elif sort == CableSort.SPAN:
            words = f"Span, prop {at} to prop {at + 1}"
            length = (spans[0] if len(spans) == 1 else spans[at - 1]) if spans else float(cables.length_m[row])
        else:
            feed = feeds[at]
            words, length = f"Feed, from {feed.supply} to prop {at}", feed.length
        made.append(
            {
                "id": ident,
                "what": words,
                "part": assembly.parts[int(cables.part[row])],
                "length": round(float(cables.length_m[row]), 6),
                "drawn": isinstance(length, DrawnMetres),
            }
        )
    return made
