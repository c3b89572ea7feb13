"""The room where kinds are made alike, as a person uses it: trims one colour at a time, targets, levels, distances."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from hollowglow.measured.readings import kept
from hollowglow.messages.refusal import Input, Refusal
from hollowglow.web.forms.editing import edits_of
from hollowglow.web.rooms.match.task import luminance_of
from hollowglow.web.words import of_error
from tests.measured.photo.made import Prop
from tests.web.conftest import Bench, bench_on, press, quiet
from tests.web.test_photographs import DISPLAY, put, shoot

TRIMS = ("trims", "float")


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    yield from bench_on(tmp_path / "two.yaml", DISPLAY)


@pytest.fixture
def room(tab: Page, bench: Bench) -> Page:
    tab.goto(bench.address + "match")
    return tab


@pytest.mark.parametrize(
    ("stated", "entries", "expected"),
    [
        ("", ["", "", ""], {}),
        ("", ["", "0.9", ""], {TRIMS: [1, 0.9, 1]}),
        ("", ["", " 90 % ", "0.8"], {TRIMS: [1, "90 %", 0.8]}),
        ("[1, 0.9, 1]", ["1", "0.9", "1"], {}),
        ("[1, 0.9, 1]", ["1", "0.85", "1"], {TRIMS: [1, 0.85, 1]}),
        ("[1, 0.9, 1]", ["", "", ""], {TRIMS: None}),
        ("", ["]", "", ""], {TRIMS: "[], 1, 1]"}),
    ],
)
def test_fields_for_single_colours_are_one_list_in_the_file(
    stated: str, entries: list[str], expected: dict[tuple[str, ...], object]
) -> None:
    form = {'list:["trims", "float"]': "1", 'seen:["trims", "float"]': stated, 'was:["trims", "float"]': "null"}
    form |= {f'put:["trims", "float", {i}]': text for i, text in enumerate(entries)}
    wanted, edits = edits_of(form)
    assert edits == expected
    # What was typed stays in its fields when it is refused.
    assert [wanted[(*TRIMS, i)] for i in range(3)] == entries


def test_refusals_speak_of_fields_and_not_of_options() -> None:
    for refusal, told in (
        (Refusal(Input("share"), " is '0'; expected a share."), "The share is '0'; expected a share."),
        (Refusal(Input("luminance"), " is none; leave out ", Input("by", "intensity"), ", or give ", Input("share"), "."),
         "The luminance is none; leave out intensity, or give the share."),
        (Refusal("found nothing.", field="at"), "Found nothing."),
        (Refusal("yard.jpg: found nothing."), "yard.jpg: found nothing."),
    ):  # fmt: skip
        assert of_error(refusal) == told
    assert luminance_of("40 cd/m2") == luminance_of("40") == 40.0
    assert luminance_of(None) is None


def test_trims_are_typed_colour_by_colour(room: Page, bench: Bench) -> None:
    room.get_by_label("acorn, trims, blue", exact=True).fill("140 %")
    press(room, "Write it into the file")
    expect(room.locator(".entries .why")).to_contain_text('found "140 %", expected a share like 0.85')
    expect(room.get_by_label("acorn, trims, blue", exact=True)).to_have_value("140 %")
    assert "trims" not in bench.text
    room.get_by_label("acorn, trims, blue", exact=True).fill("80 %")
    press(room, "Write it into the file")
    assert re.search(r"trims:\s+acorn: \[1, 1, 80 %\]", bench.text)
    expect(room.get_by_label("acorn, trims, blue", exact=True)).to_have_value("80 %")
    expect(room.get_by_label("float, trims, blue", exact=True)).to_have_value("")


def test_a_luminance_and_a_white_are_asked_for(room: Page) -> None:
    room.get_by_label("or a luminance, cd/m²", exact=True).fill("dull")
    press(room, "Find levels that match")
    expect(room.locator("#errand-match")).to_contain_text('The luminance is "dull"; expected cd/m2', timeout=20_000)
    room.get_by_label("or a luminance, cd/m²", exact=True).fill("20")
    room.get_by_label("White", exact=True).fill("0.3127, 0.3290")
    press(room, "Find levels that match")
    expect(room.get_by_text("To 20.0 cd/m²; white x 0.313, y 0.329.")).to_be_visible(timeout=20_000)
    typing = room.get_by_role("table").filter(has_text="0 to 255").first
    expect(typing.get_by_role("row", name=re.compile("^acorn box linear"))).to_be_visible()


def test_levels_and_distances_go_with_the_photographs(room: Page, bench: Bench, tmp_path: Path) -> None:
    # Floats of 150 mm at 5 m, acorns of 100 mm at 10 m; both as bright, the acorns at half their duty.
    props = [Prop(150, 90 + 140 * i, (30, 10)[i % 2], 0.4) for i in range(6)]
    put(room, shoot(tmp_path / "a.jpg", props))
    expect(room.locator(".prop")).to_have_count(6, timeout=20_000)
    quiet(room)
    room.get_by_text("Name them without clicking").click()
    room.get_by_label("By number").fill("1=float,2=acorn,3=float,4=acorn,5=float,6=acorn")
    room.get_by_label("Levels that they had").first.fill("acorn=50 %")
    room.get_by_label("How far they were from the camera").fill("float=5 m,acorn=10 m")
    press(room, "Measure the kinds")
    row = room.locator("#photographed").get_by_role("row", name=re.compile("^acorn")).first
    expect(row).to_be_visible(timeout=20_000)
    cells = [cell.removesuffix(" %") for cell in row.locator("td").all_inner_texts()]
    # As bright; four ninths of the area; twice as bright at full.
    assert float(cells[2]) == pytest.approx(100.0, abs=3)
    assert float(cells[4]) == pytest.approx(44.4, abs=2)
    assert cells[7:] == ["50", "100"]
    floats = room.locator("#photographed").get_by_role("row", name=re.compile("^float")).first
    assert float(floats.locator("td").nth(8).inner_text().removesuffix(" %")) == pytest.approx(50.0, abs=2)
    press(room, "Keep these readings beside the display file")
    expect(room.get_by_text("Kept in two.readings.sqlite")).to_be_visible(timeout=20_000)
    (taking,) = kept(bench.file)
    assert taking.across == "distance"
