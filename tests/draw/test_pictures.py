"""What holds for every picture: well formed, finite, inside its page, free of collisions and repeatable."""

from __future__ import annotations

import math
import re
from dataclasses import astuple
from itertools import combinations
from xml.etree import ElementTree

import pytest

from hollowglow.draw.circuit.line_diagram import single_line
from hollowglow.draw.circuit.profile import string_profile
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Drawing, Text
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.sheet.terminal import to_text
from tests.draw import glow_samples
from tests.draw.samples import AWKWARD, DIAGRAMS, PROFILES

SVG = "{http://www.w3.org/2000/svg}"
PICTURES = {f"profile, {name}": string_profile(profile) for name, profile in PROFILES.items()}
PICTURES |= {f"diagram, {name}": single_line(diagram) for name, diagram in DIAGRAMS.items()}
PICTURES |= glow_samples.PICTURES

every_picture = pytest.mark.parametrize("drawing", PICTURES.values(), ids=PICTURES.keys())


def numbers(value: object) -> list[float]:
    if isinstance(value, tuple):
        return [number for part in value for number in numbers(part)]
    return [value] if isinstance(value, float | int) and not isinstance(value, bool) else []


@every_picture
def test_svg_is_well_formed_and_sized_in_millimetres(drawing: Drawing) -> None:
    root = ElementTree.fromstring(to_svg(drawing).encode())
    assert root.tag == f"{SVG}svg"
    assert root.attrib["version"] == "1.1"
    assert root.attrib["width"].removesuffix("mm") == root.attrib["viewBox"].split()[2]
    assert root.attrib["height"].removesuffix("mm") == root.attrib["viewBox"].split()[3]
    assert root.findtext(f"{SVG}title") == drawing.title
    assert root.findtext(f"{SVG}desc") == drawing.description


@every_picture
def test_svg_fetches_and_runs_nothing(drawing: Drawing) -> None:
    svg = to_svg(drawing)
    images = 'xlink:href="data:image/png;base64,'
    spaces = ["http://www.w3.org/2000/svg"] + ["http://www.w3.org/1999/xlink"] * (images in svg)
    assert re.findall(r"[a-z]+://[^\"<]*", svg) == spaces
    svg = svg.replace(images, "")
    for word in ("<script", "href", "url(", "@import", "onload", "<!DOCTYPE"):
        assert word not in svg


@every_picture
def test_every_number_is_finite(drawing: Drawing) -> None:
    for record in drawing.records:
        assert all(map(math.isfinite, numbers(astuple(record)))), record


@every_picture
def test_every_record_lies_on_the_page(drawing: Drawing) -> None:
    page = PageBox(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    for record in drawing.records:
        assert record_box(record).inside(page), record


@every_picture
def test_no_two_words_overlap(drawing: Drawing) -> None:
    words = [record for record in drawing.records if isinstance(record, Text)]
    for one, other in combinations(words, 2):
        assert not record_box(one).overlaps(record_box(other)), (one, other)


@pytest.mark.parametrize("name", PROFILES)
def test_the_same_profile_gives_the_same_bytes(name: str) -> None:
    first, second = string_profile(PROFILES[name]), string_profile(PROFILES[name])
    assert to_svg(first).encode() == to_svg(second).encode()
    assert to_text(first, 80, 24) == to_text(second, 80, 24)


@pytest.mark.parametrize("name", DIAGRAMS)
def test_the_same_diagram_gives_the_same_bytes(name: str) -> None:
    assert to_svg(single_line(DIAGRAMS[name])).encode() == to_svg(single_line(DIAGRAMS[name])).encode()


@pytest.mark.parametrize("name", ["profile, awkward", "diagram, six"])
def test_names_with_markup_characters_arrive_unchanged(name: str) -> None:
    root = ElementTree.fromstring(to_svg(PICTURES[name]).encode())
    assert AWKWARD in {text.text for text in root.iter(f"{SVG}text")}


@every_picture
@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40), (20, 8), (1, 1)])
@pytest.mark.parametrize("unicode", [True, False])
def test_terminal_picture_has_the_size_asked_for(drawing: Drawing, columns: int, rows: int, unicode: bool) -> None:
    lines = to_text(drawing, columns, rows, unicode=unicode).split("\n")
    assert [len(line) for line in lines] == [columns] * rows
    assert unicode or "".join(lines).isascii()
