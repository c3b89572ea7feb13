"""The carrier as a solid in the prop's frame: where it sits, its faces, and what it must pass through.

A disc lies across the axis, a plate along it with its faces towards +x and -x and its width along y, a box has its
width along x and its depth along y, a tube stands around the axis and is closed. `above_base` is the height of the end that is
nearer to the base; where none is stated the carrier sits halfway up the shell.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside.frame import ShellFrame
from hollowglow.file.model.kind import Carrier

Floats = NDArray[np.float64]
FaceName = Literal["tip", "base", "+x", "-x", "+y", "-y", "rim"]
_ROUND = 48


@dataclass(frozen=True)
class CarrierFace:
    """One face that is marked out and drilled.

    A round rim is unrolled: u runs along its circumference, v along the axis.

    Attributes:
        name: where it looks.
        centre: its middle in the prop's frame, m, shape (3,); of a rim the point at +x.
        normal, u, v: unit vectors, outward and in the face, shape (3,) each; of a rim those at +x.
        width_m, height_m: extent along u and v, m.
        outline: its form; of a disc both extents are its diameter.
        through: whether a hole in it comes out of the opposite face (a disc, a plate), so that both share the holes.
    """

    name: FaceName
    centre: Floats
    normal: Floats
    u: Floats
    v: Floats
    width_m: float
    height_m: float
    outline: Literal["round", "rectangle", "rim"]
    through: bool


@dataclass(frozen=True)
class Body:
    """A carrier in place.

    Attributes:
        carrier: what was stated.
        base_m, top_m: heights of its two ends above the base of the prop, m.
        faces: by name.
    """

    carrier: Carrier
    base_m: float
    top_m: float
    faces: dict[FaceName, CarrierFace]

    @property
    def middle_m(self) -> float:
        """Return the height of its middle, m."""
        return (self.base_m + self.top_m) / 2.0

    @property
    def half_m(self) -> tuple[float, float]:
        """Return half of its extent along x and along y, m."""
        return _half(self.carrier)

    def corners(self) -> Floats:
        """Return the points that come closest to a shell around it, shape (n, 3), m."""
        x, y = self.half_m
        if self.carrier.shape in ("disc", "tube"):
            turn = np.linspace(0.0, 2.0 * math.pi, _ROUND, endpoint=False)
            flat = np.stack([x * np.cos(turn), y * np.sin(turn)], axis=1)
        else:
            flat = np.array([(sx * x, sy * y) for sx in (-1.0, 1.0) for sy in (-1.0, 1.0)])
        ends = [np.column_stack([flat, np.full(len(flat), z)]) for z in (self.base_m, self.middle_m, self.top_m)]
        return np.concatenate(ends)


def body_of(carrier: Carrier, frame: ShellFrame | None) -> Body:
    """Return a carrier in place inside a shell; without a shell it stands on the base."""
    height = _height(carrier)
    halfway = 0.0 if frame is None else (frame.height_m - height) / 2.0
    base = halfway if carrier.above_base is None else carrier.above_base
    return Body(carrier, base, base + height, _faces(carrier, base, base + height))


def pass_m(carrier: Carrier) -> float:
    """Return the diameter of the smallest round opening that a carrier passes through, turned as suits it best, m."""
    x, y = (2.0 * h for h in _half(carrier))
    z = _height(carrier)
    if carrier.shape == "disc":
        return min(x, math.hypot(x, z))
    if carrier.shape == "tube":
        return min(x, math.hypot(x, z))
    least, middle, _ = sorted((x, y, z))
    return math.hypot(least, middle)


def _height(carrier: Carrier) -> float:
    if carrier.shape == "disc":
        return carrier.thickness
    assert carrier.height is not None  # each shape's own measures are checked when the file is read
    return carrier.height


def _half(carrier: Carrier) -> tuple[float, float]:
    if carrier.shape in ("disc", "tube"):
        assert carrier.diameter is not None
        return carrier.diameter / 2.0, carrier.diameter / 2.0
    assert carrier.width is not None
    if carrier.shape == "plate":
        return carrier.thickness / 2.0, carrier.width / 2.0
    assert carrier.depth is not None
    return carrier.width / 2.0, carrier.depth / 2.0


def _faces(carrier: Carrier, base: float, top: float) -> dict[FaceName, CarrierFace]:
    x, y = _half(carrier)
    middle, height = (base + top) / 2.0, top - base
    sheet = carrier.shape in ("disc", "plate")
    faces: dict[FaceName, CarrierFace] = {}

    def face(
        name: FaceName, centre: list[float], normal: list[float], u: list[float], size: tuple[float, float]
    ) -> None:
        n, along = np.array(normal), np.array(u)
        round_end = carrier.shape in ("disc", "tube") and name in ("tip", "base")
        outline: Literal["round", "rectangle", "rim"] = "round" if round_end else "rectangle"
        if name == "rim":
            outline = "rim"
        drilled_through = sheet and name in (("tip", "base") if carrier.shape == "disc" else ("+x", "-x"))
        faces[name] = CarrierFace(name, np.array(centre), n, along, np.cross(n, along), *size, outline, drilled_through)

    # u is chosen so that v = normal x u points to the tip on upright faces.
    face("tip", [0.0, 0.0, top], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0], (2.0 * x, 2.0 * y))
    face("base", [0.0, 0.0, base], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0], (2.0 * x, 2.0 * y))
    if carrier.shape in ("disc", "tube"):
        face("rim", [x, 0.0, middle], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], (2.0 * math.pi * x, height))
    else:
        face("+x", [x, 0.0, middle], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], (2.0 * y, height))
        face("-x", [-x, 0.0, middle], [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0], (2.0 * y, height))
        face("+y", [0.0, y, middle], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], (2.0 * x, height))
        face("-y", [0.0, -y, middle], [0.0, -1.0, 0.0], [1.0, 0.0, 0.0], (2.0 * x, height))
    return faces
