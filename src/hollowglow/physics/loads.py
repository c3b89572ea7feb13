"""The three laws by which a light draws current from the voltage across it, with their slopes.

All functions work on arrays: `v` has shape (n,), the parameters per colour have shape (n, c) or (c,).
The laws are the project's own idealisations of the driver data sheets; docs/model.md gives their limits.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

IDLE_RAMP_V = 1.0
CONSTANT_CURRENT, RESISTOR, CONSTANT_POWER = 0, 1, 2
CLASS_CODES = {"constant-current": CONSTANT_CURRENT, "resistor": RESISTOR, "constant-power": CONSTANT_POWER}


class Draw(NamedTuple):
    """Current in ampere and its slope in siemens, both of the shape of the voltages (per colour where asked)."""

    current: Array
    slope: Array


def constant_current(v: Array, full_a: Array, turn_on_v: Array, saturation_v: Array) -> Draw:
    """Return what a linear current-sink driver draws per colour.

    i = I s((v - turn_on) / saturation), s(u) = 0 for u <= 0, 2u - u^2 for 0 < u < 1, 1 for u >= 1: the square law
    of a MOS current sink below its compliance voltage.

    Args:
        v: voltage across the light, V, shape (n,).
        full_a: full current per colour, A, shape (n, c).
        turn_on_v: voltage at which a colour starts, V, shape (n, c).
        saturation_v: further voltage at which it is fully on, V, shape (n, 1).

    Returns:
        Current (A) and slope (S), shape (n, c).
    """
    u = np.clip((v[:, None] - turn_on_v) / saturation_v, 0.0, 1.0)
    return Draw(full_a * u * (2.0 - u), np.where(u > 0.0, full_a * 2.0 * (1.0 - u) / saturation_v, 0.0))


def resistor(v: Array, series: Array, parallel: Array, forward_v: Array, resistor_ohm: Array) -> Draw:
    """Return what LEDs in series behind a resistor draw per colour.

    i = parallel max(0, v - series forward) / resistor (Ohm's law with a constant LED forward voltage).

    Args:
        v: voltage across the light, V, shape (n,).
        series: LEDs in series per chain, shape (n, 1).
        parallel: chains side by side, shape (n, 1).
        forward_v: forward voltage of one LED, V, shape (n, c).
        resistor_ohm: ballast of one chain, ohm, shape (n, c).

    Returns:
        Current (A) and slope (S), shape (n, c).
    """
    over = v[:, None] - series * forward_v
    slope = parallel / resistor_ohm
    return Draw(slope * np.maximum(over, 0.0), np.where(over > 0.0, slope, 0.0))


def constant_power(v: Array, power_w: Array, efficiency: Array, cutoff_v: Array, running: NDArray[np.bool_]) -> Draw:
    """Return what a switching driver of constant power draws per colour.

    i = (power / efficiency) / v while it runs. Whether it runs (v at or above its cutoff) is for the caller to say,
    because near the cutoff that is a property of the network and not of the driver alone. Below the cutoff the
    hyperbola is continued by its tangent, so that an iterate that strays there still finds its way back.

    Args:
        v: voltage across the light, V, shape (n,).
        power_w: power per colour delivered to the LEDs, W, shape (n, c).
        efficiency: of the driver, shape (n, 1).
        cutoff_v: lowest running voltage, V, shape (n, 1).
        running: whether the driver runs, shape (n,).

    Returns:
        Current (A) and slope (S), shape (n, c).
    """
    held = np.maximum(v[:, None], cutoff_v)
    drawn = np.where(running[:, None], power_w / efficiency, 0.0)
    slope = -drawn / held**2
    return Draw(drawn / held + slope * (v[:, None] - held), slope)


def idle(v: Array, idle_a: Array) -> Draw:
    """Return the standing current of the driver chip: a linear ramp over the first 1 V, then constant.

    Args:
        v: voltage across the light, V, shape (n,).
        idle_a: full standing current, A, shape (n,).

    Returns:
        Current (A) and slope (S), shape (n,).
    """
    ramp = np.clip(v / IDLE_RAMP_V, 0.0, 1.0)
    return Draw(idle_a * ramp, np.where((v >= 0.0) & (v < IDLE_RAMP_V), idle_a / IDLE_RAMP_V, 0.0))
