"""The light of kinds and props of a display, against the integrating sphere and sums by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hollowglow.analysis.prop import optics
from hollowglow.analysis.prop.optics import of_props
from hollowglow.plan import Plan
from hollowglow.view.rows.kind_table import kind_rows
from tests.assembly.samples import CONSTANT_POWER, Stated, built, changed, planned, stated

FLUX = (1.25, 3.1, 0.72)
XY = [[0.69, 0.31], [0.17, 0.72], [0.13, 0.06]]
LIGHT: Stated = {
    "emitters": 1,
    "load": CONSTANT_POWER,
    "colour": {"flux": [f"{f} lm" for f in FLUX], "xy": XY},
    "beam": "120 deg",
    "diameter": "12 mm",
    "depth": "24 mm",
}
BALL: Stated = {"shape": "sphere", "diameter": "150 mm", "transmittance": 0.4, "reflectance": 0.45}


def lit(**kind: Stated) -> Stated:
    display = stated(CONSTANT_POWER, props="3 * float", kind={"shell": BALL, **kind})
    return changed(display, "parts.light.light", LIGHT)


def row(plan: Plan, kind: str = "float") -> Stated:
    return next(r for r in kind_rows(plan) if r["kind"] == kind)


# Integrating-sphere theory: of light in a closed diffuse sphere the share tau / (1 - rho) leaves.
EXIT = 0.4 / (1.0 - 0.45)


@pytest.mark.parametrize("count", [1, 2, 5])
def test_a_sphere_lets_out_the_share_of_the_integrating_sphere(count: int) -> None:
    made = row(planned(lit(fill={"light": "light", "count": count})))
    assert made["flux_in"] == pytest.approx(count * sum(FLUX), rel=1e-6)
    assert made["light_output_ratio"] == pytest.approx(EXIT, rel=0.005)
    assert made["flux_out"] == pytest.approx(EXIT * count * sum(FLUX), rel=0.005)
    assert made["flux_out_by_colour"] == pytest.approx([EXIT * count * f for f in FLUX], rel=0.005)


def test_mean_luminance_is_the_light_out_over_pi_and_the_area() -> None:
    # A wall that gives off light by Lambert's law has the exitance M = pi L.
    made = row(planned(lit()))
    assert made["mean_luminance"] == pytest.approx(EXIT * sum(FLUX) / (math.pi * math.pi * 0.150**2), rel=0.005)


def test_intensity_averaged_over_all_directions_is_the_light_out_over_4_pi() -> None:
    plan = planned(lit(fill={"light": "light", "count": 6}))
    (kind,) = plan.optics.kinds
    assert kind is not None
    rng = np.random.default_rng(5)
    ways = rng.normal(size=(4000, 3))
    mean = optics.intensity(kind.glow, ways).sum(axis=1).mean()
    assert mean == pytest.approx(row(plan)["flux_out"] / (4.0 * math.pi), rel=0.02)


def test_the_level_scales_light_and_leaves_its_distribution() -> None:
    full, half = row(planned(lit())), row(planned({**lit(), "levels": {"float": "50 %"}}))
    for key in ("flux_in", "flux_out", "mean_luminance", "peak_luminance", "intensity"):
        assert half[key] == pytest.approx(0.5 * full[key], rel=1e-5)
    for key in ("light_output_ratio", "uniformity", "hot_spot", "luminance_ratio"):
        assert half[key] == full[key]


def test_a_tinted_wall_lets_out_less_of_the_colours_that_it_keeps() -> None:
    made = row(planned(lit(shell={**BALL, "tint": [1.0, 0.5, 0.0]})))
    # Each colour for itself: tau t / (1 - rho t).
    expected = [f * 0.4 * t / (1.0 - 0.45 * t) for f, t in zip(FLUX, (1.0, 0.5, 0.0), strict=True)]
    assert made["flux_out_by_colour"] == pytest.approx(expected, rel=0.005, abs=1e-9)


def test_a_kind_without_a_shell_gives_the_light_of_its_lights_and_has_no_wall_figures() -> None:
    display = lit()
    del display["kinds"]["float"]["shell"]
    made = row(planned({**display, "levels": {"float": "40 %"}}))
    assert made["flux_in"] == pytest.approx(0.4 * sum(FLUX))
    assert made["flux_out"] is None
    assert made["uniformity"] is None
    assert made["power"] > 0.0


def test_power_is_volts_times_amperes_of_one_prop_on_average() -> None:
    plan = planned(lit(fill={"light": "light", "count": 5}))
    watts = float(plan.power.mean.supply_a[0]) * 12.0
    lost = sum(c["loss"] for c in _cables(plan))
    assert 3 * row(plan)["power"] == pytest.approx(watts - lost, rel=1e-6)


def _cables(plan: Plan) -> list[Stated]:
    from hollowglow.view.rows.document import document

    made: list[Stated] = document(plan)["cables"]
    return made


def test_props_lose_the_light_that_their_voltage_costs_them() -> None:
    resistor = {
        "class": "resistor",
        "series": 3,
        "parallel": 1,
        "forward": ["2.0 V", "3.0 V", "3.1 V"],
        "resistor": ["390 ohm", "180 ohm", "180 ohm"],
    }
    plan = planned(changed(changed(lit(), "parts.light.light.load", resistor), "strings.rail.props", "20 * float"))
    network = plan.assembly.network
    volts = plan.power.across_v
    # Each colour's current at the light's own voltage over that at the supply's 12 V, times what leaves of its flux.
    expected = np.zeros(20)
    for flux, forward in zip(FLUX, (2.0, 3.0, 3.1), strict=True):
        expected += EXIT * flux * (volts - 3 * forward) / (12.0 - 3 * forward)
    assert len(network.load_place) == 20
    assert plan.lit.flux_out_lm == pytest.approx(expected, rel=0.005)
    assert plan.lit.mean_cd_m2 / plan.lit.mean_cd_m2[0] == pytest.approx(expected / expected[0], rel=1e-6)
    assert expected[-1] < 0.9 * expected[0]


def test_props_of_several_nodes_count_with_all_of_them() -> None:
    assembly = built(lit(fill={"light": "light", "count": 3, "wiring": {"cable": "wire", "length": "0.1 m"}}))
    made = optics.analyse(assembly)
    share = np.tile([[0.2, 0.4, 0.6, 0.0]], (len(assembly.load_prop), 1))
    share[assembly.load_prop == 1] *= 0.5
    found = of_props(assembly, made, share)
    whole = 3 * EXIT * (FLUX[0] * 0.2 + FLUX[1] * 0.4 + FLUX[2] * 0.6)
    assert found.flux_out_lm == pytest.approx([whole, 0.5 * whole, whole], rel=0.005)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ({"fill": {"light": "light", "positions": [["0 mm", "0 mm", "200 mm"]]}}, "outside"),
        ({"carrier": {"shape": "disc", "diameter": "170 mm"}}, "10.0 mm outside the wall"),
        (
            {"shell": {"shape": "lathe", "profile": [["10 mm", "0 mm"], ["60 mm", "50 mm"], ["60 mm", "20 mm"],
                                                     ["20 mm", "60 mm"], ["20 mm", "90 mm"]]}},
            "cross",
        ),
    ],
)  # fmt: skip
def test_a_prop_that_cannot_be_is_a_stop_finding_with_its_numbers(kind: Stated, words: str) -> None:
    plan = planned(lit(**kind))
    (found,) = (f for f in plan.findings if f.code == "light-not-computed")
    assert found.severity == "stop"
    assert found.where == ("float",)
    assert words in found.message
    assert row(plan)["flux_out"] is None


def test_on_its_side_a_prop_is_seen_along_its_axis_too() -> None:
    centre = {"fill": {"light": "light", "positions": [["0 mm", "0 mm", "75 mm"]], "axes": [[0, 0, 1]]}}
    down, side = (planned(lit(**centre, hangs=h)) for h in ("tip down", "on its side"))
    turn = np.arange(16) * math.pi / 8
    upright = np.stack([np.cos(turn), np.sin(turn), 0.0 * turn], axis=1)
    for plan, ways in ((down, upright), (side, upright[:, [2, 0, 1]])):
        (kind,) = plan.optics.kinds
        assert kind is not None
        assert row(plan)["intensity"] == pytest.approx(optics.intensity(kind.glow, ways).sum(axis=1).mean(), rel=1e-4)
    assert row(down)["flux_out"] == pytest.approx(row(side)["flux_out"], rel=1e-6)
    assert row(down)["uniformity"] > row(side)["uniformity"]


def test_more_lights_of_a_module_make_more_light_in_proportion() -> None:
    # Common practice, no source: nine LEDs against six like ones is 1.5 times the light.
    display = lit(fill={"light": "puck-9led-12v"})
    nine = row(planned(display))
    six = row(planned(changed(display, "kinds.float.fill.light", "puck-6led-12v")))
    assert nine["emitters"] == 9
    assert nine["nodes"] == six["nodes"] == 1
    assert nine["flux_out"] / six["flux_out"] == pytest.approx(1.5, rel=0.01)


@pytest.mark.parametrize(("count", "emitters"), [(1, 19), (1, 40), (5, 1000), (400, 1)])
def test_many_packages_give_all_of_their_light_in_little_time(count: int, emitters: int) -> None:
    shell = {**BALL, "diameter": "4000 mm"}  # roomy enough for a ring of them all
    display = lit(fill={"light": "light", "count": count}, shell=shell)
    display = changed(display, "parts.light.light.emitters", emitters)
    (kind,) = optics.analyse(built(display)).kinds
    assert kind is not None
    assert len(kind.lamp.lights) <= 128
    assert kind.glow.flux_in_lm.sum() == pytest.approx(count * sum(FLUX), rel=1e-9)
