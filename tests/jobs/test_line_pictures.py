"""The single-line diagram of a planned display: whose power comes in where."""

from __future__ import annotations

from strandwright.draw.records import Text
from strandwright.jobs.pictures import line_diagram
from tests.build.samples import planned, stated


def test_a_feed_from_the_supply_of_the_diagram_starts_at_it_and_only_others_are_named() -> None:
    feeds = [
        {"before": before, "supply": supply, "cable": "wire", "length": "6 m"}
        for before, supply in ((4, "shed"), (8, "barn"))
    ]
    display = stated(string={"feeds": feeds})
    display["supplies"]["barn"] = {"voltage": "12 V", "rating": "50 W"}
    plan = planned(display)
    drawing = line_diagram(plan, plan.build.supplies.index("shed"))
    words = [record.text for record in drawing.records if isinstance(record, Text)]
    assert [text for text in words if text.startswith("from supply")] == ["from supply barn"]
    assert sum(text.startswith("feed ") for text in words) == 2
