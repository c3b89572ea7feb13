"""Packing: what is hung first comes out first, nothing is lost, and no box holds more than it can."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.analysis.site.packing import PackingThing, analyse, things
from hollowglow.file.model.storage import Packing
from tests.assembly.samples import built, stated

BOX = Packing.model_validate(
    {"width": "550 mm", "depth": "350 mm", "height": "300 mm", "mass": "15 kg", "padding": "0 mm"}
)
BALL = {"shell": {"shape": "sphere", "diameter": "150 mm"}}


def cube(side_m: float, mass_kg: float = 0.1, name: str = "x") -> PackingThing:
    return PackingThing(name, "prop", "rail", False, side_m, side_m, side_m, mass_kg)


def test_balls_fill_a_box_as_counted_by_hand() -> None:
    # 0.55 / 0.15 = 3 in a row, 0.35 / 0.15 = 2 rows, 0.30 / 0.15 = 2 layers: 12 to a box.
    packed = analyse(BOX, [cube(0.15)] * 13)
    assert [one.box for one in packed.things] == [1] * 12 + [2]
    assert [one.layer for one in packed.things] == [1] * 6 + [2] * 6 + [1]


def test_the_last_in_is_the_first_out() -> None:
    packed = analyse(BOX, [cube(0.15, name=f"p{i}") for i in range(12)])
    assert [one.thing.id for one in packed.packing_order(1)] == [f"p{i}" for i in reversed(range(12))]


def test_mass_ends_a_box_too() -> None:
    packed = analyse(BOX, [cube(0.05, 6.0)] * 5)
    assert [one.box for one in packed.things] == [1, 1, 2, 2, 3]
    assert packed.box_kg == pytest.approx((12.0, 12.0, 6.0))


def test_what_no_box_holds_travels_by_itself() -> None:
    packed = analyse(BOX, [cube(0.1), cube(0.6), cube(0.1)])
    assert [(one.box, one.fits) for one in packed.things] == [(1, True), (2, False), (3, True)]


SIDES = st.floats(0.02, 0.4)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(SIDES, SIDES, SIDES, st.floats(0.0, 4.0)), min_size=1, max_size=40))
def test_any_things_stay_in_order_and_within_each_box(sizes: list[tuple[float, float, float, float]]) -> None:
    hung = []
    for i, (*sides, kg) in enumerate(sizes):
        long, middle, short = sorted(sides, reverse=True)
        hung.append(PackingThing(f"p{i}", "prop", "rail", False, long, middle, short, kg))
    packed = analyse(BOX, hung)
    assert [one.thing for one in packed.things] == hung
    boxes = [one.box for one in packed.things]
    assert boxes == sorted(boxes)
    for number in set(boxes):
        inside = packed.packing_order(number)
        assert [one.hang for one in inside] == sorted((one.hang for one in inside), reverse=True)
        if all(one.fits for one in inside):
            volume = sum(one.thing.width_m * one.thing.depth_m * one.thing.height_m for one in inside)
            assert volume <= BOX.width * BOX.depth * BOX.height + 1e-9
            assert sum(one.thing.mass_kg for one in inside) <= BOX.mass + 1e-6


def test_a_spliced_string_says_that_it_stays_together() -> None:
    joint = {"joint": "splice", "cable": "wire", "length": "1 m"}
    hung = list(things(built(stated(kind=BALL, string={"span": joint})), {"float": 0.2}))
    assert [one.id for one in hung][:3] == ["rail/lead", "rail/prop01", "rail/prop02"]
    assert [one.joined for one in hung if one.what == "prop"] == [True] * 11 + [False]


def test_extensions_lie_together_before_their_string() -> None:
    hung = list(things(built(stated(kind=BALL, string={"span": {"extension": "extension-18awg-1m"}})), {}))
    assert [one.what for one in hung][:3] == ["lead", "extensions", "prop"]
    assert not any(one.joined for one in hung)
