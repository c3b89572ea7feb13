"""What gets a label, in the order of the work: supplies, then string by string its cable ends and props, then boxes."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.data import Signal, output_name
from hollowglow.analysis.site.packing import Packed
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, prop_ids
from hollowglow.assembly.tables import CableSort, of_string
from hollowglow.draw.labels.codes import code_text, modules
from hollowglow.draw.labels.label_sheet import Label
from hollowglow.quantity.quantities import box, run, tell
from hollowglow.quantity.reader import METRIC, US, Reader, Units

_MOST_LETTERS = 36


def labels(
    assembly: Assembly, signal: Signal, packed: Packed, address: str = "", units: Units = "both"
) -> Iterator[Label]:
    """Yield every label.

    Args:
        build: the display expanded.
        signal: its addresses.
        packed: its boxes.
        address: of the phone page that a code opens, empty where there is none.
        units: those of lengths and masses.
    """

    def made(name: str, *lines: str) -> Label:
        return Label(name, lines, modules(code_text(name, address)))

    title = _short(assembly.display.display)
    for name, volts, watts in zip(assembly.supplies, assembly.network.supply_v, assembly.supply_rating_w, strict=True):
        yield made(name, f"supply {volts:g} V {watts:g} W", "only its own V+; V- is common", title)
    for row in range(len(assembly.strings.names)):
        yield from (made(*words) for words in _ends(assembly, row, units))
        yield from (made(*words) for words in _props(assembly, signal, row))
    for number, mass in enumerate(packed.box_kg, 1):
        inside = packed.packing_order(number)
        kilos = tell(box(mass), Reader(units))
        yield made(
            packed.box_id(number),
            f"box {number} of {len(packed.box_kg)}, {len(inside)} things{f', about {kilos}' if mass > 0.0 else ''}",
            f"on top: {inside[-1].thing.id}",
            f"lowest: {inside[0].thing.id}",
            title,
        )


def _ends(assembly: Assembly, row: int, units: Units) -> Iterator[tuple[str, ...]]:
    """Yield the labels of both ends of a string's lead, spans and feeds."""
    rows = of_string(assembly.cables.string, row)
    own = np.arange(rows.start, rows.stop)
    own = own[np.isin(assembly.cables.sort[own], (CableSort.LEAD, CableSort.SPAN, CableSort.FEED))]
    name = assembly.strings.names[row]
    string = assembly.display.strings[name]
    supplies = {feed.before: feed.supply for feed in string.feeds}
    source = output_name(assembly, int(assembly.strings.controller[row]), int(assembly.strings.output[row]))
    for cable, i in zip(cable_ids(assembly, own), own.tolist(), strict=True):
        number, length_m = int(assembly.cables.number[i]), float(assembly.cables.length_m[i])
        length = Reader(units).told(*(_whole(tell(run(length_m), reader)) for reader in (METRIC, US)))
        if assembly.cables.sort[i] == CableSort.LEAD:
            ends = (f"output {source}" + (f", supply {string.supply}" if string.supply else ""), "prop 1")
        elif assembly.cables.sort[i] == CableSort.SPAN:
            ends = (f"prop {number}", f"prop {number + 1}")
        else:
            ends = (f"supply {supplies[number]}", f"prop {number}")
        for end in ends:
            yield cable, f"this end: {end}", f"{length}, {assembly.parts[int(assembly.cables.part[i])]}"


def _props(assembly: Assembly, signal: Signal, row: int) -> Iterator[tuple[str, ...]]:
    first, last = assembly.strings.first_prop[row : row + 2].tolist()
    rows = np.arange(first, last)
    starts = np.searchsorted(assembly.nodes.prop, rows)
    for name, prop, node in zip(prop_ids(assembly, rows), rows.tolist(), starts.tolist(), strict=True):
        kind = assembly.kinds.names[int(assembly.props.kind[prop])]
        yield name, f"{kind}, universe {int(signal.universe[node])}", f"slot {int(signal.slot[node])}"


def _short(title: str) -> str:
    """Return a display's name as a label has room for it, so that the id above it stays large."""
    return title if len(title) <= _MOST_LETTERS else f"{title[: _MOST_LETTERS - 1].rstrip()}…"


def _whole(measure: str) -> str:
    """Return a measure that no line is broken in."""
    return measure.replace(" ", "\u00a0")
