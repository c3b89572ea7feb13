"""What must hold for every solution: balance, a second way to it, and the direction in which things move."""

from __future__ import annotations

import itertools
import math
from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.circuit.power import analyse, solve_network
from hollowglow.assembly.tables import Floats, Network
from tests.analysis.circuit.power.networks import (
    Characteristic,
    Edge,
    across,
    check_balance,
    constant,
    network,
    second_opinion,
    solved,
)
from tests.assembly.samples import CONSTANT_CURRENT, CONSTANT_POWER, RESISTOR, Stated, built, changed, planned, stated
from tests.outside.displays import random_display

Rng = np.random.Generator


@pytest.mark.parametrize("seed", range(60))
def test_charge_and_energy_balance_in_a_random_display(seed: int) -> None:
    power = analyse(built(random_display(seed)))
    for point in (power.mean, power.coincident):
        assert len(point.unsolved) == 0
        assert np.isfinite(point.load_a).all()
        check_balance(point)


@pytest.mark.parametrize("seed", range(60))
def test_balance_counted_again_from_the_loads(seed: int) -> None:
    assembly = built(random_display(seed))
    network = assembly.network
    point = analyse(assembly).mean
    place = network.load_place
    load_w = network.load_count * point.load_a * (point.plus_v[place] - point.minus_v[place])
    closed = np.isfinite(network.edge_plus_ohm)
    lost = (point.edge_plus_a[closed] ** 2 * network.edge_plus_ohm[closed]).sum()
    lost += (point.edge_minus_a**2 * network.edge_minus_ohm).sum()
    lost += (point.supply_a**2 * network.supply_ohm).sum()
    assert (point.supply_a * network.supply_v).sum() == pytest.approx(load_w.sum() + lost, rel=1e-9)
    assert point.supply_a.sum() == pytest.approx((network.load_count * point.load_a).sum(), rel=1e-9)


def random_characteristic(rng: Rng, volts: float) -> Characteristic:
    idle = rng.uniform(0.0, 2e-3)
    if rng.random() < 0.5:
        return {
            "class": "constant-current",
            "current": rng.uniform(0.05, 0.6, 3).tolist(),
            "turn_on": (volts * rng.uniform(0.3, 0.95, 3)).tolist(),
            "saturation": rng.uniform(0.2, 0.2 * volts),
            "idle": idle,
        }
    return {
        "class": "resistor",
        "series": int(rng.integers(1, 4)),
        "parallel": int(rng.integers(1, 4)),
        "forward": (volts * rng.uniform(0.1, 0.32, 3)).tolist(),
        "resistor": rng.uniform(5.0, 60.0, 3).tolist(),
        "idle": idle,
    }


def random_network(seed: int) -> tuple[Network, list[Characteristic]]:
    """A tree of up to ten places from up to three supplies, with some extra edges and some V+ left open."""
    rng = np.random.default_rng(seed)
    volts = float(rng.choice([5.0, 12.0, 24.0]))
    supplies = [
        (volts * rng.uniform(0.97, 1.03), float(rng.choice([0.0, 0.02, 0.3]))) for _ in range(rng.integers(1, 4))
    ]
    first = 1 + len(supplies)
    places = first + int(rng.integers(2, 10))
    edges: list[Edge] = []
    for place in range(first, places):
        start = int(rng.integers(first, place)) if place > first and rng.random() < 0.8 else int(rng.integers(1, first))
        plus, minus = rng.uniform(0.02, 1.5, 2)
        edges.append((start, place, math.inf if rng.random() < 0.07 else plus, minus))
    for _ in range(rng.integers(0, 3)):
        edges.append((int(rng.integers(1, first)), int(rng.integers(first, places)), *rng.uniform(0.02, 1.5, 2)))
    stated_characteristics = [random_characteristic(rng, volts) for _ in range(rng.integers(1, 4))]
    loads = [
        (place, int(rng.integers(len(stated_characteristics))), float(rng.integers(1, 4)))
        for place in range(first, places)
    ]
    duty = rng.uniform(0.2, 1.0, len(stated_characteristics)).tolist()
    return network(supplies, edges, loads, stated_characteristics, duty), stated_characteristics


@pytest.mark.parametrize("seed", range(150))
def test_a_dense_solver_that_shares_nothing_finds_the_same_voltages(seed: int) -> None:
    circuit, stated_characteristics = random_network(seed)
    plus, minus = second_opinion(circuit, stated_characteristics)
    point = solved(circuit).point
    reached = np.isfinite(plus)
    assert point.plus_v[reached] == pytest.approx(plus[reached], abs=2e-6)
    assert point.minus_v == pytest.approx(minus, abs=2e-6)
    floating = ~reached
    assert point.plus_v[floating] == pytest.approx(point.minus_v[floating], abs=1e-12)


def test_random_networks_include_loops_open_rails_and_lights_below_their_knee() -> None:
    every = [random_network(seed) for seed in range(150)]
    assert sum(bool(np.isinf(c.edge_plus_ohm).any()) for c, _ in every) > 20
    assert sum(len(c.edge_a) > c.places - 1 - len(c.supply_v) for c, _ in every) > 50
    sags = [1.0 - np.nanmin(second_opinion(c, s)[0]) / c.supply_v.max() for c, s in every[:40]]
    assert max(sags) > 0.5


def test_at_full_duty_mean_and_together_are_one_point() -> None:
    power = analyse(built(stated(levels={"float": "100 %"})))
    assert power.coincident is power.mean
    assert (power.coincident_v == power.across_v).all()


@pytest.mark.parametrize(
    "load", [CONSTANT_CURRENT, CONSTANT_POWER, RESISTOR], ids=["constant-current", "constant-power", "resistor"]
)
def test_together_ignores_levels_and_mean_follows_them(load: Stated) -> None:
    def at(level: int) -> tuple[Floats, Floats]:
        power = analyse(built(stated(load, levels={"float": f"{level} %"})))
        return power.across_v, power.coincident_v

    full, full_together = at(100)
    half, half_together = at(50)
    tenth, tenth_together = at(10)
    assert full == pytest.approx(full_together, abs=1e-9)
    assert half_together == pytest.approx(full, abs=1e-9)
    assert tenth_together == pytest.approx(full, abs=1e-9)
    assert (tenth > half).all()
    assert (half > full).all()


def test_at_level_zero_only_the_chips_idle_and_nothing_is_lit_together() -> None:
    assembly = built(stated(levels={"float": "0 %"}))
    power = analyse(assembly)
    assert power.mean.load_a == pytest.approx(np.full(12, 1e-3), rel=1e-9)
    assert power.coincident_v == pytest.approx(power.across_v, abs=1e-12)


def test_a_level_scales_the_current_of_saturated_lights_but_not_their_idle() -> None:
    for level in (100, 60, 25):
        power = analyse(built(stated(levels={"float": f"{level} %"})))
        assert power.mean.supply_a[0] == pytest.approx(12 * (0.001 + level / 100 * 0.0555), rel=1e-9)


SAGGING = stated(
    {
        **CONSTANT_CURRENT,
        "current": ["60 mA", "60 mA", "60 mA"],
        "turn_on": ["6 V", "9 V", "9.3 V"],
        "saturation": "1.8 V",
    },
    props="15 * float",
    string={"span": {"cable": "wire", "length": "1.5 m", "joint": "splice"}},
)


def lowest(display: Stated) -> Floats:
    return analyse(built(display)).across_v


@cache
def without_feed() -> Floats:
    return lowest(SAGGING)


@given(ohm=st.floats(0.01, 0.1), factor=st.floats(1.01, 3.0), where=st.sampled_from(["lead", "span"]))
def test_heavier_cable_never_lowers_a_voltage_of_saturated_lights(ohm: float, factor: float, where: str) -> None:
    plain = stated(props="15 * float", string={"span": {"cable": "wire", "length": "1.5 m", "joint": "splice"}})
    display = changed(plain, f"strings.rail.{where}.cable", "other")
    thin = changed(display, "parts.other", {"cable": {"resistance": f"{ohm * factor!r} ohm/m"}})
    thick = changed(display, "parts.other", {"cable": {"resistance": f"{ohm!r} ohm/m"}})
    thinly, thickly = lowest(thin), lowest(thick)
    assert thinly.min() > 3.7
    assert (thickly >= thinly - 1e-9).all()
    assert thickly[-1] > thinly[-1]


@given(ohm=st.floats(0.01, 0.2), factor=st.floats(1.01, 5.0), where=st.sampled_from(["lead", "span"]))
def test_heavier_cable_always_raises_the_far_end(ohm: float, factor: float, where: str) -> None:
    # Nearer lights may lose: the far ones, no longer starved, draw more through the lead.
    display = changed(SAGGING, f"strings.rail.{where}.cable", "other")
    thin = changed(display, "parts.other", {"cable": {"resistance": f"{ohm * factor!r} ohm/m"}})
    thick = changed(display, "parts.other", {"cable": {"resistance": f"{ohm!r} ohm/m"}})
    assert lowest(thick)[-1] > lowest(thin)[-1]


@given(before=st.integers(1, 15), length=st.floats(0.1, 50.0))
def test_another_feed_from_the_same_supply_never_lowers_a_voltage(before: int, length: float) -> None:
    feed = {"before": before, "supply": "shed", "cable": "wire", "length": f"{length!r} m"}
    assert (lowest(changed(SAGGING, "strings.rail.feeds", [feed])) >= without_feed() - 1e-9).all()


def test_colder_copper_never_lowers_a_voltage() -> None:
    wire = {"cable": {"cores": 3, "size": "20 AWG"}}
    series = [
        lowest({**changed(SAGGING, "parts.wire", wire), "ambient": f"{t} degC"}) for t in (-30, -10, 5, 20, 35, 60)
    ]
    for colder, warmer in itertools.pairwise(series):
        assert (colder > warmer).all()


def test_voltages_fall_along_a_string_fed_from_its_beginning() -> None:
    volts = lowest(SAGGING)
    assert (np.diff(volts) < 0).all()


def test_more_light_never_raises_a_voltage() -> None:
    series = [lowest({**SAGGING, "levels": {"float": f"{level} %"}}) for level in range(0, 101, 10)]
    for less, more in itertools.pairwise(series):
        assert (more < less).all()


def test_a_string_whose_v_plus_floats_shows_no_current_and_no_voltage_across() -> None:
    assembly = built(changed(stated(), "strings.rail.supply", None))
    power = analyse(assembly)
    assert not power.alive.any()
    assert (power.mean.edge_plus_a == 0.0).all()
    assert (power.mean.edge_minus_a == 0.0).all()
    assert (power.mean.load_a == 0.0).all()
    assert (power.across_v == 0.0).all()
    assert power.mean.supply_a.tolist() == [0.0]


def test_the_dark_part_of_a_string_fed_in_its_middle_behind_a_cut_stays_dark() -> None:
    feed = {"before": 7, "supply": "shed", "cable": "wire", "length": "2 m", "cut": True}
    display = changed(changed(stated(), "strings.rail.supply", None), "strings.rail.feeds", [feed])
    power = analyse(built(display))
    assert power.alive.tolist() == [False] * 6 + [True] * 6
    assert (power.mean.load_a[:6] == 0.0).all()
    # Half of the string lies on V-, but nothing flows in it except back to the lead's V- terminal.
    assert power.across_v[:6] == pytest.approx(np.zeros(6), abs=1e-12)
    assert power.mean.supply_a[0] == pytest.approx(6 * 0.0565, rel=1e-9)


def test_behind_a_cut_v_minus_still_shares_the_current_between_both_ways_back() -> None:
    feed = {"before": 2, "supply": "shed", "cable": "wire", "length": "3 m", "cut": True}
    display = stated(props="2 * float", string={"feeds": [feed]})
    power = analyse(built(display))
    i = 0.0565
    # V-: prop 1 behind the lead (0.05), prop 2 behind the feed (0.15), the span (0.05) between: two equations.
    lead, span, run = 0.05, 0.05, 0.15
    matrix = [[1 / lead + 1 / span, -1 / span], [-1 / span, 1 / run + 1 / span]]
    minus = np.linalg.solve(matrix, [i, i])
    place = built(display).network.load_place
    assert power.mean.minus_v[place] == pytest.approx(minus, rel=1e-9)
    assert power.mean.plus_v[place] == pytest.approx([12 - lead * i, 12 - run * i], rel=1e-9)
    flows = power.mean.edge_plus_a
    assert sorted(flows.tolist()) == pytest.approx([0.0, i, i])


def test_a_stronger_supply_pushes_current_back_into_a_weaker_one_joined_to_it() -> None:
    circuit = network([(12.0, 0.1), (11.0, 0.1)], [(1, 3, 0.2, 0.2), (2, 3, 0.2, 0.2)], [(3, 0, 1.0)], [constant(0.5)])
    point = solved(circuit).point
    # V+ joins at x: (12 - x)/0.3 + (11 - x)/0.3 = 0.5.
    x = 11.5 - 0.075
    assert point.plus_v[3] == pytest.approx(x, rel=1e-9)
    assert point.supply_a == pytest.approx([(12 - x) / 0.3, (11 - x) / 0.3], rel=1e-9)
    assert point.supply_a[1] < 0.0


def test_a_supply_without_resistance_holds_its_voltage_whatever_is_drawn() -> None:
    circuit = network([(12.0, 0.0)], [(1, 2, 0.5, 0.5)], [(2, 0, 1.0)], [constant(3.0)])
    point = solved(circuit).point
    assert point.plus_v[1] == 12.0
    assert point.plus_v[2] - point.minus_v[2] == pytest.approx(9.0, rel=1e-12)
    assert point.supply_a[0] == pytest.approx(3.0, rel=1e-12)


def test_a_supply_with_next_to_no_resistance_is_as_good_as_one_without() -> None:
    soft = analyse(built(stated(supply={"resistance": "0.000001 mohm"})))
    stiff = analyse(built(stated()))
    assert soft.across_v == pytest.approx(stiff.across_v, abs=1e-7)


@pytest.mark.parametrize("ohm", ["0.000001", "0.000000001", "0.000000000001", "1e-320"])
def test_a_supply_with_hardly_any_resistance_is_not_said_to_be_unsolvable(ohm: str) -> None:
    plan = planned(stated(supply={"resistance": f"{ohm} ohm"}))
    assert [finding.code for finding in plan.findings if finding.severity != "note"] == []


def test_strings_on_a_supply_without_resistance_do_not_feel_each_other() -> None:
    alone = stated()
    both = changed(alone, "strings.gable", {**alone["strings"]["rail"], "output": "box/2", "props": "40 * float"})
    assert analyse(built(both)).across_v[:12] == pytest.approx(analyse(built(alone)).across_v, abs=1e-12)


def test_strings_on_a_soft_supply_do() -> None:
    alone = stated(supply={"resistance": "200 mohm"})
    both = changed(alone, "strings.gable", {**alone["strings"]["rail"], "output": "box/2"})
    shared = analyse(built(both)).across_v
    assert shared[:12] == pytest.approx(analyse(built(alone)).across_v - 0.2 * 12 * 0.0565, abs=1e-9)


def test_a_display_without_strings_has_nothing_to_solve() -> None:
    power = analyse(built(changed(stated(), "strings", {})))
    assert len(power.across_v) == 0
    assert len(power.mean.unsolved) == 0


@pytest.mark.parametrize("props", [200, 800])
def test_a_string_long_past_its_reach_still_comes_to_rest(props: int) -> None:
    assembly = built({**SAGGING, "strings": {"rail": {**SAGGING["strings"]["rail"], "props": f"{props} * float"}}})
    power = analyse(assembly)
    assert len(power.mean.unsolved) == 0
    check_balance(power.mean)
    assert power.mean.steps < 40
    assert power.across_v[-1] < 7.0


def test_solving_twice_gives_the_same_numbers() -> None:
    assembly = built(random_display(7))
    first, second = (solve_network(assembly.network, assembly.network.duty).point for _ in range(2))
    assert (first.plus_v == second.plus_v).all()
    assert across(assembly.network).shape == assembly.network.load_place.shape
