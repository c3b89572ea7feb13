"""The room of the data: how full each output is, how fast it can be, and which light has which address."""

from __future__ import annotations

from typing import Any

from strandwright.jobs import document, export
from strandwright.plan import Plan
from strandwright.workbench.rooms.room import Ask


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return the outputs with their limits, and the addresses of one string's props."""
    names = list(plan.build.strings.names)
    string = ask.query.get("string", "")
    controllers = plan.build.display.controllers
    outputs = [
        row
        | {
            "most_nodes": controllers[row["id"].rpartition("/")[0]].nodes_per_output,
            "wanted_rate": controllers[row["id"].rpartition("/")[0]].rate,
        }
        for row in document.rows(document.outputs(plan))
    ]
    rows = list(export.addresses(plan))
    return {
        "outputs": outputs,
        "strings": names,
        "string": string if string in names else names[0],
        "columns": list(rows[0]) if rows else [],
        "addresses": rows,
    }
