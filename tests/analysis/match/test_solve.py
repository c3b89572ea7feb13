"""Levels against closed forms, against a root search on the whole circuit, and against what hands have found."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from hollowglow.analysis.circuit.power import analyse as power_of
from hollowglow.analysis.match import Match, Row, Target, solve
from hollowglow.analysis.match.light import left_by_voltage, lights
from hollowglow.analysis.prop.optics import analyse
from hollowglow.assembly.tables import Floats
from hollowglow.messages.refusal import Refusal
from hollowglow.physics.colour import delta_uv_prime, mix_xyz
from tests.analysis.match.samples import PRIMARIES, SHELL, kind, light, lumens, matched, times, two
from tests.assembly.samples import CONSTANT_CURRENT, RESISTOR, built, changed

FOUR = {**CONSTANT_CURRENT, "current": ["18.5 mA"] * 4, "turn_on": ["2 V", "3 V", "3.1 V", "3 V"]}


def row(found: Match, name: str) -> Row:
    return next(r for r in found.rows if r.kind == name)


def step(found: Match, name: str) -> float:
    return 1.0 / row(found, name).settings[0].grid.steps


@pytest.mark.parametrize("by", ["luminance", "intensity", "view"])
@pytest.mark.parametrize("share", [1.0, 0.4])
def test_the_level_of_a_kind_is_the_cap_times_the_dimmest_over_its_own(by: str, share: float) -> None:
    """level_k = share Y_dim / Y_k, with no voltage to lose; the same shell passes the same share of each light."""
    _, _, found = matched(two(times(1.0), times(2.5)), Target(by=by, share=share))  # type: ignore[arg-type]
    assert found.reference == "dim"
    assert row(found, "dim").level == pytest.approx(share, abs=0.51 / 255)
    assert row(found, "bright").level == pytest.approx(share / 2.5, abs=0.51 / 255)
    assert found.settled


def test_shells_of_other_sizes_match_by_luminance_near_and_by_intensity_far() -> None:
    # Closed form of a diffuse sphere: L is proportional to flux over area, I to flux, so 2 : 1 in diameter is 4 : 1 in L.
    display = two(times(1.0), times(1.0))
    display["kinds"]["bright"]["shell"] = {**SHELL, "diameter": "75 mm"}
    for name, middle in (("dim", "75 mm"), ("bright", "37.5 mm")):
        display["kinds"][name]["fill"]["positions"] = [["0 mm", "0 mm", middle]]
    _, _, near = matched(display, Target(by="luminance"))
    assert row(near, "bright").level == pytest.approx(0.25, abs=0.01)
    assert row(near, "dim").level == 1.0
    _, _, far = matched(display, Target(by="intensity"))
    assert [r.level for r in far.rows] == pytest.approx([1.0, 1.0], abs=0.01)
    for viewing, expected in (("1 m", near), ("2000 m", far)):
        _, _, seen = matched({**display, "viewing": viewing})
        assert [r.level for r in seen.rows] == pytest.approx([r.level for r in expected.rows], abs=0.015)


def test_a_nine_led_module_goes_to_two_thirds_beside_six_single_lights() -> None:
    # Common practice, no source: like LEDs, equal settings, nine outshine six by half.
    nine, six = times(1.0), times(1.0)
    nine["light"]["emitters"] = 9
    nine["light"]["colour"]["flux"] = lumens(9 * 1.3, 9 * 2.2, 9 * 0.6)
    display = two(six, nine, steps="percent")
    # In the middle of a ball every light is spread alike.
    at_middle = [["0 mm", "0 mm", "75 mm"]]
    display["kinds"]["dim"] = kind("one", 6)
    display["kinds"]["dim"]["fill"]["positions"] = at_middle * 6
    display["kinds"]["bright"]["fill"]["positions"] = at_middle
    _, _, full = matched(display)
    assert row(full, "bright").level == pytest.approx(2.0 / 3.0, abs=0.011)
    # Levels near 30 % are usual in the yard; the two kinds compare alike there.
    _, _, low = matched(display, Target(share=0.3))
    assert row(low, "dim").level == pytest.approx(0.30)
    assert row(low, "bright").level == pytest.approx(0.20, abs=0.006)
    assert abs(row(low, "bright").residual) < 0.025


def _shining(display: dict[str, object], levels: dict[str, float]) -> dict[str, Floats]:
    """The luminance of each kind by colour at given levels, by the whole analysis of the display."""
    assembly = built({**display, "levels": {k: f"{100 * v:.9f} %" for k, v in levels.items()}})
    power = power_of(assembly)
    share, _ = left_by_voltage(assembly, power.relative, power.alive)
    light = lights(assembly, analyse(assembly), "luminance")
    made = light.luminance_cd_m2 * share * assembly.network.duty
    return dict(zip(assembly.kinds.names, made, strict=True))


def test_the_fixed_point_is_where_a_root_search_finds_it() -> None:
    """Resistor lights far down a thin cable: the level sets the voltage, and the voltage what the level is worth."""
    # All colours alike, so that no voltage shifts the white and nothing is trimmed.
    load = {**RESISTOR, "forward": ["3 V"] * 3, "resistor": ["150 ohm"] * 3}
    display = two(light(lumens(0.65, 1.1, 0.3), load=load), light(load=load), wire="0.4 ohm/m")
    assembly = built(display)
    found = solve(assembly, analyse(assembly), Target(by="luminance", share=0.8))
    assert found.settled
    assert found.rounds > 2
    # One level at 0.8 by the share; the other where both kinds have one luminance.
    whole = lambda level: {k: v.sum() for k, v in _shining(display, {"dim": 0.8, "bright": level}).items()}  # noqa: E731
    root = brentq(lambda level: whole(level)["bright"] - whole(level)["dim"], 0.05, 1.0, xtol=1e-6)
    naive = 0.8 * 0.5
    assert abs(root - naive) > 0.01
    assert row(found, "bright").level == pytest.approx(root, abs=0.51 / 255 + 1e-4)
    told = _shining(display, {r.kind: r.level for r in found.rows})
    for one in found.rows:
        assert one.luminance_cd_m2 == pytest.approx(float(told[one.kind].sum()), rel=1e-9)


def test_what_is_told_about_the_levels_holds_when_they_are_built() -> None:
    dim, bright = light(lumens(0.5, 0.9, 0.3), load=RESISTOR), light(load=RESISTOR)
    display = two(dim, bright, wire="0.4 ohm/m")
    _, _, found = matched(display, Target(by="luminance", white_xy=(0.25, 0.25)))
    levels = {r.kind: f"{100 * r.level:.9f} %" for r in found.rows}
    assembly = built({**display, "levels": levels, "trims": {r.kind: list(r.trims) for r in found.rows}})
    power = power_of(assembly)
    assert float(power.mean.supply_a @ assembly.network.supply_v) == pytest.approx(found.matched.power_w, rel=1e-9)
    share, _ = left_by_voltage(assembly, power.relative, power.alive)
    made = lights(assembly, analyse(assembly), "luminance").luminance_cd_m2 * share * assembly.network.duty
    white = mix_xyz(np.ones(1), np.array([[0.25, 0.25]]))
    for place, one in enumerate(found.rows):
        assert float(made[place].sum()) == pytest.approx(one.luminance_cd_m2, rel=1e-9)
        shift = float(delta_uv_prime(mix_xyz(made[place], assembly.kinds.xy[place]), white))
        assert shift == pytest.approx(one.chromaticity_shift, abs=1e-9)
        assert shift < 0.003


def test_lights_of_other_colours_are_trimmed_to_the_white_of_the_dimmest() -> None:
    bluish = light(lumens(2.6, 4.4, 2.4))
    _, _, found = matched(two(times(1.0), bluish), Target(by="luminance"))
    # The others' red and green doubled, blue times four: level 1/2 and half the blue make it the same light.
    assert row(found, "dim").trims == (1.0, 1.0, 1.0)
    assert row(found, "bright").level == pytest.approx(0.5, abs=0.003)
    assert row(found, "bright").trims == pytest.approx((1.0, 1.0, 0.5), abs=1.01 / 255)
    assert row(found, "bright").chromaticity_shift < 0.001


def test_whites_that_nobody_can_tell_apart_are_not_trimmed() -> None:
    nearly = light(lumens(2.6, 4.4, 1.21))
    _, _, found = matched(two(times(1.0), nearly))
    assert row(found, "bright").trims == (1.0, 1.0, 1.0)
    assert 0.0 < row(found, "bright").chromaticity_shift < 0.002


def test_a_white_out_of_reach_is_said_and_the_kind_keeps_its_own() -> None:
    _, _, found = matched(two(times(1.0), times(2.0)), Target(white_xy=(0.7, 0.28)))
    assert not any(r.white_reached for r in found.rows)
    assert all(r.trims == (1.0, 1.0, 1.0) for r in found.rows)


def test_a_kind_that_is_too_dim_for_a_luminance_is_said_to_be() -> None:
    assembly, lit, _ = matched(two(times(1.0), times(4.0)))
    dim_cd_m2 = float(lit.kinds[0].mean_cd_m2.sum())  # type: ignore[union-attr]
    found = solve(assembly, lit, Target(by="luminance", luminance_cd_m2=2.0 * dim_cd_m2))
    assert row(found, "dim").short
    assert row(found, "dim").level == 1.0
    assert row(found, "dim").residual == pytest.approx(-0.5, abs=1e-6)
    # ISO/CIE 11664-4: half the light is 23.93 lightness less.
    assert row(found, "dim").residual_lightness == pytest.approx(-23.93, abs=0.01)
    assert not row(found, "bright").short
    assert row(found, "bright").level == pytest.approx(0.5, abs=0.51 / 255)


@pytest.mark.parametrize("curve", ["linear", "gamma 2.2"])
def test_a_curve_changes_what_is_typed_and_not_the_light(curve: str) -> None:
    display = changed(two(times(1.0), times(2.0)), "controllers.box.curve", curve)
    _, _, found = matched(display)
    one = row(found, "bright")
    gamma = 2.2 if curve == "gamma 2.2" else 1.0
    assert one.level == pytest.approx(0.5, rel=0.01)
    # 255 x 0.5^(1/2.2) = 186.1
    assert one.settings[0].level == pytest.approx(255 * 0.5 ** (1 / gamma), abs=0.6)


def test_a_kind_on_two_controllers_is_set_by_the_coarser_and_told_for_both() -> None:
    display = two(times(1.0), times(2.0), steps=255)
    display["controllers"]["hut"] = {"outputs": 1, "curve": "gamma 2.2"}
    display["strings"]["roof"] = {**display["strings"]["rail"], "output": "hut/1"}
    _, _, found = matched(display)
    told = {s.controller: s for s in row(found, "bright").settings}
    assert told["hut"].level == round(100 * 0.5 ** (1 / 2.2))
    assert row(found, "bright").level == pytest.approx(told["hut"].grid.duty(told["hut"].level))
    assert told["box"].level / 255 == pytest.approx(row(found, "bright").level, abs=0.5 / 255)


def test_a_kind_that_hangs_nowhere_or_has_no_shell_is_left_out_with_the_reason() -> None:
    display = two(times(1.0), times(2.0))
    display["kinds"] |= {"spare": kind("one")}
    del display["kinds"]["bright"]["shell"]
    _, _, found = matched(display)
    assert [r.kind for r in found.rows] == ["dim"]
    assert dict(found.left_out) == {
        "bright": "no light is known of it, because it states no shell",
        "spare": "no string carries it",
    }
    del display["kinds"]["dim"]["shell"]
    with pytest.raises(Refusal, match="There is nothing to match: no kind that hangs somewhere has a known light"):
        matched(display)


def test_a_shell_that_is_stated_is_not_asked_for_again() -> None:
    display = two(times(1.0), times(2.0))
    for name in ("dim", "bright"):
        display["kinds"][name]["fill"]["positions"] = [["0 mm", "0 mm", "900 mm"]]  # far outside of the shell
    with pytest.raises(Refusal) as told:
        matched(display)
    assert "That of dim cannot be computed: " in str(told.value)
    assert str(told.value).endswith(". Mend this first; hollowglow check says how.")
    assert "State the shell" not in str(told.value)


def test_a_kind_that_gives_no_light_is_left_out_and_does_not_darken_the_others() -> None:
    # Twelve volts and LEDs that want twenty; then a wall that lets nothing through.
    high = {**CONSTANT_CURRENT, "turn_on": ["20 V", "20 V", "20 V"]}
    display = two(times(1.0), times(2.0))
    display["parts"]["one"] = light(load=high)
    _, _, found = matched(display)
    assert [(r.kind, r.level) for r in found.rows] == [("bright", 1.0)]
    assert found.left_out == (("dim", "it gets too little voltage to give any light"),)
    display["kinds"]["bright"]["shell"] = {**SHELL, "transmittance": 0.0}
    with pytest.raises(Refusal, match=r"nothing to match\. Of dim: it gets too little voltage to give any light\. "):
        matched(display)
    display["parts"]["one"] = times(1.0)
    _, _, found = matched(display)
    assert found.left_out == (("bright", "no light leaves its shell"),)
    display["parts"]["other"] = light(lumens(0.0, 0.0, 0.0))
    _, _, found = matched(display)
    assert found.left_out == (("bright", "its light states a flux of 0 lm"),)
    display["parts"]["one"] = light(lumens(0.0, 0.0, 0.0))
    with pytest.raises(Refusal) as refused:
        matched(display)
    # Both state their shells: that is not what is missing.
    assert "dim: its light states a flux of 0 lm; bright: its light states a flux of 0 lm" in str(refused.value)
    assert "shell" not in str(refused.value)


def test_a_light_of_four_colours_keeps_its_red_beside_a_bluish_white() -> None:
    display = two(times(1.0), light(lumens(1.3, 2.2, 0.6, 6.0), [*PRIMARIES, [0.38, 0.377]], FOUR))
    _, _, found = matched(display)
    one = row(found, "bright")
    assert one.white_reached
    assert one.chromaticity_shift < 0.002
    # A quarter, less the 4 steps within which settings are tried. The brightest mixture of all has no red.
    assert min(one.trims) >= 0.25 - 4 / 255


def test_lower_levels_save_what_the_lights_no_longer_draw() -> None:
    # Four nodes of 3 x 18.5 mA and 1 mA idle at 12 V; matched the bright two run at half.
    _, _, found = matched(two(times(1.0), times(2.0), steps="percent"))
    assert found.full.current_a == pytest.approx(4 * 0.0565, rel=1e-4)
    assert found.now == found.full
    assert found.matched.current_a == pytest.approx(4 * 0.0565 - 2 * 0.5 * 0.0555, rel=1e-4)
    assert found.matched.power_w == pytest.approx(12.0 * found.matched.current_a)


def test_the_steps_of_a_kind_are_those_of_the_controller_that_leaves_the_fewest() -> None:
    display = two(times(1.0), times(2.0), steps="percent")
    display["controllers"]["hut"] = {"outputs": 1, "steps": 255, "curve": "gamma 2.2", "first_universe": 9}
    display["strings"]["gate"] = {**display["strings"]["rail"], "output": "hut/1"}
    _, _, found = matched(display)
    # Counted one by one: a show's value of 8 bits, through the curve, at half, rounded by a chip of 8 bits.
    counted = {math.floor(255 * 0.5 * (value / 255) ** 2.2 + 0.5) for value in range(256)} - {0}
    assert row(found, "bright").level == 0.5
    assert row(found, "bright").fade_steps == len(counted) < 128
    assert min(row(found, "bright").fade_steps_by_colour) == len(counted)


def test_a_circuit_without_steady_state_is_said_to_have_none() -> None:
    display = two(times(1.0), times(2.0))
    for part in ("one", "other"):
        display["parts"][part]["light"]["load"] = {
            "class": "constant-power", "power": ["10 W", "10 W", "10 W"], "efficiency": 0.9, "cutoff": "7 V",
        }  # fmt: skip
    display["parts"]["wire"]["cable"]["resistance"] = "2 ohm/m"
    _, _, found = matched(display)
    assert [r.kind for r in found.rows] == ["dim", "bright"]
    assert all(np.isfinite(r.level) for r in found.rows)


@settings(max_examples=15, deadline=None)
@given(st.floats(1.05, 20.0), st.floats(0.1, 1.0))
def test_levels_lie_between_dark_and_full_and_differ_by_half_a_step_at_most(factor: float, share: float) -> None:
    _, _, found = matched(two(times(1.0), times(factor)), Target(by="luminance", share=share))
    for one, full in ((row(found, "dim"), 1.0), (row(found, "bright"), factor)):
        assert 0.0 < one.level <= 1.0
        assert abs(one.residual) <= 0.5 / 255 * full / share + 1e-3
        assert one.fade_steps == round(255 * one.level)


@settings(max_examples=10, deadline=None)
@given(st.floats(0.3, 5.0))
def test_making_all_lights_brighter_changes_no_level(factor: float) -> None:
    _, _, before = matched(two(times(1.0), times(1.7)))
    _, _, after = matched(two(times(factor), times(1.7 * factor)))
    assert [r.level for r in after.rows] == [r.level for r in before.rows]
    assert after.wanted == pytest.approx(factor * before.wanted, rel=1e-6)


def test_primaries_are_those_of_the_light() -> None:
    assembly, _, _ = matched(two(light(xy=PRIMARIES), times(2.0)))
    assert assembly.kinds.xy[0][:3].tolist() == PRIMARIES
