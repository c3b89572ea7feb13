"""The voltage profile: what it says about the worst light, gaps and cuts, for any string."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.draw.circuit.profile import Profile, lowest, string_profile
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Drawing, Line, Polyline, Role, Text
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.sheet.terminal import to_text
from tests.draw.samples import PROFILES, ladder, with_dark

volts = st.floats(-2.0, 30.0) | st.just(math.nan)


@st.composite
def profiles(draw: st.DrawFn) -> Profile:
    steps = draw(st.lists(st.floats(0.0, 20.0), min_size=1, max_size=40))
    columns = [tuple(draw(volts) for _ in steps) for _ in range(4)]
    reach = sum(steps)
    place = st.floats(0.0, reach)
    return Profile(
        draw(st.text(max_size=120)),
        tuple(min(reach, sum(steps[: k + 1])) for k in range(len(steps))),
        columns[0],
        columns[1],
        columns[2],
        columns[3],
        draw(st.floats(3.0, 30.0)),
        draw(st.none() | st.floats(0.0, 30.0)),
        feeds=tuple(draw(st.lists(st.tuples(place, st.text(max_size=20)), max_size=6))),
        cuts_m=tuple(draw(st.lists(place, max_size=3))),
    )


def words(drawing: Drawing) -> list[str]:
    return [record.text for record in drawing.records if isinstance(record, Text)]


def runs(drawing: Drawing, role: Role) -> list[Polyline]:
    return [record for record in drawing.records if isinstance(record, Polyline) and record.role == role]


@given(profiles())
@settings(max_examples=60, deadline=None)
def test_any_string_gives_a_picture_inside_its_page(profile: Profile) -> None:
    drawing = string_profile(profile)
    page = PageBox(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    assert all(record_box(record).inside(page) for record in drawing.records)
    assert "nan" not in to_svg(
        replace(
            drawing,
            title="",
            description="",
            records=tuple(record for record in drawing.records if not isinstance(record, Text)),
        )
    )
    assert len(to_text(drawing, 60, 20).split("\n")) == 20


@given(profiles())
@settings(max_examples=60, deadline=None)
def test_the_words_at_the_line_ends_never_overlap(profile: Profile) -> None:
    drawing = string_profile(profile)
    roles: tuple[Role, ...] = ("supply", "limit", "plus", "across", "coincident", "minus")
    ends = [record for record in drawing.records if isinstance(record, Text) and record.role in roles]
    for one, other in combinations(ends, 2):
        assert not record_box(one).overlaps(record_box(other)), (one, other)


def test_the_worst_light_is_named_with_its_value_at_the_point_that_counts() -> None:
    drawing = string_profile(PROFILES["coincident"])
    worst = min(PROFILES["coincident"].v_coincident)
    assert f"lowest {worst:.2f} V, together" in words(drawing)
    assert "at rail/prop19" in words(drawing)


def test_a_light_below_the_limit_is_a_warning_in_words_and_shape() -> None:
    drawing = string_profile(PROFILES["usual"])
    assert "at prop 12, below the limit" in words(drawing)
    assert any(record.role == "warn" and record.closed for record in drawing.records if isinstance(record, Polyline))


def test_a_light_above_the_limit_is_no_warning() -> None:
    assert not [record for record in string_profile(PROFILES["coincident"]).records if record.role == "warn"]


def test_the_lowest_voltage_is_found_at_either_point() -> None:
    profile = ladder(3, 0.1, 2.0)
    assert lowest(profile) == (2, min(profile.v_coincident), True)
    assert lowest(replace(profile, v_coincident=(math.nan,) * 3)) == (2, min(profile.v_across), False)
    index, value, _ = lowest(replace(profile, v_coincident=(math.nan,) * 3, v_across=(math.nan,) * 3))
    assert index is None
    assert math.isnan(value)


def test_props_without_v_plus_leave_a_gap_that_is_named() -> None:
    drawing = string_profile(with_dark(ladder(16), 5, 8))
    assert words(drawing).count("no V+ here") == 1
    assert len(runs(drawing, "across")) == 2
    assert len(runs(drawing, "minus")) == 1


def test_a_string_that_is_never_fed_says_so() -> None:
    drawing = string_profile(PROFILES["dark"])
    assert "no V+ here" in words(drawing)
    assert not runs(drawing, "across")
    assert "none of which gets V+" in drawing.description


def test_a_cut_breaks_v_plus_and_not_v_minus() -> None:
    profile = ladder(10, cuts_m=(4.0 + 1.8 * 5,))
    drawing = string_profile(profile)
    assert [len(run.points) for run in runs(drawing, "plus")] == [5, 5]
    assert [len(run.points) for run in runs(drawing, "minus")] == [10]
    assert len([record for record in drawing.records if isinstance(record, Line) and record.role == "cut"]) == 2


def test_a_cut_at_a_feed_shares_its_words() -> None:
    profile = ladder(10, feeds=((13.0, "feed before 6"),), cuts_m=(13.0,))
    assert "feed before 6, V+ cut" in words(string_profile(profile))


def test_one_prop_is_still_visible() -> None:
    (run,) = runs(string_profile(PROFILES["one"]), "across")
    assert run.points[-1][0] > run.points[0][0]


def test_equal_voltages_are_said_once() -> None:
    assert "12.00 V at every light" in words(string_profile(PROFILES["equal"]))


def test_the_curve_falls_down_the_page_where_the_voltage_falls() -> None:
    (run,) = runs(string_profile(ladder(30, coincident=1.4)), "across")
    heights = [y for _, y in run.points]
    assert heights == sorted(heights)


def test_both_length_units_have_an_axis() -> None:
    assert {"m from supply end", "ft"} <= set(words(string_profile(PROFILES["usual"])))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"v_plus": (1.0,)}, "profile has 1 values in v_plus, expected 3, one for each prop"),
        ({"labels": ("a",)}, "profile has 1 labels, expected none or 3, one for each prop"),
        (
            {"distance_m": (1.0, 3.0, 2.0)},
            "profile has distances that fall, expected props in order from the supply end",
        ),
        (
            {"cuts_m": (math.nan,)},
            "profile has a distance that is not a number from 0 up, expected metres from the supply end",
        ),
        (
            {"supply_v": math.nan},
            "profile has a supply or limit voltage that is not a number, expected volts",
        ),
    ],
)
def test_a_profile_that_does_not_fit_together_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        replace(ladder(3), **change)  # type: ignore[arg-type]
    assert str(caught.value) == message


def test_a_profile_without_props_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^profile has no props, expected at least one$"):
        Profile("Rail", (), (), (), (), (), 12.0)


def test_a_page_too_narrow_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^a profile 50 mm wide was asked for, expected 100 mm or more$"):
        string_profile(ladder(3), width_mm=50.0)
