"""The room of the build book: its chapters as pages, and what can be taken away: the book, labels, open files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hollowglow.analysis.circuit import commission
from hollowglow.assembly.ids import owner
from hollowglow.book import PAPERS, UNITS, BookSource, Measures
from hollowglow.book import contents as chapters
from hollowglow.draw.labels.sheets import SHEETS
from hollowglow.web.page.mends import WAYS, place_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask, Wanted

Row = dict[str, Any]
PARTS = {
    "parts": "Parts to buy",
    "cuts": "Cut list",
    "kinds": "Build sheets",
    "strings": "String sheets",
    "power": "From the wall to the props",
    "addresses": "What to type into controllers",
    "hanging": "Hanging and packing",
    "commissioning": "Commissioning",
    "repair": "Repair page",
    "cautions": "Cautions",
    "assumptions": "Assumptions",
}


def view(plan: Plan, ask: Ask) -> Row:
    """Return one chapter of the book, the same data that the PDF is made from, and what can be taken away."""
    part = ask.query.get("part", "")
    part = part if part in PARTS else "parts"
    # Pictures of the pages come by their own addresses, so none is drawn along.
    source = BookSource(plan, Measures("both", ask.units == "us"), drawn=False)
    made = _WAYS[part](source)
    about = _about(part, plan, ask)
    if about["names"]:
        made = next(one for one in made if one["name"] == about["name"])
    return {
        "parts": [{"name": name, "title": title} for name, title in PARTS.items()],
        "part": part,
        "title": PARTS[part],
        **about,
        "chapter": made,
        "findings": _findings(plan, part, about["name"]),
        "taken": {task: ask.brought(task) for task in ("book", "labels", "export")},
        "papers": list(PAPERS),
        "units": list(UNITS),
        "sheets": list(SHEETS),
    }


def _findings(plan: Plan, part: str, name: str) -> list[Row]:
    """Return what stands against building what a page shows: of a sheet its own, of cautions all, else what says stop."""
    return [
        {"severity": f.severity, "message": f.message, "mend": f.mend_told(ways=WAYS), "basis": f.basis}
        | {"mended": place_of(f.code, f.where, plan)}
        for f in plan.findings
        if (name in {owner(where) for where in f.where} and f.severity != "note")
        or part == "cautions"
        or (not name and f.severity == "stop")
    ]


def _about(part: str, plan: Plan, ask: Ask) -> Row:
    """Return the kinds or strings that a chapter has a sheet for each of, and which one is shown."""
    assembly = plan.assembly
    names = {"kinds": list(assembly.kinds.names), "strings": list(assembly.strings.names)}.get(part, [])
    asked = ask.query.get("name", "")
    return {
        "names": names,
        "name": asked if asked in names else names[0] if names else "",
        "missing": asked if asked and asked not in names else "",
    }


def _commissioning(source: BookSource) -> Row:
    return chapters.commissioning(source, commission.analyse(source.plan.assembly))


def _repair(source: BookSource) -> list[Row]:
    return chapters.repair(source, commission.analyse(source.plan.assembly))


def _cuts(source: BookSource) -> list[Row]:
    return [
        {"string": one["name"], "runs": one["runs"], "inner": one["inner"], "ready": one["ready"]}
        for one in chapters.strings(source)
    ]


_WAYS: dict[str, Callable[[BookSource], Any]] = {
    "parts": chapters.bill,
    "cuts": _cuts,
    "kinds": chapters.bench,
    "strings": chapters.strings,
    "power": chapters.wiring,
    "addresses": chapters.addressing,
    "hanging": chapters.hanging,
    "commissioning": _commissioning,
    "repair": _repair,
    "assumptions": chapters.assumptions_of,
    "cautions": chapters.cautions,
}


def book_wanted(form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the making of the book as PDF."""
    paper, units = form.get("paper", ""), form.get("units", "")
    return (paper if paper in PAPERS else PAPERS[0], units if units in UNITS else UNITS[0]), "Making the book"


def labels_wanted(form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the making of the labels as PDF."""
    units = form.get("label_units", "")
    sheet, address = form.get("sheet", "").strip(), form.get("address", "").strip()
    return (sheet, address, units if units in UNITS else UNITS[0]), "Making the labels"


def export_wanted(_form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the writing of every open form."""
    return (), "Writing every open form"


WANTED: dict[str, Wanted] = {"book": book_wanted, "labels": labels_wanted, "export": export_wanted}
