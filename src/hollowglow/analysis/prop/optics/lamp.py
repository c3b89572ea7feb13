"""From a kind as stated to what the optics want: shell, carrier, wall, and every LED package as a small light."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside import Body, body_of, frame_of, patterns, places, size_of
from hollowglow.analysis.prop.inside.frame import ShellFrame, room_m
from hollowglow.analysis.prop.inside.hollow import (
    Floats,
    OpticsError,
    Shell,
)
from hollowglow.analysis.prop.optics.beams import PointLight
from hollowglow.analysis.prop.optics.enclosure.carriers import Block, Carrier, Disc, Plate, Tube
from hollowglow.analysis.prop.optics.radiosity import DEFAULT_CARRIER_REFLECTANCE, Wall
from hollowglow.file.model.kind import Kind
from hollowglow.file.model.kind import Shell as StatedShell
from hollowglow.file.model.parts import DEFAULT_BEAM_DEG
from hollowglow.file.model.parts import Light as LightPart
from hollowglow.physics.colour import GENERIC_FLUX_LM

# LED packages of a module sit within this share of its radius; each package is about so wide.
_WITHIN = 0.7
_PACKAGE_M = 0.005
# More packages of one light, or more lights of one prop, than anyone can tell apart: so many stand for all of them.
_MOST_PACKAGES = 19
_MOST_LIGHTS = 128
# A light this wide or wider at half intensity counts as the widest beam that cos^m has a number for.
_WIDEST_DEG = 179.0
# Points of the axis at which a shell is looked into.
_ALONG = 65


@dataclass(frozen=True)
class PropLamp:
    """One prop as the optics see it, at full duty and nominal current.

    Attributes:
        shell: the body, with its outer measures.
        carrier: what stands inside, if anything.
        wall: what the wall does with each colour.
        carrier_reflectance: of the carrier.
        lights: one for each LED package.
    """

    shell: Shell
    carrier: Carrier | None
    wall: Wall
    carrier_reflectance: float
    lights: tuple[PointLight, ...]

    @property
    def flux_lm(self) -> Floats:
        """Return what all lights give in each colour, lm, shape (c,)."""
        total: Floats = np.sum([light.flux_lm for light in self.lights], axis=0)
        return total


def lamp_of(kind: Kind, light: LightPart) -> PropLamp | None:
    """Return a kind with a light inside as the optics see it, None where it has no shell.

    Raises:
        OpticsError: a shell or carrier that cannot be, with its numbers.
    """
    if kind.shell is None:
        return None
    frame = frame_of(kind.shell)
    shell = frame.hollow()
    _refuse_solid(frame)
    body = body_of(kind.carrier, frame) if kind.carrier is not None else None
    return PropLamp(
        shell=shell,
        carrier=carrier_of(body) if body is not None else None,
        wall=wall_of(kind.shell, light.colours),
        carrier_reflectance=kind.carrier.reflectance if kind.carrier is not None else DEFAULT_CARRIER_REFLECTANCE,
        lights=lights_of(kind, light),
    )


def _refuse_solid(frame: ShellFrame) -> None:
    axis = np.zeros((_ALONG, 3))
    axis[:, 2] = np.linspace(0.0, frame.height_m, _ALONG)
    if float(room_m(frame, axis).max()) <= 0.0:
        raise OpticsError(f"the wall is {1e3 * frame.wall_m:g} mm thick, which leaves no room inside the shell")


def wall_of(stated: StatedShell, colours: int) -> Wall:
    """Return what the wall does with each colour; a colour that the tint does not list gets the mean of those it does."""
    through, back = stated.optics
    tint = stated.tint or (1.0,) * colours
    each = [*tint, *([math.fsum(tint) / len(tint)] * colours)][:colours]
    return Wall(tuple(through * t for t in each), tuple(back * t for t in each))


def carrier_of(body: Body) -> Carrier:
    """Return a carrier in place; sheets are taken as thin."""
    x, y = body.half_m
    middle = np.array([0.0, 0.0, body.middle_m])
    if body.carrier.shape == "disc":
        return Disc(middle, np.array([0.0, 0.0, 1.0]), x)
    if body.carrier.shape == "plate":
        return Plate(middle, np.array([0.0, y, 0.0]), np.array([0.0, 0.0, (body.top_m - body.base_m) / 2.0]))
    if body.carrier.shape == "box":
        return Block(np.array([-x, -y, body.base_m]), np.array([x, y, body.top_m]))
    return Tube(x, body.base_m, body.top_m)


def lights_of(kind: Kind, part: LightPart) -> tuple[PointLight, ...]:
    """Return the LED packages of a kind: one where each light sits, or a module's packages spread over its face.

    Beyond 128 packages in a prop each light counts as one spot, and beyond 128 lights some stand for all.
    """
    seats = places(kind, part)
    flux = part.colour.flux if part.colour is not None else tuple(GENERIC_FLUX_LM[: part.colours])
    beam = min(part.beam or DEFAULT_BEAM_DEG, _WIDEST_DEG)
    count = len(seats.positions)
    stand = np.unique(np.linspace(0, count - 1, min(count, _MOST_LIGHTS)).astype(np.int64))
    spots = _packages(part) if count * part.emitters <= _MOST_LIGHTS else np.zeros((1, 2))
    share = tuple(f * count / (len(stand) * len(spots)) for f in flux)
    made = []
    for at, axis in zip(seats.positions[stand], seats.axes[stand], strict=True):
        u, v = _across(axis)
        made += [PointLight(at + a * u + b * v, axis, beam, share) for a, b in spots.tolist()]
    return tuple(made)


def _packages(part: LightPart) -> Floats:
    """Return where on its face a light's packages sit, m, shape (n, 2)."""
    count = min(part.emitters, _MOST_PACKAGES)
    if count == 1:
        return np.zeros((1, 2))
    radius = _WITHIN * size_of(part).diameter_m / 2.0
    return patterns.on_round(count, radius, min(_PACKAGE_M, radius))


def _across(axis: Floats) -> tuple[Floats, Floats]:
    """Return two unit vectors across an axis."""
    u = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    u = u / float(np.linalg.norm(u))
    return u, np.cross(axis, u)
