"""What the chapters say of this very display: pictures of the yard, cautions, what is assumed, boxes, hints."""

from __future__ import annotations

import re

import pytest

from hollowglow.analysis.circuit import commission
from hollowglow.assembly.tables import JointSort
from hollowglow.book import BookSource, Measures
from hollowglow.book import contents as chapters
from hollowglow.book.chapters.front import front
from hollowglow.file.reading.assumptions import keeping_assumptions
from hollowglow.plan import Plan
from tests.assembly.samples import planned, stated
from tests.book.conftest import FIRST, MENDED, Books
from tests.book.reading import squeezed

BALL = {"shell": {"shape": "sphere", "diameter": "150 mm"}, "fill": {"light": "bullet-12mm-12v"}}
SET_OUT = {"line": [["0 m", "2.5 m"], ["3 m", "2.5 m"]]}


def source_of(plan: Plan) -> BookSource:
    return BookSource(plan, Measures("metric"))


def test_the_night_picture_is_the_yard_where_places_are_stated_and_the_kinds_where_not() -> None:
    placed, plain = (
        front(source_of(planned(stated(props="4 * float", kind=BALL, string=more))))
        for more in ({"place": SET_OUT}, {})
    )
    assert "at night" in placed["picture"]["alt"]
    assert placed["looks"] is not None
    assert "at night" not in plain["picture"]["alt"]
    assert plain["looks"] is None


def test_the_map_by_day_stands_with_the_hanging_order_and_names_every_string(books: Books) -> None:
    source = source_of(books.plan(MENDED))
    made = chapters.hanging(source)
    svg = source.pictures[made["map"]["file"]].decode("utf-8")
    for name in books.plan(MENDED).assembly.strings.names:
        assert f">{name}<" in svg
    assert chapters.hanging(source_of(planned(stated(props="2 * float"))))["map"] is None


def test_the_caution_of_ladders_tells_the_highest_prop(books: Books) -> None:
    # Twenty props evenly over two slopes of 11.4 m from 2.6 m to 10.72 m: the tenth is 9 steps of 2 * 11.4 m / 19 up the first.
    slope = (8.0**2 + 8.12**2) ** 0.5
    high = 2.6 + 8.12 * (9 * 2 * slope / 19) / slope
    (words,) = [c["words"] for c in chapters.cautions(source_of(books.plan(FIRST))) if c["head"] == "Ladders"]
    assert f"The highest, gable/prop10, hangs {high:.2f} m above the level" in words


def test_cautions_name_what_this_display_has_and_leave_out_what_it_has_not(books: Books) -> None:
    def heads(plan: Plan) -> set[str]:
        return {one["head"] for one in chapters.cautions(source_of(plan))}

    # Two at each of 11, 11, 19, 5 and 9 spans, and the plug of the spruce's lead.
    text = " ".join(one["words"] for one in chapters.cautions(source_of(books.plan(FIRST))))
    for words in (
        "jetty and house",
        "fed by cabinet",
        "licensed electrician",
        "111 joints",
        "plug-3pin-18awg",
        "RCD, GFCI",
    ):
        assert words in text
    bare = planned(stated(props="1 * float"))
    assert "One V+ per supply" in heads(books.plan(FIRST))
    assert "One V+ per supply" not in heads(bare)
    assert "Wet joints" not in heads(bare)


def test_what_spares_and_boxes_assume_stands_beside_them_and_in_the_last_chapter(books: Books) -> None:
    taken = list(keeping_assumptions(books.plan(MENDED).assembly.display))
    assert {one.where.split(".")[0] for one in taken} == {"spares", "packing"}
    read = books.pages(MENDED)
    beside = {
        "spares": squeezed(" ".join(page for page in read if "Parts to buy" in page)),
        "packing": squeezed(" ".join(page for page in read if "Hanging and packing" in page)),
    }
    last = squeezed(" ".join(page for page in read if "Assumptions" in page))
    for one in taken:
        table, _, key = one.where.partition(".")
        assert squeezed(f"{key} {one.value}") in beside[table]
        assert one.where in last


def test_of_a_box_the_last_in_is_the_first_to_hang_and_boxes_that_hold_one_piece_are_told(books: Books) -> None:
    made = chapters.hanging(source_of(books.plan(MENDED)))
    hung = [row["ids"] for string in made["strings"] for row in string["rows"]]
    for box in made["boxes"]:
        first, last = (re.split(" to ", row["ids"])[-1] for row in (box["rows"][-1], box["rows"][0]))
        at = [next(i for i, ids in enumerate(hung) if name in (ids, *ids.split(" to "))) for name in (first, last)]
        assert at[0] <= at[1]
    # The last of a soldered string hangs on the one before it, also where it lies in a box of its own.
    ends = {row["ids"].split(" to ")[-1]: row["joined"] for string in made["strings"] for row in string["rows"]}
    assert ends["rail-shore/prop12"] == "one piece"
    assert ends["spruce/prop10"] == ends["rail-shore/lead"] == ""
    # rail-shore is soldered for good and lies in three boxes.
    assert [box["tied"] for box in made["boxes"][:3]] == ["box02", "box01 and box03", "box02"]
    assert made["boxes"][-1]["tied"] == ""  # the stars are plugged together, so each is a piece of its own


def test_every_string_sheet_has_spans_joints_feeds_fuses_levels_and_slots(books: Books) -> None:
    plan = books.plan(MENDED)
    assembly = plan.assembly
    for row, sheet in enumerate(chapters.strings(source_of(plan))):
        props = assembly.display.strings[sheet["name"]].prop_count
        assert [p["id"] for p in sheet["order"]] == [f"{sheet['name']}/prop{n:02d}" for n in range(1, props + 1)]
        assert all(
            p[key] for p in sheet["order"] for key in ("before", "at", "level", "volts", "first", "last", "nodes")
        )
        joints = int(((assembly.joints.string == row) & (assembly.joints.sort != JointSort.FEED)).sum())
        assert sum(int(j["count"]) for j in sheet["joints"] if j["where"] != "where a feed joins") == joints
        assert len(sheet["fuses"]) == int((assembly.fuses.string == row).sum())
        assert [f["to"] for f in sheet["feeds"]] == [
            f"{sheet['name']}/prop{n:02d}"
            for n in (1, *(f.before for f in assembly.display.strings[sheet["name"]].feeds))
        ]
    gable = next(s for s in chapters.strings(source_of(plan)) if s["name"] == "gable")
    assert ("fed", "at its start, and again before prop 14") in gable["facts"]


def test_every_spot_of_the_commissioning_sheet_has_hints_for_readings_on_either_side_of_its_band(books: Books) -> None:
    plan = books.plan(MENDED)
    made = chapters.commissioning(source_of(plan), commission.analyse(plan.assembly, samples=40))
    assert made["hints"]
    for part in (made["supplies"], *made["strings"]):
        told = part["hints"] + ([] if part is made["supplies"] else made["hints"])
        words = " ".join(h["reading"] for h in told)
        for reading in ("below 0 V", "0 V", "below its band with", "below its band at full white only", "above"):
            assert reading in words
        assert all(h["suggests"] for h in told)
    assert [h for s in made["strings"] for h in s["hints"] if h in made["hints"]] == []


def test_a_hint_names_no_volts_of_its_own_beside_bands_that_differ_from_spot_to_spot(books: Books) -> None:
    plan = books.plan(MENDED)
    made = chapters.commissioning(source_of(plan), commission.analyse(plan.assembly, samples=40))
    gable = next(s for s in made["strings"] if s["name"] == "gable")
    assert len({row["white_band"] for row in gable["rows"]}) > 1
    assert [h for h in made["hints"] if re.search(r"(below|above) [1-9]", h["reading"])] == []


@pytest.mark.parametrize("count", [1, 5])
def test_pigtails_are_told_core_by_core_in_words(count: int) -> None:
    kind = {"fill": {"light": "bullet-12mm-12v", "count": count}, "pigtail": {"length": "150 mm"}}
    (sheet,) = chapters.bench(source_of(planned(stated(props="1 * float", kind=kind))))
    cores = {one["core"]: one for one in sheet["wiring"]}
    assert set(cores) == {"plus (V+)", "data", "minus (V−, ground)"}
    assert cores["data"]["in"] == "to the data input (DI) of light 1"
    assert cores["data"]["out"] == f"from the data output (DO) of light {count}"
