"""Slots of every cell: none straddles a universe, none is given out twice."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.data import Signal, analyse, judge
from hollowglow.analysis.data.addresses import assign
from tests.assembly.samples import CONSTANT_CURRENT, Stated, built, changed, stated
from tests.outside.displays import random_display
from tests.outside.spice import props_of

SLOTS = 512
RGBW: Stated = {**CONSTANT_CURRENT, "current": ["18.5 mA"] * 4, "turn_on": ["2 V", "3 V", "3.1 V", "3.1 V"]}


def addressed(display: Stated) -> Signal:
    return analyse(built(display))


def one_by_one(widths: list[int], start: int) -> list[int]:
    """First slot of each cell, counted from 0: a cell that would not fit begins the next universe."""
    at, given_out = start, []
    for width in widths:
        if at // SLOTS != (at + width - 1) // SLOTS:
            at = (at // SLOTS + 1) * SLOTS
        given_out.append(at)
        at += width
    return given_out


@given(widths=st.lists(st.integers(1, SLOTS), max_size=300), start=st.integers(0, 5000))
def test_cells_of_any_width_get_the_slots_that_counting_one_by_one_gives(widths: list[int], start: int) -> None:
    assert assign(np.array(widths, dtype=np.int64), start).tolist() == one_by_one(widths, start)


@given(width=st.integers(1, 6), cells=st.integers(1, 3000), start=st.integers(0, 2000))
def test_many_equal_cells_get_the_slots_that_counting_one_by_one_gives(width: int, cells: int, start: int) -> None:
    assert assign(np.full(cells, width), start).tolist() == one_by_one([width] * cells, start)


@given(widths=st.lists(st.integers(1, SLOTS), min_size=1, max_size=300), start=st.integers(0, 5000))
def test_no_cell_straddles_a_universe_and_no_two_share_a_slot(widths: list[int], start: int) -> None:
    first = assign(np.array(widths, dtype=np.int64), start)
    last = first + np.array(widths) - 1
    assert (first // SLOTS == last // SLOTS).all()
    assert (first[1:] > last[:-1]).all()
    assert first[0] >= start


@pytest.mark.parametrize(
    ("load", "cells", "slots"),
    # ANSI E1.31: 512 slots in a universe, so 170 cells of 3 fill 510 of them and 128 cells of 4 all of them.
    [(CONSTANT_CURRENT, 170, 510), (RGBW, 128, 512)],
    ids=["rgb", "rgbw"],
)
def test_a_universe_holds_as_many_whole_cells_as_fit(load: Stated, cells: int, slots: int) -> None:
    full = addressed(stated(load, props=f"{cells} * float"))
    assert full.outputs.last_universe.tolist() == [1]
    assert full.outputs.slots.tolist() == [slots]
    over = addressed(stated(load, props=f"{cells + 1} * float"))
    assert over.outputs.last_universe.tolist() == [2]
    assert (int(over.universe[-1]), int(over.slot[-1])) == (2, 1)
    assert (int(over.universe[-2]), int(over.slot[-2])) == (1, slots - len(load["current"]) + 1)


def test_ganged_nodes_share_the_slots_of_their_cell() -> None:
    signal = addressed(stated(props="4 * float", fill={"count": 5, "gang": True}))
    assert signal.slot.tolist() == [1] * 5 + [4] * 5 + [7] * 5 + [10] * 5
    assert signal.chain.tolist() == list(range(1, 21))
    assert signal.outputs.slots.tolist() == [12]


def test_unganged_nodes_have_slots_of_their_own() -> None:
    signal = addressed(stated(props="4 * float", fill={"count": 5, "gang": False}))
    assert signal.slot.tolist() == list(range(1, 61, 3))


def test_a_controller_that_cannot_gang_gives_ganged_nodes_slots_of_their_own() -> None:
    display = changed(stated(props="4 * float", fill={"count": 5, "gang": True}), "controllers.box.gangs", False)
    assert addressed(display).slot.tolist() == list(range(1, 61, 3))


def two_strings(**controller: object) -> Stated:
    display = stated(props="10 * float")
    display["controllers"]["box"].update(controller)
    display["strings"]["gable"] = {**display["strings"]["rail"], "output": "box/2", "props": "5 * float"}
    return display


def test_outputs_follow_each_other_slot_by_slot() -> None:
    signal = addressed(two_strings())
    assert signal.slot[[0, 9, 10, 14]].tolist() == [1, 28, 31, 43]
    assert signal.universe.tolist() == [1] * 15


def test_addresses_follow_the_outputs_and_not_the_order_in_the_file() -> None:
    display = two_strings()
    display["strings"]["rail"]["output"], display["strings"]["gable"]["output"] = "box/2", "box/1"
    signal = addressed(display)
    assert signal.slot[10:].tolist() == [1, 4, 7, 10, 13]
    assert int(signal.slot[0]) == 16
    assert signal.chain[[0, 10]].tolist() == [1, 1]
    assert signal.outputs.number.tolist() == [1, 2]


def test_output_ten_comes_after_output_two() -> None:
    display = two_strings(outputs=16)
    display["strings"]["rail"]["output"] = "box/10"
    assert int(addressed(display).slot[0]) == 16


def test_each_output_may_begin_a_new_universe() -> None:
    signal = addressed(two_strings(each_output="new universe", first_universe=7))
    assert signal.universe.tolist() == [7] * 10 + [8] * 5
    assert signal.slot[[0, 10]].tolist() == [1, 1]


def test_an_output_that_fills_its_universe_leaves_no_empty_one_behind_it() -> None:
    display = two_strings(each_output="new universe")
    rgbw = changed(changed(display, "parts.light.light.load", RGBW), "strings.rail.props", "128 * float")
    assert sorted(set(addressed(rgbw).universe.tolist())) == [1, 2]


def test_two_controllers_number_their_universes_apart() -> None:
    display = two_strings(first_universe=20)
    display["controllers"]["hut"] = {"outputs": 1, "first_universe": 3}
    display["strings"]["gable"]["output"] = "hut/1"
    signal = addressed(display)
    assert signal.universe.tolist() == [20] * 10 + [3] * 5
    assert signal.slot[[0, 10]].tolist() == [1, 1]


def test_the_first_universe_of_an_output_may_be_the_one_that_the_last_output_ended_in() -> None:
    display = two_strings()
    display["strings"]["rail"]["props"] = "169 * float"
    signal = addressed(display)
    # 169 cells end at slot 507: one more fits, the others begin universe 2.
    assert list(zip(signal.universe[169:].tolist(), signal.slot[169:].tolist(), strict=True)) == [
        (1, 508),
        (2, 1),
        (2, 4),
        (2, 7),
        (2, 10),
    ]
    assert signal.outputs.first_universe.tolist() == [1, 1]
    assert signal.outputs.last_universe.tolist() == [1, 2]


@pytest.mark.parametrize("seed", range(0, 60, 2))
def test_addresses_of_a_random_display_are_those_of_a_plain_loop(seed: int) -> None:
    display = random_display(seed)
    signal = addressed(display)
    at, expected = 0, []
    for string in sorted(display["strings"].values(), key=lambda s: int(s["output"].split("/")[1])):
        nodes: list[int] = []
        for kind in props_of(string):
            fill = display["kinds"][kind]["fill"]
            for node in range(fill["count"]):
                if node == 0 or not fill["gang"]:
                    at = one_by_one([3], at)[0] + 3
                nodes.append(at - 3)
        expected += nodes
    assert (SLOTS * (signal.universe - 1) + signal.slot - 1).tolist() == expected


@given(
    universes=st.integers(1, 5),
    first=st.integers(1, 63000),
    props=st.integers(1, 900),
)
def test_a_universe_past_the_last_is_told_where_cells_need_it(universes: int, first: int, props: int) -> None:
    display = changed(stated(props=f"{props} * float"), "controllers.box.universes", universes)
    assembly = built(changed(display, "controllers.box.first_universe", first))
    needed = -(-props // 170)
    codes = [finding.code for finding in judge(assembly, analyse(assembly))]
    assert ("universe-past-last" in codes) == (needed > universes)


def test_no_universe_lies_past_63999() -> None:
    # ANSI E1.31-2018: universes 1 to 63999.
    display = changed(stated(props="171 * float"), "controllers.box.first_universe", 63999)
    assembly = built(display)
    (found,) = (f for f in judge(assembly, analyse(assembly)) if f.code == "universe-past-last")
    assert "64,000" in found.message
    assert "63,999" in found.message
    fits = built(changed(display, "strings.rail.props", "170 * float"))
    assert list(judge(fits, analyse(fits))) == []


@pytest.mark.parametrize(("first", "shared"), [(1, True), (2, False)])
def test_two_controllers_that_take_one_universe_are_told(first: int, shared: bool) -> None:
    display = two_strings(first_universe=1)
    display["controllers"]["hut"] = {"outputs": 1, "first_universe": first}
    display["strings"]["gable"]["output"] = "hut/1"
    assembly = built(display)
    assert ("universe-shared" in {finding.code for finding in judge(assembly, analyse(assembly))}) == shared
