"""Tools of the drawing in a real browser: supplies put down by a click, corners marked in any order, units as chosen."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import permutations
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from hollowglow.quantity import measures, written
from hollowglow.quantity.units import parse
from tests.web.conftest import Bench, bench_on, serious
from tests.web.test_place import YARD, click, seen, sent, until


@pytest.fixture
def wall(tmp_path: Path) -> Iterator[Bench]:
    yield from bench_on(tmp_path / "wall.yaml", YARD.replace(", at: [0 m, 0 m]", ""))


@pytest.fixture
def yard(browser: Browser, wall: Bench) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    tab = context.new_page()
    tab.on("pageerror", lambda error: pytest.fail(str(error)))
    tab.goto(wall.address + "place")
    until(tab, "strings.length === 1")
    yield tab
    context.close()


def test_corners_go_round_from_the_bottom_left_one_whatever_their_order(yard: Page) -> None:
    around = [[x, -y] for x, y in (seen(p) for p in ((0.0, 0.0), (2.0, 0.0), (2.0, 2.2), (0.0, 2.2)))]
    every = [list(order) for order in permutations(around)]
    told = yard.evaluate(
        "async (all) => { const { goingRound } = await import('/static/place_tools.js'); return all.map(goingRound); }",
        every,
    )
    assert told == [around] * 24


def test_supplies_and_controllers_are_put_down_by_a_click_or_with_the_keys(yard: Page, wall: Bench) -> None:
    expect(yard.get_by_text("box has no place yet:")).to_be_visible()
    with sent(yard):
        yard.get_by_role("button", name="Units: metres").click()
    expect(yard.get_by_label("Step")).to_contain_text("1 ft")
    yard.get_by_role("button", name="Put a supply").click()
    chosen = yard.get_by_label("Put here")
    expect(chosen.locator("option:checked")).to_have_text("shed (supply, no place yet)")
    assert serious(yard) == []
    at = "(p) => document.querySelector('place-yard').view.screen(...p)"
    left, top = yard.evaluate(at, [-1.2192, 0.6096])
    with sent(yard):
        click(yard, (left, top))
    expect(chosen.locator("option:checked")).to_have_text("box (controller, no place yet)")
    stage = yard.locator("place-yard .stage")
    stage.focus()
    yard.keyboard.press("ArrowRight")
    with sent(yard):
        yard.keyboard.press(" ")
    expect(yard.locator("place-yard .tray")).to_contain_text("Drag a prop, a supply, a controller")
    until(yard, "marks.length === 2")
    across, up = yard.evaluate("document.querySelector('place-yard').scene.marks.map((one) => [one.x, one.y])")[0]
    metres = 1.0 / yard.evaluate("document.querySelector('place-yard').view.k")
    assert (across, up) == pytest.approx((-1.2192, 0.6096), abs=metres)
    assert len(re.findall(r"at: \[[^],]* (?:ft|in)\"?, [^],]* (?:ft|in)\"?\]", wall.text)) == 2
    expect(yard.get_by_text("box has no place yet:")).to_have_count(0)
    yard.get_by_text("Supplies and controllers", exact=True).click()
    typed = yard.locator("form", has=yard.get_by_role("heading", name="shed")).get_by_label("Across")
    assert re.fullmatch(r"-[34] ft( .* in)?", typed.input_value())


def test_what_is_drawn_by_someone_who_chose_feet_is_written_in_feet(yard: Page, wall: Bench) -> None:
    with sent(yard):
        yard.get_by_role("button", name="Units: metres").click()
    expect(yard.get_by_label("Step")).to_contain_text("1 ft")
    yard.get_by_role("button", name="Draw a line").click()
    at = "(p) => document.querySelector('place-yard').view.screen(...p)"
    for place in ([-1.2192, 0.6096], [2.4384, 0.6096]):
        click(yard, yard.evaluate(at, place))
    with sent(yard):
        yard.get_by_role("button", name="Set it out").click()
    until(yard, "props === 6")
    found = re.search(r"line: \[\[([^]]*)\], \[([^]]*)\]\]", wall.text)
    assert found is not None, wall.text
    lengths = [one.strip(' "') for end in found.groups() for one in end.split(",")]
    assert all(re.fullmatch(r"-?\d+ ft( .* in)?|-?.* in", one) for one in lengths), lengths
    metres = 1.0 / yard.evaluate("document.querySelector('place-yard').view.k")
    assert [parse(one, measures.SPOT) for one in lengths] == pytest.approx(
        [-1.2192, 0.6096, 2.4384, 0.6096], abs=metres
    )


def test_the_page_and_the_server_write_lengths_alike(yard: Page) -> None:
    some = [0.0, 1e-6, -1e-6, 0.0254, -0.1, 0.3048, 0.30479, 1.2192, -1.3716, 3.9635, 12.34567, -99.9]
    told = yard.evaluate(
        "async (all) => { const { typed } = await import('/static/place_view.js');"
        " return ['metric', 'us'].map((units) => all.map((one) => typed(one, units))); }",
        some,
    )
    assert told == [[written.length(one, units) for one in some] for units in ("metric", "us")]
    assert [parse(one, measures.SPOT) for one in told[1]] == pytest.approx(some, abs=0.0254 / 32 + 1e-9)


def test_a_file_that_speaks_in_feet_is_answered_in_feet_until_the_person_chooses(yard: Page, wall: Bench) -> None:
    expect(yard.get_by_role("button", name="Units: metres")).to_be_visible()
    text = wall.text.replace("length: 900 mm", "length: 3 ft").replace("length: 3 m", "length: 10 ft")
    wall.file.write_text(text, encoding="utf-8")
    with sent(yard):
        yard.get_by_role("button", name="Read it again").click()
    with sent(yard):
        yard.get_by_role("button", name="Units: feet").click()
    expect(yard.get_by_role("button", name="Units: metres")).to_be_visible()


def test_how_a_string_is_set_out_now_is_what_its_form_begins_with(yard: Page, wall: Bench) -> None:
    place = "    span: {length: 900 mm}\n    place: {line: [[0 m, 2 m], [6 m, 2 m]], pitch: 900 mm}\n"
    wall.file.write_text(wall.text.replace("    span: {length: 900 mm}\n", place), encoding="utf-8")
    with sent(yard):
        yard.get_by_role("button", name="Read it again").click()
    expect(yard.get_by_label("the props there are, at a pitch", exact=True)).to_be_checked()
    assert yard.locator("#do-set-out-pitch").input_value() == "900 mm"
    before = json.dumps(wall.text)
    with sent(yard):
        yard.get_by_role("button", name="Set out", exact=True).click()
    expect(yard.locator(".slip")).to_contain_text("Nothing was changed")
    assert json.dumps(wall.text) == before


def test_the_drawing_fits_its_stage_also_where_its_styles_come_late(browser: Browser, wall: Bench) -> None:
    place = "    span: {length: 900 mm}\n    place: {line: [[0 m, 2 m], [6 m, 2 m]]}\n"
    wall.file.write_text(YARD.replace("    span: {length: 900 mm}\n", place), encoding="utf-8")
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    tab = context.new_page()
    late: list[Route] = []
    held = True
    tab.route("**/static/place.css", lambda route: late.append(route) if held else route.continue_())
    # Its scripts are there, so that the button below loads no page anew; all of it never is without the styles.
    tab.goto(wall.address + "place", wait_until="domcontentloaded")
    with sent(tab):
        tab.get_by_role("button", name="Read it again").click()
    tab.wait_for_timeout(1500)
    held = False
    for one in late:
        one.continue_()
    until(tab, "props === 6")
    expect(tab.locator("place-yard .tray")).to_contain_text("Drag a prop")
    wide, high, k = tab.evaluate("(({ wide, high, k }) => [wide, high, k])(document.querySelector('place-yard').view)")
    stage = tab.locator("place-yard .stage").bounding_box()
    assert stage is not None
    assert (wide, high) == (stage["width"], stage["height"])
    assert 0.6 * wide < 6.0 * k < wide
    context.close()
