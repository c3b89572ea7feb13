"""No frame is over a limit after the limiter, by the plan's own solver; none is scaled more than it must be."""

from typing import Any

import numpy as np
import pytest

from hollowglow.show.demand import Demand
from hollowglow.show.limiter import Limiter
from hollowglow.show.limiter.bound import bound_of
from hollowglow.show.limiter.limit import at_scale
from hollowglow.show.limiter.quick import Quick
from hollowglow.show.limiter.squeeze import Squeeze
from tests.outside.displays import random_display
from tests.show.demand.samples import RESISTOR, built, full_solver, random_frames, sample


def worst_share(limiter: Limiter, frame: np.ndarray) -> float:
    """The largest current over what is allowed, as the plan's solver finds it from no load."""
    demand = limiter.demand
    point = full_solver(demand, frame).point
    currents = np.abs(np.concatenate([point.supply_a, point.edge_plus_a[demand.assembly.fuses.edge]]))
    return float((currents / limiter.allowed.current_a).max())


def tight(data: dict[str, Any], share: float) -> dict[str, Any]:
    """The display with its first supply too small for full white by this share."""
    demand = Demand.of(built(data))
    power = float(np.nansum(demand.solve(demand.addresses.full()[None]).supply_w[0]))
    for supply in data["supplies"].values():
        supply["rating"] = f"{max(1.0, share * power / 0.8):.3f} W"
    return data


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("share", [0.3, 0.7])
def test_never_over_a_limit_after_scaling(seed: int, share: float) -> None:
    limiter = Limiter.of(built(tight(random_display(seed), share)))
    for frame in random_frames(limiter.demand, 8, seed):
        made = limiter(frame)
        assert (made <= frame).all()
        if limiter.last.holds:
            assert worst_share(limiter, made) <= 1.0 + 1e-8
        else:
            assert not made.any()


@pytest.mark.parametrize("switching", [False, True])
@pytest.mark.parametrize("share", [0.2, 0.5, 0.9, 1.2])
def test_the_scale_is_the_largest_that_holds(switching: bool, share: float) -> None:
    limiter = Limiter.of(built(tight(sample(switching=switching, lead_m=12.0), share)))
    for frame in random_frames(limiter.demand, 8, 3):
        made = limiter(frame)
        n = round(255 * limiter.last.scale)
        assert (made == at_scale(frame, n)).all()
        assert worst_share(limiter, made) <= 1.0 + 1e-8
        if n < 255:
            assert worst_share(limiter, at_scale(frame, n + 1)) > 1.0


def without_drivers(data: dict[str, Any]) -> dict[str, Any]:
    """The display with a resistor of like power in place of every switching driver."""
    for part in data["parts"].values():
        if part.get("light", {}).get("load", {}).get("class") == "constant-power":
            part["light"]["load"] = RESISTOR
    return data


@pytest.mark.parametrize("seed", range(12))
def test_a_bracket_holds_the_truth_after_every_step(seed: int) -> None:
    data = sample(switching=False, lead_m=25.0) if seed == 0 else without_drivers(random_display(seed))
    demand = Demand.of(built(data))
    assert Quick.possible(demand)
    quick = Quick(demand)
    rest = quick.rest()
    widths: list[float] = []
    for frame in random_frames(demand, 8, seed):
        point = full_solver(demand, frame).point
        true_a = np.abs(np.concatenate([point.supply_a, point.edge_plus_a[demand.assembly.fuses.edge]]))

        def enough(least: np.ndarray, most: np.ndarray, true_a: np.ndarray = true_a) -> bool:
            assert (least <= true_a + 1e-7).all()
            assert (true_a <= most + 1e-7).all()
            widths.append(float((most - least).max()))
            return widths[-1] < 1e-9

        assert quick.bracket(frame, rest, enough) is not None
    # Saturated lights leave no doubt from the first step on; those of the first display sag into their knees.
    assert seed or max(widths) > 0.1


def with_drivers(seed: int) -> dict[str, Any]:
    """A random display in which every light is a switching driver, one in which some are, or the sample."""
    data = sample() if seed == 0 else random_display(seed)
    for number, part in enumerate(data["parts"].values()):
        if seed and "light" in part and (seed % 2 or number % 2):
            load = part["light"]["load"]
            volts = max(float(str(s["voltage"]).split()[0]) for s in data["supplies"].values())
            part["light"]["load"] = {
                "class": "constant-power",
                "power": [f"{0.02 + 0.02 * k} W" for k in range(len(load.get("power", load.get("current", [0] * 3))))],
                "efficiency": 0.9,
                "cutoff": f"{0.55 * volts:.2f} V",
                "idle": "1 mA",
            }
    return data


@pytest.mark.parametrize("seed", range(16))
def test_a_squeeze_holds_the_truth_after_every_step(seed: int) -> None:
    demand = Demand.of(built(with_drivers(seed)))
    bound = bound_of(demand)
    assert bound is not None
    assert Squeeze.possible(demand, bound)
    squeeze = Squeeze(demand, bound)
    for frame in random_frames(demand, 8, seed):
        point = full_solver(demand, frame).point
        true_a = np.abs(np.concatenate([point.supply_a, point.edge_plus_a[demand.assembly.fuses.edge]]))
        rows = len(true_a)
        widths: list[float] = []

        def enough(
            least: np.ndarray,
            most: np.ndarray,
            true_a: np.ndarray = true_a,
            rows: int = rows,
            widths: list[float] = widths,
        ) -> bool:
            assert (least[:rows] <= true_a + 1e-7).all()
            assert (true_a <= most[:rows] + 1e-7).all()
            widths.append(float((most - least).max()))
            return widths[-1] < 1e-6

        assert squeeze.bracket(frame, enough) is not None or widths[-1] < widths[0]


@pytest.mark.parametrize("seed", range(8))
def test_a_frame_at_another_scale_is_squeezed_from_the_last_box_and_holds_the_truth(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    demand = Demand.of(built(with_drivers(seed)))
    bound = bound_of(demand)
    assert bound is not None
    squeeze, solved, usual = Squeeze(demand, bound), [0], Squeeze._caused

    def caused(self: Squeeze, drawn: np.ndarray) -> np.ndarray:
        solved[0] += 1
        return usual(self, drawn)

    monkeypatch.setattr(Squeeze, "_caused", caused)
    counts: list[int] = []
    for frame in random_frames(demand, 4, seed):
        for n in (230, 231, 229, 232):
            scaled = at_scale(frame, n)
            point = full_solver(demand, scaled).point
            true_a = np.abs(np.concatenate([point.supply_a, point.edge_plus_a[demand.assembly.fuses.edge]]))
            solved[0] = 0

            def enough(least: np.ndarray, most: np.ndarray, true_a: np.ndarray = true_a) -> bool:
                assert (least[: len(true_a)] <= true_a + 1e-7).all()
                assert (true_a <= most[: len(true_a)] + 1e-7).all()
                return float((most - least).max()) < 0.05 * float(most.max())

            if squeeze.bracket(scaled, enough) is not None:
                counts.append(solved[0])
    # After the first one solve is the least that there can be.
    assert 1 in counts[1:]


def test_the_sample_and_most_random_displays_with_drivers_are_squeezed() -> None:
    demands = [Demand.of(built(with_drivers(seed))) for seed in range(16)]
    bounds = [bound_of(d) for d in demands]
    assert sum(Squeeze.possible(d, b) for d, b in zip(demands, bounds, strict=True)) >= 8


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_is_above_the_truth(seed: int) -> None:
    limiter = Limiter.of(built(random_display(seed)))
    if limiter.bound is None:
        return
    demand = limiter.demand
    for frame in random_frames(demand, 12, seed):
        point = full_solver(demand, frame).point
        currents = np.abs(np.concatenate([point.supply_a, point.edge_plus_a[demand.assembly.fuses.edge]]))
        assert (currents <= limiter.bound.currents(frame) + 1e-7).all()
        assert (currents >= limiter.bound.at_least(frame) - 1e-7).all()


def test_what_was_done_is_told_in_words_and_numbers() -> None:
    data = sample(switching=False, lead_m=0.1)
    del data["strings"]["roof"]
    # 9 props of 5 lights of 3 x 18.5 mA and 1 mA idle: 2.5425 A and 30.51 W at full white.
    data["supplies"]["shed"] |= {"rating": "20 W", "resistance": "0 ohm"}
    data["parts"]["thin"]["cable"]["resistance"] = "0.001 ohm/m"
    limiter = Limiter.of(built(data))
    full = limiter.demand.addresses.full()
    limiter(full)
    # Allowed are 16 W: (16 W / 12 V - 45 mA idle) / 2.4975 A = 0.5159, that is 131 of 255.
    assert limiter.last.scale == 131 / 255
    assert limiter.last.limits == "shed"
    assert limiter.last.words == "Scaled to 51 %: shed at 30.5 W, 153 % of its rating (limit 80 %)."
    limiter(full // 3)
    assert limiter.last.scale == 1.0
    assert limiter.last.words == ""
    assert not limiter.last.solved


@pytest.mark.parametrize(("cutoff_v", "left"), [(7, 178), (2, 101)])
def test_what_a_line_cannot_carry_for_sure_is_scaled_away(cutoff_v: int, left: int) -> None:
    data = sample()
    data["supplies"]["shed"] = {"voltage": "12 V", "rating": "1000 W", "resistance": "0.5 ohm"}
    data["parts"]["constant-power"]["light"]["load"] = {
        "class": "constant-power", "power": ["40 W", "30 W", "30 W"], "efficiency": 1.0, "cutoff": f"{cutoff_v} V"
    }  # fmt: skip
    data["kinds"]["puck"]["fill"]["count"] = 1
    lead = {"cable": "thin", "length": "1 mm"}
    data["strings"] = {"one": {"output": "box/1", "supply": "shed", "props": "puck", "lead": lead}}
    limiter = Limiter.of(built(data))
    assert limiter.bound is None
    limiter(limiter.demand.addresses.full())
    # Behind R = 0.50012 ohm the driver falls to 7 V at 7 V x 5 V / R = 69.98 W: 178/255 of 100 W are 69.80 W. With a
    # cutoff of 2 V it could rest at two voltages above 2 V x 10 V / R = 39.99 W: 101/255 are 39.61 W.
    assert limiter.last.scale == left / 255
    assert "collapse" in limiter.last.words
