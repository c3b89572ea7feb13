"""A cable hung between two hooks: a catenary, whose one parameter is horizontal pull over weight per metre."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Between a cable so taut that it is a straight line to a ruler, and one that hangs straight down.
_LEAST_SHARE, _MOST_SHARE = 1e-5, 20.0


def sag_m(c_m: float, span_m: float, rise_m: float = 0.0) -> float:
    """Return how far the middle of a catenary hangs below the middle of the straight line between its hooks.

    For hooks at one height it is the sag, c (cosh(L/2c) - 1). A difference in height stretches it by the square root
    of 1 + (h/S0)^2, where S0 = 2c sinh(L/2c).

    Args:
        c_m: parameter, above 0.
        span_m: level distance of the hooks, above 0.
        rise_m: height of the second above the first.

    Source: R. C. Hibbeler, Statics, 7.4; for unequal heights y = c cosh((x - x0)/c) through both hooks.
    """
    u = span_m / (2.0 * c_m)
    # cosh u - 1 = 2 sinh(u/2)^2 keeps its figures where the cable is taut.
    return c_m * 2.0 * math.sinh(u / 2.0) ** 2 * math.hypot(1.0, rise_m / (2.0 * c_m * math.sinh(u)))


def length_m(c_m: float, span_m: float, rise_m: float = 0.0) -> float:
    """Return the length of a catenary, the square root of h^2 + (2c sinh(L/2c))^2; arguments as for `sag_m`.

    Source: R. C. Hibbeler, Statics, 7.4.
    """
    return math.hypot(rise_m, 2.0 * c_m * math.sinh(span_m / (2.0 * c_m)))


def parameter_from_sag(span_m: float, sag: float, rise_m: float = 0.0) -> float:
    """Return the parameter c of a cable that sags so far.

    Args:
        span_m: level distance of the hooks, above 0.
        sag: as `sag_m` has it, m, from 0.00001 to 20 times the span.
        rise_m: height of the second hook above the first.

    Returns:
        Parameter, m.

    Raises:
        ValueError: when the sag is outside that range.
    """
    if not _LEAST_SHARE * span_m <= sag <= _MOST_SHARE * span_m:
        raise ValueError(
            f"a sag of {sag:g} m over {span_m:g} m was asked for, expected {_LEAST_SHARE * span_m:g} m to "
            f"{_MOST_SHARE * span_m:g} m"
        )
    return _parameter(span_m, lambda c: sag_m(c, span_m, rise_m) - sag, abs(rise_m))


def parameter_from_length(span_m: float, cable_m: float, rise_m: float = 0.0) -> float:
    """Return the parameter c of a cable of a given length, m; arguments as for `parameter_from_sag`.

    Raises:
        ValueError: when the cable is not longer than the straight line between the hooks, or 40 times the span.
    """
    straight = math.hypot(span_m, rise_m)
    if not straight * (1.0 + 1e-9) < cable_m <= 40.0 * span_m + abs(rise_m):
        raise ValueError(
            f"a cable of {cable_m:g} m between hooks {straight:g} m apart was asked for, expected a longer one"
        )
    return _parameter(span_m, lambda c: length_m(c, span_m, rise_m) - cable_m, abs(rise_m))


def _parameter(span_m: float, miss: Callable[[float], float], rise_m: float) -> float:
    """Return where `miss` crosses zero; it falls as c grows."""
    from scipy.optimize import brentq  # it takes long to load, and few displays hang anything

    low = span_m / 16.0
    high = max(span_m, rise_m)
    while miss(high) > 0.0:
        high *= 4.0
    return float(brentq(miss, low, high, xtol=1e-12 * span_m, rtol=1e-14))


def pulls_n(c_m: float, span_m: float, weight_n_per_m: float, rise_m: float = 0.0) -> tuple[float, float, float]:
    """Return the horizontal pull and the pull along the cable at the first and at the second hook, N.

    The pull along the cable is w times the height above the catenary's own base line, w y.

    Args:
        c_m, span_m, rise_m: as for `sag_m`.
        weight_n_per_m: weight of a metre of cable with all that hangs on it.

    Source: R. C. Hibbeler, Statics, 7.4; F. P. Beer and E. R. Johnston, Vector Mechanics for Engineers: Statics, 7.10.
    """
    first, second = heights_m(c_m, span_m, np.array([0.0, span_m]), rise_m)[1]
    return weight_n_per_m * c_m, weight_n_per_m * float(first), weight_n_per_m * float(second)


def heights_m(c_m: float, span_m: float, x_m: Array, rise_m: float = 0.0) -> tuple[Array, Array]:
    """Return the heights of a catenary above its first hook, and above its own base line.

    Args:
        c_m, span_m, rise_m: as for `sag_m`.
        x_m: level distance from the first hook, shape (n,).

    Returns:
        Two heights, m, each of shape (n,).
    """
    lowest = span_m / 2.0 - c_m * math.asinh(rise_m / (2.0 * c_m * math.sinh(span_m / (2.0 * c_m))))
    above = c_m * np.cosh((np.asarray(x_m) - lowest) / c_m)
    return above - c_m * math.cosh(lowest / c_m), above
