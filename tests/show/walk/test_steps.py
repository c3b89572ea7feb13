"""A walk goes to everything once, and lights nothing else on the way."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.messages.refusal import Refusal
from hollowglow.show.demand import AddressMap
from hollowglow.show.walk import (
    RAMP_S,
    SORTS,
    Layout,
    Walk,
    WalkStep,
    find,
    layout_of,
    look,
    look_words,
    place_words,
    route,
)
from hollowglow.show.walk.colours import GANG_PAIRS, GANG_S, ORDER_S
from hollowglow.show.walk.counting import blink_cycle_s, blinking, code_cycle_s, coded, digits, digits_for, number_of
from tests.assembly.samples import CONSTANT_CURRENT
from tests.show.walk.samples import Wired, plan_of, two_strings

PLAN = plan_of(two_strings())
LAYOUT = layout_of(PLAN)
MAP = AddressMap.of(PLAN.assembly)
TIMES = st.floats(0.0, 500.0)


def lit_props(step: WalkStep, at_s: float) -> set[int]:
    colours = look(LAYOUT, step, at_s)
    return {row for row, prop in enumerate(LAYOUT.props) if colours[prop.cells.start : prop.cells.stop].any()}


def test_the_layout_covers_every_cell_once() -> None:
    assert [c for prop in LAYOUT.props for c in prop.cells] == list(range(LAYOUT.cells)) == list(range(MAP.cells))
    # twelve floats ganged to one cell, five stars of three cells, one float
    assert LAYOUT.cells == 12 + 5 * 3 + 1


def test_walking_visits_each_prop_exactly_once_and_lights_that_prop_alone() -> None:
    walk, visited = Walk.of(LAYOUT, "prop"), []
    while not walk.ended:
        lit = lit_props(walk.step, 0.0)
        assert lit == set(walk.step.props)
        visited += lit
        frame = MAP.frame(walk.colours(0.0))
        (row,) = walk.step.props
        props = Wired(PLAN).props(frame)
        assert props[row] == {"w"}
        assert all(shown == {"-"} for other, shown in enumerate(props) if other != row)
        # Only that prop's slots are not zero: three for each of its cells.
        assert np.count_nonzero(frame) == 3 * len(LAYOUT.props[row].cells)
        walk = walk.next(0.0)
    assert visited == list(range(len(LAYOUT.props)))


def test_the_whole_route_has_every_sort_that_fits_and_each_step_once() -> None:
    steps = route(LAYOUT)
    assert len(set(steps)) == len(steps)
    assert {s.sort for s in steps} == set(SORTS) - {"output", "code"}
    assert [s.id for s in steps if s.sort == "load"] == ["load:shed"]
    assert [s.target for s in steps if s.sort == "order"] == ["rail/prop01", "tree/prop01"]
    for step in steps:
        assert place_words(LAYOUT, step)
        assert look_words(LAYOUT, step)


@given(st.sampled_from(route(LAYOUT)), TIMES)
def test_no_step_ever_lights_what_it_is_not_about(step: WalkStep, at_s: float) -> None:
    assert lit_props(step, at_s) <= set(step.props)


@given(st.integers(0, len(LAYOUT.props) - 1), TIMES)
def test_the_gang_check_of_one_prop_lights_it_and_its_neighbours_on_the_string(row: int, at_s: float) -> None:
    prop = LAYOUT.props[row]
    lit = lit_props(find(LAYOUT, f"gang {prop.id}"), at_s)
    assert lit <= {r for r in (row - 1, row, row + 1) if r in LAYOUT.strings[prop.string].props}


def test_a_prop_of_six_ganged_lights_shows_one_colour_on_all_six_and_its_neighbours_another() -> None:
    # Common practice, no source.
    for step in (find(LAYOUT, "gang rail"), find(LAYOUT, "gang rail/prop04")):
        colours = set()
        for phase in range(len(GANG_PAIRS)):
            frame = MAP.frame(look(LAYOUT, step, (phase + 0.5) * GANG_S))
            nodes = Wired(PLAN).shown(frame)
            six = nodes[18:24]
            assert len(set(six)) == 1, six
            assert set(nodes[12:18]) == set(nodes[24:30])
            assert nodes[12] != six[0]
            colours.add(six[0])
        assert colours == set("rgbwycm-")


@pytest.mark.parametrize("node", [0, 20, 23, 71])
def test_a_lone_light_that_takes_its_colours_otherwise_shows_itself_in_the_gang_check(node: int) -> None:
    step, wired = find(LAYOUT, "gang rail"), Wired(PLAN, swapped_node=node)
    mixed: set[int] = set()
    for phase in range(len(GANG_PAIRS)):
        props = wired.props(MAP.frame(look(LAYOUT, step, (phase + 0.5) * GANG_S)))
        mixed |= {row for row, shown in enumerate(props) if len(shown) > 1}
    assert mixed == {node // 6}


def test_a_controller_that_gangs_five_in_place_of_six_shows_two_colours_from_the_first_prop_on() -> None:
    step = find(LAYOUT, "gang rail")
    colours = look(LAYOUT, step, 0.0)[:12]
    chain = np.repeat(colours, 5, axis=0)[:60].reshape(10, 6, 4)
    assert [len(np.unique(prop, axis=0)) for prop in chain[:3]] == [2, 2, 2]


def test_colours_come_one_after_the_other_in_the_stated_order() -> None:
    step = find(LAYOUT, "order rail/prop01")
    seen = [Wired(PLAN).shown(MAP.frame(look(LAYOUT, step, (i + 0.5) * ORDER_S)))[0] for i in range(5)]
    assert seen == ["r", "g", "b", "w", "-"]


def test_the_white_led_of_lights_that_have_one_belongs_to_white() -> None:
    display = two_strings()
    display["parts"]["light"]["light"]["load"] = CONSTANT_CURRENT | {
        "current": ["18 mA"] * 4,
        "turn_on": ["2 V", "3 V", "3 V", "3 V"],
    }
    plan = plan_of(display)
    layout, addresses = layout_of(plan), AddressMap.of(plan.assembly)
    frame = addresses.frame(look(layout, find(layout, "rail/prop02"), 0.0))
    assert np.flatnonzero(frame[0]).tolist() == [4, 5, 6, 7]
    trial = addresses.frame(look(layout, find(layout, "shed"), RAMP_S))
    assert np.array_equal(trial, addresses.full())  # the plan's own worst case
    red = addresses.frame(look(layout, find(layout, "order rail/prop02"), 0.5 * ORDER_S))
    assert np.flatnonzero(red[0]).tolist() == [4]


def test_the_ends_differ_in_colour_and_in_blinks() -> None:
    step = find(LAYOUT, "ends rail")
    times = np.arange(0.0, 2.4, 0.05)
    shown = [Wired(PLAN).props(MAP.frame(look(LAYOUT, step, t))) for t in times]
    first, last = ["".join(p[0]) for p in shown], ["".join(p[11]) for p in shown]
    assert set(first) == {"b", "-"}
    assert set(last) == {"y", "-"}
    # Common practice, no source: what colour-blind people tell apart is how often it blinks.
    assert [len(list(g)) > 0 for k, g in itertools.groupby(first) if k == "b"] == [True]
    assert [len(list(g)) > 0 for k, g in itertools.groupby(last) if k == "y"] == [True, True]


def test_the_chase_runs_from_the_lead_to_the_far_end() -> None:
    step = find(LAYOUT, "direction tree")
    first = LAYOUT.strings[1].props[0]
    seen = [lit_props(step, 0.25 + 0.5 * i) for i in range(9)]
    assert seen[:8] == [*({first + i} for i in range(6)), set(), set()]
    assert seen[8] == {first}


@given(st.integers(1, 200), st.data())
def test_prop_n_blinks_n_times_and_never_more_than_three_times_a_second(most: int, data: st.DataObject) -> None:
    number = data.draw(st.integers(1, most))
    lit = [blinking(number, most, 0.1 + 0.2 * i) == "y" for i in range(int(blink_cycle_s(most) / 0.2))]
    starts = [i for i, (a, b) in enumerate(itertools.pairwise([False, *lit])) if b and not a]
    assert len(starts) == number
    # WCAG 2.2, success criterion 2.3.1: at most three flashes in any second.
    assert all(0.2 * (b - a) > 1.0 / 3.0 for a, b in itertools.pairwise(starts))


@given(st.integers(1, 3000), st.data())
def test_the_colour_code_reads_back_by_colours_and_by_blinks(count: int, data: st.DataObject) -> None:
    number, width = data.draw(st.integers(1, count)), digits_for(count)
    assert int("".join(map(str, digits(number, width))), 3) == number  # Python reads base three by itself
    steps = int(code_cycle_s(width) / 0.2)
    shown = [coded(number, width, 0.1 + 0.2 * i) for i in range(steps)]
    runs = [(k, len(list(g))) for k, g in itertools.groupby(shown)]
    assert runs[0][0] == "w"
    flashes = [(a, gap) for (a, _), (_, gap) in zip(runs[2::2], runs[3::2], strict=False)]
    read, blinks = "", []
    fresh = True
    for colour, gap in flashes:
        if fresh:
            read += str(colour)
            blinks.append(0)
        blinks[-1] += 1
        fresh = gap * 0.2 > 1.0
    assert number_of(read) == number
    assert number_of("".join(map(str, blinks))) == number


def test_the_code_is_explained_and_read_back_in_a_walk() -> None:
    walk = Walk.of(LAYOUT).jump("code rail", 0.0)
    # Twelve is 110 to base three: yellow, yellow, blue.
    assert walk.read_code("yyb") == "yyb is prop 12: rail/prop12"
    assert walk.read_code("221") == "221 is prop 12: rail/prop12"
    assert "The first counts 9, 3, 1" in look_words(LAYOUT, walk.step)
    with pytest.raises(Refusal, match="found the number 26, expected 1 to 12"):
        walk.read_code("rrr")
    with pytest.raises(Refusal, match='found "bxr"'):
        walk.read_code("bxr")


def test_a_trial_is_dark_until_started_ramps_up_over_seconds_and_stops_at_once() -> None:
    walk = Walk.of(LAYOUT, "load")
    assert walk.step.target == "shed"
    assert not walk.colours(100.0).any()
    walk = walk.start(10.0)
    levels = [int(walk.colours(10.0 + RAMP_S * i / 16).max()) for i in range(20)]
    assert levels == sorted(levels)
    assert levels[0] == 0
    assert max(b - a for a, b in itertools.pairwise(levels)) <= 17
    full = walk.colours(10.0 + RAMP_S)
    assert full.min() == 255
    assert not walk.stop().colours(10.0 + RAMP_S).any()
    assert not walk.stop().next(20.0).colours(30.0).any()


def moves() -> st.SearchStrategy[list[str]]:
    ids = [p.id for p in LAYOUT.props] + ["rail", "box/2", "gang rail/prop03"]
    return st.lists(st.sampled_from(["next", "back", *ids]), max_size=20)


@given(moves())
def test_after_any_moves_next_and_back_undo_each_other_on_the_route(taken: list[str]) -> None:
    walk = Walk.of(LAYOUT)
    for i, move in enumerate(taken):
        at = float(i)
        walk = walk.next(at) if move == "next" else walk.back(at) if move == "back" else walk.jump(move, at)
        assert walk.since_s == at
    if walk.aside is None and not walk.ended and walk.at + 1 < len(walk.steps):
        assert walk.next(0.0).back(0.0).step == walk.step
    assert walk.resumed(walk.steps[walk.at].id, 0.0).at == walk.at


@pytest.mark.parametrize(
    ("name", "step"),
    [
        ("rail/prop07", "prop:rail/prop07"),
        ("rail", "string:rail"),
        ("box/2", "output:box/2"),
        ("shed", "load:shed"),
        ("code rail", "code:rail"),
        ("order:rail/prop03", "order:rail/prop03"),
    ],
)
def test_a_jump_finds_what_is_named(name: str, step: str) -> None:
    assert Walk.of(LAYOUT).jump(name, 0.0).step.id == step


def test_a_jump_to_nothing_is_told_with_a_hint() -> None:
    with pytest.raises(Refusal) as told:
        find(LAYOUT, "rail/prop99")
    assert str(told.value).startswith(
        'There is no prop, string, output or supply "rail/prop99" in this display. Did you'
    )
    with pytest.raises(Refusal) as told:
        find(LAYOUT, "ends rail/prop01")
    assert str(told.value) == '"rail/prop01" is no string, expected one for the step "ends". Type its id.'


def test_darkness_is_held_until_the_next_move() -> None:
    walk = Walk.of(LAYOUT)
    assert walk.colours(0.0).any()
    assert not walk.stop().colours(0.0).any()
    assert walk.stop().next(0.0).colours(0.0).any()
    assert walk.stop().start(0.0).colours(0.0).any()


def test_a_display_without_strings_has_nothing_to_walk() -> None:
    empty = Layout("x", (), (), (), 0)
    with pytest.raises(Refusal, match="This display has nothing to walk"):
        Walk.of(empty)
