"""Holes in the shell for the cables: how wide, where, what seat a gland finds there, and what it closes round."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside.frame import ShellFrame, sagitta_m
from hollowglow.analysis.prop.making.bores import drills
from hollowglow.assembly import Assembly
from hollowglow.file.model.kind import Kind, Place
from hollowglow.file.model.parts import Gland

Floats = NDArray[np.float64]

# Estimates of our own, from the glands of one's drawer: flange and nut across corners, room for a spanner between two,
# the thread behind the flange and the nut on it.
FLANGE_PER_THREAD = 1.5
SPANNER_M = 0.002
THREAD_LENGTH_M = 0.008
NUT_M = 0.004
# What a hole may be wider than the thread: less does not go in, more lets the seal ring slip into the gap (estimate).
CLEARANCE_M = (0.0001, 0.001)
# What a hole without a gland is wider than its cable, so that sealant gets between (estimate).
SEALANT_M = 0.0005
# A gap under the flange that its seal ring still closes (estimate).
RING_TAKES_M = 0.0005


@dataclass(frozen=True, slots=True)
class PassingCable:
    """A cable that goes through a hole of the shell; diameter in m, None where its part does not state it."""

    part: str
    diameter_m: float | None


@dataclass(frozen=True)
class Seat:
    """What a gland's flange finds at its place.

    Attributes:
        flange_m: diameter of flange and nut, m (an estimate).
        ring_m: how far the holes lie from the middle of their place, m: clear of each other and of what sits there.
        keep_out_m: how far what sits inside within the thread's length reaches from the axis, m.
        spacing_m: least distance between the centres of two, m.
        needs_m: how wide a place must be for all of them, m.
        has_m: how wide it is, m; a ball's or a drum's whole width where it is curved.
        hollow_m: how far the place bends away under the flange's rim, m; infinite where it is pointed.
        thread_left_m: thread that is left inside for the nut, m; negative where the wall is thicker.
        boss_m: height of the raised area that must be removed inside for the nut, m, 0 where there is none.
    """

    flange_m: float
    ring_m: float
    keep_out_m: float
    spacing_m: float
    needs_m: float
    has_m: float
    hollow_m: float
    thread_left_m: float
    boss_m: float

    @property
    def treatment(self) -> str:
        """Return what is done to the place before the gland goes on."""
        if self.hollow_m <= 1e-6:
            return "flat as it is"
        if self.hollow_m <= RING_TAKES_M:
            return "nearly flat: the seal ring takes it up"
        return "file a flat seat, or bridge it with a soft washer under the flange"


@dataclass(frozen=True)
class CableHoles:
    """The cable holes of one kind.

    Attributes:
        place: at the base, the side or the tip.
        place_stated: whether anything in the file says where they are or how the prop hangs.
        count: how many holes.
        passing: how many cables go through them.
        cables: which ones, one entry for each part.
        gland: name of the gland part, None where the hole is sealed by hand.
        fitting: that part.
        hole_m: diameter of a hole, m; None where the cable's diameter is not stated.
        metric, inch: the nearest drills.
        clearance_m: the hole less the gland's thread, m; None without a gland or where its thread is not stated.
        seat: what the glands find there; None without a gland or without a shell.
        points_m: centres of the holes on the outer surface, m, shape (count, 3); None without a shell.
    """

    place: Place
    place_stated: bool
    count: int
    passing: int
    cables: tuple[PassingCable, ...]
    gland: str | None
    fitting: Gland | None
    hole_m: float | None
    metric: drills.Drill | None
    inch: drills.Drill | None
    clearance_m: float | None
    seat: Seat | None
    points_m: Floats | None


def cables_of(assembly: Assembly, name: str) -> tuple[tuple[PassingCable, ...], int]:
    """Return which cables go through the shell of a kind, and how many at once.

    With pigtails they are the in and the out one; without, the lead and the spans of the strings that it hangs on.

    Args:
        build: the display expanded.
        name: of the kind.
    """
    display = assembly.display
    pigtail = display.kinds[name].pigtail
    if pigtail is not None:
        return (_cable(assembly, pigtail.cable),), 2
    parts: dict[str, None] = {}
    passing = 0
    for string in display.strings.values():
        if all(run.kind != name for run in string.props):
            continue
        first = string.props[0].kind == name
        if first:
            parts[string.lead.cable] = None
        passing = max(passing, 1 if string.prop_count == 1 else 2)
        if string.prop_count > 1 and string.span is not None:
            ready = display.parts[string.span.extension].extension if string.span.extension is not None else None
            part = ready.cable if ready is not None else string.span.cable
            if part is not None:
                parts[part] = None
    return tuple(_cable(assembly, part) for part in parts), passing


def _cable(assembly: Assembly, part: str) -> PassingCable:
    known = assembly.display.parts.get(part)
    return PassingCable(part, known.cable.diameter if known is not None and known.cable is not None else None)


def cable_holes(assembly: Assembly, name: str, frame: ShellFrame | None, inside: Floats) -> CableHoles | None:
    """Return the cable holes of a kind; None where neither gland nor pigtail is stated.

    Args:
        build: the display expanded.
        name: of the kind.
        frame: its shell, None where none is stated.
        inside: points on what sits in the shell, m, shape (n, 3), which the glands must clear.
    """
    kind = assembly.display.kinds[name]
    cables, passing = cables_of(assembly, name)
    stated = kind.gland is not None or "hangs" in kind.model_fields_set
    if kind.gland is None:
        if kind.pigtail is None:
            return None
        diameter = cables[0].diameter_m
        hole = None if diameter is None else diameter + SEALANT_M
        return CableHoles(
            "base",
            stated,
            passing,
            passing,
            cables,
            None,
            None,
            hole,
            None if hole is None else drills.metric(hole, diameter or 0.0),
            None if hole is None else drills.inch(hole, diameter or 0.0),
            None,
            None,
            None if frame is None else points(frame, "base", passing, SEALANT_M + (hole or 0.0)),
        )
    gland = assembly.display.parts[kind.gland.part].gland
    assert gland is not None  # references are checked when the file is read
    thread = gland.thread_diameter
    least = gland.hole if thread is None else thread + CLEARANCE_M[0]
    seat = None if frame is None else seat_of(kind, frame, gland, inside)
    return CableHoles(
        kind.gland.at,
        stated,
        kind.gland.count,
        passing,
        cables,
        kind.gland.part,
        gland,
        gland.hole,
        drills.metric(gland.hole, least),
        drills.inch(gland.hole, least),
        None if thread is None else gland.hole - thread,
        seat,
        None if frame is None or seat is None else points(frame, kind.gland.at, kind.gland.count, seat.ring_m),
    )


def seat_of(kind: Kind, frame: ShellFrame, gland: Gland, inside: Floats) -> Seat:
    """Return what the glands of a kind find at their place; the kind has a shell and a gland.

    Args:
        kind: as stated.
        frame: its shell.
        gland: the part.
        inside: points on what sits in the shell, m, shape (n, 3).
    """
    assert kind.shell is not None
    assert kind.gland is not None
    shell, place, count = kind.shell, kind.gland.at, kind.gland.count
    flange = FLANGE_PER_THREAD * (gland.thread_diameter or gland.hole)
    spacing = flange + SPANNER_M
    width, height = frame.flat_m(place)
    bend = frame.bend_m(place)
    if place == "base" and shell.opening is not None and shell.opening > width:
        # A cap closes the opening; it counts as flat.
        width = height = shell.opening
        bend = math.inf
    keep_out = _keep_out_m(frame, place, inside)
    apart = 0.0 if count == 1 else spacing / (2.0 * math.sin(math.pi / count))
    ring = max(apart, keep_out + flange / 2.0) if keep_out > 0.0 else apart
    wall = 2.0 * frame.wall_m if place != "side" else 0.0
    if math.isinf(bend) and not frame.turned:
        longer, shorter = max(width, height) - wall, min(width, height) - wall
        needs, has = (2.0 * ring + flange, longer) if shorter >= flange else (flange, shorter)
    elif place == "side":
        # Round a side they stand opposite each other or evenly round.
        needs, has = (flange, 2.0 * bend) if count < 3 else (count * spacing / math.pi, 2.0 * bend)
    else:
        needs, has = 2.0 * ring + flange, width - wall if math.isinf(bend) else 2.0 * bend
    return Seat(
        flange,
        ring,
        keep_out,
        spacing,
        needs,
        max(0.0, has),
        sagitta_m(bend, flange),
        THREAD_LENGTH_M - shell.wall_m,
        shell.boss if place == "base" else 0.0,
    )


def _keep_out_m(frame: ShellFrame, place: Place, inside: Floats) -> float:
    """Return how far from the axis what sits within a thread's length of an end reaches, m; 0 on a side."""
    if place == "side" or not len(inside):
        return 0.0
    inward = inside[:, 2] if place == "base" else frame.height_m - inside[:, 2]
    near = inward < frame.wall_m + THREAD_LENGTH_M
    return float(np.hypot(inside[near, 0], inside[near, 1]).max(initial=0.0))


def points(frame: ShellFrame, place: Place, count: int, ring_m: float) -> Floats:
    """Return the centres of cable holes on the outer surface, m, shape (count, 3).

    On an end they lie in a row (three or more on a ring) round its middle, along the longer side of a box. On a side
    they lie where it is widest, evenly round, the first a quarter turn from the drain of a prop that hangs on its side.

    Args:
        frame: the shell.
        place: where.
        count: how many holes.
        ring_m: their distance from the middle of an end, m.
    """
    if place == "side":
        return np.column_stack([frame.round_m(count), np.full(count, frame.widest_height_m)])
    turn = np.arange(count) * 2.0 * math.pi / count + (math.pi / 2.0 if frame.deep else 0.0)
    rise = sagitta_m(frame.bend_m(place), 2.0 * ring_m)
    rise = rise if math.isfinite(rise) else 0.0
    height = rise if place == "base" else frame.height_m - rise
    return np.column_stack([ring_m * np.cos(turn), ring_m * np.sin(turn), np.full(count, height)])
