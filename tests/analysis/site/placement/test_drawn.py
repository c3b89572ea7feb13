"""Lengths that follow from the drawing, and what is said where they cannot."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from hollowglow.analysis.money.cost import cut_list
from hollowglow.assembly import expand
from hollowglow.assembly.tables import CableSort
from hollowglow.file import load_text
from hollowglow.file.reading.assumptions import assumptions
from hollowglow.jobs.feed import feed_file
from hollowglow.messages.errors import DisplayError
from hollowglow.plan import make_plan
from hollowglow.search.trials.distance import distance_m
from tests.analysis.site.placement.samples import FILE, YARD, yard

SLACK, LOOP = 1.05, 0.05


def lengths(text: str, sort: CableSort) -> list[float]:
    cables = expand(load_text(text, FILE)).cables
    return list(cables.length_m[cables.sort == sort].tolist())


def test_spans_run_along_the_line_and_leads_and_feeds_straight_with_slack_and_drip_loop() -> None:
    # Props at 0, 0.4, 0.8, 1.2, 1.6 m along a line that turns a right angle after 1 m: the fourth is at (4, 3.8).
    assert lengths(YARD, CableSort.SPAN) == pytest.approx([0.4 * SLACK + LOOP] * 4, rel=1e-12)
    assert lengths(YARD, CableSort.LEAD) == pytest.approx([math.hypot(3, 3) * SLACK + LOOP], rel=1e-12)
    assert lengths(YARD, CableSort.FEED) == pytest.approx([math.hypot(4, 3.8) * SLACK + LOOP], rel=1e-12)


def test_straight_spans_cut_the_corner() -> None:
    found = lengths(yard(("span: {length: drawn}", "span: {length: straight}")), CableSort.SPAN)
    corner = math.hypot(0.2, 0.2)
    assert found == pytest.approx([d * SLACK + LOOP for d in (0.4, 0.4, corner, 0.4)], rel=1e-12)


def test_a_moved_prop_is_reached_straight_and_stated_lengths_stand_between_drawn_ones() -> None:
    text = yard(
        ("pitch: 0.4 m", "pitch: 0.4 m, moved: [{prop: 5, at: [4 m, 3.8 m, 0.7 m]}]"),
        ("span: {length: drawn}", "span: {length: [drawn, 1 m, drawn, drawn]}"),
    )
    assert lengths(text, CableSort.SPAN) == pytest.approx(
        [0.4 * SLACK + LOOP, 1.0 + LOOP, 0.4 * SLACK + LOOP, 0.7 * SLACK + LOOP], rel=1e-12
    )


def test_points_give_straight_lengths_in_feet_as_in_metres() -> None:
    line = "place: {line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]], pitch: 0.4 m}"
    points = (
        "place: {points: [[0 ft, 0 ft], [3 ft, 4 ft], [3 ft, 4 ft, 12 in], [3 ft, 5 ft, 1 ft], [0 ft, 5 ft, 1 ft]]}"
    )
    spans = [(length - LOOP) / SLACK / 0.3048 for length in lengths(yard((line, points)), CableSort.SPAN)]
    assert spans == pytest.approx([5.0, 1.0, 1.0, 3.0], rel=1e-12)


def test_cut_list_circuit_and_bill_use_the_drawn_lengths() -> None:
    stated = yard(
        ("lead: {length: drawn}", f"lead: {{length: {math.hypot(3, 3) * SLACK!r} m}}"),
        ("span: {length: drawn}", f"span: {{length: {0.4 * SLACK!r} m}}"),
        ("shed, length: drawn", f"shed, length: {math.hypot(4, 3.8) * SLACK!r} m"),
    )
    drawn, typed = (make_plan(load_text(text, FILE)) for text in (YARD, stated))
    assert drawn.power.mean.plus_v == pytest.approx(typed.power.mean.plus_v, rel=1e-12)
    assert drawn.cost.bill == typed.cost.bill
    assert cut_list(drawn.assembly).length_m == pytest.approx(cut_list(typed.assembly).length_m, rel=1e-12)


def test_feeds_are_reckoned_from_place_to_place_where_the_lead_is_drawn_and_along_the_string_elsewhere() -> None:
    text = yard(("    feeds: [{before: 4, supply: shed, length: drawn}]\n", ""))
    away = math.hypot(4, 3.4) * 1.1 + 1.0
    assert distance_m(load_text(text, FILE), "shed", "rail", 5) == pytest.approx(math.ceil(away * 10) / 10)
    along = (2.0 + 4 * 0.4 * SLACK) * 1.1 + 1.0
    stated = text.replace("lead: {length: drawn}", "lead: {length: 2 m}")
    assert distance_m(load_text(stated, FILE), "shed", "rail", 5) == pytest.approx(math.ceil(along * 10) / 10)


def test_a_hung_line_is_longer_by_its_catenary_and_props_hang_lower() -> None:
    # Textbook example (Hibbeler, Statics, 7.4): 20 m apart, 6 m of sag, 24.188 m of cable.
    line = "place: {line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]], pitch: 0.4 m}"
    hung = "place: {line: [[0 m, 9 m], [20 m, 9 m]], sag: 6 m}"
    text = yard(
        (line, hung), ("5 * float", "3 * float"), ("    feeds: [{before: 4, supply: shed, length: drawn}]\n", "")
    )
    assert sum(lengths(text, CableSort.SPAN)) - 2 * LOOP == pytest.approx(24.188 * SLACK, rel=2e-4)
    plan = make_plan(load_text(text, FILE))
    assert plan.placed.spots_m[1] == pytest.approx([10.0, 3.0, 0.0], abs=1e-9)


def test_on_a_plan_a_line_sags_along_the_third_length() -> None:
    line = "place: {line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]], pitch: 0.4 m}"
    hung = "place: {line: [[0 m, 1 m, 9 m], [20 m, 1 m, 9 m]], sag: 6 m}"
    text = yard((line, hung), ("plane: wall", "plane: plan"), ("5 * float", "3 * float"), ("before: 4", "before: 3"))
    assert make_plan(load_text(text, FILE)).placed.spots_m[1] == pytest.approx([10.0, 1.0, 3.0], abs=1e-9)


LINE = "line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]]"
MISTAKES = {
    "too many for the pitch": (
        ("pitch: 0.4 m", "pitch: 0.6 m"),
        "yard.yaml, line 18, strings.rail.place.pitch: found a pitch of 0.6 m for 5 props, expected what fits on 2.00 m of "
        "line (4 props at this pitch). 0.500 m is the most for 5.",
    ),
    "no place": (
        (f"    place: {{{LINE}, pitch: 0.4 m}}\n", ""),
        "yard.yaml, line 15, strings.rail.lead.length: found a drawn length, expected a string whose props have places. "
        "Add place with a line to the string, or state the length.",
    ),
    "no place of the supply": (
        (", at: [0 m, 0 m]", ""),
        "yard.yaml, line 17, strings.rail.feeds[1].length: found a drawn length, expected a supply that has a place. "
        "Add at, like [0 m, 1.2 m], to the supply shed.",
    ),
    "one prop too few": (
        (f"{LINE}, pitch: 0.4 m", "points: [[0 m, 0 m], [1 m, 0 m]]"),
        "yard.yaml, line 18, strings.rail.place.points: found 2 points, expected 5, one for each prop.",
    ),
    "no such prop": (
        ("pitch: 0.4 m", "moved: [{prop: 6, at: [0 m, 0 m]}]"),
        "yard.yaml, line 18, strings.rail.place.moved[1].prop: found 6, expected the number of a prop on this string (1 to 5).",
    ),
    "moved twice": (
        ("pitch: 0.4 m", "moved: [{prop: 2, at: [0 m, 0 m]}, {prop: 2, at: [0 m, 1 m]}]"),
        "yard.yaml, line 18, strings.rail.place.moved[2].prop: found prop 2 a second time, expected one place for each prop.",
    ),
    "beyond the end": (
        ("pitch: 0.4 m", "start: 3 m"),
        "yard.yaml, line 18, strings.rail.place.start: found 3 m, expected a place on the line, which is 2.00 m long.",
    ),
    "no length": (
        (LINE, "line: [[1 m, 1 m], [1 m, 1 m]]"),
        "yard.yaml, line 18, strings.rail.place.line: found a line without length, expected points that are apart.",
    ),
    "no unit": (
        ("[3 m, 4 m], ", "[3, 4 m], "),
        'yard.yaml, line 18, strings.rail.place.line[1]: found 3 without a unit, expected a place like "1.8 m" or "-6 ft" '
        "(from -2000 m to 2000 m).",
    ),
    "both": (
        ("pitch: 0.4 m", "points: [[0 m, 0 m]]"),
        "yard.yaml, line 18, strings.rail.place: found line together with points, expected a line along which the props are "
        "set out, or points, one for each prop.",
    ),
    "a hook that is none": (
        ("pitch: 0.4 m", "sag: 0.1 m, hook: cable-3x18awg"),
        'yard.yaml, line 18, strings.rail.place.hook: found "cable-3x18awg", which is a cable, expected the name of a hook '
        "part.",
    ),
    "a scale in part": (
        ("slack: 5 %", "backdrop: {picture: a.jpg, points: [[1, 2], [3, 4]]}"),
        "yard.yaml, line 2, place.backdrop: found points, expected points and length (two points of the picture and how far "
        "apart they are), or corners, width and height (bottom left, bottom right, top right and top left of a rectangle on "
        "the wall, and its size).",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", MISTAKES)
def test_a_mistake_is_told_with_its_line_and_a_way_out(name: str) -> None:
    change, told = MISTAKES[name]
    with pytest.raises(DisplayError) as caught:
        load_text(yard(change), FILE)
    assert told in str(caught.value).splitlines()


def test_what_places_assume_is_said_only_where_there_are_any() -> None:
    said = {a.where for a in assumptions(load_text(yard(("place: {plane: wall, slack: 5 %}\n", "")), FILE))}
    assert {"place.plane", "place.slack"} <= said
    assert not {"place.plane", "place.slack"} & {a.where for a in assumptions(load_text(YARD, FILE))}


def test_planning_feeds_writes_drawn_lengths_back_as_the_file_has_them(tmp_path: object) -> None:
    from pathlib import Path

    file = Path(str(tmp_path)) / FILE
    file.write_text(YARD.replace("rating: 100 W", "rating: 60 W, limit: constant"), encoding="utf-8")
    report = feed_file(file, apply=True)
    assert load_text(file.read_text(encoding="utf-8"), FILE) == load_text(report.edited, FILE)
    if "feeds:" in report.edited:
        assert "drawn" in report.edited


def test_places_are_in_the_json_document() -> None:
    from hollowglow.view.rows.document import document

    rows = json.loads(json.dumps(document(make_plan(load_text(YARD, FILE)))))["props"]
    assert [(r["id"], r["x"], r["y"], r["z"]) for r in rows] == [
        (f"rail/prop{n:02d}", *np.round(at, 6).tolist(), 0.0)
        for n, at in enumerate([(3, 4), (3.4, 4), (3.8, 4), (4, 3.8), (4, 3.4)], 1)
    ]
