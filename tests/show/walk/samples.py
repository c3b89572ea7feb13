"""Displays to walk, and a display with faults in it that shows what a person would see."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from hollowglow.file import load_text
from hollowglow.plan import Plan, make_plan
from hollowglow.show.demand import AddressMap
from hollowglow.show.walk import Layout, layout_of
from tests.assembly.samples import CONSTANT_CURRENT, stated
from tests.outside.displays import dump

LETTERS = {
    (0, 0, 0): "-",
    (1, 0, 0): "r",
    (0, 1, 0): "g",
    (0, 0, 1): "b",
    (1, 1, 1): "w",
    (1, 1, 0): "y",
    (0, 1, 1): "c",
    (1, 0, 1): "m",
}


def two_strings() -> dict[str, Any]:
    """Twelve ganged floats of six lights on one output, and stars of three single lights with a float on another."""
    display = stated(CONSTANT_CURRENT, fill={"count": 6, "gang": True}, string={"fuse": "5 A"})
    display["kinds"]["star"] = {"fill": {"light": "light", "count": 3, "gang": False}}
    display["strings"]["tree"] = {
        **display["strings"]["rail"],
        "output": "box/2",
        "props": ["5 * star", "float"],
    }
    return display


def plan_of(display: dict[str, Any]) -> Plan:
    return make_plan(load_text(dump(display)))


@dataclass(frozen=True)
class Wired:
    """A display as it was really wired: what its lights show of a frame, node by node.

    Attributes:
        plan: of the file.
        true_order: the order in which every light really takes its colours.
        dark_from: prop row of `rail` from which data does not go on, None where it does.
        swapped_node: one node whose order differs from the others, None where there is none.
    """

    plan: Plan
    true_order: str = "rgb"
    told: str = "rgb"
    dark_from: int | None = None
    swapped_node: int | None = None

    def shown(self, frame: np.ndarray) -> list[str]:
        """The colour of each node, as a letter, from the slots alone."""
        table, signal = self.plan.assembly.nodes, self.plan.signal
        universes = AddressMap.of(self.plan.assembly).universes
        shown = []
        for node in range(len(table.prop)):
            row, slot = universes.index(int(signal.universe[node])), int(signal.slot[node]) - 1
            slots = dict(zip("rgb", frame[row, slot : slot + 3].tolist(), strict=True))
            order = self.true_order if node != self.swapped_node else "gbr"
            light = {lit: slots[sent] for sent, lit in zip(self.told, order, strict=True)}
            dead = self.dark_from is not None and int(table.prop[node]) >= self.dark_from
            shown.append("-" if dead else LETTERS[tuple(int(light[c] > 0) for c in "rgb")])  # type: ignore[index]
        return shown

    def props(self, frame: np.ndarray) -> list[set[str]]:
        """The colours within each prop."""
        nodes = self.shown(frame)
        prop = self.plan.assembly.nodes.prop.tolist()
        found: list[set[str]] = [set() for _ in self.plan.assembly.props.string]
        for row, letter in zip(prop, nodes, strict=True):
            found[row].add(letter)
        return found


def layout() -> Layout:
    return layout_of(plan_of(two_strings()))
