"""Commissioning: readings against the plan, a ladder by hand, and each band against every sample solved by itself."""

from __future__ import annotations

import numpy as np
import pytest

from hollowglow.analysis.circuit.commission import analyse, hints, repairs
from hollowglow.analysis.circuit.power import analyse as power_of
from hollowglow.analysis.circuit.power import prepare, solve_network
from hollowglow.analysis.circuit.tolerance import sampled_volts
from hollowglow.analysis.circuit.tolerance.parts import Adder, sampled_network
from hollowglow.analysis.circuit.tolerance.sample import Sampler
from hollowglow.assembly.ids import node_ids
from tests.assembly.samples import RESISTOR, built, stated

PLUG = {"plug": {"joint": {"resistance": "20 mohm", "sort": "plug"}}}
PLUGGED = stated(
    props="3 * float",
    parts=PLUG,
    kind={"pigtail": {"cable": "wire", "length": "200 mm"}},
    supply={"resistance": "100 mohm"},
    string={
        "lead": {"cable": "wire", "length": "4 m", "joint": "plug"},
        "span": {"cable": "wire", "length": "2 m", "joint": "plug"},
    },
)


def test_a_plugged_string_reads_as_reckoned_by_hand() -> None:
    # Three lights of 55.5 mA + 1 mA idle, saturated: 56.5 mA each. Wire 0.05 ohm/m, plugs 0.02 ohm, in each rail.
    i = 0.0565
    made = {r.spot.id: r for r in analyse(built(PLUGGED), samples=10).readings}
    shed = 12.0 - 0.1 * 3 * i
    lead = shed - 2 * 3 * i * (4 * 0.05 + 0.02)
    first = lead - 2 * 3 * i * 0.2 * 0.05  # at the light of prop 1, behind its in-pigtail
    span1 = first - 2 * 2 * i * (0.2 * 0.05 + 0.02 + 2 * 0.05 + 0.02)
    assert made["shed"].white_v == pytest.approx(shed, abs=1e-9)
    assert made["rail/lead/joint"].white_v == pytest.approx(lead, abs=1e-9)
    assert made["rail/span01/joint2"].white_v == pytest.approx(span1, abs=1e-9)
    assert made["rail/span01/joint2"].current_a == pytest.approx(2 * i, rel=1e-9)
    # Lights off: only the idle currents, 1 mA each.
    assert made["rail/lead/joint"].off_v == pytest.approx(12.0 - 0.003 * (0.1 + 2 * 0.22), abs=1e-9)


def test_the_end_of_a_string_is_its_last_node() -> None:
    assembly = built(stated(RESISTOR, fill={"count": 2, "wiring": {"cable": "wire", "length": "0.1 m"}}))
    power = power_of(assembly)
    last = node_ids(assembly).index("rail/prop12/node2")
    end = next(r for r in analyse(assembly, samples=10).readings if r.spot.sort == "end")
    assert end.white_v == pytest.approx(float(power.across_v[assembly.nodes.load[last]]), abs=1e-12)
    assert end.spot.reach == "before sealing"


@pytest.mark.parametrize("resistance", ["0 ohm", "30 mohm"])
def test_every_draw_is_what_the_full_solver_finds(resistance: str) -> None:
    assembly = built(stated(RESISTOR, supply={"resistance": resistance}))
    places = np.arange(1, assembly.network.places)
    drawn = sampled_volts(assembly, assembly.network.duty, places, 12, 7)
    sampled = Sampler(assembly, assembly.display.tolerances, 7).everything(np.arange(12))
    deviations = Adder(assembly).deviations(sampled)
    for sample in range(12):
        network = sampled_network(assembly.network, deviations, sample)
        point = solve_network(network, network.duty, prepare(network)).point
        np.testing.assert_allclose(drawn.plus_v[:, sample], point.plus_v[places], atol=1e-6)
        np.testing.assert_allclose(drawn.minus_v[:, sample], point.minus_v[places], atol=1e-6)


FEED = {"before": 10, "supply": "shed", "cable": "wire", "length": "3 m", "fuse": "5 A"}


SPAN = {"cable": "wire", "length": "4 m"}


def test_with_the_fuse_of_a_feed_open_the_end_reads_as_two_linear_ladders_say() -> None:
    made = analyse(built(stated(string={"feeds": [FEED], "fuse": "5 A", "span": SPAN})), samples=50)
    readings = {r.spot.id: r for r in made.readings}
    lost = dict(readings["rail/prop12/out"].without)
    # Twelve saturated lights of 56.5 mA, 0.2 ohm between neighbours; the feed's V- (0.15 ohm at prop 10) still carries.
    ladder = np.zeros((12, 12))
    for k in range(12):
        ladder[k, k] += 1 / 0.2 if k else 1 / 0.05
        if k:
            ladder[k - 1, k - 1] += 1 / 0.2
            ladder[k, k - 1] = ladder[k - 1, k] = -1 / 0.2
    drawn = np.full(12, 0.0565)
    plus = 12.0 - np.linalg.solve(ladder, drawn)
    ladder[9, 9] += 1 / 0.15
    minus = np.linalg.solve(ladder, drawn)
    assert lost["rail/feed10/fuse"] == pytest.approx(plus[-1] - minus[-1], abs=1e-9)
    assert {r.spot.id for r in readings.values() if r.spot.sort == "feed"} == {"rail/feed10"}


def test_bands_hold_the_stated_value_and_hints_give_their_numbers() -> None:
    made = analyse(built(PLUGGED))
    for one in made.readings:
        assert one.white_low_v < one.white_v < one.white_high_v
        assert one.off_low_v < one.off_v < one.off_high_v
    lead = next(r for r in made.readings if r.spot.sort == "lead")
    told = {h.reading: h.suggests for h in hints(lead)}
    # 0.1 V at 0.1695 A is 590 milliohms, and 17 mW.
    assert "590 milliohms" in told["below its band at full white only"]
    assert any(r.where == "rail" for r in repairs(made, ("rail",)))


def test_a_string_that_no_supply_reaches_has_no_numbers_and_says_so() -> None:
    made = analyse(built(stated(string={"supply": None})), samples=10)
    end = next(r for r in made.readings if r.spot.sort == "end")
    assert np.isnan(end.white_low_v) or end.white_v == pytest.approx(0.0, abs=0.01)
