"""Mains circuits are kept like everything else that the plan limits: 80 % of the breaker for what goes on for hours."""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest

from hollowglow.show.demand import Demand
from hollowglow.show.demand.statistics import Show, statistics_of
from hollowglow.show.limiter import Limiter
from hollowglow.show.limiter.bound import bound_of
from hollowglow.show.limiter.limit import at_scale
from hollowglow.show.limiter.quick import Quick
from hollowglow.show.limiter.squeeze import Squeeze
from tests.show.demand.samples import built, full_solver, random_frames, sample

EFFICIENCY, POWER_FACTOR, MAINS_V = 0.3, 0.3, 120.0  # poor ones, since breakers below 1 A are not taken


def on_mains(*, switching: bool, breaker: str = "15 A") -> dict[str, Any]:
    """The sample with a second supply for its second string, both on one circuit."""
    data = sample(switching=switching)
    data["supplies"]["loft"] = {"voltage": "12 V", "rating": "200 W", "resistance": "20 mohm"}
    data["strings"]["roof"]["supply"] = "loft"
    data["strings"]["roof"]["feeds"][0]["supply"] = "loft"
    data["supplies"]["shed"]["rating"] = "200 W"
    for supply in data["supplies"].values():
        supply |= {"circuit": "hall", "efficiency": EFFICIENCY, "power_factor": POWER_FACTOR}
    for string in data["strings"].values():
        string["fuse"] = "20 A"
    data["strings"]["roof"]["feeds"][0]["fuse"] = "20 A"
    data["parts"]["thin"]["cable"]["ampacity"] = "30 A"
    data["parts"]["twist"]["joint"]["rating"] = "30 A"
    data["mains"] = {"hall": {"voltage": f"{MAINS_V} V", "breaker": breaker}}
    return data


def taken_a(demand: Demand, frame: np.ndarray) -> float:
    """The circuit's current by hand: V I / (efficiency · power factor · mains voltage), summed over the supplies."""
    point = full_solver(demand, frame).point
    return float(12.0 * np.sum(point.supply_a) / (EFFICIENCY * POWER_FACTOR * MAINS_V))


def scarce(switching: bool, share: float) -> dict[str, Any]:
    """The same with a breaker of which 80 % are this share of what full white takes."""
    demand = Demand.of(built(on_mains(switching=switching)))
    most = taken_a(demand, demand.addresses.full())
    return on_mains(switching=switching, breaker=f"{share * most / 0.8:.4f} A")


@pytest.mark.parametrize("switching", [False, True])
@pytest.mark.parametrize("share", [0.3, 0.8, 1.3])
def test_the_scale_is_the_largest_that_the_circuit_bears(switching: bool, share: float) -> None:
    limiter = Limiter.of(built(scarce(switching, share)))
    demand = limiter.demand
    most = float(limiter.allowed.current_a[-1])
    limited = 0
    for frame in random_frames(demand, 8, 5):
        made = limiter(frame)
        n = round(255 * limiter.last.scale)
        assert (made == at_scale(frame, n)).all()
        assert taken_a(demand, made) <= most * (1.0 + 1e-8)
        if n < 255:
            limited += 1
            assert taken_a(demand, at_scale(frame, n + 1)) > most
            assert limiter.last.limits == "mains/hall"
            assert "the mains circuit hall at " in limiter.last.words
            assert limiter.last.words.endswith("of its breaker (limit 80 %).")
    assert (limited > 0) == (share < 1.0)


def test_nothing_is_limited_where_no_breaker_is_stated() -> None:
    data = on_mains(switching=False)
    del data["mains"]
    for supply in data["supplies"].values():
        del supply["circuit"]
    limiter = Limiter.of(built(data))
    assert "mains" not in limiter.allowed.sorts
    frame = limiter.demand.addresses.full()
    assert limiter(frame) is frame


@pytest.mark.parametrize("switching", [False, True])
def test_bound_and_brackets_hold_the_circuit_too(switching: bool) -> None:
    demand = Demand.of(built(on_mains(switching=switching)))
    bound = bound_of(demand)
    assert bound is not None
    quick = None if switching else Quick(demand)
    rest = quick.rest() if quick is not None else None
    squeeze = Squeeze(demand, bound) if switching else None
    for frame in random_frames(demand, 8, 2):
        true_a = taken_a(demand, frame)
        assert bound.at_least(frame)[-1] - 1e-7 <= true_a <= bound.currents(frame)[-1] + 1e-7
        steps = itertools.count()

        def enough(least: np.ndarray, most: np.ndarray, true_a: float = true_a, steps: Any = steps) -> bool:
            next(steps)
            assert least[-1] - 1e-7 <= true_a <= most[-1] + 1e-7
            return bool((most - least).max() < 1e-6)

        if quick is not None:
            assert rest is not None
            assert quick.bracket(frame, rest, enough) is not None
        else:
            assert squeeze is not None
            squeeze.bracket(frame, enough)
        assert next(steps) > 0


def test_what_a_circuit_carried_is_told_of_a_show() -> None:
    demand = Demand.of(built(scarce(False, 0.5)))
    full, dark = demand.addresses.full(), demand.addresses.dark()
    frames = np.stack([full, dark])
    show = Show(frames, np.array([0, 1]), np.array([0.0, 1.0]), np.array([1.0, 3.0]))
    made = statistics_of(demand, show, demand.solve(frames))
    hall = next(t for t in made.things if t.sort == "mains")
    most, least = taken_a(demand, full), taken_a(demand, dark)
    assert hall.id == "mains/hall"
    assert hall.peak_a == pytest.approx(most, rel=1e-6)
    assert hall.mean_a == pytest.approx((most + 3.0 * least) / 4.0, rel=1e-6)
    assert hall.peak_w == pytest.approx(most * MAINS_V * POWER_FACTOR, rel=1e-6)
    assert hall.allowed_a == pytest.approx(0.5 * most, rel=1e-3)
    assert hall.over_share == pytest.approx(0.25)
    assert hall.level is not None
    assert 0 < hall.level < 100
    assert made.worst[0].id == "mains/hall"
