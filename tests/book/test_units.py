"""Metric alone or US alone is alone: no word, no table, no axis, no bar and no label tells a length in the other."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from typing import Any

import pytest

from hollowglow.book import BookRequest, BookSource, Measures, Stamp
from hollowglow.book.write import gather, label_sheets
from hollowglow.draw.labels.sheets import sheet_size
from hollowglow.draw.sheet.records import Text
from hollowglow.plan import Plan
from hollowglow.quantity.reader import Reader, Units
from tests.assembly.samples import planned, stated
from tests.book.conftest import FIRST, Books
from tests.book.reading import DAY
from tests.messages.cases import CASES, case, plan_of

METRIC = r"\d ?(?:mm|cm|m|km|g|kg)\b|\bmetres?\b"
US = r"\d ?(?:in(?! u'v')|ft|oz|lb)\b|\binch|\bfeet\b"
# Names of parts and of kinds are names, whatever they are made of.
NAMES = r"\S*-\d+mm\S*|\S*-1m\b"
# A line of the chart says what its figures are by a word of its own.
UNIT_ALONE = {"metric": r"^(?:ft|in)(?: from supply end)?$", "us": r"^(?:m|mm)(?: from supply end)?$"}


@pytest.fixture(scope="module")
def rich() -> Plan:
    """A display of everything that tells a length: a turned shell, a carrier, unequal spans, feeds, places, boxes."""
    kind = {
        "shell": {
            "shape": "lathe",
            "profile": [["40 mm", "0 mm"], ["90 mm", "60 mm"], ["90 mm", "120 mm"], ["20 mm", "180 mm"]],
            "wall": "2 mm",
        },
        "carrier": {"shape": "disc", "diameter": "80 mm", "above_base": "70 mm"},
        "fill": {"light": "bullet-12mm-12v", "count": 8},
        "pigtail": {"cable": "cable-3x18awg", "length": "150 mm"},
        "gland": {"part": "gland-pg7", "count": 2},
        "hook": "hook-steel-s",
    }
    string = {
        "lead": {"cable": "cable-3x18awg", "length": "4 m"},
        "span": {"cable": "cable-3x18awg", "length": ["1 m", "1.4 m", "2 m"], "joint": "splice-gel"},
        "feeds": [{"before": 3, "supply": "shed", "cable": "cable-3x18awg", "length": "6 m"}],
        "place": {"line": [["0 m", "2 m"], ["6 m", "2 m"]]},
    }
    return planned(stated(props="4 * float", kind=kind, string=string, drip_loop="60 mm"))


def told(content: Any) -> Iterator[str]:
    """Every text in plain data."""
    if isinstance(content, str):
        yield content
    elif isinstance(content, dict):
        for value in content.values():
            yield from told(value)
    elif isinstance(content, list | tuple):
        for value in content:
            yield from told(value)


def everything(plan: Plan, units: Units) -> list[str]:
    """Every text of a book: those of the pages and those in the pictures and beside them, and those of the labels."""
    source = BookSource(plan, Measures(units))
    stamp = Stamp("0123 4567 89ab", DAY)
    content = json.loads(json.dumps(gather(source, stamp, BookRequest(units=units, date=DAY))))
    del content["units"]  # tells of the ruler of the templates, which has both
    texts = list(told(content))
    for picture in source.pictures.values():
        texts += [unescape(text) for text in re.findall(r">([^<>]+)<", picture.decode("utf-8"))]
    sheets = label_sheets(plan, stamp, sheet_size("a4-70x37"), units=units)
    texts += [record.text for sheet in sheets for record in sheet.records if isinstance(record, Text)]
    return [re.sub(NAMES, "", text.replace("\u00a0", " ")) for text in texts]


@pytest.mark.parametrize(("units", "own", "other"), [("metric", METRIC, US), ("us", US, METRIC)])
def test_units_alone_stand_alone_in_every_text_picture_and_label(
    books: Books, rich: Plan, units: Units, own: str, other: str
) -> None:
    for plan in (books.plan(FIRST), rich):
        texts = everything(plan, units)
        assert [text for text in texts if re.search(other, text) or re.search(UNIT_ALONE[units], text)] == []
        assert sum(bool(re.search(own, text)) for text in texts) > 50


def test_both_units_stand_in_every_sort_of_picture(rich: Plan) -> None:
    texts = everything(rich, "both")
    for words in (
        "m from supply end",
        "ft",
        "50 mm",
        "2 in",
        "spans 1.06 to 2.06 m / 3.5 to 6.8 ft, cable-3x18awg",
        "this end: prop 1",
        "13 ft 3 7/8 in,",
    ):
        assert words in texts


def test_assumptions_are_told_in_the_units_of_the_reader(rich: Plan) -> None:
    # 10 m / 0.3048 = 32.808 ft; 550 mm / 25.4 = 21.654 in; 15 kg / 0.45359237 = 33.07 lb.
    def values(units: Units) -> dict[str, str]:
        source = BookSource(rich, Measures(units), drawn=False)
        content = gather(source, Stamp("", DAY), BookRequest(units=units))
        return {row["where"]: row["value"] for row in content["assumptions"]}

    us, both, metric = values("us"), values("both"), values("metric")
    assert (us["viewing"], us["packing.width"], us["packing.mass"]) == ("32.8 ft", "21.65 in", "33.1 lb")
    assert both["packing.width"] == "550 mm / 21.65 in"
    assert (metric["viewing"], metric["packing.mass"]) == ("10 m", "15 kg")
    assert us["labour.hang_prop"] == metric["labour.hang_prop"]


# Where a light lies inside a shell is told in the millimetres of its coordinates.
IN_COORDINATES = {"light-not-computed"}


@pytest.mark.parametrize("code", sorted(CASES.keys() - IN_COORDINATES))
def test_what_any_finding_says_can_be_told_in_one_measure(code: str) -> None:
    for found in plan_of(case(code)).findings:
        if found.code not in IN_COORDINATES:
            for units, other in (("us", METRIC), ("metric", US)):
                reader = Reader(units)
                for text in (found.told(reader), found.mend_told(reader)):
                    assert re.search(other, re.sub(NAMES, "", text)) is None, text
