"""The characteristics of the lights: closed forms, slopes against differences, and what must hold at every voltage."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from hollowglow.file.model.loads.constant_current import constant_current
from hollowglow.file.model.loads.constant_power import constant_power
from hollowglow.file.model.loads.resistor import resistor
from hollowglow.physics import loads

Array = NDArray[np.float64]

STEP_V = 1e-5
# Central differences are exact for the straight and square parts; h² times the third derivative is the rest.

volts = st.floats(0.0, 30.0)
amps = st.floats(1e-3, 0.1)
turn_ons = st.floats(0.5, 20.0)
saturations = st.floats(0.1, 2.0)


def row(*values: float) -> Array:
    return np.array([values])


def constant_current_at(v: Array, full_a: float, turn_on_v: float, saturation_v: float) -> loads.LoadCurrent:
    n = len(v)
    return constant_current(v, np.full((n, 1), full_a), np.full((n, 1), turn_on_v), np.full((n, 1), saturation_v))


def resistor_at(v: Array, series: int, parallel: int, forward_v: float, resistor_ohm: float) -> loads.LoadCurrent:
    shape = (len(v), 1)
    return resistor(
        v,
        np.full(shape, series),
        np.full(shape, parallel),
        np.full(shape, forward_v),
        np.full(shape, resistor_ohm),
    )


def constant_power_at(
    v: Array, power_w: float, efficiency: float, cutoff_v: float, running: bool = True
) -> loads.LoadCurrent:
    shape = (len(v), 1)
    return constant_power(
        v,
        np.full(shape, power_w),
        np.full(shape, efficiency),
        np.full(shape, cutoff_v),
        np.full(len(v), running),
    )


def check_slope_between(draw: loads.LoadCurrent) -> None:
    """`draw` was taken at v - h, v and v + h."""
    i, slope = draw.current.ravel(), draw.slope.ravel()
    assert slope[1] == pytest.approx((i[2] - i[0]) / (2 * STEP_V), rel=1e-6, abs=1e-9)


def around(v: float) -> Array:
    return np.array([v - STEP_V, v, v + STEP_V])


# s(u) = 2u - u² at u = 0.5 is 0.75; at its ends 0 and 1.
@pytest.mark.parametrize(("u", "s"), [(-1.0, 0.0), (0.0, 0.0), (0.25, 0.4375), (0.5, 0.75), (1.0, 1.0), (9.0, 1.0)])
def test_constant_current_follows_the_square_law_below_its_compliance(u: float, s: float) -> None:
    draw = constant_current_at(np.array([2.0 + u * 0.5]), 0.0185, 2.0, 0.5)
    assert draw.current.item() == pytest.approx(0.0185 * s, rel=1e-12)


def test_constant_current_takes_each_colour_by_itself() -> None:
    draw = constant_current(np.array([3.3, 5.0]), row(0.01, 0.02, 0.03), row(2.0, 3.0, 3.1), row(0.6))
    np.testing.assert_allclose(draw.current, [[0.01, 0.02 * 0.75, 0.03 * 5 / 9], [0.01, 0.02, 0.03]], rtol=1e-12)
    np.testing.assert_allclose(draw.slope, [[0.0, 0.02 / 0.6, 0.03 * 4 / 1.8], [0.0, 0.0, 0.0]], rtol=1e-12)


@given(volts, amps, turn_ons, saturations)
def test_constant_current_slope_is_its_derivative(
    v: float, full_a: float, turn_on_v: float, saturation_v: float
) -> None:
    assume(min(abs(v - turn_on_v), abs(v - turn_on_v - saturation_v)) > 2 * STEP_V)
    check_slope_between(constant_current_at(around(v), full_a, turn_on_v, saturation_v))


@given(volts, volts, amps, turn_ons, saturations)
def test_constant_current_never_draws_less_at_more_voltage_nor_more_than_full(
    a: float, b: float, full_a: float, turn_on_v: float, saturation_v: float
) -> None:
    draw = constant_current_at(np.array(sorted((a, b))), full_a, turn_on_v, saturation_v)
    low, high = draw.current.ravel()
    assert 0.0 <= low <= high * (1 + 1e-12)
    assert high <= full_a * (1 + 1e-12)
    assert np.all(draw.slope >= 0.0)


# The usual sizing of a 12 V light with three red LEDs (2.0 V each) in series for 18.5 mA: R = (12 - 3 ·
# 2.0)/0.0185.
def test_resistor_of_a_12_v_light_sets_its_nominal_current() -> None:
    draw = resistor_at(np.array([12.0]), series=3, parallel=1, forward_v=2.0, resistor_ohm=324.3)
    assert round(draw.current.item() * 1000.0, 1) == 18.5
    for forward_v, resistor_ohm in ((1.8, 356.8), (2.2, 291.9)):
        other = resistor_at(np.array([12.0]), 3, 1, forward_v, resistor_ohm)
        assert round(other.current.item() * 1000.0, 1) == 18.5


def test_resistor_takes_each_colour_by_itself_and_multiplies_its_chains() -> None:
    draw = resistor(np.array([6.0, 12.0]), row(3.0), row(2.0), row(1.9, 3.0, 3.1), row(300.0, 150.0, 100.0))
    np.testing.assert_allclose(
        draw.current, [[2 * 0.3 / 300, 0.0, 0.0], [2 * 6.3 / 300, 2 * 3.0 / 150, 2 * 2.7 / 100]], rtol=1e-12
    )
    np.testing.assert_allclose(draw.slope, [[2 / 300, 0.0, 0.0], [2 / 300, 2 / 150, 2 / 100]], rtol=1e-12)


leds = st.integers(1, 6)
forwards = st.floats(1.8, 3.4)
resistors = st.floats(30.0, 1000.0)


@given(volts, leds, leds, forwards, resistors)
def test_resistor_slope_is_its_derivative(v: float, series: int, parallel: int, forward: float, ohm: float) -> None:
    assume(abs(v - series * forward) > 2 * STEP_V)
    check_slope_between(resistor_at(around(v), series, parallel, forward, ohm))


@given(volts, volts, leds, leds, forwards, resistors)
def test_resistor_never_draws_less_at_more_voltage(
    a: float, b: float, series: int, parallel: int, forward: float, ohm: float
) -> None:
    draw = resistor_at(np.array(sorted((a, b))), series, parallel, forward, ohm)
    low, high = draw.current.ravel()
    assert 0.0 <= low <= high
    assert np.all(draw.slope >= 0.0)


@given(volts, leds, leds, forwards, resistors)
def test_resistor_splits_the_voltage_between_leds_and_resistor(
    v: float, series: int, parallel: int, forward: float, ohm: float
) -> None:
    assume(v > series * forward)
    chain_a = resistor_at(np.array([v]), series, parallel, forward, ohm).current.item() / parallel
    assert series * forward + chain_a * ohm == pytest.approx(v, rel=1e-12)


powers = st.floats(0.01, 5.0)
efficiencies = st.floats(0.5, 1.0)
cutoffs = st.floats(3.0, 20.0)
above = st.floats(0.0, 20.0)


@given(cutoffs, above, powers, efficiencies)
def test_running_driver_draws_constant_power(cutoff: float, over: float, power: float, efficiency: float) -> None:
    v = cutoff + over
    draw = constant_power_at(np.array([v]), power, efficiency, cutoff)
    assert v * draw.current.item() == pytest.approx(power / efficiency, rel=1e-12)
    assert draw.slope.item() == pytest.approx(-draw.current.item() / v, rel=1e-12)


@given(cutoffs, st.floats(-5.0, 20.0), powers, efficiencies)
def test_constant_power_slope_is_its_derivative_also_below_the_cutoff(
    cutoff: float, over: float, power: float, efficiency: float
) -> None:
    v = cutoff + over
    assume(v > 0.0)
    assume(abs(over) > 2 * STEP_V)
    check_slope_between(constant_power_at(around(v), power, efficiency, cutoff))


@given(cutoffs, powers, efficiencies)
def test_constant_power_goes_on_below_its_cutoff_without_step_or_kink(
    cutoff: float, power: float, efficiency: float
) -> None:
    v = np.array([cutoff - 1e-9, cutoff, cutoff + 1e-9])
    draw = constant_power_at(v, power, efficiency, cutoff)
    at = power / efficiency / cutoff
    np.testing.assert_allclose(draw.current.ravel(), at, rtol=2e-9)
    np.testing.assert_allclose(draw.slope.ravel(), -at / cutoff, rtol=2e-9)


# The tangent of P/v at the cutoff v_c is P (2 - v/v_c)/v_c: at 0 V twice the current at the cutoff.
@given(cutoffs, powers, efficiencies, st.floats(0.0, 1.0))
def test_constant_power_goes_on_along_its_tangent(cutoff: float, power: float, efficiency: float, part: float) -> None:
    draw = constant_power_at(np.array([part * cutoff]), power, efficiency, cutoff)
    assert draw.current.item() == pytest.approx(power / efficiency * (2.0 - part) / cutoff, rel=1e-9)


@given(volts, powers, efficiencies, cutoffs)
def test_constant_power_that_is_off_draws_nothing(v: float, power: float, efficiency: float, cutoff: float) -> None:
    draw = constant_power_at(np.array([v]), power, efficiency, cutoff, running=False)
    assert draw.current.item() == 0.0
    assert draw.slope.item() == 0.0


def test_each_driver_is_told_by_itself_whether_it_runs() -> None:
    running = np.array([True, False])
    draw = constant_power(np.array([12.0, 12.0]), row(0.10, 0.12, 0.12), row(0.85), row(7.0), running)
    np.testing.assert_allclose(draw.current.sum(axis=1), [0.34 / 0.85 / 12.0, 0.0], rtol=1e-12)


@pytest.mark.parametrize(("v", "share"), [(-1.0, 0.0), (0.0, 0.0), (0.25, 0.25), (1.0, 1.0), (12.0, 1.0)])
def test_idle_current_ramps_up_over_the_first_volt(v: float, share: float) -> None:
    assert loads.idle(np.array([v]), np.array([1e-3])).current.item() == pytest.approx(share * 1e-3, rel=1e-12)


@given(st.floats(-2.0, 30.0), amps)
def test_idle_slope_is_its_derivative(v: float, idle_a: float) -> None:
    assume(min(abs(v), abs(v - 1.0)) > 2 * STEP_V)
    check_slope_between(loads.idle(around(v), np.full(3, idle_a)))


@given(st.lists(volts, min_size=2, max_size=2), amps)
def test_idle_never_draws_less_at_more_voltage(pair: list[float], idle_a: float) -> None:
    low, high = loads.idle(np.array(sorted(pair)), np.full(2, idle_a)).current
    assert 0.0 <= low <= high <= idle_a


def characteristics(v: Array) -> dict[str, Any]:
    n = len(v)
    return {
        "constant-current": constant_current_at(v, 0.02, 3.0, 0.6).current.sum(axis=1),
        "resistor": resistor_at(v, 3, 2, 3.0, 150.0).current.sum(axis=1),
        "constant-power": constant_power_at(v, 0.3, 0.85, 7.0).current.sum(axis=1),
        "idle": loads.idle(v, np.full(n, 1e-3)).current,
    }


@given(st.lists(volts, min_size=1, max_size=6))
def test_many_lights_at_once_are_the_same_as_one_at_a_time(many: list[float]) -> None:
    coincident = characteristics(np.array(many))
    for k, v in enumerate(many):
        for name, current in characteristics(np.array([v])).items():
            assert coincident[name][k] == pytest.approx(current.item(), rel=1e-12, abs=1e-15)
