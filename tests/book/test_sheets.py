"""What the sheets hand to bench and ladder: cuts, supply ends, prices by length, settings, what is assumed."""

from __future__ import annotations

import pytest

from hollowglow.analysis.circuit.commission import analyse, hints
from hollowglow.analysis.money.cost import cut_list
from hollowglow.book import BookSource, Measures
from hollowglow.book import contents as chapters
from hollowglow.book.chapters.addressing import addressing
from hollowglow.book.chapters.assumptions import assumptions_of
from hollowglow.file.reading.assumptions import assumptions
from hollowglow.quantity.reader import Units
from tests.assembly.samples import built, planned, stated
from tests.book.conftest import MENDED, Books


def source(books: Books, units: Units = "metric") -> BookSource:
    return BookSource(books.plan(MENDED), Measures(units), drawn=False)


def test_pieces_that_are_cut_alike_stand_together_and_each_keeps_its_label(books: Books) -> None:
    pieces = cut_list(books.plan(MENDED).assembly)
    hung = [name for name, use in zip(pieces.id, pieces.use, strict=True) if use in ("lead", "span", "feed")]
    sheets = chapters.strings(source(books))
    told = [name for sheet in sheets for cut in sheet["cuts"] for name in cut["ids"]]
    assert sorted(told) == sorted(hung)
    gable = next(sheet for sheet in sheets if sheet["name"] == "gable")
    # Twenty props have nineteen spans of 1.2 m between them, each 60 mm longer for its drip loop.
    assert [(cut["count"], cut["length"], cut["use"]) for cut in gable["cuts"]] == [
        ("1", "6.06 m", "lead"),
        ("19", "1.26 m", "span"),
        ("1", "9.06 m", "feed"),
    ]


def test_extensions_are_told_as_what_is_plugged_and_not_cut(books: Books) -> None:
    ready = {sheet["name"]: sheet["ready"] for sheet in chapters.strings(source(books))}
    assert ready["spruce"] == {
        "part": "extension-18awg-1m",
        "count": "9",
        "length": "1.00 m",
        "ids": "spruce/span01 to spruce/span09",
    }
    assert [name for name, one in ready.items() if one is not None] == ["spruce"]


def test_the_supply_end_of_each_run_is_told_core_by_core(books: Books) -> None:
    (gable,) = [sheet for sheet in chapters.strings(source(books)) if sheet["name"] == "gable"]
    lead, feed = gable["ends"]
    assert lead["plus"] == "house, through gable/fuse"
    assert lead["data"] == "output box/3"
    assert feed["run"] == "gable/feed14"
    assert feed["plus"] == "house, through gable/feed14/fuse"
    assert feed["data"] == "none: comes along the string"
    bare = planned(stated(props="2 * float"))
    (rail,) = chapters.strings(BookSource(bare, Measures("metric"), drawn=False))
    assert rail["ends"][0]["plus"] == "shed, without a fuse"


@pytest.mark.parametrize(("units", "price"), [("metric", "0.62 a m"), ("both", "0.62 a m"), ("us", "0.19 a ft")])
def test_cable_has_its_price_by_length(books: Books, units: Units, price: str) -> None:
    # 0.62 a metre times 0.3048 m in a foot is 0.189.
    rows = {row["part"]: row for row in chapters.bill(source(books, units))["rows"]}
    assert rows["cable-3x18awg"]["price"] == price
    assert rows["gland-pg7"]["price"] == "0.35"


def test_what_only_the_bench_uses_stands_under_the_bill(books: Books) -> None:
    made = chapters.bill(source(books))
    # Two ties in each of sixty props.
    assert "120 × cable-tie" in made["bench"]
    assert {"label", "sealant-silicone", "soft washer"} <= set(made["bench"])
    billed = {row["part"] for row in made["rows"]}
    assert not billed & {words.partition(" × ")[2] or words for words in made["bench"]}


def test_a_controller_is_told_where_a_universe_ends_and_how_the_lights_are_clocked() -> None:
    # 170 cells of three slots fill 510 of the 512 slots of a universe; the 171st begins the next.
    for props, ends in ((170, False), (171, True)):
        plan = planned(stated(props=f"{props} * float"))
        (card,) = addressing(BookSource(plan, Measures("metric"), drawn=False))["cards"]
        words = " ".join(card["says"])
        assert ("where output 1 runs on into the next universe, it does so after slot 510" in words) == ends
        # One bit takes 1.25 µs, so 800,000 of them a second; three colours of 8 bits.
        assert "800 kHz with 24 bits for each node, as in light." in words


def test_universes_that_are_filled_to_the_end_need_no_word_of_it() -> None:
    # Four slots a cell, so that 128 of them fill 512.
    load = {
        "class": "constant-current",
        "current": ["18 mA"] * 4,
        "turn_on": ["2 V"] * 4,
        "saturation": "0.6 V",
        "idle": "1 mA",
    }
    plan = planned(stated(load, props="129 * float"))
    (card,) = addressing(BookSource(plan, Measures("metric"), drawn=False))["cards"]
    assert card["outputs"][0]["last"] == "2"
    assert "No cell lies in two universes" not in " ".join(card["says"])


def test_the_brightness_of_a_kind_tells_on_which_outputs_it_hangs(books: Books) -> None:
    (card,) = addressing(source(books))["cards"]
    assert {row["kind"]: row["outputs"] for row in card["levels"]} == {
        "float": "1 and 2",
        "acorn": "3 and 4",
        "star": "5",
    }


def test_equal_defaults_of_several_entries_stand_as_one_row_and_none_is_left_out(books: Books) -> None:
    display = books.plan(MENDED).assembly.display
    rows = assumptions_of(source(books))
    by_where = {row["where"]: row for row in rows}
    assert len(by_where) == len(rows)
    assert by_where["kinds.*.shell.tint"]["of"] == "each of the 3"
    assert by_where["supplies.*.limit"]["of"] == "both"
    assert by_where["strings.*.lead.joint"]["of"] == "rail-shore, rail-head, gable and door"
    for one in assumptions(display):
        section, name, key = one.place
        row = by_where.get(one.where) or by_where[f"{section}.*.{key}"]
        assert row["value"] == str(one.value)
        assert not row["of"] or row["of"] in ("both", "each of the 3") or name in row["of"]


def test_a_hole_on_a_line_through_the_middle_is_told_by_one_way() -> None:
    kind = {
        "shell": {"shape": "cylinder", "diameter": "100 mm", "height": "160 mm"},
        "carrier": {"shape": "disc", "diameter": "80 mm", "above_base": "70 mm"},
        "fill": {"light": "bullet-12mm-12v", "count": 4},
    }
    plan = planned(stated(props="1 * float", kind=kind))
    (sheet,) = chapters.bench(BookSource(plan, Measures("metric"), drawn=False))
    places = [hole["place"] for hole in sheet["holes"] if hole["where"].startswith("carrier")]
    assert len(places) == 4
    assert not any(words.startswith("0.0 mm") or ", 0.0 mm" in words for words in places)


def test_a_supply_that_feeds_nothing_has_no_hints_about_what_it_feeds() -> None:
    display = stated(props="2 * float")
    display["supplies"]["idle"] = {"voltage": "5 V", "rating": "20 W"}
    made = {one.spot.id: one for one in analyse(built(display), samples=10).readings}
    words = [hint.reading for hint in hints(made["idle"])]
    assert not any("at full white" in reading for reading in words)
    assert any("below" in reading and "lights off" in reading for reading in words)
    assert any("at full white only" in hint.reading for hint in hints(made["shed"]))


def test_a_supply_at_which_no_string_starts_has_its_diagram_with_what_it_feeds_and_why_not_to_build_it() -> None:
    feed = {"before": 3, "supply": "barn", "cable": "wire", "length": "6 m", "cut": True}
    display = stated(string={"feeds": [feed]})
    display["supplies"]["barn"] = {"voltage": "12 V", "rating": "1 W"}
    display["supplies"]["idle"] = {"voltage": "12 V", "rating": "1 W"}
    made = chapters.wiring(BookSource(planned(display), Measures("metric"), drawn=False))
    assert [one["name"] for one in made["supplies"]] == ["shed", "barn"]
    (mark, *_) = made["supplies"][1]["marks"]
    assert mark.startswith("barn delivers")
    assert [(one["name"], one["words"]) for one in made["idle"]] == [("idle", "Nothing is fed from idle.")]
