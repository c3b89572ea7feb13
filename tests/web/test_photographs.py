"""Photographs and a meter at the workbench, in a real browser: from the files to levels in the display file."""

from __future__ import annotations

import io
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from hollowglow.measured.readings import kept
from hollowglow.messages.refusal import Refusal
from hollowglow.web.desk.album import MOST, MOST_BYTES, Album, plain_name
from tests.measured.photo.made import Prop
from tests.measured.photo.yard import KINDS, PROPS, shoot
from tests.web.conftest import Bench, bench_on, press, quiet
from tests.web.lit import PATIENCE_S

DISPLAY = f"""\
display: Two kinds
supplies:
  shed: {{voltage: 12 V, rating: 100 W}}
controllers:
  box: {{outputs: 2, nodes_per_output: 600}}
{KINDS}strings:
  rail:
    output: box/1
    supply: shed
    props: [3 * float, 3 * acorn]
    lead: {{cable: cable-3x18awg, length: 2 m}}
    span: {{cable: cable-3x18awg, length: 1 m}}
"""


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    yield from bench_on(tmp_path / "two.yaml", DISPLAY)


@pytest.fixture
def room(tab: Page, bench: Bench) -> Page:
    tab.goto(bench.address + "match")
    return tab


def put(room: Page, *files: Path) -> None:
    room.get_by_label("Photographs of lit props").set_input_files(list(files))
    press(room, "Analyse")


def test_props_are_named_by_clicking_and_the_levels_that_follow_are_written(
    room: Page, bench: Bench, tmp_path: Path
) -> None:
    before = bench.text
    put(room, shoot(tmp_path / "a.jpg"), shoot(tmp_path / "b.jpg", scale=0.5, time_s=1 / 120))
    expect(room.locator(".prop")).to_have_count(6)
    quiet(room)
    room.get_by_role("button", name="Prop 1: no kind yet").click()
    # By the keyboard: the letter of a kind names the prop, an arrow leads to the next one.
    for key in ("ArrowRight", "b", "ArrowRight", "a", "ArrowRight", "b", "ArrowRight", "a", "ArrowRight"):
        room.keyboard.press(key)
    expect(room.get_by_role("button", name="Prop 4: acorn")).to_be_visible()
    expect(room.get_by_text("5 of 6 props named")).to_be_visible()
    room.keyboard.press("Enter")
    press(room, "Measure the kinds")
    row = room.locator("#photographed").get_by_role("row", name=re.compile("^acorn")).first
    expect(row).to_be_visible()
    cells = row.locator("td").all_inner_texts()
    # 0.3 of 0.5, and that times the square of 20 over 30.
    assert float(cells[2].removesuffix(" %")) == pytest.approx(60.0, abs=2)
    assert float(cells[4].removesuffix(" %")) == pytest.approx(26.7, abs=1.5)
    assert bench.text == before
    assert kept(bench.file) == ()
    press(room, "Write these levels")
    level = re.search(r"levels:.*?float: (\d+(?:\.\d+)?) ?%", bench.text, re.S)
    assert level is not None
    press(room, "Keep these readings beside the display file")
    expect(room.get_by_text("Kept in two.readings.sqlite")).to_be_visible()
    (taking,) = kept(bench.file)
    assert taking.how == "photograph"
    assert {one.kind for one in taking.kinds} == {"float", "acorn"}
    expect(room.get_by_text("acorn: corrected by the photograph")).to_be_visible()


def test_what_is_wrong_with_photographs_is_said_and_nothing_is_lost(room: Page, tmp_path: Path) -> None:
    words = tmp_path / "words.jpg"
    words.write_text("not a picture", encoding="utf-8")
    one, two = shoot(tmp_path / "one.jpg", noted=False), shoot(tmp_path / "two.jpg", scale=0.5, noted=False)
    put(room, words, one, two)
    said = room.locator("#going-photographs")
    expect(said).to_contain_text("words.jpg: found no picture that can be read")
    press(room, "Take words.jpg away")
    expect(said).to_contain_text("found no exposure time")
    room.get_by_label("one.jpg (").fill("1/60 s")
    press(room, "Look again")
    expect(said).to_contain_text("two.jpg: found no exposure, but others were typed")
    expect(room.get_by_label("one.jpg (")).to_have_value("1/60 s")
    room.get_by_label("two.jpg (").fill("1/120 s")
    press(room, "Look again")
    expect(room.locator(".prop")).to_have_count(6)
    put(room, shoot(tmp_path / "dark.jpg", [], noted=False))
    expect(said).to_contain_text("found no exposure")
    expect(room.get_by_role("button", name=re.compile("^Take .* away$"))).to_have_count(3)


def test_without_script_props_are_named_by_typing(bench: Bench, browser: Browser, tmp_path: Path) -> None:
    context = browser.new_context(java_script_enabled=False)
    room = context.new_page()
    room.goto(bench.address + "match")
    room.get_by_label("Photographs of lit props").set_input_files(
        shoot(tmp_path / "a.jpg", [*PROPS[:5], Prop(150, 790, 20, 0.2)])
    )
    room.get_by_role("button", name="Analyse").click()
    again(room, room.get_by_text("Name them without clicking"))
    room.get_by_text("Name them without clicking").click()
    room.get_by_label("By number").fill("1-5=float,2=acorn")
    room.get_by_role("button", name="Measure the kinds").click()
    again(room, room.get_by_text("found the number 2 twice"))
    room.get_by_text("Name them without clicking").click()
    expect(room.get_by_label("By number")).to_have_value("1-5=float,2=acorn")
    room.get_by_label("By number").fill("1=float,2=acorn,3=float,4=acorn,5=float")
    room.get_by_role("group", name="Prop 6").get_by_label("acorn").check()
    room.get_by_role("button", name="Measure the kinds").click()
    again(room, room.get_by_role("heading", name="What the photographs say"))
    # A third of the light is missing from one of three: 0.2 for 0.3.
    expect(room.get_by_text("the third acorn (number 6) is 33 % dim")).to_be_visible()
    context.close()


def again(page: Page, wanted: object) -> None:
    """Load a page again until something is on it, as a person without script does."""
    stop = time.monotonic() + PATIENCE_S
    while not wanted.count():  # type: ignore[attr-defined]
        assert time.monotonic() < stop, page.locator("main").inner_text()
        page.wait_for_timeout(100)
        page.reload()


def test_a_meter_gives_levels_and_a_mistake_stays_in_its_field(room: Page, bench: Bench) -> None:
    room.get_by_label("float", exact=True).fill("0.5 lux at 2 m")
    room.get_by_label("acorn", exact=True).fill("40 apples")
    press(room, "Find levels from these")
    expect(room.locator(".field.wrong .why")).to_contain_text('found "40 apples", expected a reading like')
    expect(room.get_by_label("float", exact=True)).to_have_value("0.5 lux at 2 m")
    room.get_by_label("acorn", exact=True).fill("1 lux at 2 m")
    press(room, "Find levels from these")
    # E d² (CIE 070): 0.5 lx and 1 lx at 2 m are 2 cd and 4 cd.
    row = room.locator("#metered").get_by_role("row", name="acorn – 4.00 cd")
    expect(row).to_be_visible()
    press(room, "Write these levels")
    assert re.search(r"levels:", bench.text)
    assert kept(bench.file) == ()


def test_the_album_refuses_what_is_too_much() -> None:
    album = Album()
    with pytest.raises(Refusal, match=r"a\.jpg: found 64\.0 MiB, expected 64 MiB at most"):
        album.add("C:\\pictures\\a.jpg", io.BytesIO(b"a"), MOST_BYTES + 1)
    with pytest.raises(Refusal, match="found an empty file"):
        album.add("a.jpg", io.BytesIO(), 0)
    for i in range(MOST):
        album.add("../a.jpg", io.BytesIO(bytes([i])), 1)
    with pytest.raises(Refusal, match="this very photograph lies here already"):
        album.add("b.jpg", io.BytesIO(bytes([3])), 1)
    with pytest.raises(Refusal, match=f"{MOST} photographs lie here already"):
        album.add("a.jpg", io.BytesIO(b"xyz"), 3)
    folder = album.pictures[0].path.parent.parent
    assert all(one.path.is_relative_to(folder) and one.name == "a.jpg" for one in album.pictures)
    album.close()
    assert not folder.exists()


def test_names_of_files_fit_any_disk() -> None:
    name = plain_name("🎄" * 200 + ".jpeg")
    assert name.endswith("🎄.jpeg")
    assert len(name.encode()) <= 255
