"""On small strings the plan costs what the cheapest of all placements costs, each tried with the full solver."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from hollowglow.file import Display, load_text
from hollowglow.search.feed.string_plan import Planner, StringPlan, plan_string
from hollowglow.search.ladder.cuts import cheapest_cuts
from hollowglow.search.ladder.search import Effort
from hollowglow.search.trials.choice import Choice, FeedPoint, LeadPoint, price_of
from hollowglow.search.trials.market import Market, market
from hollowglow.search.trials.pieces import weight_of
from hollowglow.search.trials.trial import TrialString
from tests.assembly.samples import CONSTANT_CURRENT, CONSTANT_POWER, RESISTOR, Stated, stated
from tests.outside.displays import dump

LOADS = {"constant-current": CONSTANT_CURRENT, "resistor": RESISTOR, "constant-power": CONSTANT_POWER}


def small_display(rng: np.random.Generator, characteristic: str) -> Stated:
    """A string of a few props on such poor cable that it has to be fed again, or nearly."""
    props = int(rng.integers(3, 6))
    lights = {"constant-current": 12, "resistor": 2, "constant-power": 10}[characteristic]
    return stated(
        LOADS[characteristic],
        props=f"{props} * float",
        fill={"count": int(rng.integers(lights // 2, lights + 1))},
        kind={"pigtail": {"cable": "wire", "length": "150 mm"}} if rng.random() < 0.5 else {},
        supply={"rating": "300 W", "resistance": f"{rng.choice([0, 20])} mohm"},
        parts={"wire": {"cable": {"resistance": f"{rng.choice([0.04, 0.08])} ohm/m", "ampacity": "7.5 A"}}},
        string={
            "lead": {"cable": "wire", "length": f"{rng.uniform(2, 8):.1f} m"},
            "span": {"cable": "wire", "length": f"{rng.uniform(1, 3):.1f} m", "joint": "splice"},
            "fuse": str(rng.choice(["holder-blade-3a", "holder-blade-7.5a"])),
        },
        limits={"lowest_voltage": f"{rng.uniform(10.6, 11.6):.2f} V"} if characteristic != "resistor" else {},
        levels={"float": f"{rng.choice([80, 100])} %"},
        labour={"hour": float(rng.choice([0.0, 20.0]))},
    )


def small_market(display: Display) -> Market:
    found = market(display, display.strings["rail"])
    cables = tuple(c for c in found.cables if c.name in ("cable-3x20awg", "feed-2x14awg"))
    fuses = tuple(f for f in found.fuses if f.rating_a in (2.0, 5.0))
    leads = tuple(c for c in found.leads if c.name == "cable-3x14awg")
    return replace(found, cables=cables, fuses=fuses, leads=leads)


def every_choice(found: Market, props: int) -> Iterator[Choice]:
    """Every lead with every way to feed every prop again or not."""
    ways = list(itertools.product((True, False), found.cables, found.fuses))
    leads = [LeadPoint(c, f) for c in (None, *found.leads) for f in (None, *found.fuses)]
    for lead in leads:
        for chosen in itertools.product((None, *ways), repeat=props - 1):
            at = ((i, way) for i, way in enumerate(chosen, 2) if way is not None)
            yield Choice(lead, tuple(FeedPoint(i, *way, supply="shed") for i, way in at))


def planned(display: Display, found: Market) -> tuple[TrialString, StringPlan]:
    bench = TrialString(display, "rail", found, np.zeros(1))
    return bench, plan_string(bench, "shed", Effort(100_000, 10_000))


@pytest.mark.parametrize("characteristic", LOADS)
@pytest.mark.parametrize("seed", range(5))
def test_no_placement_is_cheaper(characteristic: str, seed: int) -> None:
    display = load_text(dump(small_display(np.random.default_rng([seed, len(characteristic)]), characteristic)))
    found = small_market(display)
    bench, plan = planned(display, found)
    assert plan.proven
    if plan.meets:
        assert bench.outcome(plan.choice).meets
        assert plan.bound == pytest.approx(plan.price.total, abs=1e-4)
    most = plan.price.total - 1e-4 if plan.meets else float("inf")
    every = every_choice(found, display.strings["rail"].prop_count)
    cheaper = (c for c in every if price_of(display, "rail", c, found).total < most)
    assert [c for c in cheaper if bench.outcome(c).meets] == []


@pytest.mark.parametrize("seed", range(3))
def test_dynamic_programming_finds_the_cheapest_cut_plan(seed: int) -> None:
    display = load_text(dump(small_display(np.random.default_rng([seed, 4]), "constant-current")))
    found = small_market(display)
    bench = TrialString(display, "rail", found, np.zeros(1))
    planner = Planner(bench, "shed", Effort())
    plan = cheapest_cuts(planner.rungs.ladder(), planner.pieces)
    cut = [c for c in every_choice(found, display.strings["rail"].prop_count) if all(f.cut for f in c.feeds)]
    cut.sort(key=lambda c: weight_of(price_of(display, "rail", c, found)))
    best = next((c for c in cut if bench.outcome(c).meets), None)
    assert (plan is None) == (best is None)
    if plan is not None and best is not None:
        assert plan.weight == pytest.approx(weight_of(price_of(display, "rail", best, found)), abs=1e-9)


def test_the_displays_are_worth_planning() -> None:
    """Without feeds that pay and feeds that are joined the comparison would prove nothing."""
    feeds = []
    for characteristic in LOADS:
        for seed in range(6):
            display = load_text(dump(small_display(np.random.default_rng([seed, len(characteristic)]), characteristic)))
            feeds += planned(display, small_market(display))[1].choice.feeds
    assert sum(f.cut for f in feeds) >= 3
    assert sum(not f.cut for f in feeds) >= 2
