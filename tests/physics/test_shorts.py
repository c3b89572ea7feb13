"""Supplies that limit, and conductors that keep the heat of a short."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize_scalar

from hollowglow.physics.shorts import PVC_K, adiabatic_c, limited_current_a, most_heat_w, steady_c


def current(volts: float, inner: float, outer: float, limit: float, at_zero: float) -> tuple[float, bool]:
    amps, limits = limited_current_a(*(np.array([x]) for x in (volts, inner, outer, limit, at_zero)))
    return float(amps[0]), bool(limits[0])


@pytest.mark.parametrize("area", [0.5, 0.75, 1.5, 4.0])
def test_where_i2t_is_k2s2_a_pvc_cable_has_gone_from_70_to_160_degrees(area: float) -> None:
    # IEC 60364-4-43: k = 115 for copper insulated with PVC, 70 degC before and 160 degC after; k is rounded.
    assert float(adiabatic_c((115.0 * area) ** 2, area)) == pytest.approx(160.0, abs=0.5)
    assert pytest.approx(226.0 * math.sqrt(math.log((234.5 + 160.0) / (234.5 + 70.0))), abs=0.5) == PVC_K


def test_k_of_other_insulations_follows_from_the_same_formula() -> None:
    # IEC 60364-4-43: k = 143 for copper in XLPE or EPR, from 90 to 250 degC.
    assert float(adiabatic_c(143.0**2, 1.0, start_c=90.0)) == pytest.approx(250.0, abs=1.0)


def test_no_heat_leaves_the_temperature_and_much_melts_the_copper() -> None:
    assert float(adiabatic_c(0.0, 0.75)) == pytest.approx(70.0)
    assert float(adiabatic_c(1e12, 0.75)) == 1085.0


def test_at_its_ampacity_a_cable_settles_at_70_degrees_and_at_half_of_it_in_between() -> None:
    assert float(steady_c(10.0, 10.0)) == pytest.approx(70.0)
    # 40 K at the resistance of 70 degC; a quarter of the heat: T - 30 = 10 (234.5 + T) / 304.5.
    assert float(steady_c(5.0, 10.0)) == pytest.approx((30.0 + 10.0 * 234.5 / 304.5) / (1.0 - 10.0 / 304.5))
    assert float(steady_c(5.0, np.inf)) == 1085.0


def test_below_its_limit_a_supply_is_a_source_behind_its_resistance() -> None:
    assert current(12.0, 0.1, 1.1, 20.0, 0.4) == (pytest.approx(10.0), False)


def test_a_constant_limit_holds_at_every_voltage() -> None:
    assert current(12.0, 0.1, 0.3, 10.0, 1.0) == (pytest.approx(10.0), True)
    assert current(12.0, 0.0, 0.0, 10.0, 1.0) == (pytest.approx(10.0), True)


@given(st.floats(0.0, 0.95), st.floats(0.0, 0.2), st.floats(0.0, 1.0))
def test_a_foldback_limit_lies_on_its_line(share: float, inner: float, at_zero: float) -> None:
    limit = 10.0
    knee_v = 12.0 - limit * inner
    outer = share * knee_v / limit
    amps, limits = current(12.0, inner, outer, limit, at_zero)
    assert limits
    volts = amps * outer
    assert amps == pytest.approx(limit * (at_zero + (1.0 - at_zero) * volts / knee_v), rel=1e-9, abs=1e-9)


@given(st.floats(1.0, 60.0), st.floats(0.01, 20.0), st.floats(0.1, 100.0))
def test_no_resistance_makes_more_heat_than_the_one_named(volts: float, loop: float, most: float) -> None:
    """Against a search over all resistances that draw no more than the largest current."""
    least = max(volts / most - loop, 0.0)
    found = minimize_scalar(
        lambda r: -(volts**2) * r / (r + loop) ** 2, bounds=(least, least + 100.0 * loop), method="bounded",
        options={"xatol": 1e-9 * loop},
    )  # fmt: skip
    at_least_r = volts**2 * least / (least + loop) ** 2
    power, amps = most_heat_w(np.array([volts]), np.array([loop]), np.array([most]))
    assert float(power[0]) == pytest.approx(max(-float(found.fun), at_least_r), rel=1e-4)
    assert amps[0] <= most
