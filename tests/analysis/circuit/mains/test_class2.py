"""Supplies and circuits against NEC chapter 9 table 11(B)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.circuit.mains.class2 import Class2Numbers, _packed, limits_at
from hollowglow.view.rows.plan_tables import class2
from tests.messages.cases import Data, plan_of, sound
from tests.work import calls_at_most

# NEC chapter 9 table 11(B), dc: nameplate W and A at each voltage. Above 30 V only where no wet contact is likely.
TABLE_11B = [(5.0, 25.0, 5.0), (12.0, 60.0, 5.0), (20.0, 100.0, 5.0), (24.0, 100.0, 4.1667), (30.0, 100.0, 3.3333)]


@pytest.mark.parametrize(("volts", "watts", "amps"), TABLE_11B)
def test_the_limits_are_those_of_the_table(volts: float, watts: float, amps: float) -> None:
    assert limits_at(volts) == pytest.approx((watts, amps), rel=1e-4)


def rows(data: Data) -> dict[str, Class2Numbers]:
    return {one.id: one for one in plan_of(data).class2}


def splits(data: Data) -> dict[str, str]:
    table = class2(plan_of(data))
    return dict(zip(table["id"], table["split"], strict=True))


@pytest.mark.parametrize(
    ("voltage", "rating", "within"),
    [
        ("12 V", "60 W", True),
        ("12 V", "100 W", False),  # the usual mistake: 100 W is the limit above 20 V only
        ("5 V", "25 W", True),
        ("5 V", "60 W", False),
        ("24 V", "100 W", True),
        ("24 V", "101 W", False),
        ("36 V", "60 W", False),  # wet contact ends at 30 V
    ],
)
def test_a_supply_is_within_or_not(voltage: str, rating: str, within: bool) -> None:
    data = sound()
    data["supplies"]["shed"] |= {"voltage": voltage, "rating": rating}
    assert rows(data)["shed"].within is within


def test_a_circuit_is_judged_by_its_fuse() -> None:
    data = sound()
    data["supplies"]["shed"]["rating"] = "200 W"
    data["strings"]["rail"]["fuse"] = "5 A"
    assert rows(data)["shed: rail"].within
    data["strings"]["rail"]["fuse"] = "7.5 A"
    assert not rows(data)["shed: rail"].within
    assert splits(data)["shed: rail"] == "a fuse of at most 5 A at its supply"


def test_a_split_names_as_many_supplies_as_the_strings_need() -> None:
    data = sound()
    data["supplies"]["shed"]["rating"] = "200 W"
    rail = data["strings"]["rail"]
    # Each string takes 14.4 W; 80 % of 60 W carries three of them.
    data["controllers"]["box"]["outputs"] = 8
    data["strings"] = {f"s{i}": rail | {"output": f"box/{i}"} for i in range(1, 6)}
    split = splits(data)["shed"]
    assert split.startswith("2 supplies of at most 60.0 W and 5 A each")
    assert "V- of all joined, V+ never" in split


def test_a_supply_above_wet_contact_is_told_which_voltage_would_do_however_small_it_is() -> None:
    data = sound()
    data["supplies"]["shed"] |= {"voltage": "36 V", "rating": "60 W"}
    assert splits(data)["shed"] == "a supply of at most 30 V, with lights made for it"
    (mend,) = (f.mend for f in plan_of(data).findings if f.code == "beyond-class-two")
    assert "bring shed within: a supply of at most 30 V" in mend


def test_a_string_too_heavy_for_one_supply_is_split_itself() -> None:
    data = sound()
    data["supplies"]["shed"]["rating"] = "200 W"
    data["parts"]["lamp"]["light"]["load"]["current"] = ["700 mA", "700 mA", "700 mA"]  # 8.4 A, 100.8 W
    split = splits(data)["shed"]
    assert split.startswith("3 supplies of at most 60.0 W")
    assert "1/3 of rail" in split
    assert rows(data)["shed: rail"].within is False


def test_nothing_is_ever_said_to_comply() -> None:
    for rating in ("60 W", "200 W"):
        data = sound()
        data["supplies"]["shed"]["rating"] = rating
        plan = plan_of(data)
        for text in (*(f.message + f.mend for f in plan.findings), *class2(plan)["split"]):
            assert "compl" not in text.lower()
    assert "not listed products" in " ".join(f.mend for f in plan.findings if f.code == "beyond-class-two")


def packed_one_by_one(circuits: list[tuple[str, float]], usable_w: float) -> list[list[str]]:
    """First fit by falling power, a part at a time."""
    bins: list[tuple[list[str], float]] = []
    for name, power in sorted(circuits, key=lambda c: -c[1]):
        parts = max(1, math.ceil(power / usable_w))
        for _ in range(parts):
            label = name if parts == 1 else f"1/{parts} of {name}"
            at = next((i for i, (_, total) in enumerate(bins) if total + power / parts <= usable_w), None)
            if at is None:
                bins.append(([label], power / parts))
            else:
                bins[at] = ([*bins[at][0], label], bins[at][1] + power / parts)
    return [names for names, _ in bins]


@given(st.lists(st.integers(1, 400), max_size=12))
def test_supplies_are_shared_out_as_one_part_after_the_other_would_be(powers: list[int]) -> None:
    circuits = [(f"s{i}", float(power)) for i, power in enumerate(powers)]
    made = [names for names, alike in _packed(circuits, 48.0) for _ in range(alike)]
    assert made == packed_one_by_one(circuits, 48.0)


def test_parts_by_the_million_are_not_shared_out_one_by_one() -> None:
    with calls_at_most(100):
        made = _packed([("rail", 4.8e7), ("gable", 20.0)], 48.0)
    assert made == [(["1/1000000 of rail"], 1_000_000), (["gable"], 1)]
