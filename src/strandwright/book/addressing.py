"""What to type into the controller, in plain terms, and the slots of every cell."""

from __future__ import annotations

import numpy as np

from strandwright.book.parcel import Parcel, Row
from strandwright.findings.words import percent
from strandwright.jobs.export import addresses
from strandwright.jobs.level_rows import level_row
from strandwright.signal.orders import string_orders

_SLOTS = 512


def addressing(parcel: Parcel) -> Row:
    """Return one card for each controller, and one row for each cell."""
    plan = parcel.plan
    table = [
        {
            "prop": row["prop"],
            "cell": str(row["cell"]),
            "nodes": span_words(row["first_node"], row["last_node"]),
            "slots": f"{row['universe']}/{span_words(row['first_slot'], row['last_slot'])}",
        }
        for row in addresses(plan)
    ]
    return {"cards": [_card(parcel, name) for name in plan.build.controllers], "rows": table}


def span_words(first: int, last: int) -> str:
    """Return numbers from one to another, one alone by itself."""
    return f"{first}" if first == last else f"{first}–{last}"


def _card(parcel: Parcel, name: str) -> Row:
    plan = parcel.plan
    build = plan.build
    controller = build.display.controllers[name]
    outputs = plan.signal.outputs
    which = build.controllers.index(name)
    own = np.flatnonzero(outputs.controller == which).tolist()
    orders = string_orders(build)
    rows = []
    for row in own:
        string = int(outputs.string[row])
        first = int(build.strings.first_node[string])
        kind = build.kinds
        props = slice(int(build.strings.first_prop[string]), int(build.strings.first_prop[string + 1]))
        made = build.props.kind[props]
        groups = sorted({int(n) for n, g in zip(kind.nodes[made], kind.ganged[made], strict=True) if g and n > 1})
        rows.append(
            {
                "output": str(int(outputs.number[row])),
                "string": build.strings.names[string],
                "nodes": f"{int(outputs.chain_nodes[row]):,}",
                "universe": f"{int(plan.signal.universe[first])}",
                "slot": f"{int(plan.signal.slot[first])}",
                "slots": f"{int(outputs.slots[row]):,}",
                "last": f"{int(outputs.last_universe[row])}",
                "group": "-" if not (controller.gangs and groups) else " and ".join(str(g) for g in groups),
                "order": orders[string].told,
                "rate": f"{float(outputs.max_rate_hz[row]):,.0f} Hz",
            }
        )
    return {
        "name": name,
        "says": _says(parcel, name),
        "outputs": rows,
        "levels": _levels(parcel, name),
        "marks": parcel.marks(name),
    }


def _says(parcel: Parcel, name: str) -> list[str]:
    controller = parcel.plan.build.display.controllers[name]
    says = [
        f"Input: E1.31 (streaming ACN), {_SLOTS} slots a universe. The first universe is {controller.first_universe}.",
        "Start each output at the universe and slot of the table.",
        "Colour order: the letters of the table, r for red, g for green, b for blue, w for white. If two colours change "
        "places at the test, change the order here, not the wires.",
        f"Frame rate {controller.rate:g} Hz. Each output could be as fast as its table row says.",
    ]
    if controller.gangs:
        says.append(
            "Group: this many nodes in a row show one colour (set as group, zoom or repeat; makers name it "
            "differently). A dash means that each node shows its own."
        )
    else:
        says.append("This controller cannot repeat a colour: every node has slots of its own.")
    return says


def _levels(parcel: Parcel, name: str) -> list[Row]:
    found = []
    for row in parcel.plan.levels:
        made = level_row(row)
        for one in made["settings"]:
            if one["controller"] == name:
                trims = one["trims_percent"]
                found.append(
                    {
                        "kind": made["kind"],
                        "level": percent(made["level"]),
                        "percent": f"{one['percent']:g} %",
                        "of_255": str(one["of_255"]),
                        "trims": "-" if trims is None else ", ".join(f"{t:g} %" for t in trims),
                        "curve": one["curve"],
                    }
                )
    return found
