"""From a plan to plain values for open forms: photometry, fixture types, fixtures in place, templates to cut."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from hollowglow.analysis.circuit.power import drawer, nominal_voltage
from hollowglow.analysis.prop.inside import ShellFrame
from hollowglow.analysis.prop.making import KindMaking, girth_m
from hollowglow.analysis.prop.making.marks import marks
from hollowglow.analysis.prop.optics import intensity
from hollowglow.assembly.ids import prop_ids
from hollowglow.assembly.tables import CableSort, Floats, Ints, of_string
from hollowglow.draw.forms import (
    DxfFace,
    DxfStrip,
    Fixture,
    FixtureKind,
    FixtureMode,
    Photometry,
    absolute,
    grid,
    hung,
    solid_angle_flux,
    type_c,
)
from hollowglow.draw.forms.package import plain_name
from hollowglow.plan import Plan
from hollowglow.quantity.words import several

VERTICAL_DEG = 5.0
HORIZONTAL_DEG = 15.0
# Props without a place stand along straight lines, one for each string, so far apart.
LINES_APART_M = 1.0
LINE_WORDS = "set out along a straight line for each string, at the lengths of its spans"
STRIP_HIGH_M = 0.024
_NO_SHELL_M = (0.03, 0.03, 0.03)


def watts_of_kinds(plan: Plan) -> Floats:
    """Return what one prop of each kind draws with every colour at full and nominal voltage, W; 0 where none is known."""
    assembly = plan.assembly
    count = len(assembly.kinds.names)
    volts = np.full(count, np.nan)
    nominal = nominal_voltage(assembly)
    for row in range(count):
        own = nominal[assembly.network.load_characteristic == row]
        stated = assembly.kinds.nominal_v[row]
        volts[row] = stated if np.isfinite(stated) else (own[0] if len(own) else np.nan)
    known = np.nan_to_num(volts)
    current, _ = drawer(assembly.network.characteristics, np.arange(count)).node(
        known, np.ones_like(assembly.network.duty)
    )
    watts: Floats = np.where(np.isfinite(volts), current * known * assembly.kinds.nodes, 0.0)
    return watts


def photometry_of(plan: Plan, row: int) -> Photometry | None:
    """Return the photometry of a kind (by row) at full duty and nominal voltage, None where its light is not known.

    The intensities are scaled so that their integral over the grid is the flux that leaves the shell: what one part of a
    shell that is not convex throws onto another leaves it again.
    """
    kind = plan.optics.kinds[row]
    if kind is None:
        return None
    name = plan.assembly.kinds.names[row]
    stated = plan.assembly.display.kinds[name]
    vertical, horizontal = grid(VERTICAL_DEG, HORIZONTAL_DEG)
    ways = type_c(stated.hangs, vertical, horizontal)
    candela = intensity(kind.glow, ways.reshape(-1, 3)).sum(axis=1).reshape(len(horizontal), len(vertical))
    found = solid_angle_flux(vertical, horizontal, candela)
    if found > 0.0:
        candela = candela * float(kind.flux_out_lm.sum()) / found
    return Photometry(
        name,
        stated.about,
        plan.assembly.display.display,
        vertical,
        horizontal,
        candela,
        _opening(plan.making.kinds[row]),
        float(watts_of_kinds(plan)[row]),
    )


def _opening(made: KindMaking) -> tuple[float, float, float]:
    length, width, height = _size_m(made)
    if made.frame is not None and made.frame.ball:
        return (-width, -width, -width)
    if (made.frame is not None and not made.frame.turned) or made.kind.hangs == "on its side":
        return (width, length, height)
    return (-width, -width, height)


def _size_m(made: KindMaking) -> tuple[float, float, float]:
    """Return a prop's size as it hangs: along C0, along C90 and upright, m."""
    frame = made.frame
    if frame is None:
        return _NO_SHELL_M
    length, width, height = np.abs(hung(made.kind.hangs, np.array([frame.sides_m]), np.zeros(3))[0]).tolist()
    return length, width, height


@dataclass(frozen=True)
class CellSlots:
    """The cells of every prop: each prop's slice of them, and the first slot of each through all universes."""

    first: Ints
    slot: Ints


def cells_of(plan: Plan) -> CellSlots:
    """Return the cells of every prop."""
    assembly, signal = plan.assembly, plan.signal
    nodes = assembly.nodes
    string = assembly.props.string[nodes.prop]
    starts = np.flatnonzero((np.diff(string, prepend=-1) != 0) | (np.diff(nodes.cell, prepend=0) != 0))
    count = np.bincount(nodes.prop[starts], minlength=len(assembly.props.kind))
    slot = np.array(
        [absolute(int(u), int(s)) for u, s in zip(signal.universe[starts], signal.slot[starts], strict=True)]
    )
    return CellSlots(np.concatenate([[0], np.cumsum(count)]), slot.astype(np.int64))


def _mode(slots: list[int], colours: int) -> tuple[str, tuple[tuple[int, int], ...], list[int]]:
    """Return the name of the mode that cells at such slots need, its cells, and the slot where each DMX break begins."""
    count = len(slots)
    words = f"{count} cell{'' if count == 1 else 's'} {count * colours} slots"
    whole = (slots[0] - 1) // 512 == (slots[-1] + colours - 2) // 512
    if whole and all(b - a == colours for a, b in pairwise(slots)):
        return words, tuple((1, 1 + colours * i) for i in range(count)), slots[:1]
    # A cell never straddles a universe, so a prop's slots can have a gap: then each cell has an address of its own.
    return f"{words} one by one", tuple((i, 1) for i in range(1, count + 1)), slots


def fixture_kinds(plan: Plan) -> list[FixtureKind | None]:
    """Return every kind as a fixture type, None for one of which the display has no prop."""
    assembly, cells = plan.assembly, cells_of(plan)
    watts = watts_of_kinds(plan)
    modes: list[dict[str, FixtureMode]] = [{} for _ in assembly.kinds.names]
    for prop, row in enumerate(assembly.props.kind.tolist()):
        slots = cells.slot[cells.first[prop] : cells.first[prop + 1]].tolist()
        name, places, _ = _mode(slots, int(assembly.kinds.colours[row]))
        modes[row].setdefault(name, FixtureMode(name, places))
    made: list[FixtureKind | None] = []
    taken: set[str] = set()
    for row, name in enumerate(assembly.kinds.names):
        if not modes[row]:
            made.append(None)
            continue
        own, lit = plan.making.kinds[row], plan.optics.kinds[row]
        colours = int(assembly.kinds.colours[row])
        flux = assembly.kinds.flux_lm[row, :colours] * assembly.kinds.nodes[row] if lit is None else lit.flux_out_lm
        most = max(len(mode.cells) for mode in modes[row].values())
        made.append(
            FixtureKind(
                name=name,
                plain=_unlike(plain_name(name), taken),
                about=own.kind.about,
                display=assembly.display.display,
                shape=_primitive(own.frame),
                size_m=_size_m(own),
                flux_lm=tuple(flux.tolist()),
                xy=tuple((float(x), float(y)) for x, y in assembly.kinds.xy[row, :colours]),
                watts=float(watts[row]),
                cells_m=_cell_places(own, most),
                modes=tuple(sorted(modes[row].values(), key=lambda mode: mode.name)),
            )
        )
    return made


def _primitive(frame: ShellFrame | None) -> Literal["Sphere", "Cylinder", "Cube"]:
    """Return the simple body that stands for a shell."""
    if frame is None or not frame.ball:
        return "Cylinder" if frame is None or frame.turned else "Cube"
    return "Sphere"


def _unlike(name: str, taken: set[str]) -> str:
    """Return a name with a number behind it where it is taken already, also where case does not count."""
    found, count = name, 1
    while found.casefold() in taken:
        count += 1
        found = f"{name} {count}"
    taken.add(found.casefold())
    return found


def _cell_places(made: KindMaking, cells: int) -> tuple[tuple[float, float, float], ...]:
    if cells != len(made.placed.positions):
        return ((0.0, 0.0, 0.0),) * cells
    middle = np.array([0.0, 0.0, 0.0 if made.frame is None else made.frame.height_m / 2.0])
    spots = hung(made.kind.hangs, made.placed.positions, middle).tolist()
    return tuple((x, y, z) for x, y, z in spots)


def positions(plan: Plan) -> Floats:
    """Return the place of every prop, m, shape (props, 3): across, away from who looks at it, up.

    Where the file states places these are they; other strings lie along straight lines at the lengths of their spans, one
    after the other towards the viewer, on the ground. `place_words` tells which.
    """
    assembly = plan.assembly
    stated = plan.placed.spots_m
    made = stated.copy()
    if assembly.display.place.plane == "wall":
        made = np.stack([stated[:, 0], -stated[:, 2], stated[:, 1]], axis=1)
    known = np.isfinite(made[:, 0])
    left = float(made[known, 0].min()) if known.any() else 0.0
    near = float(made[known, 1].min()) - LINES_APART_M if known.any() else 0.0
    lines = 0
    for row in range(len(assembly.strings.names)):
        first, last = assembly.strings.first_prop[row : row + 2].tolist()
        if known[first:last].all():
            continue
        rows = of_string(assembly.cables.string, row)
        length = assembly.cables.stated_m[rows][assembly.cables.sort[rows] == CableSort.SPAN]
        gaps = np.zeros(last - first - 1)
        gaps[: len(length)] = np.maximum(length[: len(gaps)], 0.0)
        made[first:last] = 0.0
        made[first:last, 0] = left + np.concatenate([[0.0], np.cumsum(gaps)])
        made[first:last, 1] = near - LINES_APART_M * lines
        lines += 1
    made += 0.0  # no minus zero
    return made


def place_words(plan: Plan) -> str:
    """Return where `positions` has the props from, in words that follow "props are"."""
    assembly = plan.assembly
    known = np.isfinite(plan.placed.spots_m[:, 0])
    first = assembly.strings.first_prop
    lined = [
        name
        for row, name in enumerate(assembly.strings.names)
        if not known[int(first[row]) : int(first[row + 1])].all()
    ]
    if not lined:
        return "at the places that the file states"
    if not known.any():
        return f"{LINE_WORDS}: the file states no places"
    return f"at the places that the file states, but those of {several(lined, 5)} {LINE_WORDS}"


def fixtures(plan: Plan, kinds: list[FixtureKind | None]) -> Iterator[Fixture]:
    """Yield every prop as a fixture in its place."""
    assembly, cells = plan.assembly, cells_of(plan)
    places = positions(plan).tolist()
    for prop, name in enumerate(prop_ids(assembly)):
        row = int(assembly.props.kind[prop])
        kind = kinds[row]
        assert kind is not None  # every kind with a prop has a fixture type
        slots = cells.slot[cells.first[prop] : cells.first[prop + 1]].tolist()
        mode, _, starts = _mode(slots, int(assembly.kinds.colours[row]))
        addresses = tuple((1 + (slot - 1) // 512, 1 + (slot - 1) % 512) for slot in starts)
        x, y, z = places[prop]
        string = assembly.strings.names[int(assembly.props.string[prop])]
        yield Fixture(name, string, prop + 1, kind.file_name, mode, addresses, (x, y, z))


def faces_of(made: KindMaking) -> Iterator[tuple[str, DxfFace]]:
    """Yield (name, template) of every drilled face of a kind's carrier."""
    if made.carrier is None or made.carrier.bore is None:
        return
    bore = made.carrier.bore.diameter_m
    for template in made.carrier.templates:
        if template.drilled:
            face = template.face
            holes = tuple((hole.u_m, hole.v_m, bore) for hole in template.holes)
            plain = {"+": "plus-", "-": "minus-"}.get(face.name[0], face.name[0]) + face.name[1:]
            title = f"{made.name}: carrier, face {face.name}"
            yield plain, DxfFace(title, face.width_m, face.height_m, face.outline == "round", holes)


def strip_of(made: KindMaking) -> DxfStrip | None:
    """Return the strip that is wrapped round a kind's shell at its widest place, None where it has no holes to mark."""
    found = list(marks(made))
    if made.frame is None or not found:
        return None
    girth, middle = girth_m(made.frame), STRIP_HIGH_M / 2.0
    holes = tuple(
        (girth * mark.angle_deg / 360.0, middle + mark.height_m - made.frame.widest_height_m, mark.diameter_m)
        for mark in found
        if mark.diameter_m is not None and abs(mark.height_m - made.frame.widest_height_m) < middle
    )
    return DxfStrip(f"{made.name}: wrap-around strip", girth, STRIP_HIGH_M, holes)
