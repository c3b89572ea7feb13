"""What a phone can read: the display as a whole, and each string with its voltages and addresses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hollowglow.assembly.ids import owner
from hollowglow.web.page.rooms import Ask

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hollowglow.plan import Plan


@dataclass(frozen=True)
class Page:
    """A page to read: its title, and what makes its data from a plan and the query of its address."""

    title: str
    view: Callable[[Plan, Mapping[str, str]], dict[str, Any]]


def whole(plan: Plan, _query: Mapping[str, str]) -> dict[str, Any]:
    """Return the display's numbers and findings."""
    from hollowglow.web.rooms.overview import view as overview

    return overview.view(plan, Ask({}, "metric"))


def strings(plan: Plan, query: Mapping[str, str]) -> dict[str, Any]:
    """Return one string: what feeds it, its fuses, and the addresses of its props."""
    from hollowglow.jobs.export import tables as export
    from hollowglow.view.rows import plan_tables

    names = list(plan.assembly.strings.names)
    asked = query.get("string", "")
    name = asked if asked in names else names[0]
    stated = plan.assembly.display.strings[name]
    rows = [row for row in export.addresses(plan) if row["string"] == name]
    return {
        "strings": names,
        "string": name,
        "about": stated.about or "",
        "output": f"{stated.output.controller}/{stated.output.number}",
        "supplies": list(stated.supplies),
        "fuses": [row for row in plan_tables.rows(plan_tables.fuses(plan)) if owner(row["id"]) == name],
        "columns": [key for key in (rows[0] if rows else {}) if key not in ("string",)],
        "addresses": rows,
    }


PAGES = {"overview": Page("Overview", whole), "strings": Page("Strings", strings)}
