"""Spares: Poisson against scipy.stats, the choice against trying everything, the display's own against hand counts."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from scipy.stats import poisson

from hollowglow.analysis.money.cost import analyse as cost_of
from hollowglow.analysis.money.spares import analyse, chance_of, choose
from tests.assembly.samples import built, stated

CASES = [
    ([0.4, 1.2, 0.05], [1.0, 0.5, 30.0], 0.95),
    ([3.0, 0.2], [0.2, 4.0], 0.99),
    ([0.01], [5.0], 0.90),
    ([2.5, 2.5, 2.5], [1.0, 1.0, 1.0], 0.80),
]


def test_the_chance_is_that_of_scipy() -> None:
    counts, means = np.arange(12), np.linspace(0.01, 9.0, 12)
    np.testing.assert_allclose(chance_of(counts, means), poisson.cdf(counts, means), rtol=1e-12)


@pytest.mark.parametrize(("expected", "price", "chance"), CASES)
def test_the_choice_meets_the_chance_and_costs_little_more_than_the_best(
    expected: list[float], price: list[float], chance: float
) -> None:
    kept = choose(np.array(expected), price, chance)
    assert poisson.cdf(kept, expected).prod() >= chance
    best = min(
        sum(p * n for p, n in zip(price, tried, strict=True))
        for tried in product(range(12), repeat=len(expected))
        if poisson.cdf(tried, expected).prod() >= chance
    )
    assert kept @ np.array(price) <= best + max(price)
    for row in np.flatnonzero(kept):
        fewer = kept.copy()
        fewer[row] -= 1
        assert poisson.cdf(fewer, expected).prod() < chance


def test_one_part_alone_gets_the_quantile_of_scipy() -> None:
    for mean in (0.02, 0.3, 1.0, 4.2, 17.0):
        for chance in (0.5, 0.9, 0.99):
            assert choose(np.array([mean]), [3.0], chance)[0] == poisson.ppf(chance, mean)


def test_nothing_that_fails_needs_nothing() -> None:
    assert choose(np.zeros(3), [1.0, 1.0, 1.0], 0.99).tolist() == [0, 0, 0]


def test_a_display_counts_its_parts_and_keeps_the_share_that_a_part_states() -> None:
    spare = {"light": {"failures": "10 %", "basis": "measured"}, "wire": {"price": 2.0}}
    sample = stated(spares={"chance": "90 %", "cable": "1 %", "joint": "0 %", "controller": "0 %", "supply": "0 %"})
    for name, more in spare.items():
        sample["parts"][name] |= more
    assembly = built(sample)
    made = analyse(
        assembly, cost_of(assembly, np.zeros(len(assembly.network.edge_a)), np.zeros(len(assembly.network.edge_a))).bill
    )
    rows = {row.part: row for row in made.rows}
    # 12 lights, a tenth of which fails: 1.2 a season. One lead and 11 spans of 1 m: 0.12 pieces a season.
    assert (rows["light"].fitted, rows["light"].expected, rows["light"].basis) == (12, pytest.approx(1.2), "measured")
    assert (rows["wire"].fitted, rows["wire"].expected) == (12, pytest.approx(0.12))
    assert rows["wire"].quantity == rows["wire"].spares * 1.0
    assert made.chance == pytest.approx(
        poisson.cdf(rows["light"].spares, 1.2) * poisson.cdf(rows["wire"].spares, 0.12), rel=1e-12
    )
    assert made.chance >= made.asked == pytest.approx(0.9)
    assert made.unpriced == ("light",)
    assert made.total == pytest.approx(2.0 * rows["wire"].quantity)


def test_a_chance_that_nobody_can_promise_is_refused() -> None:
    with pytest.raises(Exception, match="no number of spares makes it certain"):
        built(stated(spares={"chance": "100 %"}))
