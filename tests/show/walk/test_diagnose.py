"""A display with one fault in it is walked, and the fault is named from what a person sees."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.measured.readings import Answered
from hollowglow.messages.refusal import plain
from hollowglow.show.demand import AddressMap
from hollowglow.show.walk import ANSWERS, Diagnosis, Layout, diagnose, layout_of, open_answers
from hollowglow.show.walk.colours import look
from hollowglow.show.walk.steps import find
from tests.assembly.samples import RESISTOR, stated
from tests.show.walk.samples import Wired, plan_of, two_strings

PLAN = plan_of(two_strings())
LAYOUT = layout_of(PLAN)
COUNTER = itertools.count()


def said(target: str, answer: str, step: str = "prop", seen: str = "") -> Answered:
    number = next(COUNTER)
    return Answered(f"a{number}", f"2026-11-25T18:00:00.{number:06d}+00:00", step, target, answer, seen)


def walked(string: str, sees: Callable[[int], str], layout: Layout = LAYOUT) -> list[Answered]:
    """One answer for each prop of a string, by its number."""
    props = [layout.props[row] for row in layout.strings[layout.string_rows[string]].props]
    return [said(p.id, sees(p.number)) for p in props]


def only(answers: list[Answered], layout: Layout = LAYOUT) -> Diagnosis:
    (one,) = diagnose(layout, answers)
    assert set(one.answers) == {a.id for a in open_answers(answers)}
    return one


@pytest.mark.parametrize("broken", [2, 7, 12])
def test_a_broken_data_line_is_found_between_the_last_lit_and_the_first_dark(broken: int) -> None:
    wired, addresses = Wired(PLAN, dark_from=broken - 1), AddressMap.of(PLAN.assembly)

    def sees(number: int) -> str:
        step = find(LAYOUT, f"rail/prop{number:02d}")
        return "lit" if wired.props(addresses.frame(look(LAYOUT, step, 0.0)))[number - 1] == {"w"} else "dark"

    found = only(walked("rail", sees))
    before, here = f"rail/prop{broken - 1:02d}", f"rail/prop{broken:02d}"
    assert found.where == (f"rail/span{broken - 1:02d}", before, here)
    assert f"the data line between {before} and {here}" in found.says
    assert f"the last driver of {before}, or the first driver of {here}" in found.says
    # The voltage is the plan's own for that prop, at full white and at rest.
    assert PLAN.power.across_v is not None
    nodes = np.flatnonzero(PLAN.assembly.nodes.prop == broken - 1)
    expected = PLAN.power.across_v[PLAN.assembly.nodes.load[nodes]].min()
    assert found.expected_v == pytest.approx((expected, 12.0))
    assert f"{expected:.2f} V with all at full white" in found.measure


def test_a_dark_prop_among_lit_ones_is_at_fault_itself() -> None:
    found = only(walked("rail", lambda n: "dark" if n == 5 else "lit"))
    assert found.where == ("rail/prop05",)
    assert "rail/prop05 alone is dark while others light" in found.says


def test_two_dark_props_apart_are_two_faults() -> None:
    found = diagnose(LAYOUT, walked("rail", lambda n: "dark" if n in (3, 9) else "lit"))
    assert [d.where for d in found] == [("rail/prop03",), ("rail/prop09",)]


def test_while_nothing_is_known_of_what_comes_after_the_next_prop_is_asked_for() -> None:
    found = only([said("rail/prop04", "dark")])
    assert "nothing after is known to light" in found.says
    assert "Look at rail/prop05 next: if it lights, rail/prop04 itself is at fault" in found.measure


def test_a_dark_end_says_nothing_of_the_prop_before_it_until_that_was_looked_at() -> None:
    found = only([said("rail/prop12", "dark")])
    assert "Look at rail/prop11 next: if it lights, data or power ends between the two." in found.measure


def test_after_a_dark_tail_of_props_that_were_not_all_looked_at() -> None:
    answers = [*walked("rail", lambda n: "lit")[:6], said("rail/prop07", "dark"), said("rail/prop08", "dark")]
    assert only(answers).where == ("rail/span06", "rail/prop06", "rail/prop07")


@pytest.mark.parametrize("how", ["string", "output", "props"])
def test_a_string_that_is_all_dark_is_fuse_lead_or_output(how: str) -> None:
    answers = {
        "string": [said("rail", "dark", "string")],
        "output": [said("box/1", "dark", "output")],
        "props": walked("rail", lambda n: "dark"),
    }[how]
    found = only(answers)
    assert found.where == ("rail", "box/1", "rail/prop01")
    assert "all of rail is dark: its fuse, its lead, output box/1" in found.says
    assert found.measure.startswith("Measure V+ to V- where the lead enters rail/prop01: the plan has ")


def test_both_strings_of_a_supply_dark_is_the_supply() -> None:
    found = only([said("rail", "dark", "string"), said("tree", "dark", "string")])
    assert found.where == ("shed",)
    assert "every string of supply shed is dark (rail, tree)" in found.says
    assert "licensed electrician" in found.measure
    assert found.expected_v == pytest.approx((11.4, 12.6))


def test_all_strings_dark_on_two_supplies_is_their_controller() -> None:
    display = two_strings()
    display["supplies"]["barn"] = {"voltage": "12 V", "rating": "100 W"}
    display["strings"]["tree"]["supply"] = "barn"
    layout = layout_of(plan_of(display))
    found = only([said("rail", "dark", "string"), said("tree", "dark", "string")], layout)
    assert found.where == ("box",)


def test_darkness_from_a_cut_feed_on_names_the_feed() -> None:
    display = two_strings()
    display["strings"]["rail"]["feeds"] = [
        {"before": 7, "supply": "shed", "cable": "wire", "length": "5 m", "cut": True}
    ]
    layout = layout_of(plan_of(display))
    found = only(walked("rail", lambda n: "dark" if n >= 7 else "lit", layout), layout)
    assert found.where == ("rail/feed07", "rail/prop07")


def test_dim_and_pink_towards_the_end_is_voltage_with_the_plans_numbers() -> None:
    plan = plan_of(stated(RESISTOR, props="30 * float"))
    layout = layout_of(plan)
    found = only(walked("rail", lambda n: "dim" if n >= 22 else "lit", layout), layout)
    assert found.where == ("rail/prop30", "rail/prop22")
    assert "too little voltage; blue and green go first" in found.says
    assert "likely in rail/span21 and its joints" in plain(found.measure)
    lowest = float(plan.power.across_v.min())
    assert found.expected_v == pytest.approx((lowest, 12.0))


def test_dim_in_the_middle_is_no_matter_of_the_string() -> None:
    found = only(walked("rail", lambda n: "dim" if n == 4 else "lit"))
    assert "their own joints or lights, not the string" in found.says


def test_flicker_from_a_prop_on_is_data_or_the_joint_before_it() -> None:
    found = only(walked("rail", lambda n: "flickers" if n >= 9 else "lit"))
    assert found.where == ("rail/prop09",)
    assert "a joint in rail/span08 makes poor contact" in found.says


def test_a_wrong_order_is_named_for_the_output_and_a_lone_other_light_for_itself() -> None:
    whole = only([said("rail/prop01", "wrong colour", "order", "grbw")])
    assert "the lights of output box/1 take green first" in whole.says
    assert "tell the controller GRB" in whole.says
    mixed = only(
        [said("rail/prop01", "lit", "order", "rgbw"), said("rail/prop05", "wrong colour", "order", "grbw")],
    )
    assert mixed.where == ("rail/prop05",)
    assert "take colours in the order GRB, while those of rail/prop01 are right with RGB" in mixed.says


def test_one_missing_colour_is_named() -> None:
    found = only([said("rail/prop03", "wrong colour", "order", "rg-y")])
    assert "blue is missing" in found.says
    assert found.expected_v is not None


def test_lights_that_do_not_act_as_one_are_a_miscount() -> None:
    found = only([said("rail", "wrong colour", "gang")])
    assert "repeats each cell over another number of lights than the 6 of rail/prop01" in found.says


@pytest.mark.parametrize(
    ("step", "target", "says"),
    [
        ("direction", "rail", "runs the other way"),
        ("output", "box/2", "two leads are swapped"),
        ("prop", "rail/prop02", "props are swapped"),
    ],
)
def test_what_is_out_of_order_is_named(step: str, target: str, says: str) -> None:
    assert says in only([said(target, "out of order", step)]).says


def test_lit_later_closes_what_was_open() -> None:
    first = said("rail/prop03", "dark")
    assert open_answers([first]) == (first,)
    assert open_answers([first, said("rail/prop03", "lit")]) == ()
    again = said("rail/prop03", "dim")
    assert open_answers([first, said("rail/prop03", "lit"), again]) == (again,)


def test_light_elsewhere_or_of_another_sort_closes_nothing_that_it_cannot_show() -> None:
    order = said("rail/prop03", "wrong colour", "order", "grbw")
    assert open_answers([order, said("rail/prop03", "lit")]) == (order,)
    assert open_answers([order, said("rail/prop03", "lit", "order", "rgbw")]) == ()
    dark = said("rail/prop03", "dark")
    assert open_answers([dark, said("rail/prop04", "lit"), said("rail", "lit", "string")]) == (dark,)
    assert open_answers([dark, said("rail/prop03", "lit", "gang")]) == ()


def test_what_the_display_has_no_more_is_said() -> None:
    found = only([said("pier/prop01", "dark")])
    assert "the display file has nothing of this name now" in found.says


STEPS: list[tuple[str, str]] = [
    *(("prop", p.id) for p in LAYOUT.props),
    *((sort, s.name) for sort in ("string", "ends", "direction", "count", "code", "gang") for s in LAYOUT.strings),
    *(("output", s.output) for s in LAYOUT.strings),
    *(("order", p.id) for p in LAYOUT.props[:3]),
    ("load", "shed"),
    ("prop", "gone/prop01"),
    ("string", "gone"),
    ("output", "gone/1"),
]


@given(st.lists(st.tuples(st.sampled_from(STEPS), st.sampled_from(ANSWERS)), max_size=40))
def test_whatever_was_answered_every_open_answer_is_explained_once(given_answers: list[tuple[Any, str]]) -> None:
    answers = [said(target, answer, step) for (step, target), answer in given_answers]
    found = diagnose(LAYOUT, answers)
    explained = [i for d in found for i in d.answers]
    assert sorted(explained) == sorted(a.id for a in open_answers(answers))
    for one in found:
        assert one.where
        assert "easure" in plain(one.measure)
        if one.expected_v is not None:
            low, high = one.expected_v
            assert 0.0 < low <= high
