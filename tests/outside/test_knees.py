"""Strings that sag far below the voltage at which their lights turn on, against ngspice on the same circuit."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from hollowglow.analysis.circuit.power import analyse
from hollowglow.assembly.ids import node_ids
from tests.assembly.samples import CONSTANT_CURRENT, RESISTOR, Stated, built, changed, stated
from tests.outside.spice import Display, Point, netlist, solve

TOLERANCE_V = 1e-4
STRONG = {**CONSTANT_CURRENT, "current": ["60 mA"] * 3, "turn_on": ["5.8 V", "8.7 V", "9.0 V"], "saturation": "1.5 V"}


def spiced(display: Stated) -> Display:
    """The same file with what ngspice's side reads, all of it stated."""
    made: Display = {"supplies": {}, **display}
    for kind in made["kinds"].values():
        kind["fill"].setdefault("count", 1)
    return made


def differences_v(display: Stated, point: Point) -> list[float]:
    assembly = built(display)
    power = analyse(assembly)
    ours = power.mean if point == "mean" else power.coincident
    place = assembly.network.load_place[assembly.nodes.load]
    theirs = solve(netlist(spiced(display), point))
    return [
        max(abs(ours.plus_v[p] - theirs[node][0]), abs(ours.minus_v[p] - theirs[node][1]))
        for node, p in zip(node_ids(assembly), place.tolist(), strict=True)
    ]


def long_string(load: Stated, props: int, **top: Any) -> Stated:
    return stated(
        load,
        props=f"{props} * float",
        fill={"count": 2, "wiring": {"cable": "wire", "length": "100 mm"}},
        string={"span": {"cable": "wire", "length": "1.2 m", "joint": "splice"}},
        supply={"resistance": "20 mohm"},
        **top,
    )


@pytest.mark.parametrize("point", ["mean", "coincident"])
@pytest.mark.parametrize("load", [STRONG, RESISTOR], ids=["constant-current", "resistor"])
@pytest.mark.parametrize("props", [20, 50, 100])
def test_a_string_that_sags_below_turn_on_agrees_with_ngspice(load: Stated, props: int, point: Point) -> None:
    display = long_string(load, props, levels={"float": "70 %"})
    assert max(differences_v(display, point)) < TOLERANCE_V


def test_those_strings_do_sag_through_every_knee() -> None:
    for load in (STRONG, RESISTOR):
        across = analyse(built(long_string(load, 100))).across_v
        assert across[-1] < 6.0
        assert across[0] > 8.0


def test_a_string_fed_again_behind_a_cut_by_a_weaker_supply_agrees_with_ngspice() -> None:
    display = long_string(STRONG, 40)
    display["supplies"]["loft"] = {"voltage": "9 V", "rating": "100 W", "resistance": "50 mohm"}
    feed = {"before": 21, "supply": "loft", "cable": "wire", "length": "3 m", "cut": True}
    display = changed(display, "strings.rail.feeds", [feed])
    for point in ("mean", "coincident"):
        assert max(differences_v(display, point)) < TOLERANCE_V


def test_a_string_with_joined_supplies_agrees_with_ngspice() -> None:
    display = long_string(STRONG, 40)
    display["supplies"]["loft"] = {"voltage": "11.5 V", "rating": "100 W", "resistance": "50 mohm"}
    feed = {"before": 21, "supply": "loft", "cable": "wire", "length": "3 m"}
    assert max(differences_v(changed(display, "strings.rail.feeds", [feed]), "mean")) < TOLERANCE_V


def test_a_supply_too_low_for_any_colour_leaves_idle_current_only() -> None:
    display = changed(long_string(STRONG, 12), "supplies.shed.voltage", "5 V")
    assert max(differences_v(display, "mean")) < TOLERANCE_V
    assert analyse(built(display)).mean.supply_a[0] == pytest.approx(24e-3, rel=1e-6)


def test_below_one_volt_the_idle_currents_ramp_as_in_ngspice() -> None:
    display = changed(long_string({**STRONG, "idle": "80 mA"}, 30), "supplies.shed.voltage", "1.5 V")
    assert max(differences_v(display, "mean")) < TOLERANCE_V
    assert np.min(analyse(built(display)).across_v) < 0.5
