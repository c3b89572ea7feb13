"""What every light draws beside its colours, and the shape in which currents and slopes are told."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

IDLE_RAMP_V = 1.0


class LoadCurrent(NamedTuple):
    """Current in ampere and its slope in siemens, both of the shape of the voltages (per colour where asked)."""

    current: Array
    slope: Array


def idle(v: Array, idle_a: Array) -> LoadCurrent:
    """Return the standing current of the driver chip: a linear ramp over the first 1 V, then constant.

    Args:
        v: voltage across the light, V, shape (n,).
        idle_a: full standing current, A, shape (n,).

    Returns:
        Current (A) and slope (S), shape (n,).
    """
    ramp = np.clip(v / IDLE_RAMP_V, 0.0, 1.0)
    return LoadCurrent(idle_a * ramp, np.where((v >= 0.0) & (v < IDLE_RAMP_V), idle_a / IDLE_RAMP_V, 0.0))
