"""The room where power is planned: each string's voltages, the way from supply to last prop, fuses, and feed plans."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from strandwright.jobs import document
from strandwright.jobs.feed import standing
from strandwright.plan import Plan
from strandwright.workbench.rooms.room import Ask


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return one string's numbers and what may be changed about it, all fuses, and all supplies."""
    names = list(plan.build.strings.names)
    chosen = ask.query.get("string", "")
    string = chosen if chosen in names else _worst(plan, names)
    stated = plan.build.display.strings[string]
    fuses = list(document.rows(document.fuses(plan)))
    errand = ask.errand
    return {
        "plans": errand.result.data if errand is not None and errand.result is not None else None,
        "strings": names,
        "string": string,
        "missing": chosen if chosen and chosen not in names else "",
        "supply": stated.supply,
        "about": stated.about or "",
        "standing": standing(plan, string),
        "fields": [
            {"label": "Fed by the supply", "path": ["strings", string, "supply"]},
            {"label": "Lead, cable", "path": ["strings", string, "lead", "cable"]},
            {"label": "Lead, length", "path": ["strings", string, "lead", "length"]},
            {"label": "Span, cable", "path": ["strings", string, "span", "cable"]},
            {"label": "Span, length", "path": ["strings", string, "span", "length"]},
            {"label": "Fuse at the supply", "path": ["strings", string, "fuse"]},
        ],
        "fuses": fuses,
        "supplies": list(document.rows(document.supplies(plan))),
    }


def wanted(_form: Mapping[str, str]) -> tuple[str, tuple[Any, ...], str]:
    """Return the search for the cheapest feed plans."""
    return "feed", (), "Looking for the cheapest way to feed every string"


def _worst(plan: Plan, names: list[str]) -> str:
    """Return the string with the gravest finding, the first one where there is none."""
    for finding in plan.findings:
        for where in finding.where:
            if where.split("/")[0] in names:
                return where.split("/")[0]
    return names[0]
