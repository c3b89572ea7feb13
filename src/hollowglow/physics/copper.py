"""Copper conductors: diameter, area, resistance and a prudent continuous current, from the size alone.

AWG sizes are whole gauge numbers. Metric sizes are the nominal areas of IEC 60228, kept in mm² because they
are names: the area that conducts may be 12 to 14 % smaller.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple, overload

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

AWG_SIZES: tuple[int, ...] = tuple(range(8, 31))

# IEC 60228, class 5, plain annealed copper, 20 degC. The last two are estimates: they were not seen in print.
CLASS5_MAX_OHM_PER_KM: Mapping[float, float] = MappingProxyType(
    {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91}
)

IACS_OHM_M = 1e-6 / 58.0
STRANDING_FACTOR = 1.02
REFERENCE_TEMPERATURE_C = 20.0
ALPHA_PER_K = 0.00393

MIL_M = 25.4e-6
CIRCULAR_MIL_M2 = math.pi / 4.0 * MIL_M**2
CIRCULAR_MIL_PER_A = 700.0

_NEC_CORD = "NEC table 400.5(A)(1) column B, two conductors, 30 degC ambient"
_NEC_CORD_20 = "NEC table 400.5(A)(1), types other than elevator cable"
_APPLIANCE_FLEX = "appliance flex rating, cord H05VV-F of EN 50525-2-11"
_APPLIANCE_FLEX_ESTIMATE = "appliance flex rating, cord H05VV-F of EN 50525-2-11, an estimate"
_THINNER = "as the next thinner size that a cord table lists; estimate"
_RULE = "rule of thumb, 700 circular mil per ampere; estimate"

_AWG_CORD_A: Mapping[int, float] = MappingProxyType(
    {10: 30.0, 11: 27.0, 12: 25.0, 13: 21.0, 14: 18.0, 15: 16.0, 16: 13.0, 17: 12.0, 18: 10.0}
)
_FLEX_A: Mapping[float, float] = MappingProxyType({0.5: 3.0, 0.75: 6.0, 1.0: 10.0, 1.5: 15.0})
_FLEX_ESTIMATE_A: Mapping[float, float] = MappingProxyType({2.5: 20.0, 4.0: 25.0})


class Ampacity(NamedTuple):
    """Continuous current in ampere that a cord may carry, and what says so."""

    current_a: float
    basis: str


def awg_diameter_m(awg: int) -> float:
    """Return the diameter of a solid wire: 0.127 mm times 92^((36 - awg)/39).

    Args:
        awg: gauge number, whole, one of AWG_SIZES.

    Returns:
        Diameter, m.

    Raises:
        ValueError: the size is not in AWG_SIZES.

    Source: ASTM B258.

    >>> round(awg_diameter_m(18) * 1000, 4)
    1.0237
    """
    if awg not in AWG_SIZES:
        raise ValueError(f"{awg} AWG is outside the table: whole sizes {AWG_SIZES[0]} to {AWG_SIZES[-1]} AWG")
    return 0.127e-3 * float(92.0 ** ((36.0 - awg) / 39.0))


def awg_area_m2(awg: int) -> float:
    """Return the copper area of a gauge size, the same for solid and stranded wire.

    Args:
        awg: gauge number, whole, one of AWG_SIZES.

    Returns:
        Area, m².

    Raises:
        ValueError: the size is not in AWG_SIZES.

    Source: ASTM B258.

    >>> round(awg_area_m2(18) * 1e6, 3)
    0.823
    """
    return math.pi / 4.0 * awg_diameter_m(awg) ** 2


def awg_resistance_ohm_per_m(awg: int, stranded: bool) -> float:
    """Return the resistance of one conductor of a gauge size at 20 °C.

    Resistivity of 100 % IACS copper (1/58 Ω mm²/m) over the area. Strands run in a helix and so are longer
    than the wire: the factor 1.02 stands for that. It does not cover tinned strands (about 6 % more).

    Args:
        awg: gauge number, whole, one of AWG_SIZES.
        stranded: whether the conductor is stranded.

    Returns:
        Resistance per length of conductor (not of the loop), ohm/m.

    Raises:
        ValueError: the size is not in AWG_SIZES.

    Source: ASTM B258 for the area, IEC 60028 for the resistivity, ASTM B8 for the stranding factor.

    >>> round(awg_resistance_ohm_per_m(18, stranded=False) * 1000, 3)
    20.948
    """
    solid = IACS_OHM_M / awg_area_m2(awg)
    return solid * STRANDING_FACTOR if stranded else solid


def class5_resistance_ohm_per_m(area_mm2: float) -> float:
    """Return the greatest resistance that one flexible (class 5) plain copper conductor may have at 20 °C.

    A limit, so real cable may have less; tinned strands are allowed about 3 % more.

    Args:
        area_mm2: nominal area, mm², one of CLASS5_MAX_OHM_PER_KM.

    Returns:
        Resistance per length of conductor (not of the loop), ohm/m.

    Raises:
        ValueError: the area is not in CLASS5_MAX_OHM_PER_KM.

    Source: IEC 60228 table 3 (6 mm² and 10 mm² are estimates).

    >>> class5_resistance_ohm_per_m(0.75)
    0.026
    """
    return CLASS5_MAX_OHM_PER_KM[_nominal_area(area_mm2)] / 1000.0


@overload
def at_temperature(r20: float, temperature_c: float) -> float: ...
@overload
def at_temperature(r20: Array, temperature_c: float | Array) -> Array: ...
@overload
def at_temperature(r20: float, temperature_c: Array) -> Array: ...
def at_temperature(r20: float | Array, temperature_c: float | Array) -> float | Array:
    """Return a copper resistance at another conductor temperature: R20 (1 + 0.00393 (T - 20)).

    Linear, which holds well from about -40 °C to 100 °C.

    Args:
        r20: resistance at 20 °C, ohm or ohm/m, any shape.
        temperature_c: temperature of the conductor, °C, any shape that broadcasts with r20.

    Returns:
        Resistance in the unit of r20, of the broadcast shape.

    Source: IEC 60028.

    >>> round(at_temperature(1.0, 75.0), 5)
    1.21615
    """
    return r20 * (1.0 + ALPHA_PER_K * (temperature_c - REFERENCE_TEMPERATURE_C))


def ampacity_a(awg: int | None = None, mm2: float | None = None) -> Ampacity:
    """Return the continuous current of a flexible cord with two current-carrying conductors.

    The tables are for cords in air at about 30 °C, not coiled and not bundled. Sizes they do not list get 700
    circular mil per ampere, or what the next thinner size of a table may carry where that is more.

    Args:
        awg: gauge number, whole, one of AWG_SIZES; or
        mm2: nominal area, mm², one of CLASS5_MAX_OHM_PER_KM. Exactly one of the two is given.

    Returns:
        Current (A) and the standard or rule it comes from.

    Raises:
        ValueError: both or neither are given, or the size is not in its table.

    Source: NEC table 400.5(A)(1) for 10 to 18 and 20 AWG; appliance flex ratings of the H05VV-F class for 0.5
    to 4 mm² (2.5 and 4 mm² are estimates); the 700 circular mil rule of thumb for the rest.

    >>> ampacity_a(awg=20).current_a
    2.0
    """
    if awg is not None and mm2 is None:
        area_m2 = awg_area_m2(awg)
        if awg in _AWG_CORD_A:
            return Ampacity(_AWG_CORD_A[awg], _NEC_CORD)
        if awg == 20:
            return Ampacity(2.0, _NEC_CORD_20)
        thinner = max((a for n, a in _AWG_CORD_A.items() if n > awg), default=2.0 if awg < 20 else 0.0)
        return _by_rule(area_m2, thinner)
    if mm2 is not None and awg is None:
        area_mm2 = _nominal_area(mm2)
        if area_mm2 in _FLEX_A:
            return Ampacity(_FLEX_A[area_mm2], _APPLIANCE_FLEX)
        if area_mm2 in _FLEX_ESTIMATE_A:
            return Ampacity(_FLEX_ESTIMATE_A[area_mm2], _APPLIANCE_FLEX_ESTIMATE)
        thinner = max(a for n, a in {**_FLEX_A, **_FLEX_ESTIMATE_A}.items() if n < area_mm2)
        return _by_rule(area_mm2 * 1e-6, thinner)
    raise ValueError("a cord has one size: give either awg or mm2")


def _by_rule(area_m2: float, thinner_a: float) -> Ampacity:
    ruled = area_m2 / CIRCULAR_MIL_M2 / CIRCULAR_MIL_PER_A
    return Ampacity(ruled, _RULE) if ruled >= thinner_a else Ampacity(thinner_a, _THINNER)


def _nominal_area(area_mm2: float) -> float:
    if area_mm2 not in CLASS5_MAX_OHM_PER_KM:
        areas = ", ".join(f"{a:g}" for a in CLASS5_MAX_OHM_PER_KM)
        raise ValueError(f"{area_mm2:g} mm2 is outside the table: nominal areas {areas} mm2")
    return area_mm2
