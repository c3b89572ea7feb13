"""What stands inside a shell and carries the lights: disc, plate, block or tube, each opaque and evenly reflecting."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Flags, Floats, OpticsError, Reals, Shell
from hollowglow.analysis.prop.optics.enclosure.mesh import Flat, Patches, PatchGrid, join, rectangle, split_line

_SLACK = 1e-9


def _vector(what: str, value: Floats) -> Floats:
    vector = np.asarray(value, dtype=np.float64)
    if vector.shape != (3,) or not np.isfinite(vector).all():
        raise OpticsError(f"{what} needs three finite numbers, but is {value}")
    return vector


@dataclass(frozen=True)
class Disc:
    """A thin round plate, both faces open to the light.

    Attributes:
        centre_m: its middle, m, shape (3,).
        normal: across it, of any length, shape (3,).
        radius_m: its radius.
    """

    centre_m: Floats
    normal: Floats
    radius_m: float

    def __post_init__(self) -> None:
        across = _vector("the normal of the disc", self.normal)
        _vector("the centre of the disc", self.centre_m)
        if not self.radius_m > 0.0 or not across.any():
            raise OpticsError(
                f"a disc needs a radius of more than 0 and a direction, but has {self.radius_m * 1e3:g} mm"
            )

    @cached_property
    def frame(self) -> Floats:
        """Return two unit vectors in the plane and the unit normal, one a row, shape (3, 3)."""
        w = np.asarray(self.normal, dtype=np.float64) / float(np.linalg.norm(self.normal))
        u = np.cross(w, np.eye(3)[int(np.argmin(np.abs(w)))])
        u = u / float(np.linalg.norm(u))
        return np.stack([u, np.cross(w, u), w])

    @property
    def turned(self) -> bool:
        """Return whether it is round the z axis."""
        return bool(np.hypot(*self.centre_m[:2]) < 1e-9 and np.hypot(*self.frame[2, :2]) < 1e-9)

    def line(self) -> list[Floats]:
        """Return the profiles that its faces are turned from, the open side on the left."""
        z = float(self.centre_m[2])
        out = np.array([[0.0, z], [self.radius_m, z]])
        return [out, out[::-1]]

    def surface(self, size_m: float) -> Patches:
        """Return both faces cut into patches."""
        count = max(12, 4 * round(2.0 * math.pi * self.radius_m * 0.7 / size_m / 4.0))
        size = min(size_m, self.radius_m / 3.0)
        bands = np.concatenate([split_line(np.array(p) - [0.0, self.centre_m[2]], size) for p in self.line()])
        corners = PatchGrid(bands, count).corners
        # The polygon of the right area, not of the right circumference, stands for a flat disc.
        corners[..., :2] *= math.sin(math.pi / count) / math.sqrt(
            0.5 * math.sin(2.0 * math.pi / count) * math.pi / count
        )
        return Flat(corners @ self.frame + self.centre_m)

    def blocks(self, a: Reals, b: Reals) -> Flags:
        """Return for points, shapes (..., 3) that broadcast, whether the disc stands between them."""
        through, x, y, whole = _crossing(a, b, self.centre_m, self.frame)
        return through & (x * x + y * y < (self.radius_m * whole) ** 2)

    def holds(self, points: Floats) -> Flags:
        """Return which points, shape (k, 3), are within its thickness of nothing."""
        x, y, height = ((points - self.centre_m) @ self.frame.T).T
        within: Flags = (np.abs(height) <= _SLACK) & (np.hypot(x, y) < self.radius_m)
        return within


@dataclass(frozen=True)
class Plate:
    """A thin rectangular plate, both faces open to the light.

    Attributes:
        centre_m: its middle, m, shape (3,).
        u: from the middle to the middle of one edge, m, shape (3,).
        v: from the middle to the middle of the next edge, m, shape (3,).
    """

    centre_m: Floats
    u: Floats
    v: Floats

    def __post_init__(self) -> None:
        _vector("the centre of the plate", self.centre_m)
        u, v = _vector("an edge of the plate", self.u), _vector("an edge of the plate", self.v)
        long = float(np.linalg.norm(u) * np.linalg.norm(v))
        if not long > 0.0 or abs(float(u @ v)) > 1e-6 * long:
            raise OpticsError(f"a plate needs two edges at right angles, but has {u * 1e3} mm and {v * 1e3} mm")

    turned = False

    def line(self) -> list[Floats]:
        """Return no profile: it is not turned."""
        return []

    def surface(self, size_m: float) -> Patches:
        """Return both faces cut into patches."""
        corner = self.centre_m - self.u - self.v
        return join(
            [
                rectangle(corner, 2.0 * self.u, 2.0 * self.v, size_m),
                rectangle(corner, 2.0 * self.v, 2.0 * self.u, size_m),
            ]
        )

    @cached_property
    def frame(self) -> Floats:
        """Return unit vectors along both edges and across, one a row, shape (3, 3)."""
        u, v = (e / float(np.linalg.norm(e)) for e in (self.u, self.v))
        return np.stack([u, v, np.cross(u, v)])

    def blocks(self, a: Reals, b: Reals) -> Flags:
        """Return for points, shapes (..., 3) that broadcast, whether the plate stands between them."""
        through, x, y, whole = _crossing(a, b, self.centre_m, self.frame)
        half_u, half_v = float(np.linalg.norm(self.u)), float(np.linalg.norm(self.v))
        return through & (np.abs(x) < half_u * whole) & (np.abs(y) < half_v * whole)

    def holds(self, points: Floats) -> Flags:
        """Return which points, shape (k, 3), are within its thickness of nothing."""
        x, y, height = ((points - self.centre_m) @ self.frame.T).T
        half_u, half_v = float(np.linalg.norm(self.u)), float(np.linalg.norm(self.v))
        within: Flags = (np.abs(height) <= _SLACK) & (np.abs(x) < half_u) & (np.abs(y) < half_v)
        return within


def _crossing(a: Reals, b: Reals, centre: Floats, frame: Floats) -> tuple[Flags, Reals, Reals, Reals]:
    """Return whether lines pass through a plane, and where, as x, y and the length that both are multiplied by."""
    p, q = (((spot - centre) @ frame.T).astype(spot.dtype) for spot in (a, b))
    before, after = p[..., 2], q[..., 2]
    high, low = (before > _SLACK), (before < -_SLACK)
    through = (high & (after < -_SLACK)) | (low & (after > _SLACK))
    before, after = np.abs(before), np.abs(after)
    x = p[..., 0] * after + q[..., 0] * before
    y = p[..., 1] * after + q[..., 1] * before
    return through, x, y, before + after


@dataclass(frozen=True)
class Block:
    """A solid box with edges along x, y and z.

    Attributes:
        low_m: its lowest corner, m, shape (3,).
        high_m: its highest corner, m, shape (3,).
    """

    low_m: Floats
    high_m: Floats

    def __post_init__(self) -> None:
        low, high = _vector("a corner of the block", self.low_m), _vector("a corner of the block", self.high_m)
        if not (high > low).all():
            raise OpticsError(f"a block needs three edges of more than 0 mm, but has {(high - low) * 1e3} mm")

    turned = False

    def line(self) -> list[Floats]:
        """Return no profile: it is not turned."""
        return []

    def surface(self, size_m: float) -> Patches:
        """Return its six faces cut into patches, their normals outward."""
        made = []
        for axis in range(3):
            u, v = (np.eye(3)[(axis + k) % 3] * (self.high_m - self.low_m) for k in (1, 2))
            far = self.low_m + np.eye(3)[axis] * (self.high_m - self.low_m)
            made += [rectangle(far, u, v, size_m), rectangle(self.low_m, v, u, size_m)]
        return join(made)

    def blocks(self, a: Reals, b: Reals) -> Flags:
        """Return for points, shapes (..., 3) that broadcast, whether the block stands between them."""
        shape = np.broadcast_shapes(a.shape, b.shape)[:-1]
        enter, leave = np.zeros(shape, dtype=a.dtype), np.ones(shape, dtype=a.dtype)
        for k in range(3):
            _clip(a[..., k], b[..., k] - a[..., k], float(self.low_m[k]), float(self.high_m[k]), enter, leave)
        return leave - enter > _SLACK

    def holds(self, points: Floats) -> Flags:
        """Return which points, shape (k, 3), are inside it."""
        inside = (points > self.low_m + _SLACK) & (points < self.high_m - _SLACK)
        return np.asarray(inside.all(axis=1), dtype=np.bool_)


def _clip(a: Reals, way: Reals, low: float, high: float, enter: Reals, leave: Reals) -> None:
    """Narrow the part of each line from `a` on, in shares of `way`, to what lies between two planes, in place."""
    # A line along the planes is given a slope too small to matter, so that both planes are met very far away.
    pace = 1.0 / (way + 1e-30)
    middle = (0.5 * (low + high) - a) * pace
    half = np.abs(pace) * (0.5 * (high - low))
    np.maximum(enter, middle - half, out=enter)
    np.minimum(leave, middle + half, out=leave)


@dataclass(frozen=True)
class Tube:
    """A solid upright cylinder around the z axis.

    Attributes:
        radius_m: its radius.
        low_m: height of its lower end, m.
        high_m: height of its upper end, m.
    """

    radius_m: float
    low_m: float
    high_m: float

    turned = True

    def __post_init__(self) -> None:
        if not (self.radius_m > 0.0 and self.high_m > self.low_m):
            raise OpticsError(
                f"a tube needs a radius and a length of more than 0 mm, but has {self.radius_m * 1e3:g} mm and "
                f"{(self.high_m - self.low_m) * 1e3:g} mm"
            )

    def line(self) -> list[Floats]:
        """Return the profile that it is turned from, the open side on the left."""
        r = self.radius_m
        return [np.array([[0.0, self.high_m], [r, self.high_m], [r, self.low_m], [0.0, self.low_m]])]

    def surface(self, size_m: float) -> Patches:
        """Return its side and its ends cut into patches, their normals outward."""
        count = max(12, 4 * round(2.0 * math.pi * self.radius_m / size_m / 4.0))
        return PatchGrid(split_line(self.line()[0], min(size_m, self.radius_m)), count)

    def blocks(self, a: Reals, b: Reals) -> Flags:
        """Return for points, shapes (..., 3) that broadcast, whether the tube stands between them."""
        x, y = a[..., 0], a[..., 1]
        dx, dy = b[..., 0] - x, b[..., 1] - y
        enter, leave = np.zeros(dx.shape, dtype=a.dtype), np.ones(dx.shape, dtype=a.dtype)
        _clip(a[..., 2], b[..., 2] - a[..., 2], self.low_m, self.high_m, enter, leave)
        square = np.maximum(dx * dx + dy * dy, 1e-30)
        half = x * dx + y * dy
        root = half * half - square * (x * x + y * y - self.radius_m**2)
        spread = np.sqrt(np.maximum(root, 0.0))
        np.maximum(enter, (-half - spread) / square, out=enter)
        np.minimum(leave, (-half + spread) / square, out=leave)
        return (root > 0.0) & (leave - enter > _SLACK)

    def holds(self, points: Floats) -> Flags:
        """Return which points, shape (k, 3), are inside it."""
        level = (points[:, 2] > self.low_m + _SLACK) & (points[:, 2] < self.high_m - _SLACK)
        return level & (np.hypot(points[:, 0], points[:, 1]) < self.radius_m - _SLACK)


Carrier = Disc | Plate | Block | Tube


def check_fit(shell: Shell, carrier: Carrier) -> None:
    """Raise OpticsError with the distance when a carrier reaches through the wall of its shell."""
    if isinstance(carrier, Disc):
        turn = np.linspace(0.0, 2.0 * math.pi, 73)[:, None]
        rim = np.cos(turn) * carrier.frame[0] + np.sin(turn) * carrier.frame[1]
        nodes = np.concatenate([carrier.centre_m + share * carrier.radius_m * rim for share in (0.25, 0.5, 0.75, 1.0)])
    else:
        surface = carrier.surface(shell.reach_m / 8.0)
        nodes = surface.cells(np.arange(len(surface.area)), 2).reshape(-1, 3)
    clear = shell.clearance(nodes)
    k = int(np.argmin(clear))
    if clear[k] < -1e-6 * shell.reach_m:
        x, y, z = (nodes[k] * 1e3).tolist()
        raise OpticsError(
            f"the {type(carrier).__name__.lower()} does not fit: at ({x:.1f}, {y:.1f}, {z:.1f}) mm it is "
            f"{-clear[k] * 1e3:.1f} mm outside the wall"
        )
