"""Readings with a known answer: the characteristic is found, its parameters lie within limits as often as promised."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from scipy import stats

from hollowglow.analysis.circuit.characterise import BenchReading, FittedCharacteristic, analyse, parse_reading
from hollowglow.messages.refusal import Refusal
from tests.analysis.circuit.characterise.bench import CHARACTERISTICS, IDLE_A, LIGHTS, readings

CONSTANT_CURRENT_V = (1.0, 2.1, 2.2, 2.3, 2.4, 3.1, 3.2, 3.3, 3.4, 3.5, 5.0, 5.5)
RESISTOR_V = (8.0, 9.5, 10.0, 10.5, 11.0, 12.0, 13.0)
CONSTANT_POWER_V = (6.0, 6.8, 7.2, 8.0, 9.0, 10.0, 12.0)
AT_V = {"constant-current": CONSTANT_CURRENT_V, "resistor": RESISTOR_V, "constant-power": CONSTANT_POWER_V}
TRUE = {
    "constant-current": {"current": [0.0185] * 3, "turn_on": [2.0, 3.0, 3.1], "saturation": [0.6], "idle": [IDLE_A]},
    "resistor": {"resistor": [330.0, 150.0, 150.0], "forward": [2.0, 3.0, 3.1], "idle": [IDLE_A]},
    "constant-power": {"power": [0.10, 0.12, 0.12], "idle": [IDLE_A]},
}


def values(fitted: FittedCharacteristic, key: str) -> list[float]:
    return [p.value for p in fitted.parameters if p.key == key]


@pytest.mark.parametrize("characteristic", CHARACTERISTICS)
@pytest.mark.parametrize("stated", LIGHTS)
def test_readings_without_noise_give_the_characteristic_whatever_was_stated(characteristic: str, stated: str) -> None:
    found = analyse(readings(CHARACTERISTICS[characteristic], AT_V[characteristic]), LIGHTS[stated])
    assert (found.characteristic, found.stated_characteristic, found.sure) == (characteristic, stated, True)
    for key, true in TRUE[characteristic].items():
        got = np.array(values(found, key))
        if characteristic == stated or key == "idle" or characteristic == "constant-current":
            assert got == pytest.approx(true, rel=1e-4), key
    if characteristic == "resistor" and stated != characteristic:
        # Without a stated number of LEDs, the fit is that of one LED and one chain which draws the same.
        assert values(found, "resistor") == pytest.approx([110.0, 50.0, 50.0], rel=1e-4)
        assert values(found, "forward") == pytest.approx([6.0, 9.0, 9.3], rel=1e-4)
    if characteristic == "constant-power":
        cutoff = next(p for p in found.parameters if p.key == "cutoff")
        assert (cutoff.low, cutoff.value, cutoff.high) == (6.8, 7.0, 7.2)
        assert cutoff.source == "measured"


@pytest.mark.parametrize("characteristic", CHARACTERISTICS)
def test_parameters_lie_within_their_limits_as_often_as_promised(characteristic: str) -> None:
    times, inside, tried = 120, 0, 0
    by_key: dict[str, int] = {}
    for seed in range(times):
        found = analyse(
            readings(CHARACTERISTICS[characteristic], AT_V[characteristic], 3e-5, seed), LIGHTS[characteristic]
        )
        assert found.characteristic == characteristic
        seen: dict[str, int] = {}
        for one in found.parameters:
            at = seen.get(one.key, 0)
            seen[one.key] = at + 1
            if one.key not in TRUE[characteristic]:
                continue
            assert one.low is not None
            assert one.high is not None
            hit = one.low <= TRUE[characteristic][one.key][at] <= one.high
            inside += hit
            tried += 1
            by_key[f"{one.key}{at}"] = by_key.get(f"{one.key}{at}", 0) + hit
    # Each parameter's limits are to hold in 95 % of the fits: a binomial count, one in ten thousand allowed below.
    least = stats.binom.ppf(1e-4, times, 0.95)
    assert min(by_key.values()) >= least, by_key
    assert 0.93 < inside / tried < 0.97


def test_limits_of_a_steady_current_are_those_of_students_t() -> None:
    # Ten readings of each colour far above saturation, none of them off: the idle current is as stated.
    given = readings(CHARACTERISTICS["constant-current"], (12.0,) * 10, 5e-5, 3, channels=("red", "green", "blue"))
    found = analyse(given, LIGHTS["constant-current"])
    own = np.array([[r.amps for r in given if r.channel == c] for c in ("red", "green", "blue")])
    spread = np.sqrt(((own - own.mean(axis=1, keepdims=True)) ** 2).sum() / 27)
    half = stats.t.ppf(0.975, 27) * spread / np.sqrt(10)
    for one, mean in zip([p for p in found.parameters if p.key == "current"], own.mean(axis=1), strict=True):
        assert one.value == pytest.approx(mean - IDLE_A, rel=1e-6)
        assert (one.low, one.high) == pytest.approx((mean - IDLE_A - half, mean - IDLE_A + half), rel=1e-4)


@pytest.mark.parametrize("characteristic", CHARACTERISTICS)
def test_one_voltage_cannot_tell_the_characteristic(characteristic: str) -> None:
    found = analyse(readings(CHARACTERISTICS["constant-current"], (12.0,)), LIGHTS[characteristic])
    assert (found.characteristic, found.sure) == (characteristic, False)
    assert {one.possible for one in found.characteristics} == {True}
    assert all(one.low is None for one in found.parameters)


def test_what_the_readings_do_not_tell_stays_as_stated() -> None:
    found = analyse(readings(CHARACTERISTICS["constant-current"], (12.0, 9.0, 7.0), 2e-5), LIGHTS["constant-current"])
    by_source = {key: {p.source for p in found.parameters if p.key == key} for key in TRUE["constant-current"]}
    assert by_source == {
        "current": {"measured"}, "turn_on": {"catalogue"}, "saturation": {"catalogue"}, "idle": {"measured"},
    }  # fmt: skip
    assert values(found, "turn_on") == [2.0, 3.0, 3.1]


def test_a_light_that_is_saturated_below_its_stated_knee_moves_the_knee_down() -> None:
    found = analyse(readings(lambda v, c: 0.0185, (12.0, 3.3), 2e-5), LIGHTS["constant-current"])
    assert values(found, "turn_on") == pytest.approx([2.0, 2.7, 2.7])
    assert [p.source for p in found.parameters if p.key == "turn_on"] == ["catalogue", "assumed", "assumed"]


def test_white_and_all_of_three_colours_are_their_sum() -> None:
    given = readings(CHARACTERISTICS["constant-current"], (12.0, 9.0), channels=("red", "green", "white", "off"))
    assert values(analyse(given, LIGHTS["constant-current"]), "current") == pytest.approx([0.0185] * 3, rel=1e-6)
    given = readings(CHARACTERISTICS["constant-current"], (12.0, 9.0), channels=("red", "green", "all", "off"))
    assert values(analyse(given, LIGHTS["constant-current"]), "current") == pytest.approx([0.0185] * 3, rel=1e-6)


def test_a_nearly_as_good_characteristic_does_not_unseat_the_stated_one() -> None:
    # At two voltages a resistor light has as many unknowns as readings.
    found = analyse(readings(CHARACTERISTICS["resistor"], (12.0, 10.5), 2e-5), LIGHTS["resistor"])
    assert (found.characteristic, found.sure) == ("resistor", False)


def refused(given: Sequence[BenchReading], stated: str = "constant-current") -> str:
    with pytest.raises(Refusal) as error:
        analyse(given, LIGHTS[stated])
    return str(error.value)


def typed(*lines: str) -> list[BenchReading]:
    return [one for number, line in enumerate(lines, 1) for one in parse_reading(line, number)]


def test_a_current_that_falls_and_rises_contradicts_every_characteristic() -> None:
    given = typed(
        "12 V: red 18 mA, green 18 mA, blue 18 mA, off 1 mA",
        "10 V: red 12 mA, green 18 mA, blue 18 mA, off 1 mA",
        "8 V: red 18.5 mA, green 18 mA, blue 18 mA, off 1 mA",
    )
    assert refused(given) == (
        "The readings contradict every characteristic: red falls from 18.5 mA at 8.00 V to 12 mA at 10.00 V (reading 2) and "
        "rises again to 18 mA at 12.00 V (reading 1). A constant current and a resistor never draw less at more volts, a "
        "switching driver that runs never draws more. Measure red at 10.00 V again."
    )


def test_a_reading_far_from_every_characteristic_is_named() -> None:
    given = typed(
        *(f"{v} V: red 18 mA, green 18 mA, blue 18 mA, off 1 mA" for v in (12, 11, 10)),
        "9 V: red 18 mA, green 30 mA, blue 18 mA, off 1 mA",
    )
    said = refused(given)
    start = (
        "The readings contradict every characteristic: the nearest is constant-current, and green at 9 V (reading 4) is "
        "30 mA where it says "
    )
    end = (
        " mA. Measure that again with every colour at full level; if it stays so, this light is none of those that "
        "can be computed here."
    )
    assert said.startswith(start)
    assert said.endswith(end)
    assert float(said.removeprefix(start).removesuffix(end)) == pytest.approx(18.0, abs=0.5)


def test_colours_that_no_reading_tells_are_asked_for() -> None:
    assert refused(typed("12 V: red 18 mA, off 1 mA")) == (
        "The readings do not tell the current of green and blue, expected each of the 3 colours alone at one voltage at "
        "least. Add a reading with only green fully on."
    )
    assert "red and green and blue" in refused(typed("12 V: off 1 mA"))


def test_a_random_light_of_each_characteristic_is_found_again() -> None:
    rng = np.random.default_rng(11)
    for _ in range(10):
        watts, cutoff = rng.uniform(0.05, 0.3, 3), float(rng.uniform(6.0, 8.0))
        volts = (5.0, 5.5, *np.sort(rng.uniform(8.5, 14.0, 4)).tolist())
        given = readings(lambda v, c, w=watts, k=cutoff: float(w[c] / v) if v >= k else 0.0, volts, 2e-5)  # type: ignore[misc]
        found = analyse(given, LIGHTS["constant-power"])
        assert found.characteristic == "constant-power"
        assert values(found, "power") == pytest.approx((watts * 0.85).tolist(), rel=0.02)
