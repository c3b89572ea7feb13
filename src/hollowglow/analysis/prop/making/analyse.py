"""From an Assembly to what has to be drilled, sealed, hung and done for each of its kinds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside import ShellFrame, frame_of
from hollowglow.analysis.prop.inside.carrier import Body, body_of
from hollowglow.analysis.prop.inside.layout import LightSize, Places, places, size_of
from hollowglow.analysis.prop.making.bores.holes import CarrierHoles, carrier_holes
from hollowglow.analysis.prop.making.bores.shell_holes import CableHoles, cable_holes
from hollowglow.analysis.prop.making.drain import DrainHole, OldSwitch, drain_hole, old_switch
from hollowglow.analysis.prop.making.fit import RoomInside, fit_of, surface
from hollowglow.analysis.prop.making.mass import Weight, weight_of
from hollowglow.analysis.prop.making.steps import BuildStep, Made, steps
from hollowglow.assembly import Assembly
from hollowglow.assembly.kinds import light_of
from hollowglow.file.model.kind import Kind


@dataclass(frozen=True)
class KindMaking:
    """How one kind is built; what needs a shell or a carrier is None where none is stated.

    Attributes:
        name, kind: as stated.
        frame: its shell.
        body: its carrier in place.
        size: a light's body.
        placed: where the lights sit.
        fit: how much room there is.
        carrier: the carrier's holes.
        cables: the cable holes.
        drain: the drain.
        switch: the old switch.
        weight: mass before and after, and the hook.
        steps: what is done, in order.
    """

    name: str
    kind: Kind
    frame: ShellFrame | None
    body: Body | None
    size: LightSize
    placed: Places
    fit: RoomInside
    carrier: CarrierHoles | None
    cables: CableHoles | None
    drain: DrainHole
    switch: OldSwitch | None
    weight: Weight
    steps: tuple[BuildStep, ...]


@dataclass(frozen=True)
class Making:
    """How each kind of an Assembly is made, in the file's order."""

    kinds: tuple[KindMaking, ...]


def analyse(assembly: Assembly) -> Making:
    """Return how each kind of an Assembly is made."""
    return Making(tuple(_kind(assembly, name) for name in assembly.display.kinds))


def _kind(assembly: Assembly, name: str) -> KindMaking:
    kind = assembly.display.kinds[name]
    light = light_of(assembly.display, name)
    frame = frame_of(kind.shell) if kind.shell is not None else None
    body = body_of(kind.carrier, frame) if kind.carrier is not None else None
    size, placed = size_of(light), places(kind, light)
    carrier = carrier_holes(body, placed, size, kind.fill.fit) if body is not None else None
    solid = [surface(placed.positions, placed.axes, size).reshape(-1, 3), *(() if body is None else (body.corners(),))]
    cables = cable_holes(assembly, name, frame, np.concatenate(solid))
    drain = drain_hole(kind, frame, cables)
    switch = old_switch(kind, frame, body, placed, size)
    weight = weight_of(assembly, name)
    done = steps(Made(name, kind, frame, carrier, cables, drain, switch, weight), assembly.display.labour)
    return KindMaking(
        name,
        kind,
        frame,
        body,
        size,
        placed,
        fit_of(kind, frame, body, placed, size),
        carrier,
        cables,
        drain,
        switch,
        weight,
        tuple(done),
    )
