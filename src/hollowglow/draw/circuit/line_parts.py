"""Parts of a single-line diagram: which props are shown and where, fuse symbols, lengths in m and ft."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hollowglow.draw.sheet.markers import Verdict, marker
from hollowglow.draw.sheet.records import Line, Record, Rect, Text
from hollowglow.quantity.quantities import drawn, tell
from hollowglow.quantity.reader import Reader, Units

WORD_MM = 2.8
SMALL_MM = 2.4
_PITCH_MM = 6.0
_HIDDEN_MM = 12.0
_JOINT_MM = 2.8
_LOOSEST = 1.7
_CARRY_MM = 9.0
_SHOW_ALL = 8


@dataclass(frozen=True, slots=True)
class Slot:
    """One place in a drawn row, centred at `x` mm: a prop (number from 1) or a group of `hidden` props.

    `joint_x` is where a feed joins, just before the prop, or None.
    """

    x: float
    prop: int
    hidden: int = 0
    joint_x: float | None = None


def string_rows(props: int, joins: Sequence[int], width_mm: float) -> list[list[Slot]]:
    """Choose the props to show and set them in rows of at most `width_mm`, with room for a mark at its end.

    Shown are the first three, the last and both neighbours of every place where a feed joins (`joins`, from
    1); every prop where there are few. Rows with room to spare are drawn looser.
    """
    shown = set(range(1, props + 1)) if props <= _SHOW_ALL else {1, 2, 3, props}
    for join in joins:
        shown |= {max(1, join - 1), join}
    numbers = sorted(shown)
    slots: list[Slot] = []
    for before, number in zip([0, *numbers], numbers, strict=False):
        left_out = number - before - 1
        if left_out == 1:
            slots.append(Slot(0.0, number - 1))
        elif left_out:
            slots.append(Slot(0.0, before + 1, left_out))
        slots.append(Slot(0.0, number, joint_x=0.0 if number in joins else None))
    whole = sum(map(_room, slots)) <= width_mm
    rows: list[list[Slot]] = [[]]
    used = 0.0
    for slot in slots:
        if not whole and rows[-1] and used + _room(slot) > width_mm - _CARRY_MM:
            rows.append([])
            used = 0.0
        rows[-1].append(slot)
        used += _room(slot)
    return [_set_out(row, width_mm - (0.0 if whole else _CARRY_MM)) for row in rows]


def fuse_symbol(x: float, y: float, rating_a: float, current_a: float, verdict: Verdict) -> list[Record]:
    """Return a fuse in a level line about (x, y), rating above, current below, marked by the verdict."""
    records: list[Record] = [Rect(x - 4.0, y - 1.4, 8.0, 2.8, "fuse"), Line(x - 4.0, y, x + 4.0, y, "cable")]
    role = verdict or "label"
    records.append(Text(x, y - 2.6, f"fuse {rating_a:g} A", SMALL_MM, role, "middle"))
    if math.isfinite(current_a):
        records.append(Text(x, y + 4.2, f"{current_a:.2f} A", SMALL_MM, role, "middle"))
    if verdict:
        records += marker(x - 10.0, y - 3.3, verdict, 1.5)
    return records


def length_words(length_m: float, units: Units = "both") -> str:
    """Return a length, m, in m, in ft, or in both, to the decimal that a tape measure gives."""
    return tell(drawn(length_m), Reader(units))


def _room(slot: Slot) -> float:
    if slot.hidden:
        return _HIDDEN_MM
    return _PITCH_MM + (_JOINT_MM if slot.joint_x is not None else 0.0)


def _set_out(row: list[Slot], width_mm: float) -> list[Slot]:
    stretch = min(_LOOSEST, width_mm / sum(map(_room, row)))
    placed: list[Slot] = []
    at = 0.0
    for slot in row:
        room = _room(slot) * stretch
        if slot.joint_x is None:
            placed.append(replace(slot, x=at + room / 2))
        else:
            x = at + room - _PITCH_MM * stretch / 2
            placed.append(replace(slot, x=x, joint_x=x - 3.2))
        at += room
    return placed
