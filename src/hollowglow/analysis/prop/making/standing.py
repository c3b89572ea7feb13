"""Which of base, side and tip is lowest for the way a prop hangs, and how deep water stands behind a higher hole."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside.frame import ShellFrame
from hollowglow.file.model.kind import Place

Floats = NDArray[np.float64]
Hangs = Literal["tip down", "tip up", "on its side"]
LOWEST: dict[Hangs, Place] = {"tip down": "tip", "tip up": "base", "on its side": "side"}
# On its side a prop is turned so that its cables leave level; what is up then is no hole's place.
HIGHEST: dict[Hangs, Place | None] = {"tip down": "base", "tip up": "tip", "on its side": None}


def point_at(frame: ShellFrame, place: Place) -> Floats:
    """Return the middle of a place on the outer surface, m, shape (3,); the side's is at +x where it is widest.

    Of a box on its side the longer of width and depth stands upright, so its side is a face across that.
    """
    if place != "side":
        return np.array([0.0, 0.0, 0.0 if place == "base" else frame.height_m])
    along_x, along_y = (0.0, frame.widest_m) if frame.deep else (frame.widest_m, 0.0)
    return np.array([along_x, along_y, frame.widest_height_m])


def standing_m(frame: ShellFrame, hangs: Hangs, place: Place, hole_m: float) -> float:
    """Return how deep water stands inside a prop that can only run out at a place.

    Args:
        frame: the shell.
        hangs: which way it hangs.
        place: where the hole is.
        hole_m: its diameter, m; water runs out over its lower edge where the wall is upright there.

    Returns:
        Depth above the lowest point of the inner face, m; 0 at the lowest place.
    """
    if LOWEST[hangs] == place:
        return 0.0
    inside = frame.height_m - 2.0 * frame.wall_m
    if hangs == "on its side":
        # The hole is on the axis of an end, the lowest point on the side.
        return max(0.0, frame.widest_m - frame.wall_m - hole_m / 2.0)
    if place == "side":
        widest = frame.widest_height_m
        level = widest if hangs == "tip up" else frame.height_m - widest
        return max(0.0, level - frame.wall_m - hole_m / 2.0)
    return max(0.0, inside)
