"""Displays that resist: drivers without a steady state, strings in the dark, supplies that are ideal, levels below full."""

from __future__ import annotations

import pytest

from hollowglow.analysis.circuit.tolerance import analyse
from tests.assembly.samples import CONSTANT_POWER, built, stated

LONG = {"lead": {"cable": "wire", "length": "60 m"}, "span": {"cable": "wire", "length": "2 m"}}


def test_a_display_without_a_steady_state_is_never_within_its_limits() -> None:
    found = analyse(built(stated(CONSTANT_POWER, props="24 * float", string=LONG)), samples=12)
    assert (found.solved_alone, found.unsolved, found.chance.within) == (12, 12, 0)
    assert found.strings[0].lowest_voltage.within == 0


def test_drivers_near_their_cutoff_go_one_by_one_and_some_fail() -> None:
    made = stated(CONSTANT_POWER, props="12 * float", string=LONG, tolerances={"supply_voltage": "20 %"})
    found = analyse(built(made), samples=60)
    assert found.solved_alone > 0
    assert 0 < found.unsolved < 60
    assert found.chance.within <= 60 - found.unsolved


def test_a_string_that_no_power_reaches_is_never_within_its_limits() -> None:
    made = stated(string={"feeds": [{"before": 7, "supply": "shed", "cable": "wire", "length": "1 m", "cut": True}]})
    made["strings"]["rail"].pop("supply")
    found = analyse(built(made), samples=10)
    assert found.strings[0].dark == 6
    assert (found.strings[0].chance.within, found.chance.within) == (0, 0)
    assert found.strings[0].lowest_voltage.within == 10


@pytest.mark.parametrize("resistance", ["0 ohm", "30 mohm"])
def test_the_supply_carries_what_its_lights_draw(resistance: str) -> None:
    found = analyse(built(stated(supply={"resistance": resistance})), samples=50)
    # Twelve lights of 3 * 18.5 mA and 1 mA at 12 V from 100 W.
    assert found.supplies[0].load_fraction.p50 == pytest.approx(12 * 0.0565 * 12.0 / 100.0, rel=0.02)


def test_levels_below_full_have_two_points_and_dark_kinds_no_limit() -> None:
    half = analyse(built(stated(levels={"float": "50 %"}, string=LONG)), samples=20)
    full = analyse(built(stated(string=LONG)), samples=20)
    assert half.strings[0].lowest_v == full.strings[0].lowest_v
    assert half.supplies[0].load_fraction.p50 < 0.6 * full.supplies[0].load_fraction.p50
    dark = analyse(built(stated(levels={"float": "0 %"})), samples=20)
    assert dark.chance.share == 1.0
