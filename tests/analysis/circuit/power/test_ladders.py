"""Lines whose answer is known in closed form, or printed in a textbook."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.circuit.power import analyse
from hollowglow.assembly.tables import Floats, Network
from tests.analysis.circuit.power.networks import across, constant, ladder, network, solved
from tests.assembly.samples import built, stated

# Sum of k for k to N, over N^2: the drop at the end of N equal loads, the last at the end.
END_DROP = {1: 1.0, 2: 0.75, 3: 0.666667, 5: 0.6, 10: 0.55, 20: 0.525, 25: 0.52, 50: 0.51, 100: 0.505}


def equal_ladder(loads: int, amps: float, total_ohm: float, volts: float = 12.0) -> Network:
    """`total_ohm` of both conductors together, `amps` of all loads together."""
    step = [total_ohm / loads / 2] * loads
    return ladder(volts, 0.0, step, step, [constant(amps / loads)] * loads)


@pytest.mark.parametrize(("loads", "ratio"), END_DROP.items())
def test_the_end_of_a_ladder_of_equal_loads_drops_by_the_tabled_share(loads: int, ratio: float) -> None:
    drop = 12.0 - across(equal_ladder(loads, 2.0, 1.5))[-1]
    assert drop / (2.0 * 1.5) == pytest.approx(ratio, abs=1e-6)


@pytest.mark.parametrize("loads", range(1, 101))
def test_the_end_of_a_ladder_drops_by_n_plus_1_over_2n(loads: int) -> None:
    drop = 12.0 - across(equal_ladder(loads, 2.0, 1.5))[-1]
    assert drop == pytest.approx((loads + 1) / (2 * loads) * 2.0 * 1.5, rel=1e-9)


@pytest.mark.parametrize("loads", [1, 2, 3, 5, 10, 20, 25, 50, 100])
def test_a_string_of_equal_spans_follows_the_ladder_rule_on_each_rail(loads: int) -> None:
    constant_current = {
        "class": "constant-current",
        "current": ["3 mA", "4 mA", "5 mA"],
        "turn_on": ["0.1 V", "0.1 V", "0.1 V"],
        "saturation": "0.1 V",
    }
    assembly = built(
        stated(
            constant_current,
            props=f"{loads} * float",
            string={"lead": {"cable": "wire", "length": "1 m"}, "span": {"cable": "wire", "length": "1 m"}},
        )
    )
    power = analyse(assembly)
    expected = (loads + 1) / (2 * loads) * (loads * 0.012) * (loads * 0.05)
    last = assembly.network.load_place[-1]
    assert 12.0 - power.mean.plus_v[last] == pytest.approx(expected, rel=1e-9)
    assert power.mean.minus_v[last] == pytest.approx(expected, rel=1e-9)
    assert power.across_v[-1] == pytest.approx(12.0 - 2 * expected, rel=1e-9)


@pytest.mark.parametrize("loads", [1, 3, 5, 21, 101, 999])
def test_a_ladder_fed_from_both_ends_drops_by_an_eighth_in_the_limit(loads: int) -> None:
    ohm, amps = 0.8, 3.0
    step = ohm / (loads + 1) / 2
    edges = [(1, 3, step, step), *((i, i + 1, step, step) for i in range(3, loads + 2)), (2, loads + 2, step, step)]
    circuit = network(
        [(12.0, 0.0), (12.0, 0.0)], edges, [(3 + i, 0, 1.0) for i in range(loads)], [constant(amps / loads)]
    )
    drop = 12.0 - across(circuit).min()
    # Half of the current comes from each side: the middle of an odd number of loads sees (N + 1)/(8 N).
    assert drop == pytest.approx((loads + 1) / (8 * loads) * amps * ohm, rel=1e-9)
    if loads == 999:
        assert drop / (amps * ohm) == pytest.approx(0.125, rel=2e-3)


def test_a_string_fed_before_both_ends_from_one_supply_is_a_ladder_fed_from_both_ends() -> None:
    constant_current = {
        "class": "constant-current",
        "current": ["5 mA"] * 3,
        "turn_on": ["0.1 V"] * 3,
        "saturation": "0.1 V",
    }
    feed = {"before": 21, "supply": "shed", "cable": "wire", "length": "1 m"}
    power = analyse(built(stated(constant_current, props="21 * float", string={"feeds": [feed]})))
    amps, ohm = 21 * 0.015, 22 * 0.1
    assert 12.0 - power.across_v.min() == pytest.approx(22 / (8 * 21) * amps * ohm, rel=1e-9)
    assert int(np.argmin(power.across_v)) == 10
    assert power.mean.supply_a[0] == pytest.approx(amps, rel=1e-9)


def distributor(volts: float, ohm_per_km: float, at_m: list[float], amps: list[float]) -> Network:
    step = np.diff([0.0, *at_m]) / 1000.0 * ohm_per_km
    return ladder(volts, 0.0, step.tolist(), step.tolist(), [constant(a) for a in amps])


def test_mehta_example_13_1_a_distributor_with_four_loads() -> None:
    # V. K. Mehta and R. Mehta, Principles of Power System, example 13.1: 2 km, 0.01 ohm/km each conductor, 300 V.
    circuit = distributor(300.0, 0.01, [500.0, 1000.0, 1600.0, 2000.0], [100.0, 150.0, 200.0, 50.0])
    printed = [295.0, 291.0, 288.0, 287.6]
    assert across(circuit) == pytest.approx(printed, rel=1e-6)


def test_a_distributor_with_two_loads_reaches_the_printed_far_end() -> None:
    # A worked d.c. distributor of a power systems course: 500 V, 2 km + 2 km, 0.02 ohm/km, 100 A then 200 A.
    circuit = distributor(500.0, 0.02, [2000.0, 4000.0], [100.0, 200.0])
    assert across(circuit) == pytest.approx([476.0, 460.0], rel=1e-6)


def uniform(volts: float, length_m: float, amps_per_m: float, ohm_per_km: float, *, both: bool, slices: int) -> Network:
    """A uniformly loaded distributor in equal slices, each with its load in its middle."""
    dx = length_m / slices
    r = ohm_per_km / 1000.0 * dx
    first = 2 if not both else 3
    edges = [(1, first, r / 2, r / 2)]
    edges += [(first + i, first + i + 1, r, r) for i in range(slices - 1)]
    end = first + slices
    edges += [(2, first + slices - 1, r / 2, r / 2)] if both else [(first + slices - 1, end, r / 2, r / 2)]
    supplies = [(volts, 0.0)] * (2 if both else 1)
    return network(supplies, edges, [(first + i, 0, 1.0) for i in range(slices)], [constant(amps_per_m * dx)])


def test_mehta_example_13_14_a_uniform_load_fed_from_both_ends() -> None:
    # Mehta and Mehta, example 13.14: 1000 m, 0.5 A/m, 0.05 ohm/km each conductor, 220 V.
    volts = across(uniform(220.0, 1000.0, 0.5, 0.05, both=True, slices=1001))
    assert volts.min() == pytest.approx(213.75, rel=1e-4)
    assert 220.0 - volts.min() == pytest.approx(6.25, rel=1e-4)
    assert int(np.argmin(volts)) == 500


def test_a_uniform_load_fed_from_one_end_drops_along_a_parabola() -> None:
    # Mehta and Mehta, chapter 13: 200 m, 2 A/m, 0.3 ohm/km each conductor: 22.5 V at 150 m, 24 V at the end,
    # i r (l x - x^2/2).
    slices = 2000
    circuit = uniform(250.0, 200.0, 2.0, 0.3, both=False, slices=slices)
    drop = 250.0 - across(circuit)
    x = (np.arange(slices) + 0.5) * 200.0 / slices
    assert drop == pytest.approx(2.0 * 0.0006 * (200.0 * x - x**2 / 2), rel=1e-3)
    assert np.interp(150.0, x, drop) == pytest.approx(22.5, rel=1e-4)
    assert drop[-1] == pytest.approx(24.0, rel=1e-4)


def conductor_loss(circuit: Network) -> float:
    point = solved(circuit).point
    plus: Floats = point.edge_plus_a**2 * circuit.edge_plus_ohm
    minus: Floats = point.edge_minus_a**2 * circuit.edge_minus_ohm
    return float(plus.sum() + minus.sum())


@pytest.mark.parametrize(("both", "share"), [(False, 1 / 3), (True, 1 / 12)])
def test_the_conductors_of_a_uniform_load_lose_a_third_or_a_twelfth(both: bool, share: float) -> None:
    # Integral of (I (1 - x/l))^2 r dx, and of (I (1/2 - x/l))^2 r dx.
    loss = conductor_loss(uniform(250.0, 200.0, 0.5, 0.3, both=both, slices=1000))
    assert loss / ((200.0 * 0.5) ** 2 * 200.0 * 0.0006) == pytest.approx(share, rel=1e-4)


@given(
    plus=st.lists(st.floats(1e-3, 0.5), min_size=1, max_size=25),
    amps=st.floats(1e-3, 0.05),
    supply_ohm=st.one_of(st.just(0.0), st.floats(1e-3, 0.2)),
    ratio=st.floats(0.2, 5.0),
)
def test_rails_of_unequal_resistance_drop_each_by_its_own(
    plus: list[float], amps: float, supply_ohm: float, ratio: float
) -> None:
    minus = [ohm * ratio for ohm in plus]
    loads = len(plus)
    circuit = ladder(60.0, supply_ohm, plus, minus, [constant(amps)] * loads)
    point = solved(circuit).point
    flows = amps * np.arange(loads, 0, -1)
    along = np.cumsum(flows * plus)
    if 60.0 - supply_ohm * loads * amps - along[-1] * (1 + ratio) < 0.01:
        return
    assert point.plus_v[2:] == pytest.approx(60.0 - supply_ohm * loads * amps - along, rel=1e-9)
    assert point.minus_v[2:] == pytest.approx(along * ratio, rel=1e-9)
    assert point.edge_plus_a == pytest.approx(flows, rel=1e-9, abs=1e-9)
    assert point.edge_minus_a == pytest.approx(flows, rel=1e-9, abs=1e-9)
