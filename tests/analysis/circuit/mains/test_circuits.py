"""Mains circuits against sums on paper, and what is wrong in a file about them."""

import itertools
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.circuit.mains import LoadedCircuit
from hollowglow.analysis.circuit.mains.circuits import groups_of
from hollowglow.file import load_text
from hollowglow.messages.errors import DisplayError
from hollowglow.plan import Plan
from tests.messages.cases import Data, plan_of, sound

STATED = {"circuit": "porch", "efficiency": 0.9, "power_factor": 0.5, "leakage": "1 mA", "inrush": "20 A"}


def display(count: int = 1, **circuit: Any) -> Data:
    """So many equal supplies on one circuit; the first one feeds the sound display: 14.4 W."""
    data = sound()
    shed = data["supplies"]["shed"] | STATED
    data["supplies"] = {"shed": shed} | {f"more{i}": shed for i in range(2, count + 1)}
    data["mains"] = {"porch": {"voltage": "120 V", "breaker": "15 A", "rcd": "30 mA"} | circuit}
    return data


def only(plan: Plan) -> LoadedCircuit:
    (circuit,) = plan.mains.circuits
    return circuit


def codes(data: Data) -> set[str]:
    return {f.code for f in plan_of(data).findings}


def test_the_current_is_power_over_efficiency_power_factor_and_voltage() -> None:
    circuit = only(plan_of(display()))
    assert circuit.power_w == pytest.approx(14.4 / 0.9, rel=1e-6)
    assert circuit.current_a == pytest.approx(14.4 / 0.9 / 0.5 / 120.0, rel=1e-6)
    assert circuit.load_fraction == pytest.approx(14.4 / 0.9 / 0.5 / 120.0 / 15.0, rel=1e-6)


@pytest.mark.parametrize(("count", "tells"), [(15, False), (16, True)])
def test_leakage_is_told_from_half_the_rating_of_the_device_on(count: int, tells: bool) -> None:
    # IEC 61008-1: a device of 30 mA may trip from 15 mA on.
    assert ("leakage-adds-up" in codes(display(count))) is tells


def test_without_a_device_no_leakage_is_told() -> None:
    data = display(40)
    del data["mains"]["porch"]["rcd"]
    assert "leakage-adds-up" not in codes(data)


@pytest.mark.parametrize(("curve", "multiple"), [("B", 3), ("C", 5), ("D", 10)])
def test_inrush_is_told_from_where_the_breaker_may_open_at_once(curve: str, multiple: int) -> None:
    # IEC 60898-1: instantaneous tripping from 3, 5 or 10 times the rating, effective; its peak is sqrt(2) times that.
    most = int(multiple * 15.0 * 2.0**0.5 / 20.0)
    assert "inrush-adds-up" not in codes(display(most, curve=curve))
    assert "inrush-adds-up" in codes(display(most + 1, curve=curve))


def test_staggering_keeps_every_group_below_the_breaker() -> None:
    circuit = only(plan_of(display(7)))
    assert circuit.at_once_a == pytest.approx(3 * 15 * 2.0**0.5)  # 63.6 A: three supplies of 20 A at a time
    assert [len(g) for g in circuit.groups] == [3, 3, 1]


def deals(count: int) -> Iterator[tuple[int, ...]]:
    """Every way of dealing things out to groups, which are numbered as they come up."""
    if count == 0:
        yield ()
        return
    for deal in deals(count - 1):
        yield from ((*deal, group) for group in range(max(deal, default=-1) + 2))


@given(st.lists(st.floats(1.0, 60.0), min_size=1, max_size=6))
def test_groups_hold_each_supply_once_and_are_few(surges: list[float]) -> None:
    """Against every way of dealing them out: never more than first-fit's known 11/9 of the fewest, plus one."""
    groups = groups_of([(str(i), a) for i, a in enumerate(surges)], 63.6)
    assert sorted(itertools.chain.from_iterable(groups)) == sorted(str(i) for i in range(len(surges)))
    for group in groups:
        assert len(group) == 1 or sum(surges[int(n)] for n in group) <= 63.6 * (1 + 1e-9)
    fewest = min(
        len(set(deal))
        for deal in deals(len(surges))
        if all(sum(s for s, d in zip(surges, deal, strict=True) if d == g) <= 63.6 for g in set(deal))
    )
    assert len(groups) <= 11 / 9 * fewest + 1


def test_a_season_is_energy_times_price() -> None:
    data = display()
    data["season"] = {"nights": 40, "hours": "5 h", "average": "25 %", "price_per_kwh": 0.30}
    circuit = only(plan_of(data))
    energy = 14.4 / 0.9 * 0.25 * 40 * 5 / 1000.0
    assert circuit.energy_kwh == pytest.approx(energy, rel=1e-6)
    assert circuit.price == pytest.approx(0.30 * energy, rel=1e-6)


def test_inrush_grows_with_the_voltage_where_none_is_stated() -> None:
    data = display(voltage="230 V")
    del data["supplies"]["shed"]["inrush"]
    assert only(plan_of(data)).inrush_a == pytest.approx(0.25 * 230.0)


def test_supplies_without_a_circuit_stand_last_under_a_dash() -> None:
    data = display()
    data["supplies"]["barn"] = {"voltage": "12 V", "rating": "60 W"}
    names = [(c.name, c.supplies) for c in plan_of(data).mains.circuits]
    assert names == [("porch", ("shed",)), ("-", ("barn",))]


def test_a_file_that_says_nothing_of_the_mains_gets_no_numbers_of_it() -> None:
    (circuit,) = plan_of(sound()).mains.circuits
    assert (circuit.name, circuit.power_w, circuit.leakage_a, circuit.energy_kwh) == ("-", None, None, None)


WRONG = [
    ({"supplies": {"shed": {"voltage": "12 V", "rating": "60 W", "circuit": "porhc"}}},
     'supplies.shed.circuit: found "porhc", expected the name of a circuit under mains'),
    ({"supplies": {"shed": {"voltage": "12 V", "rating": "60 W", "limit": "hicup"}}},
     'supplies.shed.limit: found "hicup", expected one of hiccup, constant, foldback'),
    ({"supplies": {"shed": {"voltage": "12 V", "rating": "60 W", "leakage": "-1 mA"}}}, "supplies.shed.leakage: found"),
    ({"supplies": {"shed": {"voltage": "12 V", "rating": "60 W", "power_factor": 1.2}}}, "supplies.shed.power_factor: found"),
    ({"mains": {"porch": {"voltage": "12 V", "breaker": "15 A"}}}, 'mains.porch.voltage: found "12 V", expected a mains'),
    ({"mains": {"porch": {"voltage": "120 V"}}}, "mains.porch: found no breaker"),
    ({"mains": {"porch": {"voltage": "120 V", "breaker": "15 A", "rcd": "6 A"}}}, "mains.porch.rcd: found"),
    ({"mains": {"a/b": {"voltage": "120 V", "breaker": "15 A"}}}, "mains.a/b: found the name"),
    ({"season": {"hours": "25 h"}}, "season.hours: found"),
    ({"season": {"nights": 0}}, "season.nights: found 0, expected how many nights"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "told"), WRONG, ids=[w[1].partition(":")[0] for w in WRONG])
def test_what_is_wrong_is_told_with_its_line_and_what_was_expected(part: Data, told: str) -> None:
    data = {"display": "x", "mains": {"porch": {"voltage": "120 V", "breaker": "15 A"}}} | part
    with pytest.raises(DisplayError) as caught:
        load_text(json.dumps(data, indent=1), "yard.yaml")
    (problem,) = caught.value.problems
    assert told in problem.text("yard.yaml")
    assert problem.line is not None
