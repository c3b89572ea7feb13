"""Whether lights and carrier have room: against the shell's wall, its opening, and each other."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside.carrier import Body, pass_m
from hollowglow.analysis.prop.inside.frame import ShellFrame, room_m
from hollowglow.analysis.prop.inside.layout import LightSize, Places
from hollowglow.file.model.kind import Kind

Floats = NDArray[np.float64]
_ROUND = 16
_FEW = 64
_BLOCK = 2000
# So many clashes are enough to say that an arrangement does not work.
_ENOUGH = 12
# What a hand does not see and plastic gives way to.
TOLERANCE_M = 1e-4


@dataclass(frozen=True)
class RoomInside:
    """How much room there is; negative where something does not fit, None where it cannot be said.

    Attributes:
        light_room_m: least distance of a light's body to the inner face of the wall, m.
        tightest: which light that is, counted from 1.
        front_room_m: the same of the lights' fronts alone, m.
        carrier_room_m: least distance of the carrier to the inner face of the wall, m.
        light_opening_m: the opening less the light's diameter, m.
        carrier_opening_m: the opening less what the carrier passes through, m.
        clashes: the first pairs of lights whose bodies are in each other's way, counted from 1.
    """

    light_room_m: float | None
    tightest: int
    front_room_m: float | None
    carrier_room_m: float | None
    light_opening_m: float | None
    carrier_opening_m: float | None
    clashes: tuple[tuple[int, int], ...]


def fit_of(kind: Kind, frame: ShellFrame | None, body: Body | None, placed: Places, size: LightSize) -> RoomInside:
    """Return the room of one kind's lights and carrier.

    Args:
        kind: as stated.
        frame, body: its shell and its carrier in place, None where there is none.
        placed: where its lights sit.
        size: a light's body. Where the part does not state it, only fronts and carrier are compared.
    """
    opening = kind.shell.opening if kind.shell is not None else None
    light_room = front_room = carrier_room = None
    tightest = 1
    if frame is not None:
        front_room = float(room_m(frame, placed.positions).min())
        if size.stated:
            points = surface(placed.positions, placed.axes, size)
            room = room_m(frame, points.reshape(-1, 3)).reshape(len(points), -1).min(axis=1)
            tightest = int(room.argmin()) + 1
            light_room = float(room.min())
        if body is not None:
            carrier_room = float(room_m(frame, body.corners()).min())
    return RoomInside(
        light_room,
        tightest,
        front_room,
        carrier_room,
        None if opening is None or not size.stated else opening - size.diameter_m,
        None if opening is None or kind.carrier is None else opening - pass_m(kind.carrier),
        clashes(placed.positions, placed.axes, size) if size.stated else (),
    )


def surface(positions: Floats, axes: Floats, size: LightSize, inset_m: float = 0.0) -> Floats:
    """Return points on the bodies of lights: rims and middles at front, halfway and back.

    Args:
        positions: of the fronts, m, shape (n, 3).
        axes: unit vectors in which they look, shape (n, 3).
        size: of each body; `inset_m` makes it smaller all round, m.

    Returns:
        Points, m, shape (n, 51, 3).
    """
    other_axis = np.where(np.abs(axes[:, 2:]) < 0.9, np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]))
    side = np.cross(axes, other_axis)
    side /= np.linalg.norm(side, axis=1, keepdims=True)
    other = np.cross(axes, side)
    turn = np.linspace(0.0, 2.0 * math.pi, _ROUND, endpoint=False)
    radius = size.diameter_m / 2.0 - inset_m
    rim = radius * (side[:, None] * np.cos(turn)[:, None] + other[:, None] * np.sin(turn)[:, None])
    ring = np.concatenate([rim, np.zeros((len(positions), 1, 3))], axis=1)
    back = np.array([inset_m, size.depth_m / 2.0, size.depth_m - inset_m])
    centres = positions[:, None] - back[:, None] * axes[:, None]
    points: Floats = (centres[:, :, None] + ring[:, None]).reshape(len(positions), -1, 3)
    return points


def _near(middles: Floats, reach_m: float) -> NDArray[np.int64]:
    """Return the pairs of points within reach of each other, in order, shape (k, 2)."""
    if len(middles) <= _FEW:
        one, other = np.triu_indices(len(middles), 1)
        close = np.linalg.norm(middles[one] - middles[other], axis=1) <= reach_m
        return np.stack([one[close], other[close]], axis=1).astype(np.int64)
    from scipy.spatial import cKDTree

    pairs = cKDTree(middles).query_pairs(reach_m, output_type="ndarray")
    ordered: NDArray[np.int64] = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))].astype(np.int64)
    return ordered


def clashes(positions: Floats, axes: Floats, size: LightSize) -> tuple[tuple[int, int], ...]:
    """Return the first pairs of lights (from 1) whose bodies overlap by more than a hair; arguments as for `surface`."""
    middles = positions - axes * size.depth_m / 2.0
    near = _near(middles, math.hypot(size.depth_m, size.diameter_m))
    points = surface(positions, axes, size, TOLERANCE_M)
    hits: list[tuple[int, int]] = []
    for start in range(0, len(near), _BLOCK):
        pairs = near[start : start + _BLOCK]
        hit = np.zeros(len(pairs), dtype=bool)
        for one, other in ((0, 1), (1, 0)):
            away = points[pairs[:, one]] - positions[pairs[:, other], None]
            axis = axes[pairs[:, other], None]
            behind = -(away * axis).sum(axis=2)
            beside = np.linalg.norm(away + behind[..., None] * axis, axis=2)
            within = (behind > TOLERANCE_M) & (behind < size.depth_m - TOLERANCE_M)
            hit |= (within & (beside < size.diameter_m / 2.0 - TOLERANCE_M)).any(axis=1)
        hits += [(int(a) + 1, int(b) + 1) for a, b in pairs[hit].tolist()]
        if len(hits) >= _ENOUGH:
            break
    return tuple(hits[:_ENOUGH])
