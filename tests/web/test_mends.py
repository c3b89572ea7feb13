"""Every finding has a room in which it is mended."""

from __future__ import annotations

from hollowglow.analysis.findings import CODES
from hollowglow.plan import Plan
from hollowglow.web.page.mends import place_of
from hollowglow.web.page.rooms import ROOMS


def test_every_code_has_a_room_that_there_is() -> None:
    assert {code.stage for code in CODES.values()} <= {room.name for room in ROOMS}


def test_the_place_names_the_string_or_the_kind(demo_plan: Plan) -> None:
    assert place_of("low-voltage", ["gable/prop20/node1"], demo_plan) == "/feed?string=gable"
    assert place_of("drain-missing", ["acorn"], demo_plan) == "/fill?kind=acorn"
    assert place_of("supply-over", ["house"], demo_plan) == "/feed"
