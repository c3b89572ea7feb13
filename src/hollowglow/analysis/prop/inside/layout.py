"""Where the lights of a kind sit and look: the one truth for drilling and for light."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside import patterns
from hollowglow.analysis.prop.inside.carrier import Body, CarrierFace, FaceName, body_of
from hollowglow.analysis.prop.inside.frame import ShellFrame, room_m, seat_m
from hollowglow.analysis.prop.inside.shapes import frame_of
from hollowglow.file.model.kind import Arrangement, Kind
from hollowglow.file.model.parts import Light

Floats = NDArray[np.float64]

# A body that a part does not state is taken to be that of the usual bullet.
TYPICAL_DIAMETER_M = 0.012
TYPICAL_DEPTH_M = 0.024
GOLDEN_ANGLE = math.pi * (3.0 - math.sqrt(5.0))
# Without a carrier, lights up the axis keep to this middle share of the shell's height.
_TUBE_SHARE = 0.6
_ON_AXIS_M = 1e-6


@dataclass(frozen=True)
class LightSize:
    """A light's body, a cylinder behind its front: diameter and depth in m, and whether its part states them."""

    diameter_m: float
    depth_m: float
    stated: bool

    @property
    def bored(self) -> bool:
        """Return whether it is pushed into a bore (a bullet, longer than wide) or lies on a face (a flat module)."""
        return self.depth_m >= self.diameter_m


@dataclass(frozen=True)
class Places:
    """Where each light's front sits and which way it looks.

    Attributes:
        arrangement: the one stated, else the one chosen.
        positions: of the fronts in the prop's frame, m, shape (n, 3).
        axes: unit vectors, shape (n, 3).
        faces: the carrier's face that each light is mounted on, None where it is on none; length n.
        spots: centre on that face along u and v, m, shape (n, 2), NaN where it is on none.
    """

    arrangement: Arrangement
    positions: Floats
    axes: Floats
    faces: tuple[FaceName | None, ...]
    spots: Floats


def size_of(light: Light) -> LightSize:
    """Return the body of a light, with the usual bullet's measures where its part states none."""
    stated = light.diameter is not None and light.depth is not None
    return LightSize(light.diameter or TYPICAL_DIAMETER_M, light.depth or TYPICAL_DEPTH_M, stated)


def arrangement_of(kind: Kind) -> Arrangement:
    """Return how the lights of a kind are arranged: as stated, else as suits their number and the carrier."""
    fill, carrier = kind.fill, kind.carrier
    if fill.positions is not None:
        return "by hand"
    if fill.arrangement is not None:
        return fill.arrangement
    if fill.count == 1:
        return "stand-off"
    if carrier is None:
        return "ring"
    by_shape: dict[str, Arrangement] = {
        "disc": "one face",
        "plate": "two faces",
        "box": "two faces",
        "tube": "up a tube",
    }
    return by_shape[carrier.shape]


def places(kind: Kind, light: Light) -> Places:
    """Return where the lights of a kind sit and look.

    Args:
        kind: with its shell and carrier, if it has any.
        light: the part that fills it.

    Returns:
        One place for each light of the fill, in data order.
    """
    made = _Making(kind, light)
    arrangement = arrangement_of(kind)
    if arrangement == "by hand":
        return made.by_hand()
    if arrangement == "stand-off":
        return made.stand_off()
    if arrangement in ("one face", "two faces"):
        return made.on_faces(arrangement)
    if arrangement == "up a tube":
        return made.up_a_tube()
    return made.ring()


class _Making:
    """What every arrangement asks for."""

    def __init__(self, kind: Kind, light: Light) -> None:
        self.fill = kind.fill
        self.count = kind.fill.count
        self.frame: ShellFrame | None = frame_of(kind.shell) if kind.shell is not None else None
        self.body: Body | None = body_of(kind.carrier, self.frame) if kind.carrier is not None else None
        self.size = size_of(light)
        # A light that lies on a face reaches out by its own depth at least.
        self.front_m = self.fill.stand_off if self.size.bored else max(self.fill.stand_off, self.size.depth_m)

    def by_hand(self) -> Places:
        assert self.fill.positions is not None
        at = np.array(self.fill.positions)
        if self.fill.axes is not None:
            axes = np.array(self.fill.axes)
            axes = axes / np.linalg.norm(axes, axis=1, keepdims=True)
        else:
            away = at * np.array([1.0, 1.0, 0.0])
            length = np.linalg.norm(away, axis=1, keepdims=True)
            axes = np.where(length > _ON_AXIS_M, away / np.maximum(length, _ON_AXIS_M), np.array([0.0, 0.0, 1.0]))
        return self._free("by hand", at, axes)

    def stand_off(self) -> Places:
        """The light looks to the tip, on the axis; several stand beside each other."""
        if self.body is not None:
            return self._on_face("stand-off", self.body.faces["tip"], self.count)
        return self._on_floor("stand-off")

    def on_faces(self, arrangement: Literal["one face", "two faces"]) -> Places:
        if self.body is None:
            return self._on_floor(arrangement) if arrangement == "one face" else self._back_to_back()
        upright = self.body.carrier.shape in ("plate", "box") and (
            arrangement == "two faces" or self.body.carrier.shape == "plate"
        )
        pair: tuple[FaceName, FaceName] = ("+x", "-x") if upright else ("tip", "base")
        first, second = (self.body.faces[name] for name in pair)
        if arrangement == "one face":
            return self._on_face("one face", first, self.count)
        if first.through and self.size.bored:
            return self._through(first, second)
        half = (self.count + 1) // 2
        return _joined(self._on_face("two faces", first, half), self._on_face("two faces", second, self.count - half))

    def _through(self, first: CarrierFace, second: CarrierFace) -> Places:
        """Bores of a sheet come out on both faces, so all of them form one pattern, looking out by turns."""
        spots = self._pattern(first, self.count)
        turns = np.arange(self.count) % 2
        one = self._mounted("two faces", first, spots[turns == 0])
        # The same hole seen from behind: u is mirrored or not as the second face's own u says.
        centres = first.centre + spots[turns == 1] @ np.stack([first.u, first.v])
        seen = np.stack([(centres - second.centre) @ second.u, (centres - second.centre) @ second.v], axis=1)
        return _joined(one, self._mounted("two faces", second, seen))

    def ring(self) -> Places:
        if self.body is not None:
            return self._around(self.body, np.arange(self.count) * 2.0 * math.pi / self.count, None)
        radius = self._bundle_m() + self.size.depth_m
        turn = np.arange(self.count) * 2.0 * math.pi / self.count
        middle = 0.0 if self.frame is None else self.frame.widest_height_m
        flat = np.stack([np.cos(turn), np.sin(turn), np.zeros(self.count)], axis=1)
        at = radius * flat + np.array([0.0, 0.0, middle])
        if self.frame is not None and not self.frame.turned and room_m(self.frame, at).min() < 0.0:
            # In a flat box the ring lies in the plane of its large faces.
            width, depth, _ = self.frame.sides_m
            flat = flat[:, [2, 0, 1] if width <= depth else [0, 2, 1]]
            at = radius * flat + np.array([0.0, 0.0, middle])
        return self._free("ring", at, flat)

    def up_a_tube(self) -> Places:
        step = math.pi if self.count == 2 else GOLDEN_ANGLE
        share: Floats = (np.arange(self.count) + 0.5) / self.count - 0.5
        if self.body is not None and self.body.carrier.shape != "disc":
            turned = self.body.carrier.shape
            step = {"plate": math.pi, "box": math.pi / 2.0}.get(turned, step)
            rise: Floats = share * (self.body.top_m - self.body.base_m)
            turns = np.arange(self.count, dtype=np.float64) * step
            return self._around(self.body, turns, rise)
        if self.body is not None:
            return self.ring()
        turn = np.arange(self.count) * step
        height = 0.0 if self.frame is None else self.frame.height_m
        flat = np.stack([np.cos(turn), np.sin(turn), np.zeros(self.count)], axis=1)
        at = flat * self.size.depth_m
        at[:, 2] = height / 2.0 + share * height * _TUBE_SHARE
        return self._free("up a tube", at, flat)

    def _around(self, body: Body, turn: Floats, rise: Floats | None) -> Places:
        """Return lights that look outward from a carrier's sides at angles, so far above its middle."""
        x, y = body.half_m
        above = np.zeros(len(turn)) if rise is None else rise
        one: list[Places] = []
        name: Literal["ring", "up a tube"] = "ring" if rise is None else "up a tube"
        if body.carrier.shape in ("disc", "tube"):
            face = body.faces["rim"]
            out = np.stack([np.cos(turn), np.sin(turn), np.zeros(len(turn))], axis=1)
            at = out * (x + self.front_m) + np.column_stack([np.zeros((len(turn), 2)), body.middle_m + above])
            along = ((turn + math.pi) % (2.0 * math.pi) - math.pi) * x
            return Places(name, at, out, (face.name,) * len(turn), np.stack([along, above], axis=1))
        for angle, v in zip(turn.tolist(), above.tolist(), strict=True):
            cos, sin = math.cos(angle), math.sin(angle)
            on_x = abs(cos) * y >= abs(sin) * x - 1e-12
            side: FaceName = ("+x" if cos > 0.0 else "-x") if on_x else ("+y" if sin > 0.0 else "-y")
            face = body.faces[side]
            reach = x / abs(cos) if on_x else y / abs(sin)
            point = np.array([reach * cos, reach * sin, body.middle_m])
            one.append(self._mounted(name, face, np.array([[float((point - face.centre) @ face.u), v]])))
        return _joined(*one)

    def _pattern(self, face: CarrierFace, count: int) -> Floats:
        hole = self.size.diameter_m + (self.fill.fit if self.size.bored else 0.0)
        if face.outline == "round":
            return patterns.on_round(count, face.width_m / 2.0, hole)
        return patterns.on_rectangle(count, face.width_m, face.height_m, hole)

    def _on_face(self, name: Arrangement, face: CarrierFace, count: int) -> Places:
        return self._mounted(name, face, self._pattern(face, count))

    def _mounted(self, name: Arrangement, face: CarrierFace, spots: Floats) -> Places:
        at = face.centre + spots @ np.stack([face.u, face.v]) + self.front_m * face.normal
        return Places(name, at, np.tile(face.normal, (len(spots), 1)), (face.name,) * len(spots), spots)

    def _cluster(self, count: int) -> tuple[Floats, float]:
        """Return (centres, radius of the whole) of lights that stand side by side without a carrier, m."""
        spots = patterns.tight(count, self.size.diameter_m)
        reach = float(np.linalg.norm(spots, axis=1).max(initial=0.0)) + self.size.diameter_m / 2.0
        return spots, reach

    def _on_floor(self, name: Arrangement) -> Places:
        """Return lights that look to the tip from as near to the base as the shell is wide enough for them."""
        spots, reach = self._cluster(self.count)
        floor = 0.0 if self.frame is None else seat_m(self.frame, reach)
        height = floor + max(self.fill.stand_off, self.size.depth_m)
        at = np.column_stack([spots, np.full(len(spots), height)])
        return self._free(name, at, np.tile([0.0, 0.0, 1.0], (len(spots), 1)))

    def _back_to_back(self) -> Places:
        """Return half of the lights looking to the tip and half to the base, from the middle of the shell."""
        middle = 0.0 if self.frame is None else self.frame.height_m / 2.0
        half = (self.count + 1) // 2
        parts = []
        for count, way in ((half, 1.0), (self.count - half, -1.0)):
            spots, _ = self._cluster(count)
            at = np.column_stack([spots, np.full(count, middle + way * self.size.depth_m)])
            parts.append(self._free("two faces", at, np.tile([0.0, 0.0, way], (count, 1))))
        return _joined(*parts)

    def _bundle_m(self) -> float:
        """Return the radius at which the backs of lights that look outward all round just touch, m."""
        return self.size.diameter_m / (2.0 * math.tan(math.pi / self.count)) if self.count > 2 else 0.0

    def _free(self, name: Arrangement, at: Floats, axes: Floats) -> Places:
        return Places(name, at, axes, (None,) * len(at), np.full((len(at), 2), np.nan))


def _joined(*parts: Places) -> Places:
    return Places(
        parts[0].arrangement,
        np.concatenate([p.positions for p in parts]),
        np.concatenate([p.axes for p in parts]),
        tuple(face for p in parts for face in p.faces),
        np.concatenate([p.spots for p in parts]),
    )
