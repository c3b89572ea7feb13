"""The room of the data: how full each output is, how fast it can be, and which light has which address."""

from __future__ import annotations

from itertools import islice
from typing import TYPE_CHECKING, Any

import numpy as np

from hollowglow.analysis.data.orders import string_orders
from hollowglow.assembly.ids import owner
from hollowglow.jobs.export import tables as export
from hollowglow.view.rows import plan_tables

if TYPE_CHECKING:
    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask

MOST_ROWS = 500
_WORDS = {"r": "red", "g": "green", "b": "blue", "w": "white"}


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return the outputs with their limits, and the addresses of one string's props."""
    names = list(plan.assembly.strings.names)
    asked = ask.query.get("string", "")
    string = asked if asked in names else names[0]
    row = names.index(string)
    nodes = int((plan.assembly.props.string[plan.assembly.nodes.prop] == row).sum())
    cells = int(np.sum(plan.signal.outputs.cells[plan.signal.outputs.string == row]))
    return {
        "outputs": [_output(plan, one) for one in plan_tables.rows(plan_tables.outputs(plan))],
        "strings": names,
        "string": string,
        "missing": asked if asked and asked not in names else "",
        "nodes": nodes,
        "cells": cells,
        "order": _order(plan, row),
        "addresses": list(islice(export.addresses(plan, string), MOST_ROWS)),
    }


def _output(plan: Plan, one: dict[str, Any]) -> dict[str, Any]:
    controller = plan.assembly.display.controllers[owner(one["id"])]
    return one | {
        "most_nodes": controller.nodes_per_output,
        "wanted_rate": controller.rate,
        "wanted_time": 1.0 / controller.rate,
    }


def _order(plan: Plan, row: int) -> dict[str, Any]:
    """Return in which order the controller sends a string's colours, whether the file says so, and which lights differ."""
    assembly = plan.assembly
    sent = string_orders(assembly)[row]
    lights = {assembly.kinds.lights[k] for k in set(assembly.props.kind[assembly.props.string == row].tolist())}
    letters = sent.told
    return {
        "letters": letters,
        "words": ", ".join(_WORDS.get(letter, letter) for letter in letters),
        "stated": sent.stated is not None,
        "differ": sorted(light for light in lights if not sent.fits(assembly.display, light)),
    }
