"""The bill: every part to buy, with its quantity and price."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.money.cost.ends import SLEEVE, ends
from hollowglow.analysis.money.cost.known import known_part, ready_made
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import NONE, CableSort


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line of the bill; price and total are None where no price is known."""

    part: str
    about: str
    quantity: float
    unit: str
    price: float | None
    total: float | None


@dataclass(frozen=True, slots=True)
class Bill:
    """All lines with the sum of those that have a price."""

    lines: tuple[BillLine, ...]
    currency: str
    total: float
    unpriced: tuple[str, ...]


class _Lines:
    """Lines that add up; a part may bear the name that a supply, a fuse or a shell has here, and stays its own line."""

    def __init__(self, assembly: Assembly) -> None:
        self.assembly = assembly
        self.counts: dict[tuple[str, str, str], float] = {}
        self.price: dict[tuple[str, str, str], float | None] = {}

    def part(self, name: str, quantity: float, unit: str = "piece") -> None:
        stated = known_part(self.assembly, name)
        self.other(name, stated.about, quantity, stated.price, unit)

    def other(self, name: str, about: str, quantity: float, price: float | None, unit: str = "piece") -> None:
        if quantity > 0:
            key = name, unit, about
            self.counts[key] = self.counts.get(key, 0.0) + quantity
            self.price[key] = price

    def lines(self) -> tuple[BillLine, ...]:
        return tuple(
            BillLine(name, about, quantity, unit, p, None if p is None else round(p * quantity, 2))
            for (name, unit, about), quantity in self.counts.items()
            for p in (self.price[name, unit, about],)
        )


def bill(assembly: Assembly) -> Bill:
    """Return the bill of an Assembly.

    Cable is billed by the metre as cut (drip loops included), extensions by the piece. Of a plug joint at a ready-made
    extension only the half on the prop's side is bought, so two such joints take one pair. The last prop of a string is
    built like the others: it takes a pair whose other half is the cap, or heat-shrink over each core of a bare end.
    """
    display, lines = assembly.display, _Lines(assembly)
    props = np.bincount(assembly.props.kind, minlength=len(display.kinds))
    for count, name in zip(props.tolist(), display.kinds, strict=True):
        _prop_lines(assembly, lines, name, count)
    _cable_lines(assembly, lines)
    _joint_lines(assembly, lines)
    for part, rating in zip(assembly.fuses.part.tolist(), assembly.fuses.rating_a.tolist(), strict=True):
        if part == NONE:
            lines.other(f"fuse {rating:g} A", "a fuse with its holder", 1, None)
        else:
            lines.part(assembly.parts[part], 1)
    for name, supply in display.supplies.items():
        if supply.part is not None and supply.price is None:
            lines.part(supply.part, 1)
        else:
            lines.other(f"supply {name}", "a constant-voltage supply", 1, supply.price)
    for name, controller in display.controllers.items():
        lines.other(f"controller {name}", f"a controller with {controller.outputs} outputs", 1, controller.price)
    return _summed(assembly, lines)


def _summed(assembly: Assembly, lines: _Lines) -> Bill:
    made = lines.lines()
    total = math.fsum(line.total for line in made if line.total is not None)
    unpriced = tuple(line.part for line in made if line.total is None)
    return Bill(made, assembly.display.currency, round(total, 2), unpriced)


def _prop_lines(assembly: Assembly, lines: _Lines, name: str, count: int) -> None:
    """Add what so many props of a kind take beside their cable."""
    kind = assembly.display.kinds[name]
    if kind.shell is not None:
        lines.other(f"shell of {name}", f"{kind.shell.shape} shell", count, kind.shell.price)
    if kind.carrier is not None:
        lines.other(f"carrier of {name}", f"{kind.carrier.shape} inside the shell", count, kind.carrier.price)
    lines.part(kind.fill.light, count * kind.fill.count)
    if kind.gland is not None:
        lines.part(kind.gland.part, count * kind.gland.count)
    if kind.hook is not None:
        lines.part(kind.hook, count)


def bill_words(assembly: Assembly, line: BillLine) -> str | None:
    """Return what sort of thing a line of the bill without a part of its own is, None for a part.

    Args:
        build: the display expanded.
        line: of its bill.
    """
    display, part = assembly.display, line.part
    if part in display.parts and line.about == display.parts[part].about:
        return None
    named = {f"shell of {name}": "shell" for name in display.kinds} | {
        f"carrier of {n}": "carrier" for n in display.kinds
    }
    named |= {f"supply {name}": "supply" for name in display.supplies}
    named |= {f"controller {name}": "controller" for name in display.controllers}
    if part in named:
        return named[part]
    bare = assembly.fuses.rating_a[assembly.fuses.part == NONE].tolist()
    return "fuse" if part in {f"fuse {rating:g} A" for rating in bare} else None


def prop_bill(assembly: Assembly, name: str) -> Bill:
    """Return the bill of one prop of a kind: everything that is in it or hangs at it, its pigtails and inner wiring too."""
    kind, lines = assembly.display.kinds[name], _Lines(assembly)
    _prop_lines(assembly, lines, name, 1)
    if kind.pigtail is not None:
        lines.part(kind.pigtail.cable, round(2.0 * kind.pigtail.length, 3), "m")
    if kind.fill.wiring is not None:
        lines.part(kind.fill.wiring.cable, round(kind.fill.wiring.length * (kind.fill.count - 1), 3), "m")
    return _summed(assembly, lines)


def _cable_lines(assembly: Assembly, lines: _Lines) -> None:
    ready = ready_made(assembly)
    bought = (assembly.cables.sort == CableSort.SPAN) & ready[assembly.cables.string]
    metres = np.bincount(
        assembly.cables.part[~bought], weights=assembly.cables.length_m[~bought], minlength=len(assembly.parts)
    )
    for part in np.flatnonzero(metres).tolist():
        lines.part(assembly.parts[part], round(float(metres[part]), 3), "m")
    gaps = np.diff(assembly.strings.first_prop) - 1
    for string, count in zip(assembly.display.strings.values(), gaps.tolist(), strict=True):
        if string.span is not None and string.span.extension is not None:
            lines.part(string.span.extension, count)


def _joint_lines(assembly: Assembly, lines: _Lines) -> None:
    half = ready_made(assembly)[assembly.joints.string] & np.isin(assembly.joints.sort, (1, 2))
    whole = np.bincount(assembly.joints.part[~half], minlength=len(assembly.parts))
    halves = np.bincount(assembly.joints.part[half], minlength=len(assembly.parts))
    for part in np.flatnonzero(whole + halves).tolist():
        lines.part(assembly.parts[part], int(whole[part]) + math.ceil(int(halves[part]) / 2))
    for end in ends(assembly):
        if end.plug is not None:
            lines.part(end.plug, 1)
        elif end.sleeves:
            lines.part(SLEEVE, end.sleeves)
