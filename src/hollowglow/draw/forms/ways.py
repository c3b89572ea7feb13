"""Directions of Type C photometry in a prop's own frame, for the way it hangs."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def axes(hangs: str) -> tuple[Floats, Floats, Floats]:
    """Return where C0, C90 and up lie in a prop's own frame, unit vectors, shape (3,) each, right-handed.

    Args:
        hangs: "tip down", "tip up" or "on its side" (its x is then up).
    """
    x, y, z = np.eye(3)
    if hangs == "tip up":
        return x, y, z
    if hangs == "tip down":
        return x, -y, -z
    return z, -y, x


def type_c(hangs: str, vertical_deg: Floats, horizontal_deg: Floats) -> Floats:
    """Return unit vectors in a prop's own frame, shape (h, v, 3).

    Args:
        hangs: which way up.
        vertical_deg: angles from straight down, shape (v,).
        horizontal_deg: angles round the vertical from C0 towards C90, shape (h,).
    """
    first, second, up = axes(hangs)
    down, turn = np.radians(vertical_deg)[None, :, None], np.radians(horizontal_deg)[:, None, None]
    level: Floats = np.cos(turn) * first + np.sin(turn) * second
    ways: Floats = np.sin(down) * level - np.cos(down) * up
    return ways


def hung(hangs: str, points_m: Floats, middle_m: Floats) -> Floats:
    """Return points of a prop in a frame with z up as it hangs, from its middle, m, shape (n, 3).

    Args:
        hangs: which way up.
        points_m: in its own frame, shape (n, 3).
        middle_m: of the prop in its own frame, shape (3,).
    """
    turned: Floats = (points_m - middle_m) @ np.stack(axes(hangs)).T
    return turned


def grid(vertical_step: float, horizontal_step: float) -> tuple[Floats, Floats]:
    """Return angles from 0 to 180 and from 0 to 360 degrees in steps that divide them."""
    count = round(180.0 / vertical_step), round(360.0 / horizontal_step)
    assert math.isclose(count[0] * vertical_step, 180.0)
    return np.linspace(0.0, 180.0, count[0] + 1), np.linspace(0.0, 360.0, count[1] + 1)
