"""Boxes filled from the top down in hanging order, so that what is hung first lies on top and was packed last."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from hollowglow.analysis.site.packing.things import PackingThing
from hollowglow.file.model.storage import Packing


@dataclass(frozen=True, slots=True)
class PackedThing:
    """A thing in its box.

    Attributes:
        thing: what.
        hang: its place in the hanging order, from 1.
        box: number of its box, from 1; boxes are opened in this order.
        layer: counted from the top, from 1.
        pack: its place in the packing order of its box, from 1; the last lies on top.
        fits: whether the box is large enough for it at all; if not it travels by itself.
    """

    thing: PackingThing
    hang: int
    box: int
    layer: int
    pack: int
    fits: bool


@dataclass(frozen=True, slots=True)
class Packed:
    """Everything in its box, in hanging order, with the mass that is known of each box, kg."""

    things: tuple[PackedThing, ...]
    box_kg: tuple[float, ...]

    def box_id(self, number: int) -> str:
        """Return the name of a box, as its label says."""
        return f"box{number:02d}"

    def packing_order(self, number: int) -> tuple[PackedThing, ...]:
        """Return what goes into a box, the first to put in first: the reverse of the hanging order."""
        return tuple(sorted((one for one in self.things if one.box == number), key=lambda one: one.pack))


class _Filling:
    """A box being filled, in rows of a layer and layers on each other; turned by a right angle where that fits better."""

    def __init__(self, box: Packing) -> None:
        self.box = box
        self.high = self.layer_high = self.row_at = self.row_deep = self.across = self.kg = 0.0
        self.layer = 1
        self.count = 0

    def holds_alone(self, size: tuple[float, float, float]) -> bool:
        box = self.box
        return size[0] <= max(box.width, box.depth) and size[1] <= min(box.width, box.depth) and size[2] <= box.height

    def add(self, thing: PackingThing) -> int | None:
        """Return the layer that a thing goes into, None where the box is full."""
        pad = 2.0 * self.box.padding
        size = (thing.width_m + pad, thing.depth_m + pad, thing.height_m + pad)
        along, deep = max(self.box.width, self.box.depth), min(self.box.width, self.box.depth)
        if self.count and self.kg + thing.mass_kg > self.box.mass + 1e-9:
            return None
        if not self.holds_alone(size):
            return None
        if size[0] <= deep:
            size = (size[1], size[0], size[2])
        state = self.high, self.layer_high, self.row_at, self.row_deep, self.across, self.layer
        if self.across + size[0] > along + 1e-9:
            self.row_at, self.row_deep, self.across = self.row_at + self.row_deep, 0.0, 0.0
        if self.row_at + max(self.row_deep, size[1]) > deep + 1e-9:
            self.high, self.layer_high = self.high + self.layer_high, 0.0
            self.row_at = self.row_deep = self.across = 0.0
            self.layer += 1
        if self.high + max(self.layer_high, size[2]) > self.box.height + 1e-9:
            self.high, self.layer_high, self.row_at, self.row_deep, self.across, self.layer = state
            return None
        self.across += size[0]
        self.row_deep, self.layer_high = max(self.row_deep, size[1]), max(self.layer_high, size[2])
        self.kg += thing.mass_kg
        self.count += 1
        return self.layer


def analyse(box: Packing, hung: Iterable[PackingThing]) -> Packed:
    """Return the boxes of what is hung.

    Args:
        box: the inside of one box.
        hung: everything, in hanging order.
    """
    found: list[tuple[PackingThing, int, int, bool]] = []
    weights: list[float] = []
    filling: _Filling | None = None
    for thing in hung:
        layer = None if filling is None else filling.add(thing)
        if layer is None:
            filling = _Filling(box)
            layer = filling.add(thing)
            weights.append(0.0)
        weights[-1] += thing.mass_kg
        found.append((thing, len(weights), layer or 1, layer is not None))
        if layer is None:
            filling = None
    in_box = [0] * (len(weights) + 1)
    for _, number, _, _ in found:
        in_box[number] += 1
    placed = []
    for hang, (thing, number, layer, fits) in enumerate(found, 1):
        placed.append(PackedThing(thing, hang, number, layer, in_box[number], fits))
        in_box[number] -= 1
    return Packed(tuple(placed), tuple(weights))
