"""The room where power is planned: each string's voltages, single-line diagrams, fuses, and feed plans."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hollowglow.assembly.ids import owner
from hollowglow.jobs.feed import standing
from hollowglow.jobs.start.parts import parts_of
from hollowglow.view.rows import plan_tables

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask, Wanted


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return one string's numbers and what may be changed about it, all fuses, and all supplies."""
    names = list(plan.assembly.strings.names)
    chosen = ask.query.get("string", "")
    string = chosen if chosen in names else _worst(plan, names)
    display = plan.assembly.display
    stated = display.strings[string]
    supplies = list(display.supplies)
    cables, fuse_parts = parts_of("cable", display), parts_of("fuse", display)
    fuses = list(plan_tables.rows(plan_tables.fuses(plan)))
    return {
        "tolerance": ask.brought("tolerance"),
        "plans": ask.brought("feed"),
        "strings": names,
        "string": string,
        "missing": chosen if chosen and chosen not in names else "",
        "supply": stated.supply,
        "powered_by": list(stated.supplies),
        "about": stated.about or "",
        "standing": standing(plan, string),
        "supply_names": supplies,
        "controllers": list(display.controllers),
        "kinds": list(display.kinds),
        "fields": [
            {"label": label, "path": ["strings", string, *keys], "choices": choices}
            for label, keys, choices in (
                ("Fed by the supply", ("supply",), supplies),
                ("Lead, cable", ("lead", "cable"), cables),
                ("Lead, length", ("lead", "length"), []),
                ("Span, cable", ("span", "cable"), cables),
                ("Span, length", ("span", "length"), []),
                ("Fuse at the supply", ("fuse",), fuse_parts),
                ("Props, in data order", ("props",), []),
            )
        ],
        "fuses": fuses,
        "supplies": list(plan_tables.rows(plan_tables.supplies(plan))),
    }


def wanted(_form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the search for the cheapest feed plans."""
    return (), "Looking for the cheapest way to feed every string"


def sampled(_form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the search for how surely the display stays within its limits."""
    return (), "Sampling real parts, again and again"


def _worst(plan: Plan, names: list[str]) -> str:
    """Return the string with the gravest finding, the first one where there is none."""
    for finding in plan.findings:
        for where in finding.where:
            if owner(where) in names:
                return owner(where)
    return names[0]


WANTED: dict[str, Wanted] = {"feed": wanted, "tolerance": sampled}
