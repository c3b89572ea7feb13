"""Chances and ranks against scipy.stats, and lines whose spread is known in closed form."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from hollowglow.analysis.circuit.tolerance import ToleranceAnalysis, analyse
from hollowglow.analysis.circuit.tolerance.influence import correlations
from hollowglow.analysis.circuit.tolerance.parts import Adder
from hollowglow.analysis.circuit.tolerance.result import chance, spread
from hollowglow.analysis.circuit.tolerance.sample import Sampler
from hollowglow.analysis.circuit.tolerance.solve import Solver
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats
from tests.assembly.samples import built, stated

SAMPLES = 4000
PROPS = 10
AMPS = 0.015
OHM = 0.05
SIGMA = 1.0 / stats.norm.ppf(0.975)
# Saturated from 0.2 V upward: the currents do not depend on the voltages, so the line is linear.
SATURATED = {"class": "constant-current", "current": ["5 mA"] * 3, "turn_on": ["0.1 V"] * 3, "saturation": "0.1 V"}
STEADY: dict[str, Any] = {
    "light_current": "0 %",
    "light_flux": "0 %",
    "cable_resistance": "0 %",
    "joint_resistance": "0 %",
    "bad_joints": "0 %",
    "supply_voltage": "0 %",
    "temperature": "0 degC",
}


def line(string: dict[str, Any] | None = None, **tolerances: Any) -> Assembly:
    return built(
        stated(
            SATURATED, props=f"{PROPS} * float", string=string, tolerances={**STEADY, "samples": SAMPLES, **tolerances}
        )
    )


def far_drop(assembly: Assembly) -> Floats:
    """Voltage lost at the last light of the first string in each sample, V."""
    sampler = Sampler(assembly, assembly.display.tolerances, 1)
    _, coincident, alone = Solver(assembly).solve(Adder(assembly).deviations(sampler.everything(np.arange(SAMPLES))))
    assert not alone.any()
    drop: Floats = 12.0 - coincident.across_v[-1]
    return drop


def is_normal(values: Floats, mean: float, deviation: float) -> None:
    """Mean, variance and shape of a sample, each within what chance gives once in a thousand."""
    n = len(values)
    z = stats.norm.ppf(1.0 - 0.0005)
    assert abs(values.mean() - mean) < z * deviation / np.sqrt(n)
    low, high = stats.chi2.ppf([0.0005, 0.9995], n - 1) / (n - 1)
    assert low < values.var(ddof=1) / deviation**2 < high
    assert stats.kstest(values, "norm", (mean, deviation)).pvalue > 1e-3


def test_straying_currents_make_the_drop_a_sum_of_normals() -> None:
    # The k-th light draws its current through k metres of both conductors.
    ohm = 2.0 * OHM * np.arange(1, PROPS + 1)
    is_normal(far_drop(line(light_current="8 %")), AMPS * ohm.sum(), 0.08 * SIGMA * AMPS * np.sqrt((ohm**2).sum()))


def test_straying_pieces_of_cable_make_the_drop_a_sum_of_normals() -> None:
    # The k-th piece carries the current of all lights from the k-th on.
    drops = 2.0 * OHM * AMPS * np.arange(PROPS, 0, -1)
    made = far_drop(line(cable_resistance="6 %", cable_varies="by the piece"))
    is_normal(made, drops.sum(), 0.06 * SIGMA * np.sqrt((drops**2).sum()))


def test_one_reel_makes_all_its_drops_go_together() -> None:
    drop = 2.0 * OHM * AMPS * PROPS * (PROPS + 1) / 2
    is_normal(far_drop(line(cable_resistance="6 %")), drop, 0.06 * SIGMA * drop)


def test_the_temperature_of_the_copper_shifts_every_drop() -> None:
    drop = 2.0 * OHM * AMPS * PROPS * (PROPS + 1) / 2
    # IEC 60028: 0.00393 per kelvin; the ambient here is 20 degC.
    is_normal(far_drop(line(temperature="20 degC")), drop, 20.0 * SIGMA * 0.00393 * drop)


def test_independent_causes_add_their_variances_and_supplies_add_their_voltage() -> None:
    ohm = 2.0 * OHM * np.arange(1, PROPS + 1)
    drops = 2.0 * OHM * AMPS * np.arange(PROPS, 0, -1)
    made = far_drop(
        line(cable_resistance="2 %", cable_varies="by the piece", supply_voltage="1 %", light_current="5 %")
    )
    variance = (0.02 * SIGMA) ** 2 * (drops**2).sum() + (0.01 * SIGMA * 12.0) ** 2
    variance += (0.05 * SIGMA * AMPS) ** 2 * (ohm**2).sum()
    # Products of both deviations: pieces k that light j draws through, exact for independent factors.
    pairs = PROPS * (PROPS + 1) / 2
    variance += (0.02 * SIGMA * 0.05 * SIGMA * 2.0 * OHM * AMPS) ** 2 * pairs
    is_normal(made, drops.sum(), float(np.sqrt(variance)))


def test_a_bad_contact_adds_its_drop_with_its_chance() -> None:
    # One contact in ten of 0.2 ohm; the span joints of a rail are two for each of nine spans.
    assembly = line(
        {"span": {"cable": "wire", "length": "1 m", "joint": "splice"}}, bad_joints="10 %", bad_joint="200 mohm"
    )
    amps = AMPS * np.arange(PROPS - 1, 0, -1)
    extra = 0.195
    sound = 2.0 * OHM * AMPS * PROPS * (PROPS + 1) / 2 + 4 * 0.005 * amps.sum()
    made = far_drop(assembly)
    variance = 4 * 0.1 * 0.9 * ((extra * amps) ** 2).sum()
    z = stats.norm.ppf(1.0 - 0.0005)
    assert abs(made.mean() - sound - 4 * 0.1 * extra * amps.sum()) < z * np.sqrt(variance / SAMPLES)
    assert made.var(ddof=1) == pytest.approx(variance, rel=0.1)


def test_the_chance_of_a_limit_is_that_of_the_normal_distribution() -> None:
    ohm = 2.0 * OHM * np.arange(1, PROPS + 1)
    mean, deviation = AMPS * ohm.sum(), 0.08 * SIGMA * AMPS * np.sqrt((ohm**2).sum())
    limit = 12.0 - mean - 0.5 * deviation
    display = stated(
        SATURATED,
        props=f"{PROPS} * float",
        tolerances={**STEADY, "light_current": "8 %", "samples": SAMPLES},
        limits={"lowest_voltage": f"{limit:.9f} V"},
    )
    found = analyse(built(display))
    expected = stats.norm.cdf(0.5)
    assert stats.binomtest(found.chance.within, SAMPLES, expected).pvalue > 1e-3
    assert found.chance == found.strings[0].chance == found.strings[0].lowest_voltage
    assert found.strings[0].light_loss.share == 1.0


@pytest.mark.parametrize(("good", "of"), [(0, 10), (1, 10), (5, 10), (10, 10), (1999, 2000), (0, 2000), (37, 50)])
def test_the_interval_of_a_chance_is_wilsons(good: int, of: int) -> None:
    found = chance(np.arange(of) < good)
    interval = stats.binomtest(good, of).proportion_ci(0.95, method="wilson")
    assert (found.within, found.samples, found.share) == (good, of, good / of)
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), abs=1e-12)


def test_rank_correlation_is_spearmans_ties_included() -> None:
    rng = np.random.default_rng(5)
    items = np.round(rng.normal(size=(6, 200)), 1)
    target = items[1] - 0.3 * items[4] + rng.normal(size=200)
    expected = [stats.spearmanr(row, target).statistic for row in items]
    assert correlations(items, target) == pytest.approx(expected, abs=1e-12)
    assert correlations(np.ones((1, 200)), target) == pytest.approx([0.0])


def test_percentiles_leave_out_draws_that_did_not_settle() -> None:
    found = spread(np.array([np.nan, *range(101)], dtype=np.float64))
    assert (found.p5, found.p50, found.p95) == (5.0, 50.0, 95.0)


def test_what_matters_most_is_named_first() -> None:
    assembly = line(
        {"span": {"cable": "wire", "length": "1 m", "joint": "splice"}},
        joint_resistance="50 %",
        light_current="1 %",
    )
    found = analyse(assembly).strings[0]
    # The first span's joints carry the most current, so their lognormal spread weighs most.
    assert {i.what for i in found.influences[:2]} == {"rail/span01/joint1", "rail/span01/joint2"}
    assert all(i.correlation < 0.0 for i in found.influences[:4])
    assert abs(found.by_sort["joint"]) > 0.9 > abs(found.by_sort["light"])
    assert found.by_sort["supply"] == 0.0


def test_parts_that_do_not_vary_are_never_named() -> None:
    found = analyse(line(supply_voltage="1 %")).strings[0]
    assert [(i.what, i.sort, round(i.correlation, 9)) for i in found.influences] == [("shed", "supply", 1.0)]


def same(one: ToleranceAnalysis, other: ToleranceAnalysis) -> None:
    """Two answers that differ by rounding alone."""
    assert (one.chance, one.solved_alone, one.unsolved) == (other.chance, other.solved_alone, other.unsolved)
    for a, b in zip(one.strings, other.strings, strict=True):
        assert a.chance == b.chance
        assert (a.lowest_v.p5, a.light.p50, a.dimmest.p95) == pytest.approx((b.lowest_v.p5, b.light.p50, b.dimmest.p95))
        assert [i.what for i in a.influences] == [i.what for i in b.influences]


def test_the_answer_depends_on_the_seed_and_not_on_how_many_draws_are_solved_together() -> None:
    assembly = built(stated(props="40 * float", string={"span": {"cable": "wire", "length": "1 m", "joint": "splice"}}))
    first = analyse(assembly, samples=150)
    assert first == analyse(assembly, samples=150, seed=1)
    same(first, analyse(assembly, samples=150, at_once=7))
    same(first, analyse(assembly, samples=150, at_once=1))
    assert first.strings[0].lowest_v != analyse(assembly, samples=150, seed=2).strings[0].lowest_v


def test_progress_counts_up_to_the_draws() -> None:
    told: list[tuple[int, int]] = []
    analyse(line(), samples=25, at_once=10, progress=lambda done, total: told.append((done, total)))
    assert told == [(10, 25), (20, 25), (25, 25)]
