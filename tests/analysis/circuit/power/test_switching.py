"""Constant-power lights: one steady state, two or none, against closed forms and against a search for every root."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hollowglow.analysis.circuit.power import Solved, analyse, solve_network
from hollowglow.assembly.tables import Floats
from tests.analysis.circuit.power.networks import Characteristic, check_balance, constant_power, ladder, network, solved
from tests.assembly.samples import CONSTANT_CURRENT, CONSTANT_POWER, Stated, built, changed, planned, stated

# Following a curve takes a tenth of a second, so these try fewer examples than others do.
FEW = settings(max_examples=15)
# How near to a decision a random case may lie and still count: relative, in load.
NEAR = 2e-3


def one(volts: float, ohm: float, watts: float, cutoff: float) -> Solved:
    """One driver at the end of a line whose loop, supply included, has `ohm`."""
    return solved(ladder(volts, 0.2 * ohm, [0.3 * ohm], [0.5 * ohm], [constant_power(watts, cutoff)]))


def states(answer: Solved) -> list[str]:
    return [verdict.state for verdict in answer.verdicts]


def across(answer: Solved, place: int = 2) -> float:
    return float(answer.point.plus_v[place] - answer.point.minus_v[place])


@FEW
@given(volts=st.floats(5.0, 48.0), ohm=st.floats(0.05, 20.0), share=st.floats(0.02, 0.98))
def test_one_driver_sits_at_the_upper_root_of_its_quadratic(volts: float, ohm: float, share: float) -> None:
    watts = share * volts**2 / (4 * ohm)
    upper, lower = (volts / 2 * (1 + sign * (1 - share) ** 0.5) for sign in (1, -1))
    answer = one(volts, ohm, watts, cutoff=(upper + lower) / 2)
    assert states(answer) == []
    assert across(answer) == pytest.approx(upper, rel=1e-9)
    assert answer.point.supply_a[0] == pytest.approx(watts / upper, rel=1e-9)


@FEW
@given(volts=st.floats(5.0, 48.0), ohm=st.floats(0.05, 20.0), share=st.floats(1.002, 20.0), low=st.floats(0.01, 0.49))
def test_one_driver_that_asks_for_more_than_e_squared_over_4r_has_no_steady_state(
    volts: float, ohm: float, share: float, low: float
) -> None:
    answer = one(volts, ohm, share * volts**2 / (4 * ohm), cutoff=low * volts)
    assert states(answer) == ["fold"]
    assert answer.verdicts[0].fraction == pytest.approx(1 / share, rel=1e-5)
    assert np.isnan(across(answer))


@FEW
@given(volts=st.floats(5.0, 48.0), ohm=st.floats(0.05, 20.0), cut=st.floats(0.51, 0.97), over=st.floats(1.002, 20.0))
def test_one_driver_reaches_its_cutoff_at_the_load_that_the_line_delivers_there(
    volts: float, ohm: float, cut: float, over: float
) -> None:
    at_cutoff = cut * volts * (volts - cut * volts) / ohm
    answer = one(volts, ohm, over * at_cutoff, cutoff=cut * volts)
    assert states(answer) == ["cutoff"]
    assert answer.verdicts[0].fraction == pytest.approx(1 / over, rel=1e-5)
    assert np.isnan(across(answer))


@FEW
@given(volts=st.floats(5.0, 48.0), ohm=st.floats(0.05, 20.0), share=st.floats(0.3, 0.998), below=st.floats(0.1, 0.99))
def test_one_driver_whose_lower_root_lies_above_its_cutoff_has_two_steady_states(
    volts: float, ohm: float, share: float, below: float
) -> None:
    upper, lower = (volts / 2 * (1 + sign * (1 - share) ** 0.5) for sign in (1, -1))
    answer = one(volts, ohm, share * volts**2 / (4 * ohm), cutoff=below * lower)
    assert states(answer) == ["two"]
    assert across(answer) == pytest.approx(upper, rel=1e-6)
    assert answer.verdicts[0].lower is not None


@pytest.mark.parametrize("share", [0.999, 0.9995, 0.9998, 0.9999, 0.99995, 0.99998])
def test_just_below_the_fold_there_are_two_steady_states(share: float) -> None:
    answer = one(12.0, 1.0, share * 36.0, cutoff=1.0)
    assert states(answer) == ["two"]
    assert across(answer) == pytest.approx(6.0 * (1 + (1 - share) ** 0.5), rel=1e-6)


@pytest.mark.parametrize("share", [1.00002, 1.00005, 1.0001, 1.0005, 1.001])
def test_just_above_the_fold_there_is_none_and_the_fraction_stays_right(share: float) -> None:
    answer = one(12.0, 1.0, share * 36.0, cutoff=1.0)
    assert states(answer) == ["fold"]
    assert answer.verdicts[0].fraction == pytest.approx(1 / share, rel=1e-5)
    assert answer.verdicts[0].fraction < 1.0


def test_a_driver_whose_cutoff_lies_above_its_supply_never_starts() -> None:
    answer = one(12.0, 1.0, 1.0, cutoff=12.5)
    assert states(answer) == ["cutoff"]
    assert answer.verdicts[0].fraction == 0.0


def test_the_load_fraction_is_counted_from_the_level() -> None:
    circuit = ladder(12.0, 0.0, [0.5], [0.5], [constant_power(90.0, 1.0)], duty=[0.8])
    answer = solved(circuit)
    assert states(answer) == ["fold"]
    assert answer.verdicts[0].fraction == pytest.approx(36.0 / 72.0, rel=1e-5)


def two_load_roots(volts: float, r1: float, r2: float, p1: float, p2: float) -> list[tuple[float, float]]:
    """Every (v1, v2) > 0 at which two drivers on one line rest: the real roots of a quartic in v2.

    v1 = v2 + r2 p2/v2 and volts = v1 + r1 (p1/v1 + p2/v2), with w = v2^2 + r2 p2 = v1 v2, times v2^2 w/v2.
    """
    w = np.poly1d([1.0, 0.0, r2 * p2])
    quartic = w * w + r1 * p2 * w + np.poly1d([r1 * p1, 0.0, 0.0]) - volts * w * np.poly1d([1.0, 0.0])
    real = [float(root.real) for root in quartic.roots if abs(root.imag) < 1e-7 * volts and root.real > 0.0]
    return [((v2 * v2 + r2 * p2) / v2, v2) for v2 in sorted(real)]


def of_two(volts: float, r1: float, r2: float, p1: float, p2: float, c1: float, c2: float) -> int:
    return sum(v1 >= c1 and v2 >= c2 for v1, v2 in two_load_roots(volts, r1, r2, p1, p2))


def random_pair(seed: int) -> tuple[float, float, float, float, float, float, float]:
    rng = np.random.default_rng(seed)
    r1, r2 = rng.uniform(0.05, 2.0, 2)
    p1, p2 = rng.uniform(0.05, 1.0, 2) * 144.0 / 4 / (r1 + r2) * rng.choice([0.5, 0.9, 1.6])
    c1, c2 = 12.0 * rng.uniform(0.02, 0.5, 2)
    return 12.0, float(r1), float(r2), float(p1), float(p2), float(c1), float(c2)


def decided(pair: tuple[float, ...]) -> int | None:
    """How many steady states a pair has, None where a load smaller or larger by NEAR has another number of them."""
    volts, r1, r2, p1, p2, c1, c2 = pair
    counts = {of_two(volts, r1, r2, p1 * f, p2 * f, c1, c2) for f in (1 - NEAR, 1.0, 1 + NEAR)}
    return counts.pop() if len(counts) == 1 else None


PAIRS = [(seed, decided(random_pair(seed))) for seed in range(120)]


def test_random_pairs_of_drivers_have_no_one_and_several_steady_states() -> None:
    counts = [count for _, count in PAIRS if count is not None]
    assert len(counts) > 105
    assert min(counts.count(0), counts.count(1), sum(count > 1 for count in counts)) > 10


@pytest.mark.parametrize(("seed", "count"), [pair for pair in PAIRS if pair[1] is not None])
def test_two_drivers_have_as_many_steady_states_as_their_quartic(seed: int, count: int) -> None:
    volts, r1, r2, p1, p2, c1, c2 = random_pair(seed)
    circuit = ladder(
        volts, 0.0, [0.4 * r1, 0.7 * r2], [0.6 * r1, 0.3 * r2], [constant_power(p1, c1), constant_power(p2, c2)]
    )
    answer = solved(circuit)
    if count == 0:
        assert states(answer) in (["fold"], ["cutoff"])
        assert 0.0 <= answer.verdicts[0].fraction < 1.0
        # The named fraction is where steady states end: some below it, none above.
        limit = answer.verdicts[0].fraction
        assert of_two(volts, r1, r2, p1 * limit * 0.9999, p2 * limit * 0.9999, c1, c2) > 0
        assert of_two(volts, r1, r2, p1 * limit * 1.0001, p2 * limit * 1.0001, c1, c2) == 0
    else:
        assert states(answer) == ([] if count == 1 else ["two"])
        best = max(two_load_roots(volts, r1, r2, p1, p2))
        assert [across(answer, 2), across(answer, 3)] == pytest.approx(best, rel=1e-6)


def marched(
    volts: float, ohm: Floats, watts: Floats, cutoff: Floats, amps: Floats, fraction: float
) -> tuple[int, Floats]:
    """Every steady state of a line of drivers, some beside a constant current, by marching from its far end.

    All states follow from the voltage at the end: the source voltage that it would need is a function of it alone.
    Returns how many states there are and the voltages of the highest.
    """
    end = np.linspace(cutoff[-1], volts, 200_001)

    def back(v: Floats) -> tuple[Floats, Floats]:
        flow, ok = np.zeros_like(v), np.ones(v.shape, dtype=bool)
        for i in range(len(ohm) - 1, -1, -1):
            ok &= v >= cutoff[i]
            flow = flow + fraction * (watts[i] / v + amps[i])
            v = v + ohm[i] * flow
        return v - volts, ok

    wrong, ok = back(end)
    at = np.flatnonzero((np.sign(wrong[:-1]) != np.sign(wrong[1:])) & ok[:-1] & ok[1:])
    if not len(at):
        return 0, np.zeros(0)
    low, high = end[at[-1]], end[at[-1] + 1]
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if np.sign(back(np.array([middle]))[0]) == np.sign(wrong[at[-1]]) else (low, middle)
    v, flow, found = low, 0.0, []
    for i in range(len(ohm) - 1, -1, -1):
        found.append(v)
        flow += fraction * (watts[i] / v + amps[i])
        v += ohm[i] * flow
    return len(at), np.array(found[::-1])


def random_line(seed: int) -> tuple[float, Floats, Floats, Floats, Floats]:
    rng = np.random.default_rng(seed)
    loads = int(rng.integers(2, 12))
    ohm = rng.uniform(0.02, 0.4, loads)
    reach = 144.0 / 4 / ohm.sum() / loads
    watts = reach * rng.uniform(0.2, 1.0, loads) * rng.choice([0.6, 1.2, 2.0, 3.0])
    cutoff = 12.0 * rng.uniform(0.05, 0.45) * rng.uniform(0.8, 1.2, loads)
    amps = rng.uniform(0.0, 0.3, loads) * reach / 12.0 * float(rng.random() < 0.5)
    return 12.0, ohm, watts, cutoff, amps


@pytest.mark.parametrize("seed", range(60))
def test_a_line_of_drivers_has_the_states_that_marching_from_its_end_finds(seed: int) -> None:
    volts, ohm, watts, cutoff, amps = random_line(seed)
    counts = {min(2, marched(volts, ohm, watts, cutoff, amps, f)[0]) for f in (1 - NEAR, 1.0, 1 + NEAR)}
    if len(counts) > 1:
        return
    (count,) = counts
    stated_characteristics: list[Characteristic] = []
    edges = [(i + 1, i + 2, 0.3 * r, 0.7 * r) for i, r in enumerate(ohm)]
    loads = []
    for i in range(len(ohm)):
        stated_characteristics += [
            constant_power(float(watts[i]), float(cutoff[i])),
            {"class": "constant-current", "current": [float(amps[i])], "turn_on": [0.0], "saturation": 1e-6},
        ]
        loads += [(i + 2, 2 * i, 1.0), (i + 2, 2 * i + 1, 1.0)]
    answer = solved(network([(volts, 0.0)], edges, loads, stated_characteristics))
    if count == 0:
        assert states(answer) in (["fold"], ["cutoff"])
        limit = answer.verdicts[0].fraction
        assert marched(volts, ohm, watts, cutoff, amps, limit * 0.999)[0] > 0
        assert marched(volts, ohm, watts, cutoff, amps, limit * 1.001)[0] == 0
    else:
        assert states(answer) == ([] if count == 1 else ["two"])
        _, best = marched(volts, ohm, watts, cutoff, amps, 1.0)
        point = answer.point
        assert (point.plus_v - point.minus_v)[2:] == pytest.approx(best, rel=1e-6)


def test_random_lines_of_drivers_have_no_one_and_several_steady_states() -> None:
    counts = [min(2, marched(*random_line(seed), 1.0)[0]) for seed in range(60)]
    assert min(counts.count(count) for count in (0, 1, 2)) > 5


@FEW
@given(
    seed=st.integers(0, 10_000),
    loads=st.integers(2, 30),
    strain=st.floats(0.1, 1.5),
)
def test_falling_from_no_load_comes_to_the_same_upper_voltages_or_through_a_cutoff(
    seed: int, loads: int, strain: float
) -> None:
    # v <- E - Z (p/v) from above falls step by step, and stops at the highest steady state if there is one.
    rng = np.random.default_rng(seed)
    ohm, share = rng.uniform(0.01, 0.2, loads), rng.uniform(0.2, 1.0, loads)
    path = np.cumsum(ohm)
    z = np.minimum.outer(path, path)
    watts = strain * share * 36.0 / float(z[-1] @ share)
    cutoff = 12.0 * rng.uniform(0.2, 0.6)

    def fallen(p: Floats) -> Floats | None:
        v = np.full(loads, 12.0)
        for _ in range(20_000):
            following: Floats = 12.0 - z @ (p / v)
            if (following < cutoff).any():
                return None
            if np.abs(following - v).max() < 1e-11:
                return following
            v = following
        return v

    upper, more, less = fallen(watts), fallen(watts * (1 + NEAR)), fallen(watts * (1 - NEAR))
    assume((more is None) == (less is None))
    answer = solved(
        ladder(12.0, 0.0, (ohm / 2).tolist(), (ohm / 2).tolist(), [constant_power(p, cutoff) for p in watts])
    )
    if upper is None:
        assert states(answer) in (["fold"], ["cutoff"])
    else:
        assert states(answer) in ([], ["two"])
        assert (answer.point.plus_v - answer.point.minus_v)[2:] == pytest.approx(upper, rel=1e-5)


HEAVY: Stated = {**CONSTANT_POWER, "power": ["4 W", "5 W", "5 W"], "cutoff": "3 V"}


def with_gable(**change: Stated) -> Stated:
    """A string of heavy drivers that collapses, and one of constant currents beside it on the same supply."""
    display = stated(HEAVY, props="12 * float", supply=change.get("supply", {}))
    display["parts"]["constant-current"] = {"light": {"emitters": 1, "load": CONSTANT_CURRENT}}
    display["kinds"]["acorn"] = {"fill": {"light": "constant-current"}}
    display["strings"]["gable"] = {**display["strings"]["rail"], "output": "box/2", "props": "9 * acorn"}
    return display


def test_a_collapsed_string_leaves_the_voltages_of_another_on_a_stiff_supply_intact() -> None:
    display = with_gable()
    alone = changed(display, "strings.rail", None)
    power, calm = analyse(built(display)), analyse(built(alone))
    assert np.isnan(power.across_v[:12]).all()
    assert power.across_v[12:] == pytest.approx(calm.across_v, abs=1e-9)
    assert power.light[12:] == pytest.approx(calm.light, abs=1e-9)
    assert len(power.mean.unsolved) == 0
    check_balance(power.mean)


def test_on_a_soft_supply_both_strings_lose_their_steady_state() -> None:
    power = analyse(built(with_gable(supply={"resistance": "50 mohm"})))
    assert np.isnan(power.across_v).all()
    assert [verdict.state for verdict in power.verdicts] == ["fold"]


def test_a_collapsed_string_is_one_stop_finding_and_no_other_about_its_voltages() -> None:
    plan = planned(with_gable())
    about_rail = [f.code for f in plan.findings if any(where.startswith("rail") for where in f.where)]
    assert about_rail.count("no-steady-state") == 1
    assert not {"low-voltage", "light-loss", "not-solved"} & set(about_rail)
    assert plan.stopped


# 12 drivers on 12 x 0.1 ohm: less than half of this power can be carried.
DIMMED = stated({**CONSTANT_POWER, "power": ["3 W", "3 W", "3 W"], "cutoff": "3 V"}, levels={"float": "30 %"})


def test_a_string_may_collapse_only_while_all_pulses_coincide() -> None:
    power = analyse(built(DIMMED))
    assert np.isfinite(power.across_v).all()
    assert np.isnan(power.coincident_v).all()
    assert [verdict.state for verdict in power.verdicts] == ["fold"]
    check_balance(power.mean)


def test_where_only_coinciding_pulses_collapse_the_mend_does_not_promise_that_dimming_helps() -> None:
    # Pulses have their full current at any level: only cable, feeds or other lights can help.
    (found,) = (f for f in planned(DIMMED).findings if f.code == "no-steady-state")
    assert "level" not in found.mend
    dimmer = planned({**DIMMED, "levels": {"float": "1 %"}})
    assert "no-steady-state" in {f.code for f in dimmer.findings}


def test_where_the_mean_collapses_keeping_the_named_level_prevents_it() -> None:
    at = analyse(built(changed(DIMMED, "levels.float", "100 %")))
    fraction = at.verdicts[0].fraction
    below = analyse(built(changed(DIMMED, "levels.float", f"{99.9 * fraction!r} %")))
    above = analyse(built(changed(DIMMED, "levels.float", f"{100.1 * fraction!r} %")))
    assert np.isfinite(below.across_v).all()
    assert np.isnan(above.across_v).all()


def with_some_off(seed: int) -> tuple[Stated, Solved]:
    """A string of two sorts of drivers and some constant currents that cannot all run, and what is shown for it."""
    rng = np.random.default_rng(seed)
    display = stated(
        {
            **CONSTANT_POWER,
            "power": [f"{rng.uniform(0.2, 0.8):.2f} W"] * 3,
            "cutoff": f"{rng.choice([10.5, 11.5, 12.5])} V",
        }
    )
    display["parts"]["other"] = {
        "light": {"emitters": 1, "load": {**CONSTANT_POWER, "power": ["0.6 W"] * 3, "cutoff": "4 V"}}
    }
    display["parts"]["constant-current"] = {"light": {"emitters": 1, "load": CONSTANT_CURRENT}}
    display["kinds"]["acorn"], display["kinds"]["star"] = (
        {"fill": {"light": "other"}},
        {"fill": {"light": "constant-current"}},
    )
    display["strings"]["rail"]["props"] = [str(rng.choice(["float", "acorn", "star"])) for _ in range(10)] + ["float"]
    display["strings"]["rail"]["span"]["length"] = f"{rng.uniform(1, 2):.2f} m"
    assembly = built(display)
    return display, solve_network(assembly.network, assembly.network.duty)


def test_voltages_shown_with_some_drivers_off_obey_the_characteristic_of_each_light() -> None:
    """Below its cutoff a driver draws its idle current, at or above it all of its power."""
    shown = 0
    for seed in range(40):
        display, answer = with_some_off(seed)
        network, point = built(display).network, answer.point
        check_balance(point)
        v = (point.plus_v - point.minus_v)[network.load_place]
        if np.isnan(v).all():
            continue
        characteristics = network.characteristics
        full = np.where(
            characteristics.power_w.sum(axis=1)[network.load_characteristic] > 0.0,
            characteristics.power_w.sum(axis=1)[network.load_characteristic]
            / characteristics.efficiency[network.load_characteristic]
            / v,
            3 * 0.0185,
        )
        running = v >= np.where(characteristics.code == 2, characteristics.cutoff_v, 0.0)[network.load_characteristic]
        saturated = (characteristics.code[network.load_characteristic] == 2) | (v > 3.7)
        expected = np.where(running, full, 0.0) + 1e-3
        assert point.load_a[saturated] == pytest.approx(expected[saturated], rel=1e-7)
        shown += not running.all()
    assert shown > 10


def test_a_light_that_never_starts_leaves_the_others_of_its_string_their_voltages() -> None:
    display = stated(CONSTANT_POWER, props=["5 * float", "acorn"])
    display["parts"]["high"] = {"light": {"emitters": 1, "load": {**CONSTANT_POWER, "cutoff": "20 V"}}}
    display["kinds"]["acorn"] = {"fill": {"light": "high"}}
    idle = {**CONSTANT_POWER, "power": ["0 W", "0 W", "0 W"]}
    calm = changed(display, "parts.high.light.load", idle)
    assert analyse(built(display)).across_v == pytest.approx(analyse(built(calm)).across_v, abs=1e-9)
    assert "no-steady-state" in {finding.code for finding in planned(display).findings}
    assert "no-steady-state" not in {finding.code for finding in planned(calm).findings}


@pytest.mark.parametrize("watts", [0.002, 0.02, 0.2, 2.0])
@pytest.mark.parametrize("cutoff", ["0.3 V", "3 V", "7 V"])
def test_many_drivers_on_a_weak_line_get_a_verdict(watts: float, cutoff: str) -> None:
    load = {**CONSTANT_POWER, "power": [f"{watts!r} W"] * 3, "cutoff": cutoff}
    assembly = built(stated(load, props="80 * float", parts={"wire": {"cable": {"resistance": "0.3 ohm/m"}}}))
    power = analyse(assembly)
    assert "lost" not in {verdict.state for verdict in power.verdicts}
    assert len(power.mean.unsolved) == 0
    check_balance(power.mean)


def test_many_strings_of_drivers_get_a_verdict_each() -> None:
    display = stated({**CONSTANT_POWER, "power": ["0.3 W"] * 3, "cutoff": "3 V"}, props="60 * float")
    display["controllers"]["box"]["outputs"] = 20
    for i in range(2, 21):
        display["strings"][f"rail{i}"] = {**display["strings"]["rail"], "output": f"box/{i}"}
    assert len(analyse(built(display)).verdicts) == 20


def test_drivers_switched_off_by_their_level_draw_idle_current_only() -> None:
    assembly = built(stated(HEAVY, levels={"float": "0 %"}))
    answer = solve_network(assembly.network, assembly.network.duty)
    assert states(answer) == []
    assert answer.point.load_a == pytest.approx(np.full(12, 1e-3), rel=1e-9)


@pytest.mark.parametrize("cutoff", ["0.1 V", "3 V", "11.99 V"])
@pytest.mark.parametrize("cable", ["0.3 ohm/m", "10 ohm/m"])
@pytest.mark.filterwarnings("error")
def test_drivers_that_ask_for_thousands_of_watts_get_a_verdict_without_a_warning_from_the_numbers(
    cutoff: str, cable: str
) -> None:
    load = {**CONSTANT_POWER, "power": ["50 W"] * 3, "cutoff": cutoff}
    power = analyse(built(stated(load, props="40 * float", parts={"wire": {"cable": {"resistance": cable}}})))
    assert {verdict.state for verdict in power.verdicts} <= {"fold", "cutoff"}
    assert all(verdict.fraction < 1.0 for verdict in power.verdicts)
    assert power.verdicts
