"""What a walk needs of a plan, by name: every prop with its cells, address and voltages, every string and its feeds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from hollowglow.analysis.data import output_name
from hollowglow.analysis.data.orders import string_orders
from hollowglow.assembly.ids import prop_ids

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hollowglow.plan import Plan


@dataclass(frozen=True, slots=True)
class PropPlace:
    """One prop.

    Attributes:
        id, kind: names.
        string: row of its string.
        number: counted from 1 along the string.
        cells: rows of its cells in the display's colours.
        lights: driver chips in it.
        universe, slot: where its first cell is addressed.
        full_v: lowest mean voltage across its lights with everything at full white, V; NaN where there is none.
        supply_v: voltage of its string's supply with nothing lit, V.
        colours: how many colours its light has.
    """

    id: str
    kind: str
    string: int
    number: int
    cells: range
    lights: int
    universe: int
    slot: int
    full_v: float
    supply_v: float
    colours: int


@dataclass(frozen=True, slots=True)
class FeedPlace:
    """Power that comes in before a prop (counted from 1); `cut` where V+ before it is open."""

    before: int
    supply: str
    cut: bool


@dataclass(frozen=True, slots=True)
class StringPlace:
    """One string: its output, controller and supply, rows of its props, its feeds, and its colour order.

    `order` is the order in which the controller sends colours as the file states it, such as grb; `light` is the part
    of its first prop.
    """

    name: str
    output: str
    controller: str
    supply: str
    props: range
    fused: bool
    feeds: tuple[FeedPlace, ...]
    order: str
    light: str


@dataclass(frozen=True)
class Layout:
    """All props in the order of the build, all strings, the supplies, and how many cells there are."""

    display: str
    props: tuple[PropPlace, ...]
    strings: tuple[StringPlace, ...]
    supplies: tuple[str, ...]
    cells: int

    @cached_property
    def prop_rows(self) -> Mapping[str, int]:
        """Return the row of each prop by its id."""
        return {prop.id: row for row, prop in enumerate(self.props)}

    @cached_property
    def string_rows(self) -> Mapping[str, int]:
        """Return the row of each string by its name."""
        return {string.name: row for row, string in enumerate(self.strings)}

    @cached_property
    def output_rows(self) -> Mapping[str, int]:
        """Return the row of the string on each output, by the output's name."""
        return {string.output: row for row, string in enumerate(self.strings)}

    def supplied(self, supply: str) -> tuple[int, ...]:
        """Return the rows of the strings that a supply feeds at their start or further on."""
        return tuple(
            row
            for row, string in enumerate(self.strings)
            if string.supply == supply or any(feed.supply == supply for feed in string.feeds)
        )


def layout_of(plan: Plan) -> Layout:
    """Return what a walk needs of a plan."""
    assembly = plan.assembly
    orders = string_orders(assembly)
    kinds, strings, nodes = assembly.kinds, assembly.strings, assembly.nodes
    string_of_node = assembly.props.string[nodes.prop]
    counts = np.zeros(len(strings.names), np.int64)
    np.maximum.at(counts, string_of_node, nodes.cell)
    offset = np.concatenate([[0], np.cumsum(counts)])
    cell = offset[string_of_node] + nodes.cell - 1
    first = np.searchsorted(nodes.prop, np.arange(len(assembly.props.string) + 1))
    across = np.where(plan.power.alive, plan.power.across_v, np.nan)[nodes.load]
    supply_v = dict(zip(assembly.supplies, assembly.network.supply_v.tolist(), strict=True))
    files = [assembly.display.strings[name] for name in strings.names]
    supplies = [assembly.supplies[row] if row >= 0 else "" for row in strings.supply.tolist()]
    props = []
    for row, name in enumerate(prop_ids(assembly)):
        own = slice(int(first[row]), int(first[row + 1]))
        kind, string = int(assembly.props.kind[row]), int(assembly.props.string[row])
        lowest = across[own]
        props.append(
            PropPlace(
                id=name,
                kind=kinds.names[kind],
                string=string,
                number=int(assembly.props.number[row]),
                cells=range(int(cell[own.start]), int(cell[own.stop - 1]) + 1),
                lights=own.stop - own.start,
                universe=int(plan.signal.universe[own.start]),
                slot=int(plan.signal.slot[own.start]),
                full_v=float(lowest.min()) if np.isfinite(lowest).all() else math.nan,
                supply_v=supply_v.get(supplies[string], math.nan),
                colours=int(kinds.colours[kind]),
            )
        )
    places = tuple(
        StringPlace(
            name=name,
            output=output_name(assembly, int(strings.controller[row]), int(strings.output[row])),
            controller=assembly.controllers[int(strings.controller[row])],
            supply=supplies[row],
            props=range(int(strings.first_prop[row]), int(strings.first_prop[row + 1])),
            fused=files[row].fuse is not None,
            feeds=tuple(FeedPlace(f.before, f.supply, f.cut) for f in files[row].feeds),
            order=orders[row].told,
            light=assembly.display.kinds[files[row].props[0].kind].fill.light,
        )
        for row, name in enumerate(strings.names)
    )
    return Layout(assembly.display.display, tuple(props), places, assembly.supplies, int(offset[-1]))
