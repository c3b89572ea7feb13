"""The single-line diagram: what is shown of a string, where feeds join, what is said of fuses."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.draw.circuit.line_diagram import (
    DiagramCable,
    DiagramFeed,
    DiagramFuse,
    LineDiagram,
    StringLine,
    single_line,
)
from hollowglow.draw.circuit.line_parts import length_words, string_rows
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Circle, Drawing, Line, Text
from hollowglow.quantity.reader import Units
from tests.draw.samples import DIAGRAMS, RAIL, string


def words(drawing: Drawing) -> list[str]:
    return [record.text for record in drawing.records if isinstance(record, Text)]


def diagram(*strings: StringLine) -> Drawing:
    return single_line(replace(DIAGRAMS["one"], strings=strings))


def count(drawing: Drawing, role: str) -> int:
    return sum(record.role == role for record in drawing.records)


@given(st.integers(1, 600), st.lists(st.integers(1, 600), max_size=8), st.integers(70, 120))
def test_shown_and_hidden_props_make_up_the_string(props: int, joins: list[int], width: int) -> None:
    joins = [join for join in joins if join <= props]
    slots = [slot for row in string_rows(props, joins, float(width)) for slot in row]
    at = 1
    for slot in slots:
        assert slot.prop == at
        at += slot.hidden or 1
    assert at == props + 1
    assert {slot.prop for slot in slots if slot.joint_x is not None} == set(joins)
    assert all(slot.hidden != 1 for slot in slots)


@given(st.integers(1, 600), st.lists(st.integers(1, 600), max_size=8), st.integers(70, 120))
def test_rows_stay_in_their_width_and_props_apart(props: int, joins: list[int], width: int) -> None:
    for row in string_rows(props, [join for join in joins if join <= props], float(width)):
        places = [slot.x for slot in row]
        assert places[0] > 0
        assert places[-1] <= width
        assert all(b - a >= 5.9 for a, b in pairwise(places))


@given(st.lists(st.tuples(st.integers(1, 300), st.lists(st.integers(1, 300), max_size=6)), max_size=4))
@settings(max_examples=40, deadline=None)
def test_any_strings_stay_on_the_page(sizes: list[tuple[int, list[int]]]) -> None:
    run = DiagramCable(12.0, "18 AWG")
    strings = [
        string("s", props, *(DiagramFeed(b, run, DiagramFuse(5.0, 1.0), cut=b % 2 == 0) for b in at if b <= props))
        for props, at in sizes
    ]
    drawing = diagram(*strings)
    page = PageBox(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    assert all(record_box(record).inside(page) for record in drawing.records)


@given(st.lists(st.integers(2, 60), max_size=5, unique=True))
@settings(max_examples=40, deadline=None)
def test_feed_cables_never_cross(joins: list[int]) -> None:
    drawing = diagram(string("rail", 60, *(DiagramFeed(b, DiagramCable(9.0, "18 AWG")) for b in joins)))
    lines = [record for record in drawing.records if isinstance(record, Line) and record.role == "cable"]
    upright = [line for line in lines if line.x1 == line.x2]
    level = [line for line in lines if line.y1 == line.y2]
    for up in upright:
        low, high = sorted((up.y1, up.y2))
        for flat in level:
            inside = low + 0.01 < flat.y1 < high - 0.01
            assert not (inside and flat.x1 < up.x1 < flat.x2), (up, flat)


def test_a_short_string_shows_every_prop() -> None:
    assert count(diagram(string("rail", 6)), "prop") == 6


def test_a_long_string_shows_three_the_last_and_how_many_between() -> None:
    drawing = diagram(string("rail", 38))
    assert count(drawing, "prop") == 4
    assert "34 more" in words(drawing)


def test_a_feed_shows_its_fuse_length_and_joint_beside_its_prop() -> None:
    drawing = diagram(string("rail", 38, DiagramFeed(20, DiagramCable(12.0, "1.5 mm²"), DiagramFuse(5.0, 1.9))))
    assert {"19", "20", "fuse 5 A", "1.90 A", "feed 12.0 m / 39.4 ft", "1.5 mm²"} <= set(words(drawing))
    assert any(isinstance(record, Circle) and record.role == "joint" for record in drawing.records)


def test_a_cut_is_two_bars_with_no_cable_between() -> None:
    drawing = diagram(string("rail", 12, DiagramFeed(7, DiagramCable(12.0, "18 AWG"), cut=True)))
    left, right = [record for record in drawing.records if isinstance(record, Line) and record.role == "cut"]
    middle, y = (left.x1 + right.x1) / 2, (left.y1 + left.y2) / 2
    for record in drawing.records:
        if isinstance(record, Line) and record.role == "cable" and record.y1 == record.y2 == y:
            assert not record.x1 < middle < record.x2


def test_a_feed_without_a_cut_has_no_bars() -> None:
    assert count(diagram(RAIL), "cut") == 0


def test_a_feed_from_another_supply_names_it() -> None:
    drawing = diagram(string("rail", 12, DiagramFeed(7, DiagramCable(12.0, "18 AWG"), supply="boathouse")))
    assert "from supply boathouse" in words(drawing)


def test_the_supply_says_volts_watts_and_load() -> None:
    assert {"shed", "12 V", "100 W", "load 64 %"} <= set(words(single_line(DIAGRAMS["one"])))
    assert "load not known" in words(single_line(DIAGRAMS["bare"]))


def test_unequal_spans_are_each_given_where_all_props_are_shown() -> None:
    line = StringLine("spruce", 4, DiagramCable(2.2, "22 AWG"), (0.6, 0.75, 0.9), "22 AWG")
    assert {"0.60", "0.75", "0.90"} <= set(words(diagram(line)))


def test_many_feeds_carry_on_in_a_second_row_with_a_letter_at_both_ends() -> None:
    drawing = diagram(string("walk", 200, *(DiagramFeed(k, DiagramCable(9.0, "2.5 mm²")) for k in (41, 81, 121, 161))))
    assert words(drawing).count("A") == 2


def test_pages_grow_with_their_strings() -> None:
    heights = [diagram(*(RAIL,) * strings).height_mm for strings in (2, 4, 6)]
    assert heights[2] - heights[1] == pytest.approx(heights[1] - heights[0])
    assert heights[1] > heights[0]


def test_spans_of_several_lengths_are_told_in_the_units_of_the_reader() -> None:
    line = StringLine("spruce", 4, DiagramCable(2.1336, "22 AWG"), (0.6096, 0.762, 0.9144), "22 AWG")

    def seen(units: Units) -> set[str]:
        return set(words(single_line(replace(DIAGRAMS["one"], strings=(line,), units=units))))

    assert {"2.0", "2.5", "3.0", "lead 7.0 ft", "spans 2.0 to 3.0 ft, 7.5 ft in all, 22 AWG"} <= seen("us")
    assert {"0.61", "0.76", "0.91", "lead 2.13 m", "spans 0.61 to 0.91 m, 2.3 m in all, 22 AWG"} <= seen("metric")
    assert {"0.61", "spans 0.61 to 0.91 m / 2.0 to 3.0 ft, 22 AWG"} <= seen("both")


def test_lengths_are_given_in_metres_and_feet() -> None:
    assert length_words(1.8288) == "1.83 m / 6.0 ft"
    assert length_words(30.48) == "30.5 m / 100 ft"


@pytest.mark.parametrize(
    ("props", "spans", "feeds", "message"),
    [
        (0, (), (), "string rail has 0 props, expected at least one"),
        (3, (1.0,), (), "string rail has 1 spans, expected 2, one fewer than its props"),
        (1, (), (DiagramFeed(2, DiagramCable(1.0, "x")),), "string rail is fed before prop 2, expected 1 to 1"),
    ],
)
def test_a_string_that_does_not_fit_together_is_refused(
    props: int, spans: tuple[float, ...], feeds: tuple[DiagramFeed, ...], message: str
) -> None:
    with pytest.raises(ValueError) as caught:  # noqa: PT011
        StringLine("rail", props, DiagramCable(1.0, "x"), spans, "x", feeds=feeds)
    assert str(caught.value) == message


def test_a_page_too_narrow_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^a single-line diagram 100 mm wide was asked for, expected 150 mm or more$"):
        single_line(LineDiagram("Supply", "shed", 12.0, 100.0, 0.5, ()), width_mm=100.0)


@pytest.mark.parametrize(
    ("share", "role"),
    [(float("nan"), "cable"), (0.0, "cable"), (0.5, "cable"), (0.51, "cable_half"), (0.81, "cable_full")],
)
def test_a_loaded_cable_is_told_by_its_pattern_too(share: float, role: str) -> None:
    from hollowglow.draw.circuit.line_diagram import load_role
    from hollowglow.draw.sheet.style import STYLES

    assert load_role(share) == role
    patterns = {name: (STYLES[name].dash_mm, STYLES[name].width_mm) for name in ("cable", "cable_half", "cable_full")}
    assert len(set(patterns.values())) == 3
