"""The room where everything gets its place: the drawing, what lengths follow from it, and how far apart props look."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hollowglow.assembly.ids import owner
from hollowglow.jobs.site.places import place_document
from hollowglow.jobs.start.parts import parts_of
from hollowglow.view.rows.scene import scene, string_lengths
from hollowglow.web.page import measures

if TYPE_CHECKING:
    from hollowglow.file import Display
    from hollowglow.file.model.display import String
    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask

# So many props stand in the table of one page.
ROWS = 100


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return the scene, and one string's places, lengths, spacing and fields."""
    assembly, display = plan.assembly, plan.assembly.display
    names = list(assembly.strings.names)
    asked = ask.query.get("string", "")
    drawn = scene(plan)
    string = asked if asked in names else _first(drawn, names)
    stated, about = display.strings[string], next(s for s in drawn["strings"] if s["name"] == string)
    document = place_document(plan)
    lengths = string_lengths(plan, string)
    return {
        "scene": drawn,
        "strings": names,
        "string": string,
        "missing": asked if asked and asked not in names else "",
        "set_out": about,
        "unplaced": [s["name"] for s in drawn["strings"] if not s["placed"]],
        "viewing": display.viewing,
        "spacing": next((s for s in document["spacing"] if s["string"] == string), None),
        "hung": next((h for h in document["hung"] if h["string"] == string), None),
        "hook": stated.place.hook if stated.place is not None else None,
        "findings": [f | {"mended": ""} for f in document["findings"] if any(owner(w) == string for w in f["where"])],
        "lengths": lengths,
        "total": sum(one["length"] for one in lengths),
        "all_drawn": all(one["drawn"] for one in lengths if one["part"] != _extension(stated)),
        "table": _table(plan, string, ask),
        "sources": _sources(plan, ask.units),
        "homeless": None if display.controllers[stated.output.controller].at else stated.output.controller,
        "fields": _fields(string, stated, about, display, ask.units),
        "line_like": line_like(ask.units),
        "picture": drawn["backdrop"]["picture"] if drawn["backdrop"] else None,
        "backdrop": drawn["backdrop"],
    }


def _first(drawn: dict[str, Any], names: list[str]) -> str:
    """Return the string that still needs a place, else the first one."""
    return next((s["name"] for s in drawn["strings"] if not s["placed"]), names[0])


def _extension(stated: String) -> str | None:
    return stated.span.extension if stated.span is not None else None


def _table(plan: Plan, string: str, ask: Ask) -> dict[str, Any]:
    """Return the places of some of a string's props: number, kind, and both lengths as they would be typed."""
    assembly = plan.assembly
    row = assembly.strings.names.index(string)
    first, last = int(assembly.strings.first_prop[row]), int(assembly.strings.first_prop[row + 1])
    typed = ask.query.get("from", "")
    begin = min(max(int(typed[:6]) if typed.isdecimal() else 1, 1), last - first)
    spots = plan.placed.spots_m[first:last]
    own = range(begin - 1, min(begin - 1 + ROWS, last - first))
    return {
        "begin": begin,
        "end": own.stop,
        "count": last - first,
        "rows": [
            {
                "number": i + 1,
                "kind": assembly.kinds.names[int(assembly.props.kind[first + i])],
                "x": measures.spot(float(spots[i, 0]), ask.units),
                "y": measures.spot(float(spots[i, 1]), ask.units),
            }
            for i in own
            if np.isfinite(spots[i, 0])
        ],
    }


def _sources(plan: Plan, units: measures.Units) -> list[dict[str, Any]]:
    """Return supplies and controllers, with their places as they would be typed, empty where they have none."""
    display = plan.assembly.display
    made = []
    for table, word, named in (
        ("supplies", "supply", display.supplies),
        ("controllers", "controller", display.controllers),
    ):
        for name, one in named.items():
            x, y = (measures.spot(v, units) for v in one.at[:2]) if one.at is not None else ("", "")
            made.append({"table": table, "word": word, "name": name, "x": x, "y": y})
    return made


def line_like(units: measures.Units) -> str:
    """Return a line as the file says it, for a hint."""
    return "[[0 m, 2 m], [4 m, 2 m]]" if units == "metric" else "[[0 ft, 6 ft], [13 ft, 6 ft]]"


def _fields(
    string: str, stated: String, about: dict[str, Any], display: Display, units: measures.Units
) -> dict[str, list[dict[str, Any]]]:
    root = ["strings", string]
    own: list[tuple[str, tuple[str, ...], str, list[str]]] = [
        ("Lead, length", ("lead", "length"), "a length, drawn, or straight", []),
        ("Span, length", ("span", "length"), "a length, drawn, or straight", [])
        if _extension(stated) is None
        else ("Span, extension", ("span", "extension"), "a ready-made extension", parts_of("extension", display)),
    ]
    if about["line"] is not None:
        own += [
            ("Line", ("place", "line"), f"its points, like {line_like(units)}", []),
            ("Pitch along the line", ("place", "pitch"), "empty: spread evenly", []),
            ("First prop from the line's beginning", ("place", "start"), "", []),
            (
                "Sag of the longest stretch",
                ("place", "sag"),
                "where it hangs freely between the points of its line",
                [],
            ),
            ("Hook", ("place", "hook"), "that it hangs on", parts_of("hook", display)),
        ]
    whole: list[tuple[str, tuple[str, ...], str, list[str]]] = [
        ("People look from", ("viewing",), "like 10 m or 30 ft", []),
        ("Slack of drawn lengths", ("place", "slack"), "like 5 %", []),
        ("Drip loop of every lead, span and feed", ("drip_loop",), "like 60 mm", []),
        ("Seen", ("place", "plane"), "wall: from the front; plan: from above", ["wall", "plan"]),
    ]
    return {
        "string": [{"label": a, "path": [*root, *k], "hint": h, "choices": c} for a, k, h, c in own],
        "display": [{"label": a, "path": list(k), "hint": h, "choices": c} for a, k, h, c in whole],
    }
