"""Node voltages against ngspice (version 39 or later) on the same circuit, and ngspice against algebra."""

from __future__ import annotations

import copy
import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.outside.displays import dump, random_display
from tests.outside.spice import Circuit, Display, Point, netlist, ohm_per_m, props_of, quantity, solve

SEEDS = range(36)
TOLERANCE_V = 1e-3
# ngspice is asked for nanovolts, and the algebra is exact.
ALGEBRA_V = 1e-7

Volts = dict[str, tuple[float, float]]


@cache
def spice_answer(seed: int, point: Point) -> Volts:
    return solve(netlist(random_display(seed), point))


def our_nodes(display: Display, folder: Path) -> list[dict[str, Any]]:
    from hollowglow.jobs import plan_document

    path = folder / "display.yaml"
    path.write_text(dump(display), encoding="utf-8")
    nodes: list[dict[str, Any]] = plan_document(path)["nodes"]
    return nodes


def greatest_difference_v(nodes: list[dict[str, Any]], mean: Volts, coincident: Volts) -> float:
    """The largest difference between our nodes and ngspice's, of v_plus, v_minus or v_coincident."""
    assert sorted(node["id"] for node in nodes) == sorted(mean) == sorted(coincident)
    differences = []
    for node in nodes:
        plus, minus = mean[node["id"]]
        plus_together, minus_together = coincident[node["id"]]
        differences += [
            abs(node["v_plus"] - plus),
            abs(node["v_minus"] - minus),
            abs(node["v_coincident"] - (plus_together - minus_together)),
        ]
    worst = np.max(differences)  # not max(), which would step over a NaN
    return float(worst)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_node_voltage_agrees_with_ngspice_within_a_millivolt(seed: int, tmp_path: Path) -> None:
    nodes = our_nodes(random_display(seed), tmp_path)
    difference_v = greatest_difference_v(nodes, spice_answer(seed, "mean"), spice_answer(seed, "coincident"))
    assert difference_v < TOLERANCE_V


def test_a_joint_20_milliohm_worse_in_one_of_the_two_is_noticed(tmp_path: Path) -> None:
    ladder = two_props({"class": "constant-current", **CONSTANT_CURRENT})
    worse = copy.deepcopy(ladder)
    worse["parts"]["splice"]["joint"]["resistance"] = "25 mohm"
    mean, coincident = solve(netlist(ladder, "mean")), solve(netlist(ladder, "coincident"))
    assert greatest_difference_v(our_nodes(ladder, tmp_path), mean, coincident) < TOLERANCE_V
    assert greatest_difference_v(our_nodes(worse, tmp_path), mean, coincident) > TOLERANCE_V


def test_the_comparison_tells_ngspice_from_ngspice_with_a_worse_joint() -> None:
    ladder = two_props({"class": "constant-current", **CONSTANT_CURRENT})
    worse = copy.deepcopy(ladder)
    worse["parts"]["splice"]["joint"]["resistance"] = "25 mohm"
    mean, coincident = solve(netlist(ladder, "mean")), solve(netlist(ladder, "coincident"))
    assert greatest_difference_v(as_nodes(ladder), mean, coincident) == 0.0
    assert greatest_difference_v(as_nodes(worse), mean, coincident) > TOLERANCE_V


def test_the_random_displays_sag_enough_to_matter_and_spare_the_switching_drivers() -> None:
    classes: set[str] = set()
    worth_solving = 0
    for seed in SEEDS:
        display, volts = random_display(seed), spice_answer(seed, "coincident")
        supply_v = min(quantity(supply["voltage"]) for supply in display["supplies"].values())
        worth_solving += 0.05 < 1.0 - min(plus - minus for plus, minus in volts.values()) / supply_v < 0.35
        for node_id, (plus, minus) in volts.items():
            load = load_of(display, node_id)
            classes.add(load["class"])
            if load["class"] == "constant-power":
                assert plus - minus > max(0.75 * supply_v, quantity(load["cutoff"]))
    assert worth_solving > 0.75 * len(SEEDS)
    assert classes == {"constant-current", "resistor", "constant-power"}


def test_two_lights_in_saturation_make_a_ladder_of_constant_currents() -> None:
    ladder = two_props({"class": "constant-current", **CONSTANT_CURRENT}, levels={"float": "40 %"})
    # 20 AWG solid, 1/58 ohm mm2/m over its ASTM B258 area, at 20 degC.
    per_m = (1 / 58) / (math.pi / 4 * (0.127 * 92 ** ((36 - 20) / 39)) ** 2)
    lead, pigtail, span, joint, supply = 4 * per_m, 0.15 * per_m, 1.8 * per_m, 0.005, 0.02
    between = 2 * pigtail + 2 * joint + span
    for point, duty in (("mean", 0.4), ("coincident", 1.0)):
        prop_a = 2 * (0.001 + duty * 3 * 0.0185)
        first_minus = (lead + pigtail) * 2 * prop_a
        second_minus = first_minus + between * prop_a
        expected = {
            "rail/prop01": (5 - supply * 2 * prop_a - first_minus, first_minus),
            "rail/prop02": (5 - supply * 2 * prop_a - second_minus, second_minus),
        }
        answer = solve(netlist(ladder, point))  # type: ignore[arg-type]
        assert sorted(answer) == [f"rail/prop{n:02d}/node{i}" for n in (1, 2) for i in (1, 2)]
        for node_id, volts in answer.items():
            assert volts == pytest.approx(expected[node_id.rpartition("/")[0]], abs=ALGEBRA_V)


@pytest.mark.parametrize("cut", [True, False])
def test_a_feed_joins_both_rails_and_a_cut_opens_only_v_plus(cut: bool) -> None:
    ladder = two_props({"class": "constant-current", **CONSTANT_CURRENT})
    ladder["strings"]["rail"]["feeds"] = [
        {"before": 2, "supply": "loft", "cable": "wire", "length": "9 m", "fuse": "5 A", "cut": cut}
    ]
    ladder["supplies"]["loft"] = {"voltage": "5.01 V", "resistance": "30 mohm"}
    per_m = (1 / 58) / (math.pi / 4 * (0.127 * 92 ** ((36 - 20) / 39)) ** 2)
    lead, feed, pigtail, step = 4 * per_m, 9 * per_m, 0.15 * per_m, 1.95 * per_m + 0.01
    prop_a = 2 * (0.001 + 3 * 0.0185)

    # Unknowns: both rails at the first prop, and where the feed joins, just before the second prop's pigtail.
    def rail(lead_ohm: float, feed_ohm: float, step_s: float, lead_v: float, feed_v: float, out_a: float) -> Any:
        conductances = [[1 / lead_ohm + step_s, -step_s], [-step_s, 1 / feed_ohm + step_s]]
        return np.linalg.solve(conductances, [lead_v / lead_ohm - out_a, feed_v / feed_ohm - out_a])

    plus = rail(0.02 + lead + pigtail, 0.03 + feed, 0.0 if cut else 1 / step, 5.0, 5.01, prop_a)
    minus = rail(lead + pigtail, feed, 1 / step, 0.0, 0.0, -prop_a)
    answer = solve(netlist(ladder, "mean"))
    assert answer["rail/prop01/node2"] == pytest.approx((plus[0], minus[0]), abs=ALGEBRA_V)
    at_second = (plus[1] - pigtail * prop_a, minus[1] + pigtail * prop_a)
    assert answer["rail/prop02/node1"] == pytest.approx(at_second, abs=ALGEBRA_V)


def test_one_switching_driver_settles_on_the_upper_root_of_its_quadratic() -> None:
    display = one_light({"class": "constant-power", "power": ["2 W", "3 W", "3 W"], "efficiency": 0.8, "cutoff": "6 V"})
    loop_ohm, power_w, idle_a = 0.1 + 2 * 10 * 0.05, 10.0, 0.002
    open_v = 12 - loop_ohm * idle_a
    across_v = (open_v + math.sqrt(open_v**2 - 4 * loop_ohm * power_w)) / 2
    current_a = idle_a + power_w / across_v
    expected = (12 - (0.1 + 0.5) * current_a, 0.5 * current_a)
    assert solve(netlist(display, "mean"))["rail/prop01/node1"] == pytest.approx(expected, abs=ALGEBRA_V)


def test_one_resistor_is_a_row_of_straight_lines() -> None:
    load = {"class": "resistor", "series": 3, "parallel": 2, "forward": ["2 V", "3 V", "4.1 V"]}
    display = one_light(load | {"resistor": ["33 ohm", "15 ohm", "15 ohm"]})
    # The third colour's 12.3 V are more than there is.
    loop_ohm = 0.1 + 2 * 10 * 0.05
    slope_s, at_zero_a = 2 / 33 + 2 / 15, 0.002 - 2 * 6 / 33 - 2 * 9 / 15
    across_v = (12 - loop_ohm * at_zero_a) / (1 + loop_ohm * slope_s)
    current_a = at_zero_a + slope_s * across_v
    expected = (12 - (0.1 + 0.5) * current_a, 0.5 * current_a)
    assert across_v > 9
    assert solve(netlist(display, "mean"))["rail/prop01/node1"] == pytest.approx(expected, abs=ALGEBRA_V)


def test_one_light_on_its_knee_solves_a_quadratic() -> None:
    constant_current = {
        "class": "constant-current",
        "current": ["400 mA"],
        "turn_on": ["10.8 V"],
        "saturation": "1.8 V",
    }
    display = one_light(constant_current)
    # 10.8 + 1.8 u = 12 - 1.1 (0.4 (2 u - u^2) + 0.002)
    u = np.roots([1.1 * 0.4, -1.8 - 2 * 1.1 * 0.4, 12 - 10.8 - 1.1 * 0.002]).min()
    across_v = 10.8 + 1.8 * u
    plus, minus = solve(netlist(display, "mean"))["rail/prop01/node1"]
    assert 0.4 < u < 0.6
    assert plus - minus == pytest.approx(across_v, abs=ALGEBRA_V)


def test_below_one_volt_the_idle_current_is_a_resistor() -> None:
    display = one_light({"class": "constant-current", "current": ["5 mA"], "turn_on": ["3 V"], "saturation": "1 V"})
    display["supplies"]["shed"]["voltage"] = "0.5 V"
    across_v = 0.5 / (1 + 1.1 * 0.002)
    plus, minus = solve(netlist(display, "mean"))["rail/prop01/node1"]
    assert plus - minus == pytest.approx(across_v, abs=ALGEBRA_V)


def test_without_resistance_the_light_sits_at_the_supply() -> None:
    display = one_light({"class": "constant-current", "current": ["5 mA"], "turn_on": ["3 V"], "saturation": "1 V"})
    display["supplies"]["shed"]["resistance"] = "0 ohm"
    display["strings"]["rail"]["lead"]["length"] = "0 m"
    assert solve(netlist(display, "mean")) == {"rail/prop01/node1": (12.0, 0.0)}


def test_a_circuit_without_an_answer_is_reported_with_what_ngspice_said() -> None:
    contradiction = Circuit("no answer\nV1 n1 0 DC 1\nV2 n1 0 DC 2\nR1 n1 0 1\n", {"node": ("n1", "0")})
    with pytest.raises(RuntimeError, match=r"ngspice found no operating point[\s\S]*singular"):
        solve(contradiction)


@pytest.mark.parametrize(
    ("size", "strand", "ohm_per_kft"),
    [
        ("18 AWG", "solid", 7.77),
        ("18 AWG", "stranded", 7.95),
        ("14 AWG", "solid", 3.07),
        ("14 AWG", "stranded", 3.14),
    ],
)
def test_copper_at_75_degrees_is_that_of_nec_chapter_9_table_8(size: str, strand: str, ohm_per_kft: float) -> None:
    cable = {"size": size} | ({"strand": "solid"} if strand == "solid" else {})
    # Uncoated copper; the table's strands lie 2.0 to 2.6 % above solid.
    assert ohm_per_m(cable, 75.0) * 304.8 == pytest.approx(ohm_per_kft, rel=0.006)


CONSTANT_CURRENT: dict[str, Any] = {
    "current": ["18.5 mA", "18.5 mA", "18.5 mA"],
    "turn_on": ["2.0 V", "3.0 V", "3.1 V"],
    "saturation": "0.6 V",
}


def display_of(load: dict[str, Any], kind: dict[str, Any], string: dict[str, Any], volts: str) -> Display:
    return {
        "display": "By hand",
        "supplies": {"shed": {"voltage": volts, "rating": "100 W", "resistance": "20 mohm"}},
        "controllers": {
            "box": {
                "outputs": 4,
                "nodes_per_output": 600,
                "rate": "40 Hz",
                "first_universe": 1,
                "gangs": True,
            }
        },
        "parts": {
            "light": {"light": {"emitters": 1, "load": load}},
            "wire": {"cable": {"cores": 3, "size": "20 AWG", "strand": "solid"}},
            "splice": {"joint": {"resistance": "5 mohm", "rating": "5 A"}},
        },
        "kinds": {
            "float": {
                "shell": {
                    "shape": "sphere",
                    "diameter": "150 mm",
                    "transmittance": 0.45,
                    "reflectance": 0.45,
                },
                **kind,
            }
        },
        "strings": {"rail": {"output": "box/1", "supply": "shed", **string}},
    }


def two_props(load: dict[str, Any], levels: dict[str, str] | None = None) -> Display:
    kind = {
        "fill": {"light": "light", "count": 2, "gang": True},
        "pigtail": {"cable": "wire", "length": "150 mm"},
    }
    string = {
        "props": ["float", "1 * float"],
        "lead": {"cable": "wire", "length": "4 m"},
        "span": {"cable": "wire", "length": "1.8 m", "joint": "splice"},
        "fuse": "5 A",
    }
    display = display_of({**load, "idle": "1 mA"}, kind, string, "5 V")
    return display | ({"levels": levels} if levels else {})


def one_light(load: dict[str, Any]) -> Display:
    """One light on 10 m of 0.05 ohm/m, behind 100 mohm at 12 V: 1.1 ohm around the loop, idling at 2 mA."""
    kind = {"fill": {"light": "light", "count": 1}}
    string = {
        "props": "1 * float",
        "lead": {"cable": "wire", "length": "10 m"},
        "span": {"cable": "wire", "length": "1 m"},
    }
    display = display_of({**load, "idle": "2 mA"}, kind, string, "12 V")
    display["supplies"]["shed"]["resistance"] = "100 mohm"
    display["parts"]["wire"] = {"cable": {"cores": 3, "resistance": "0.05 ohm/m"}}
    return display


def load_of(display: Display, node_id: str) -> dict[str, Any]:
    string_id, prop, _ = node_id.split("/")
    kind = props_of(display["strings"][string_id])[int(prop.removeprefix("prop")) - 1]
    load: dict[str, Any] = display["parts"][display["kinds"][kind]["fill"]["light"]]["light"]["load"]
    return load


def as_nodes(display: Display) -> list[dict[str, Any]]:
    """ngspice's own answer, in the shape of ours."""
    coincident = solve(netlist(display, "coincident"))
    return [
        {
            "id": node_id,
            "v_plus": plus,
            "v_minus": minus,
            "v_coincident": coincident[node_id][0] - coincident[node_id][1],
        }
        for node_id, (plus, minus) in solve(netlist(display, "mean")).items()
    ]
