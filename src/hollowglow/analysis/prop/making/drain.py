"""The drain at the lowest point for the way a prop hangs, and whether the old switch may stay where it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside.carrier import Body
from hollowglow.analysis.prop.inside.frame import ShellFrame, sagitta_m
from hollowglow.analysis.prop.inside.layout import LightSize, Places
from hollowglow.analysis.prop.making.bores import drills
from hollowglow.analysis.prop.making.bores.shell_holes import CableHoles
from hollowglow.analysis.prop.making.fit import surface
from hollowglow.analysis.prop.making.standing import LOWEST, point_at, standing_m
from hollowglow.file.model.kind import Kind, Place, Switch
from hollowglow.quantity.sizes import INCH_M

Floats = NDArray[np.float64]

# 1/8 to 3/16 in: less is closed by a drop or a spider, more lets insects in. Common practice, no source.
USUAL_M = (0.125 * INCH_M, 0.1875 * INCH_M)
_BESIDE_M = 0.001


@dataclass(frozen=True)
class DrainHole:
    """The hole that lets water out.

    Attributes:
        place: where it is; None where none is wanted.
        lowest: the lowest place for the way the prop hangs.
        diameter_m: as stated, m.
        metric, inch: the nearest drills.
        standing_m: how deep water stands inside, m; None where nothing lets it out or there is no shell.
        point_m: its centre on the outer surface, m, shape (3,); None without a shell or without a drain.
        beside_m: how far it lies from the middle of its place, because cable holes are there, m; 0 in the middle.
        beside_standing_m: how deep water stands for that, m.
    """

    place: Place | None
    lowest: Place
    diameter_m: float
    metric: drills.Drill
    inch: drills.Drill
    standing_m: float | None
    point_m: Floats | None
    beside_m: float
    beside_standing_m: float


@dataclass(frozen=True)
class OldSwitch:
    """The old switch: whether it stays to close its opening, else why not and the plug's diameter, m."""

    place: Place
    stays: bool
    reasons: tuple[str, ...]
    plug_m: float


def drain_hole(kind: Kind, frame: ShellFrame | None, cables: CableHoles | None) -> DrainHole:
    """Return the drain of a kind.

    Args:
        kind: as stated.
        frame: its shell, None where none is stated.
        cables: its cable holes, which may already be at the lowest point.
    """
    drain, lowest = kind.drain, LOWEST[kind.hangs]
    place: Place | None = None if drain.at == "none" else lowest if drain.at == "lowest" else drain.at
    point, standing, beside, lost = None, None, 0.0, 0.0
    if frame is not None and place is not None:
        point = point_at(frame, place)
        standing = standing_m(frame, kind.hangs, place, drain.diameter)
        if cables is not None and cables.place == place:
            beside = _beside(cables, place, drain.diameter)
            bend = frame.bend_m(place)
            lost = 0.0 if place != lowest else sagitta_m(bend, 2.0 * max(0.0, beside - drain.diameter / 2.0))
            point = point + _aside(frame, place, beside)
    return DrainHole(
        place,
        lowest,
        drain.diameter,
        drills.metric(drain.diameter),
        drills.inch(drain.diameter),
        standing,
        point,
        beside,
        lost,
    )


def _beside(cables: CableHoles, place: Place, drain_m: float) -> float:
    """Return how far from the middle of their place a drain clears cable holes in a row, square to that row, m."""
    width = cables.seat.flange_m if cables.seat is not None else cables.hole_m or 0.0
    needs = width / 2.0 + _BESIDE_M + drain_m / 2.0
    ring = cables.seat.ring_m if cables.seat is not None else 0.0
    # On a side the holes are a quarter turn away, and a wide ring leaves its middle free.
    return 0.0 if place == "side" or ring >= needs else needs


def _aside(frame: ShellFrame, place: Place, beside_m: float) -> Floats:
    """Return the step along the surface from the middle of an end to a point beside it, m, shape (3,)."""
    if beside_m == 0.0:
        return np.zeros(3)
    rise = sagitta_m(frame.bend_m(place), 2.0 * beside_m)
    rise = rise if math.isfinite(rise) else 0.0
    up = rise if place == "base" else -rise
    return np.array([beside_m if frame.deep else 0.0, 0.0 if frame.deep else beside_m, up])


def old_switch(
    kind: Kind, frame: ShellFrame | None, body: Body | None, placed: Places, size: LightSize
) -> OldSwitch | None:
    """Return whether the old switch may stay; None where the shell has none.

    It is taken to sit in the middle of its place, and on a side wherever the carrier or a light may be.

    Args:
        kind: as stated.
        frame, body: its shell and its carrier in place.
        placed, size: where the lights sit, and their body.
    """
    if kind.shell is None or kind.shell.switch is None or frame is None:
        return None
    switch = kind.shell.switch
    reasons = []
    if not switch.sealed:
        reasons.append("rain can pass it")
    if switch.at == LOWEST[kind.hangs]:
        reasons.append("it sits at the lowest point, where the drain goes and water stands")
    meets = body is not None and _meets(frame, switch, body.corners(), whole=True)
    if meets:
        reasons.append("it reaches into the carrier")
    if _meets(frame, switch, surface(placed.positions, placed.axes, size).reshape(-1, 3), whole=False):
        reasons.append("it reaches into a light")
    return OldSwitch(switch.at, not reasons, tuple(reasons), switch.diameter)


def _meets(frame: ShellFrame, switch: Switch, points: Floats, *, whole: bool) -> bool:
    """Return whether points come into the room behind a switch; a `whole` body reaches to the axis at every height."""
    height, away = points[:, 2], np.hypot(points[:, 0], points[:, 1])
    radius = switch.diameter / 2.0
    if switch.at == "side":
        middle = frame.widest_height_m
        reach = frame.widest_m - switch.depth
        if whole:
            return bool(height.min() <= middle + radius and height.max() >= middle - radius and away.max() >= reach)
        return bool(((np.abs(height - middle) <= radius) & (away >= reach)).any())
    inward = height if switch.at == "base" else frame.height_m - height
    near = inward <= switch.depth
    return bool(near.any() if whole else (near & (away <= radius)).any())
