"""The single-line diagram of a planned display: whose power comes in where."""

from __future__ import annotations

from hollowglow.draw.sheet.records import Text
from hollowglow.view.pictures.circuit import line_diagram, line_diagrams
from tests.assembly.samples import Stated, planned, stated


def test_a_feed_from_the_supply_of_the_diagram_starts_at_it_and_only_others_are_named() -> None:
    feeds = [
        {"before": before, "supply": supply, "cable": "wire", "length": "6 m"}
        for before, supply in ((4, "shed"), (8, "barn"))
    ]
    display = stated(string={"feeds": feeds})
    display["supplies"]["barn"] = {"voltage": "12 V", "rating": "50 W"}
    plan = planned(display)
    drawing = line_diagram(plan, plan.assembly.supplies.index("shed"))
    words = [record.text for record in drawing.records if isinstance(record, Text)]
    assert [text for text in words if text.startswith("from supply")] == ["from supply barn"]
    assert sum(text.startswith("feed ") for text in words) == 2


def words_of(display: Stated, supply: str) -> list[str]:
    plan = planned(display)
    drawing = line_diagram(plan, plan.assembly.supplies.index(supply))
    return [record.text for record in drawing.records if isinstance(record, Text)]


def test_a_string_stands_with_every_supply_that_powers_it_and_with_no_other() -> None:
    feed = {"before": 4, "supply": "barn", "cable": "wire", "length": "6 m"}
    display = stated(string={"feeds": [feed]})
    display["supplies"] |= {name: {"voltage": "12 V", "rating": "50 W"} for name in ("barn", "idle")}
    here, there = words_of(display, "shed"), words_of(display, "barn")
    assert ("rail" in here, "rail" in there, "rail" in words_of(display, "idle")) == (True, True, False)
    assert [text for text in here if text.startswith("from supply")] == ["from supply barn"]
    assert [text for text in there if text.startswith("from supply")] == ["from supply shed"]


def test_a_lead_without_power_says_so_beside_the_feeds_that_bring_it() -> None:
    feeds = [{"before": 1, "supply": "shed", "cable": "wire", "length": "6 m"}]
    display = stated(string={"feeds": feeds})
    del display["strings"]["rail"]["supply"]
    words = words_of(display, "shed")
    assert "data and V\N{MINUS SIGN} only" in words
    assert not any(text.startswith("from supply") for text in words)
    assert [name for name, _ in line_diagrams(planned(display))] == ["supply-shed"]
