"""axe-core finds nothing serious on any page, light and dark, wide and narrow; no page is wider than its screen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from hollowglow.web.page.rooms import ROOMS
from tests.web.conftest import Bench, end, serious, settled, start, tab_of

LOOKS: dict[str, dict[str, Any]] = {
    "light, a laptop": {"viewport": {"width": 1280, "height": 900}, "color_scheme": "light"},
    "dark, a phone": {"viewport": {"width": 390, "height": 844}, "color_scheme": "dark"},
}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    from hollowglow.jobs.start.demo import write_demo

    made = start(write_demo(tmp_path_factory.mktemp("access"))[0], "--phone-at", "127.0.0.2")
    settled(made)
    yield made
    end(made)


@pytest.fixture(params=LOOKS)
def look(request: pytest.FixtureRequest, browser: Browser, bench: Bench) -> Iterator[Page]:
    yield from tab_of(browser, bench, **LOOKS[request.param])


@pytest.mark.parametrize("width", [390, 700, 900, 1280])
def test_the_way_to_every_room_is_in_sight(browser: Browser, bench: Bench, width: int) -> None:
    for page in tab_of(browser, bench, viewport={"width": width, "height": 800}):
        room = page.locator(".edge nav")
        assert room.evaluate("nav => nav.scrollWidth <= nav.clientWidth"), width
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), width


def test_every_room(look: Page, bench: Bench) -> None:
    for room in ROOMS:
        look.goto(bench.address + room.name)
        for folded in look.locator("details").all():
            folded.evaluate("one => { one.open = true; }")
        assert serious(look) == [], room.name
        assert look.evaluate("document.documentElement.scrollWidth <= innerWidth"), room.name


def test_the_pages_that_are_not_rooms(look: Page, bench: Bench) -> None:
    look.goto(bench.address + "phone")
    assert serious(look) == []
    code = look.locator(".code b").inner_text()
    address = look.locator(".scan code").inner_text()
    page = look.context.new_page()
    page.goto(address)
    assert serious(page) == []
    page.get_by_label("Code").fill(code)
    page.get_by_role("button", name="Go in").click()
    expect(page.get_by_role("link", name="Strings")).to_be_visible()
    for name in ("overview", "strings"):
        page.goto(address + name)
        assert serious(page) == [], name
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), name
    page.goto(address + "nowhere")
    assert serious(page) == []


def test_a_refused_field_is_told_to_everyone(look: Page, bench: Bench) -> None:
    look.goto(bench.address + "feed?string=gable")
    look.get_by_label("Lead, length").fill("5 lightyears")
    look.get_by_role("button", name="Write it into the file").click()
    expect(look.locator(".field.wrong")).to_have_count(1)
    assert serious(look) == []


def test_the_keyboard_alone_leads_from_the_first_page_to_a_field(look: Page, bench: Bench) -> None:
    look.goto(bench.address)
    look.keyboard.press("Tab")
    expect(look.get_by_role("link", name="To the work")).to_be_focused()
    look.keyboard.press("Enter")
    expect(look.locator("#work")).to_be_focused()
    mend = look.get_by_role("link", name="Mend", exact=True).first
    for _ in range(40):
        look.keyboard.press("Tab")
        if mend.evaluate("one => one === document.activeElement"):
            break
    assert mend.evaluate("one => getComputedStyle(one).outlineStyle") == "solid"
    look.keyboard.press("Enter")
    expect(look.get_by_label("Fuse at the supply")).to_be_visible()


def test_the_tour_goes_through_the_rooms_and_stays_closed(look: Page, bench: Bench) -> None:
    look.goto(bench.address)
    tour = look.get_by_role("complementary", name="Tour of the demo")
    for number in range(1, 3):
        expect(tour).to_contain_text(f"{number} of {len(ROOMS)}")
        tour.get_by_role("link", name="Go on with the tour").click()
    expect(tour).to_contain_text(f"3 of {len(ROOMS)}")
    tour.get_by_role("button", name="Close the tour for good").click()
    expect(tour).to_have_count(0)
    look.goto(bench.address)
    expect(look.get_by_role("heading", name="Findings")).to_be_visible()
    expect(tour).to_have_count(0)
    again = look.context.new_page()
    again.goto(bench.address + "feed")
    expect(again.get_by_role("complementary", name="Tour of the demo")).to_have_count(0)
