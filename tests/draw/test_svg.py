"""SVG text: digits, characters and looks."""

from __future__ import annotations

import math
from xml.etree import ElementTree

import pytest

from hollowglow.draw.sheet.records import Circle, Drawing, Line, Polyline, Rect, Text
from hollowglow.draw.sheet.style import STYLES
from hollowglow.draw.sheet.svg import to_svg


def drawn(*records: Line | Polyline | Rect | Circle | Text) -> str:
    return to_svg(Drawing(20.0, 10.0, "Sample", records))


def test_digits_are_short_and_rounded_to_micrometres() -> None:
    assert '<line x1="0.333" y1="0" x2="2" y2="10.5"/>' in drawn(Line(1 / 3, -1e-9, 2.0, 10.5, "axis"))


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_not_finite_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match=r"^a drawing holds the number .*, expected finite millimetres$"):
        drawn(Circle(value, 1.0, 1.0, "prop"))


def test_characters_that_xml_forbids_are_replaced() -> None:
    root = ElementTree.fromstring(drawn(Text(1.0, 1.0, "a\x00b\x1b\ud800c", 3.0, "label")).encode())
    assert [text.text for text in root.iter("{http://www.w3.org/2000/svg}text")] == ["a\ufffdb\ufffd\ufffdc"]


def test_a_page_without_a_description_says_its_size() -> None:
    assert "<desc>Sample, 20 mm by 10 mm.</desc>" in drawn()


def test_an_open_line_is_not_filled_and_a_closed_one_is() -> None:
    points = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0))
    assert 'fill="none"' in drawn(Polyline(points, "warn"))
    svg = drawn(Polyline(points, "warn", closed=True))
    assert "<polygon" in svg
    assert 'fill="none"' not in svg


def test_the_dash_of_a_role_is_written_out() -> None:
    dash = " ".join(f"{part:g}" for part in STYLES["minus"].dash_mm)
    assert f'stroke-dasharray="{dash}"' in drawn(Line(0.0, 0.0, 9.0, 0.0, "minus"))
