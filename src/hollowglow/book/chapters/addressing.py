"""What to type into the controller, in plain terms, and the slots of every cell."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.data.orders import string_orders
from hollowglow.book.page_data import BookSource, Row
from hollowglow.jobs.export.tables import addresses
from hollowglow.quantity.words import percent, several
from hollowglow.view.rows.level_rows import level_row

_SLOTS = 512


def addressing(source: BookSource) -> Row:
    """Return one card for each controller, and one row for each cell."""
    plan = source.plan
    table = [
        {
            "prop": row["prop"],
            "cell": str(row["cell"]),
            "nodes": span_words(row["first_node"], row["last_node"]),
            "slots": f"{row['universe']}/{span_words(row['first_slot'], row['last_slot'])}",
        }
        for row in addresses(plan)
    ]
    return {"cards": [_card(source, name) for name in plan.assembly.controllers], "rows": table}


def span_words(first: int, last: int) -> str:
    """Return numbers from one to another, one alone by itself."""
    return f"{first}" if first == last else f"{first}–{last}"


def _card(source: BookSource, name: str) -> Row:
    plan = source.plan
    assembly = plan.assembly
    controller = assembly.display.controllers[name]
    outputs = plan.signal.outputs
    own = _own_outputs(source, name)
    orders = string_orders(assembly)
    rows = []
    for row in own:
        string = int(outputs.string[row])
        first = int(assembly.strings.first_node[string])
        kind = assembly.kinds
        props = slice(int(assembly.strings.first_prop[string]), int(assembly.strings.first_prop[string + 1]))
        made = assembly.props.kind[props]
        groups = sorted({int(n) for n, g in zip(kind.nodes[made], kind.ganged[made], strict=True) if g and n > 1})
        rows.append(
            {
                "output": str(int(outputs.number[row])),
                "string": assembly.strings.names[string],
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
        "says": _says(source, name),
        "outputs": rows,
        "levels": _levels(source, name),
        "marks": source.marks(name),
    }


def _says(source: BookSource, name: str) -> list[str]:
    controller = source.plan.assembly.display.controllers[name]
    says = [
        f"Input: E1.31 (streaming ACN), {_SLOTS} slots a universe. The first universe is {controller.first_universe}.",
        "Start each output at the universe and slot of the table.",
        *_universe_ends(source, name),
        *_chips(source, name),
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


def _own_outputs(source: BookSource, name: str) -> list[int]:
    plan = source.plan
    which = plan.assembly.controllers.index(name)
    return np.flatnonzero(plan.signal.outputs.controller == which).tolist()


def _universe_ends(source: BookSource, name: str) -> Iterator[str]:
    """Yield where the data of an output run on into the next universe, because no cell lies in two of them."""
    plan = source.plan
    outputs, strings, nodes = plan.signal.outputs, plan.assembly.strings, plan.assembly.nodes
    ends: dict[int, list[str]] = {}
    for row in _own_outputs(source, name):
        string = int(outputs.string[row])
        own = slice(int(strings.first_node[string]), int(strings.first_node[string + 1]))
        colours = plan.assembly.kinds.colours[plan.assembly.props.kind[nodes.prop[own]]]
        universe, last = plan.signal.universe[own], plan.signal.slot[own] + colours - 1
        for number in np.unique(universe).tolist()[:-1]:
            ends.setdefault(int(last[universe == number].max()), []).append(str(int(outputs.number[row])))
    for last_slot, numbers in sorted(ends.items()):
        if last_slot == _SLOTS:
            continue
        yield (
            f"No cell lies in two universes: where output {several(tuple(dict.fromkeys(numbers)), 8)} runs on into the next "
            f"universe, it does so after slot {last_slot}, and the rest up to {_SLOTS} stays empty. A controller that asks for "
            f"the slots of a universe is told {last_slot}."
        )


def _chips(source: BookSource, name: str) -> Iterator[str]:
    """Yield how the lights of the outputs are clocked, which is what the choice of a chip sets."""
    assembly = source.plan.assembly
    kinds = assembly.kinds
    clocks: dict[tuple[float, int], list[str]] = {}
    for row in _own_outputs(source, name):
        string = int(source.plan.signal.outputs.string[row])
        props = slice(int(assembly.strings.first_prop[string]), int(assembly.strings.first_prop[string + 1]))
        for kind in np.unique(assembly.props.kind[props]).tolist():
            clock = (float(kinds.bit_time_s[kind]), int(kinds.bits[kind]))
            clocks.setdefault(clock, []).append(assembly.display.kinds[kinds.names[kind]].fill.light)
    for (bit_s, bits), lights in clocks.items():
        yield (
            f"Chip: one whose data run at {1e-3 / bit_s:,.0f} kHz with {bits} bits for each node, as in "
            f"{several(tuple(dict.fromkeys(lights)), 4)}."
        )


def _levels(source: BookSource, name: str) -> list[Row]:
    found = []
    for row in source.plan.levels:
        made = level_row(row)
        for one in made["settings"]:
            if one["controller"] == name:
                trims = one["trims_percent"]
                found.append(
                    {
                        "kind": made["kind"],
                        "outputs": several(_outputs_of(source, name, made["kind"]), 6),
                        "level": percent(made["level"]),
                        "percent": f"{one['percent']:g} %",
                        "of_255": str(one["of_255"]),
                        "trims": "-" if trims is None else ", ".join(f"{t:g} %" for t in trims),
                        "curve": one["curve"],
                    }
                )
    return found


def _outputs_of(source: BookSource, controller: str, kind: str) -> list[str]:
    """Return the numbers of a controller's outputs that light props of a kind."""
    assembly, outputs = source.plan.assembly, source.plan.signal.outputs
    which = assembly.kinds.names.index(kind)
    lit = set(assembly.props.string[assembly.props.kind == which].tolist())
    return [
        str(int(outputs.number[row])) for row in _own_outputs(source, controller) if int(outputs.string[row]) in lit
    ]
