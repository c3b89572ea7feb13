"""The room where unlike kinds are made to look alike: the levels of the file, and those that match."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, get_args

from strandwright.jobs.level_rows import level_row
from strandwright.match import By
from strandwright.plan import Plan
from strandwright.workbench.rooms.room import Ask


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return the levels of the file, and those that the last search found."""
    return {
        "levels": [level_row(row) for row in plan.levels],
        "fields": [{"label": f"{row.kind}, level", "path": ["levels", row.kind]} for row in plan.levels],
        "measured": [
            {"kind": name, "source": one.source}
            for name, one in zip(plan.build.kinds.names, plan.optics.measured or (), strict=False)
            if one is not None
        ],
        "found": ask.brought("match"),
        "ways": list(get_args(By)),
    }


def wanted(form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the search for levels that match."""
    by, cap = form.get("by", ""), form.get("cap", "").strip()
    return (by if by in get_args(By) else None, cap or None), "Looking for levels that match"
