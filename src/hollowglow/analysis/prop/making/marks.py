"""Where each hole of a shell is marked with a tape: its angle round the axis, its height, and the way along the wall."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.analysis.prop.inside.frame import ShellFrame
from hollowglow.analysis.prop.making.analyse import KindMaking
from hollowglow.assembly.tables import Floats


@dataclass(frozen=True, slots=True)
class HoleMark:
    """One hole of a shell.

    Attributes:
        what: "gland", "cable hole" or "drain".
        angle_deg: round the axis from the prop's x towards its y, seen from the tip, 0 to less than 360.
        height_m: above the base.
        radius_m: distance from the axis.
        along_m: way along the outside of the wall from the middle of the base, as a tape lies on it.
        diameter_m: of the hole, None where it is not known.
    """

    what: str
    angle_deg: float
    height_m: float
    radius_m: float
    along_m: float
    diameter_m: float | None


def marks(made: KindMaking) -> Iterator[HoleMark]:
    """Yield the holes of a kind's shell; nothing where it has none or is a box."""
    if made.frame is None or not made.frame.turned:
        return
    cables = made.cables
    if cables is not None and cables.points_m is not None:
        what = "gland" if cables.gland is not None else "cable hole"
        for point in cables.points_m:
            yield _mark(made.frame, what, point, cables.hole_m)
    if made.drain.point_m is not None:
        yield _mark(made.frame, "drain", made.drain.point_m, made.drain.diameter_m)


def girth_m(frame: ShellFrame) -> float:
    """Return how long a tape is that goes once round the widest place of a round shell, m."""
    return 2.0 * math.pi * frame.widest_m


def _mark(frame: ShellFrame, what: str, point: Floats, diameter_m: float | None) -> HoleMark:
    x, y, z = (float(v) for v in point)
    radius = math.hypot(x, y)
    angle = math.degrees(math.atan2(y, x)) % 360.0 if radius > 1e-9 else 0.0
    return HoleMark(what, angle, z, radius, frame.along_m(radius, z), diameter_m)
