"""What a short does: the current that a limited supply gives it, and how warm it makes a cable."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# IEC 60364-4-43, copper: k = 226 sqrt(ln((234.5 + final) / (234.5 + start))); 70 to 160 degC gives k = 115 for PVC.
COPPER_CONSTANT = 226.0
COPPER_ZERO_C = 234.5
START_C = 70.0
PVC_FINAL_C = 160.0
PVC_K = 115.0
AIR_C = 30.0
COPPER_MELTS_C = 1085.0


def limited_current_a(
    source_v: Array,
    inner_ohm: Array,
    outer_ohm: Array,
    limit_a: Array,
    at_zero: Array,
) -> tuple[Array, NDArray[np.bool_]]:
    """Return the current of a supply into a resistance, with a limit that may fold back.

    Up to its limit a supply is an ideal source behind its inner resistance. Beyond, its current lies on the straight
    line from the limit, at the voltage that it still has there, to `at_zero` times the limit at 0 V; `at_zero` = 1 is a
    constant-current limit.

    Args:
        source_v: open-circuit voltage, V, shape (n,).
        inner_ohm, outer_ohm: resistance of the supply and of everything outside it, ohm, shape (n,).
        limit_a: current at which it begins to limit, A, shape (n,).
        at_zero: share of the limit that flows at 0 V, shape (n,).

    Returns:
        The current, A, and whether the supply limits; both shape (n,).

    Source: the straight-line foldback characteristic of linear regulators, in closed form.

    >>> current, limits = limited_current_a(*map(np.array, ([12.0], [0.0], [0.5], [10.0], [0.4])))
    >>> round(float(current[0]), 4), bool(limits[0])
    (5.3333, True)
    """
    with np.errstate(divide="ignore", over="ignore"):
        free = source_v / (inner_ohm + outer_ohm)
    limits = free > limit_a
    knee_v = source_v - limit_a * inner_ohm
    with np.errstate(divide="ignore", invalid="ignore"):
        held = at_zero * limit_a / (1.0 - (1.0 - at_zero) * limit_a * outer_ohm / knee_v)
    return np.where(limits, held, free), limits


def adiabatic_c(heat_a2s: Array | float, area_mm2: Array | float, start_c: float = START_C) -> Array:
    """Return the temperature of a copper conductor that has kept all the heat of a short.

    (234.5 + start) exp(I2t / (226 S)2) - 234.5. Exact within 5 s, an upper bound for longer shorts, in which heat
    leaves the conductor. Where I2t = k2 S2 with k = 115 the temperature has gone from 70 to 160 degC.

    Args:
        heat_a2s: integral of the square of the current over time, A2s, any shape.
        area_mm2: copper area, mm2, of a shape that broadcasts with it.
        start_c: temperature before, degC.

    Returns:
        Temperature, degC, at most that at which copper melts.

    Source: IEC 60364-4-43, clause 434.5.2 and the formula of k in its annex.

    >>> round(float(adiabatic_c(115.0**2 * 0.75**2, 0.75)), 0)
    160.0
    """
    share = np.asarray(heat_a2s, dtype=np.float64) / (COPPER_CONSTANT * np.asarray(area_mm2, dtype=np.float64)) ** 2
    rise = np.exp(np.minimum(share, 50.0))
    return np.minimum((COPPER_ZERO_C + start_c) * rise - COPPER_ZERO_C, COPPER_MELTS_C)


def steady_c(current_a: Array | float, ampacity_a: Array | float) -> Array:
    """Return the temperature that a cable settles at in air: 70 degC at its ampacity, 30 degC at no current (estimate).

    The heat grows with the square of the current and with the resistance of the warmer copper.

    Args:
        current_a: steady current, A, any shape.
        ampacity_a: its continuous rating, A, of a shape that broadcasts with it; infinite where nothing is known.

    Returns:
        Temperature, degC, at most that at which copper melts (also where no balance exists); infinite rating: melting
        too, since nothing bounds it.

    Source: IEC 60364-5-52: ampacities of PVC cable hold the conductor at 70 degC in air of 30 degC; IEC 60028 copper.

    >>> round(float(steady_c(10.0, 10.0)), 6)
    70.0
    """
    ampacity = np.asarray(ampacity_a, dtype=np.float64)
    known = np.isfinite(ampacity)
    ratio = np.asarray(current_a, dtype=np.float64) / np.where(known, ampacity, 1.0)
    heat = (START_C - AIR_C) * ratio**2 / (COPPER_ZERO_C + START_C)
    balanced = np.where(
        heat < 0.999, (AIR_C + np.minimum(heat, 0.999) * COPPER_ZERO_C) / (1.0 - np.minimum(heat, 0.999)), np.inf
    )
    return np.where(known, np.minimum(balanced, COPPER_MELTS_C), COPPER_MELTS_C)


def most_heat_w(source_v: Array, loop_ohm: Array, most_a: Array) -> tuple[Array, Array]:
    """Return the most power that a resistance between the conductors can turn into heat, and the current then.

    Most at the loop's own resistance (maximum power transfer), or at the largest current that nothing interrupts
    where that is less.

    Args:
        source_v: voltage of the source, V, shape (n,).
        loop_ohm: resistance of the loop without the fault, ohm, shape (n,).
        most_a: largest current that flows on, A, shape (n,).

    Returns:
        (power W, current A), shape (n,).

    Source: maximum power transfer (Jacobi's law).

    >>> [float(x[0]) for x in most_heat_w(np.array([12.0]), np.array([1.0]), np.array([20.0]))]
    [36.0, 6.0]
    """
    with np.errstate(divide="ignore"):
        current = np.minimum(source_v / (2.0 * loop_ohm), most_a)
    return (source_v - current * loop_ohm) * current, current
