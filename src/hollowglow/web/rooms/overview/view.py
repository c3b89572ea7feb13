"""The first room: the display as a whole, the numbers that matter, and what is wrong with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from hollowglow.view.rows import document
from hollowglow.web.page.mends import WAYS, place_of

if TYPE_CHECKING:
    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask


def view(plan: Plan, _ask: Ask) -> dict[str, Any]:
    """Return the display's numbers and its findings by weight, each with the place where it is mended."""
    head = document.head(plan, WAYS)
    placed = int(np.isfinite(plan.placed.spots_m[:, 0]).sum())
    lowest = plan.power.coincident_v[plan.power.alive]
    known = lowest[np.isfinite(lowest)]
    return {
        "display": head["display"],
        "about": plan.assembly.display.about or "",
        "lit": any(kind is not None for kind in plan.optics.kinds),
        "numbers": {
            "props": head["counts"]["props"],
            "cells": head["counts"]["cells"],
            "power_w": sum(s["power"] or 0.0 for s in head["supplies"]),
            "cost": head["cost"]["parts"],
            "currency": head["cost"]["currency"],
            "hours": head["cost"]["minutes"] / 60.0,
            "lowest_v": float(known.min()) if len(known) else None,
            "universes": len({u for o in head["outputs"] for u in o["universes"]}),
        },
        "yard": _yard(placed, len(plan.assembly.props.kind)),
        "unplaced": len(plan.assembly.props.kind) - placed,
        "findings": [f | {"mended": place_of(f["code"], f["where"], plan)} for f in head["findings"]],
        "assumptions": head["assumptions"],
    }


def _yard(placed: int, count: int) -> str:
    """Return what the picture of the yard shows, in words."""
    if not placed:
        return "The display at night: no prop has a place yet, so they are set out along rows"
    some = "every prop" if placed == count else f"{placed} of {count} props"
    return f"The yard at night: {some} in place, with computed light at the file's levels"
