"""A string hung between hooks: the pull along its cable and on every hook."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.making import Making
from hollowglow.analysis.prop.making.mass import GRAVITY_M_S2
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import CableSort, Floats
from hollowglow.file.reading.drawn_lengths import hung_line
from hollowglow.physics import catenary, lines


@dataclass(frozen=True, eq=False)
class Hung:
    """A string that hangs freely between the points of its line.

    Its weight counts as spread evenly over its length. Wind, ice and the weight of feeds are left out.

    Attributes:
        string: its name.
        length_m: of the cable from the first hook to the last.
        sag_m: of each stretch between two hooks, shape (h - 1,).
        weight_n: of props and cable in all.
        pull_n: greatest pull along the cable.
        hooks_n: load of each hook, shape (h,).
        hook: name of the part that it hangs on, None where none is stated.
        holds_kg: what that holds.
        unknown: parts without a stated mass, which come on top.
    """

    string: str
    length_m: float
    sag_m: Floats
    weight_n: float
    pull_n: float
    hooks_n: Floats
    hook: str | None
    holds_kg: float | None
    unknown: tuple[str, ...]


def hung(assembly: Assembly, making: Making, row: int, sag_m: float | None = None) -> Hung | None:
    """Return how a string (by row) hangs, None where it does not.

    Args:
        build: the display expanded.
        making: what its props weigh.
        row: of the string.
        sag_m: in place of the sag that the file states.

    Raises:
        ValueError: when it cannot sag so far.
    """
    name = assembly.strings.names[row]
    place = assembly.display.strings[name].place
    if place is None or place.line is None or place.sag is None:
        return None
    plane = assembly.display.place.plane
    place = place if sag_m is None else place.model_copy(update={"sag": sag_m})
    line, c = hung_line(place, plane)
    assert c is not None
    length = float(lines.marks_m(line)[-1])
    mass, unknown = _mass(assembly, making, row)
    per_m = mass * GRAVITY_M_S2 / length
    points = np.array(place.line)
    up = 1 if plane == "wall" else 2
    pulls, forces, sags = [0.0], np.zeros_like(points), []
    for at, step in enumerate(np.diff(points, axis=0)):
        flat = np.delete(step, up)
        span, rise = float(np.linalg.norm(flat)), float(step[up])
        if span < 1e-9:
            forces[at if rise < 0 else at + 1, up] -= per_m * abs(rise)
            sags.append(0.0)
            continue
        across, first, second = catenary.pulls_n(c, span, per_m, rise)
        # Each hook is drawn along the stretch, and carries the weight up to the stretch's lowest point.
        lowest = span / 2.0 - c * np.arcsinh(rise / (2.0 * c * np.sinh(span / (2.0 * c))))
        toward = np.insert(flat / span, up, 0.0)
        forces[at] += across * toward
        forces[at + 1] -= across * toward
        forces[at, up] -= per_m * c * np.sinh(lowest / c)
        forces[at + 1, up] -= per_m * c * np.sinh((span - lowest) / c)
        pulls += [first, second]
        sags.append(catenary.sag_m(c, span, rise))
    part = assembly.display.parts[place.hook].hook if place.hook is not None else None
    return Hung(
        string=name,
        length_m=length,
        sag_m=np.array(sags),
        weight_n=mass * GRAVITY_M_S2,
        pull_n=max(pulls),
        hooks_n=np.linalg.norm(forces, axis=1),
        hook=place.hook,
        holds_kg=None if part is None else part.holds,
        unknown=unknown,
    )


def _mass(assembly: Assembly, making: Making, row: int) -> tuple[float, tuple[str, ...]]:
    """Return the mass of a string's props and spans, kg, and what has no stated mass."""
    first, last = assembly.strings.first_prop[row], assembly.strings.first_prop[row + 1]
    counts = np.bincount(assembly.props.kind[first:last], minlength=len(assembly.kinds.names))
    total = 0.0
    unknown: list[str] = []
    for kind, count in zip(making.kinds, counts.tolist(), strict=True):
        if count:
            total += count * kind.weight.after_kg
            unknown += kind.weight.unknown_after
    cables = assembly.cables
    spans = (cables.string == row) & (cables.sort == CableSort.SPAN)
    for part in np.unique(cables.part[spans]).tolist():
        each = assembly.display.parts[assembly.parts[part]].mass
        metres = float(cables.length_m[spans & (cables.part == part)].sum())
        total += metres * (each or 0.0)
        unknown += [assembly.parts[part]] if each is None else []
    return total, tuple(dict.fromkeys(unknown))


def sag_for(assembly: Assembly, making: Making, row: int, load_n: float) -> float | None:
    """Return the least sag, in steps of 1 cm, at which no hook of a string (by row) carries more than a load.

    None where no sag up to a quarter of the longest stretch does it.
    """
    made = hung(assembly, making, row)
    place = assembly.display.strings[assembly.strings.names[row]].place
    if made is None or place is None or place.line is None or place.sag is None:
        return None
    up = 1 if assembly.display.place.plane == "wall" else 2
    level = np.linalg.norm(np.delete(np.diff(np.array(place.line), axis=0), up, axis=1), axis=1)
    steps = np.arange(np.floor(place.sag * 100.0) + 1.0, np.ceil(25.0 * float(level.max())) + 1.0) / 100.0
    low, high = 0, len(steps)
    while low < high:  # a longer sag never pulls more, up to here
        middle = (low + high) // 2
        tried = hung(assembly, making, row, float(steps[middle]))
        if tried is not None and float(tried.hooks_n.max()) <= load_n:
            high = middle
        else:
            low = middle + 1
    return float(steps[low]) if low < len(steps) else None
