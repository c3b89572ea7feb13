"""The ladder of constant currents: the truth where lights are saturated, never worse than the truth elsewhere."""

from __future__ import annotations

import numpy as np
import pytest

from hollowglow.file import load_text
from hollowglow.search.ladder.ladder import Rungs, rungs
from hollowglow.search.ladder.rails import RailEntries, conductance, voltages_v
from hollowglow.search.trials.distance import distance_m
from hollowglow.search.trials.market import market
from hollowglow.search.trials.trial import TrialString
from tests.assembly.samples import CONSTANT_CURRENT, CONSTANT_POWER, RESISTOR, Stated, changed, planned, stated
from tests.outside.displays import dump

SUPPLY_OHM, LEAD_M, SPAN_M, PIGTAIL_M, OHM_PER_M, SPLICE_OHM = 0.02, 3.0, 1.5, 0.15, 0.05, 0.005
FEEDS = [(4, False, 6.0), (8, True, 9.0)]


def fed(load: Stated, level: int = 100) -> Stated:
    return stated(
        load,
        props="10 * float",
        fill={"count": 2},
        kind={"pigtail": {"cable": "wire", "length": f"{PIGTAIL_M} m"}},
        supply={"resistance": f"{SUPPLY_OHM} ohm"},
        string={
            "lead": {"cable": "wire", "length": f"{LEAD_M} m"},
            "span": {"cable": "wire", "length": f"{SPAN_M} m", "joint": "splice"},
            "feeds": [
                {"before": p, "supply": "shed", "cable": "wire", "length": f"{m} m", "cut": c} for p, c, m in FEEDS
            ],
        },
        levels={"float": f"{level} %"},
    )


def relaxed_v(display: Stated, share: float = 0.0) -> tuple[Rungs, np.ndarray[tuple[int, int], np.dtype[np.float64]]]:
    shown = load_text(dump(display))
    bench = TrialString(shown, "rail", market(shown, shown.strings["rail"]), np.zeros(1))
    made = rungs(bench, "shed")
    ohm = conductance(np.array([[LEAD_M * OHM_PER_M, *(m * OHM_PER_M for _, _, m in FEEDS)]]))
    ladder = made.ladder(share=share)
    place = ladder.entry[np.array([[0, *(p - 1 for p, _, _ in FEEDS)]])]
    entries = RailEntries(place, ohm, ohm, np.array([[False, *(c for _, c, _ in FEEDS)]]))
    return made, voltages_v(ladder, entries)


@pytest.mark.parametrize("level", [60, 100])
def test_saturated_lights_get_what_the_solver_says(level: int) -> None:
    """The solver is held against ngspice elsewhere; both scenarios are compared, on both rails together."""
    display = fed(CONSTANT_CURRENT, level)
    _, found = relaxed_v(display)
    power = planned(display).power
    at = np.arange(1, 20, 2)  # a pigtail stands before the lights of each prop
    assert found[0, at] == pytest.approx(power.across_v, abs=1e-9)
    assert found[-1, at] == pytest.approx(power.coincident_v, abs=1e-9)


@pytest.mark.parametrize("load", [RESISTOR, CONSTANT_POWER])
def test_no_light_gets_more_than_the_ladder_allows(load: Stated) -> None:
    """Where the limits are met; the resistors' limit on light is loosened until they are."""
    display = changed(fed(load), "limits", {"light_loss": "60 %", "chromaticity_shift": 0.2})
    power = planned(display).power
    at = np.arange(1, 20, 2)
    assert (relaxed_v(display)[1][0, at] >= power.across_v - 1e-9).all()
    assert (relaxed_v(display, share=1.0)[1][0, at] <= power.across_v + 1e-9).all()


def test_a_single_feed_at_the_far_end_halves_twice_what_is_lost() -> None:
    """A uniform load fed from both ends loses a quarter of what it loses fed from one (any distributor textbook)."""
    n, ohm, current = 101, 0.01, 0.02
    display = stated(
        {**CONSTANT_CURRENT, "current": [f"{current / 3} A"] * 3, "idle": "0 A"},
        props=f"{n} * float",
        string={"lead": {"cable": "wire", "length": "0.01 mm"}, "span": {"cable": "wire", "length": "0.2 m"}},
    )
    shown = load_text(dump(display))
    made = rungs(TrialString(shown, "rail", market(shown, shown.strings["rail"]), np.zeros(1)), "shed").ladder()
    perfect = np.full((1, 2), 1e9)
    both = RailEntries(made.entry[np.array([[0, n - 1]])], perfect, perfect, np.zeros((1, 2), dtype=bool))
    one = RailEntries(both.place[:, :1], perfect[:, :1], perfect[:, :1], np.zeros((1, 1), dtype=bool))
    lost_one, lost_both = (12.0 - voltages_v(made, e).min() for e in (one, both))
    assert lost_one == pytest.approx(2.0 * ohm * current * n * (n - 1) / 2.0, rel=1e-6)
    assert lost_both == pytest.approx(2.0 * ohm * current * ((n - 1) / 2.0) ** 2 / 2.0, rel=1e-6)


def test_a_feed_is_as_long_as_the_way_along_the_string_with_its_allowance() -> None:
    """Lead 3 m and three spans of 1.5 m are 7.5 m; with 10 % and 1 m that is 9.25 m, on the tape 9.3 m."""
    display = load_text(dump(changed(fed(CONSTANT_CURRENT), "strings.rail.feeds", [])))
    assert distance_m(display, "shed", "rail", 4) == 9.3
    assert distance_m(load_text(dump(fed(CONSTANT_CURRENT))), "shed", "rail", 4) == 6.0  # as the file states it
    longer = changed(
        changed(fed(CONSTANT_CURRENT), "strings.rail.feeds", []), "feeding", {"detour": "0 %", "reserve": "3 m"}
    )
    assert distance_m(load_text(dump(longer)), "shed", "rail", 4) == 10.5
