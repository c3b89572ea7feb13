"""A whole job without a mouse, from the empty display to its book, by Tab, arrows, Enter, Space and typing alone."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from hollowglow.file import load
from hollowglow.web.page.rooms import ROOMS
from tests.web.conftest import Bench, end, quiet, settled, start, tab_of, until
from tests.web.keys import Keys
from tests.web.lit import Ear
from tests.web.test_place import until as until_yard


@pytest.fixture
def porch(tmp_path: Path) -> Iterator[Bench]:
    made = start(tmp_path / "porch.yaml")
    yield made
    end(made)


@pytest.fixture
def tab(browser: Browser, porch: Bench) -> Iterator[Page]:
    yield from tab_of(browser, porch, "", "h1", accept_downloads=True)


def begun(tab: Page, keys: Keys) -> None:
    """Begin a display: a kind, a string and a supply, in feet."""
    keys.do(tab.get_by_role("button", name="Units: metres"))
    expect(tab.get_by_role("button", name="Units: feet")).to_be_focused()
    keys.fill("Name of the display", "Porch")
    keys.fill("Size of the shell", "6 in")
    keys.fill("Name of the string", "eaves")
    keys.fill("How many props", "40")
    keys.fill("Cable between neighbours", "5 ft")
    keys.fill("Name of the supply", "shed")
    keys.do(tab.get_by_role("button", name="Begin"))
    expect(tab.get_by_text("Lowest voltage", exact=True)).to_be_visible()
    assert "Porch" in keys.held()["what"]


def filled(tab: Page, keys: Keys, bench: Bench) -> str:
    """Add a kind, change a field by its list, and use a candidate; return what the candidate is."""
    keys.go("Fill")
    keys.reach(tab.get_by_text("Add a kind"))
    keys.press("Enter")
    new = tab.locator("form", has=tab.get_by_role("heading", name="A new kind"))
    keys.fill("Name of the kind", "moon", new)
    keys.choose("Shape of the shell", "cylinder", new)
    keys.fill("Size of the shell", "8 in", new)
    keys.choose("Light inside", "bullet-12mm-12v", new)
    keys.fill("How many lights inside", "2", new)
    keys.do(new.get_by_role("button", name="Add it"))
    expect(tab.get_by_role("link", name="moon")).to_be_visible()
    keys.held()

    own = tab.locator("form", has=tab.get_by_role("heading", name="globe", exact=True))
    slider = own.get_by_role("slider", name="Lights inside")
    keys.reach(slider)
    with tab.expect_response(lambda answer: answer.url.endswith("/preview")):
        keys.press("ArrowRight")
    expect(slider).to_be_focused()
    hangs = own.locator(".field", has=tab.get_by_label("Hangs", exact=True))
    keys.reach(hangs.get_by_role("button", name="Choices"))
    keys.press("Enter")
    listed = tab.get_by_role("dialog").get_by_role("button")
    expect(listed.first).to_be_focused()
    keys.press("Escape")
    expect(tab.get_by_role("dialog")).to_have_count(0)
    expect(hangs.get_by_role("button", name="Choices")).to_be_focused()
    keys.press("Enter")
    keys.press("End", "Home", "ArrowDown")
    keys.held()
    chosen = listed.nth(1).inner_text()
    keys.press("Enter")
    expect(hangs.locator("input[list]")).to_be_focused()
    expect(hangs.locator("input[list]")).to_have_value(chosen)
    expect(tab.get_by_role("dialog")).to_have_count(0)
    keys.press("Tab", "Enter")
    expect(listed.nth(1)).to_be_focused()
    keys.press("Tab")  # what is open closes, and the way goes on from its field
    expect(tab.get_by_role("dialog")).to_have_count(0)
    expect(hangs.get_by_role("button", name="Choices")).to_be_focused()
    write = own.get_by_role("button", name="Write it into the file")
    keys.do(write)
    expect(tab.locator(".slip")).to_contain_text("Written into")
    expect(tab.locator("#state")).not_to_contain_text("Computing")
    expect(write).to_be_focused()
    assert f"hangs: {chosen}" in bench.text

    keys.do(tab.get_by_role("button", name="Compare side by side"))
    first = tab.get_by_role("button", name="Use this one").first
    expect(first).to_be_visible()
    expect(tab.get_by_role("button", name="Compare side by side")).to_be_focused()
    words = tab.get_by_role("row").filter(has=first).locator("td").first.inner_text()
    keys.do(first)
    expect(tab.locator(".slip")).to_contain_text("Written into")
    expect(tab.get_by_role("button", name="Use this one")).to_have_count(0)
    assert "What else could be inside" in keys.held()["what"]
    return words


def added(tab: Page, keys: Keys, bench: Bench) -> None:
    """Add a supply, and a string of the other kind."""
    keys.go("Feed")
    keys.reach(tab.get_by_text("Add a string or a supply"))
    keys.press("Enter")
    supply = tab.locator("form", has=tab.get_by_role("heading", name="A new supply"))
    keys.fill("Name of the supply", "barn", supply)
    keys.do(supply.get_by_role("button", name="Add it"))
    string = tab.locator("form", has=tab.get_by_role("heading", name="A new string"))
    expect(string.get_by_label("Fed by the supply").locator("option")).to_have_count(2)
    keys.held()
    keys.reach(string.get_by_label("Name of the string"), "Shift+Tab")
    keys.write("gate")
    keys.choose("Kind of its props", "moon", string)
    keys.fill("How many props", "3", string)
    keys.choose("Fed by the supply", "barn", string)
    keys.do(string.get_by_role("button", name="Add it"))
    expect(tab.get_by_role("link", name="gate")).to_be_visible()
    keys.held()
    assert bench.text.count("length: 10 ft") == 2


def placed(tab: Page, keys: Keys, bench: Bench) -> None:
    """Draw a string's line, move a prop and take that back, put both supplies and the controller down."""
    keys.go("Place")
    until_yard(tab, "strings.length === 2")
    keys.reach(tab.get_by_role("link", name="eaves"))
    with tab.expect_navigation():
        keys.press("Enter")
    until_yard(tab, "strings.length === 2")
    stage, tray = tab.locator("place-yard .stage"), tab.locator("place-yard .tray")
    keys.choose("Step", "1 ft", tab.locator("place-yard"))
    keys.reach(tab.get_by_role("button", name="Draw a line"), "Shift+Tab")
    keys.press("Enter")
    expect(stage).to_be_focused()
    keys.press("Shift+ArrowLeft")
    expect(tray).to_contain_text("Cross: -10 ft across, 5 ft up.")
    keys.press("Space", "Shift+ArrowRight", "Shift+ArrowRight", "Space")
    expect(tray).to_contain_text("eaves: 2 points, 20 ft.")
    expect(tab.locator("place-yard [role=status]")).to_contain_text("eaves: 2 points, 20 ft.")
    keys.press("Enter")
    expect(tray.get_by_label("Set out")).to_be_focused()
    keys.do(tray.get_by_role("button", name="Set it out"))
    until_yard(tab, "props === 40")
    expect(stage).to_be_focused()
    assert "line: [[-10 ft, 5 ft], [10 ft, 5 ft]]" in bench.text.replace('"', "")

    before = bench.file.read_bytes()
    keys.press("n", "n")
    expect(tray).to_contain_text("eaves, prop 2: ")
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        keys.press("ArrowUp")
    assert "6 ft" in bench.text
    keys.reach(tray.get_by_role("button", name="Back onto the line"))
    keys.reach(stage, "Shift+Tab")
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        keys.press("Control+z")
    expect(tab.locator("#told")).to_contain_text("Taken back")
    assert bench.file.read_bytes() == before
    expect(stage).to_be_focused()
    keys.press("Enter")
    expect(tray.get_by_label("Across")).to_be_focused()
    keys.write("-9 ft 6 in")
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        keys.press("Enter")
    expect(stage).to_be_focused()
    expect(tray).to_contain_text("-9 ft 6 in across")
    keys.press("Escape")

    keys.reach(tab.get_by_role("button", name="Put a supply"), "Shift+Tab")
    keys.press("Enter")
    expect(stage).to_be_focused()
    for name in ("shed", "barn", "controller"):
        expect(tray.get_by_label("Put here").locator("option:checked")).to_contain_text(name)
        keys.press("ArrowRight")
        with tab.expect_response(lambda answer: answer.url.endswith("/place/do.json")):
            keys.press("Space")
    expect(tray).to_contain_text("Drag a prop")
    expect(stage).to_be_focused()

    follow = tab.get_by_role("button", name="Let them follow")
    keys.do(follow)
    expect(follow).to_be_disabled()
    assert "Lengths from the drawing" in keys.held()["what"]
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        keys.press("Control+z")
    expect(follow).to_be_enabled()
    keys.held()


def test_a_whole_job_is_done_by_keyboard_alone(tab: Page, porch: Bench, ear: Ear) -> None:
    keys = Keys(tab)
    begun(tab, keys)
    candidate = filled(tab, keys, porch)
    added(tab, keys, porch)
    placed(tab, keys, porch)

    keys.go("Feed")
    keys.do(tab.get_by_role("button", name="Find the cheapest plans"))
    use = tab.get_by_role("button", name="Use this plan")
    expect(use).to_be_visible()
    expect(tab.get_by_role("button", name="Find the cheapest plans")).to_be_focused()
    keys.do(use)
    expect(use).to_have_count(0)
    assert keys.held()["what"].startswith("H3 gate: ")
    assert "feeds:" in porch.text

    keys.go("Address")
    keys.reach(tab.get_by_role("link", name="CSV of all strings"))
    with tab.expect_download() as table:
        keys.press("Enter")
    assert "eaves/prop40" in Path(table.value.path()).read_text(encoding="utf-8")

    keys.go("Match")
    keys.do(tab.get_by_role("button", name="Find levels that match"))
    levels = tab.get_by_role("button", name="Write these levels")
    expect(levels).to_be_visible()
    keys.do(levels)
    expect(levels).to_have_count(0)
    keys.held()
    assert "levels:" in porch.text

    keys.go("Test")
    keys.fill("Address of the controller", ear.at)
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        keys.press("Enter")
    stop = tab.get_by_role("button", name="Stop sending")
    expect(stop).to_be_visible()
    assert tab.locator(".step").inner_text() in keys.held()["what"]
    until(ear.slots)
    keys.do(tab.get_by_role("button", name="Next →"))
    expect(tab.locator(".nth")).to_contain_text("Step 2")
    expect(tab.get_by_role("button", name="Next →")).to_be_focused()
    keys.reach(stop, "Shift+Tab")
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        keys.press("Enter")
    expect(tab.get_by_role("button", name="Start sending")).to_be_visible()
    keys.held()
    until(lambda: ear.terminated)

    keys.go("Book")
    keys.reach(tab.get_by_label("A4"))
    keys.press("ArrowRight")
    expect(tab.get_by_label("US Letter")).to_be_checked()
    keys.do(tab.get_by_role("button", name="Make the book (PDF)"))
    take = tab.get_by_role("link", name="Take Porch-book.pdf")
    expect(take).to_be_visible()
    expect(tab.get_by_role("button", name="Make the book (PDF)")).to_be_focused()
    keys.reach(take)
    with tab.expect_download() as book:
        keys.press("Enter")
    assert Path(book.value.path()).read_bytes().startswith(b"%PDF")

    made = load(porch.file)
    assert (made.display, list(made.kinds), list(made.strings)) == ("Porch", ["globe", "moon"], ["eaves", "gate"])
    eaves, fill = made.strings["eaves"], made.kinds["globe"].fill
    assert candidate.removeprefix(f"{fill.count} × ") in (fill.light, f"{fill.light}, {fill.arrangement}")
    assert eaves.place is not None
    assert eaves.place.line == ((-3.048, 1.524, 0.0), (3.048, 1.524, 0.0))
    assert [(m.prop, m.at[:2]) for m in eaves.place.moved] == [(2, (pytest.approx(-9.5 * 0.3048), 1.524))]
    assert eaves.feeds
    assert made.supplies["shed"].at is not None
    assert made.strings["gate"].supply == "barn"
    assert min(made.levels.values()) < 1.0
    assert " m]" not in porch.text


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    from hollowglow.jobs.start.demo import write_demo

    made = start(write_demo(tmp_path_factory.mktemp("laps"))[0])
    settled(made)
    yield made
    end(made)


@pytest.mark.parametrize("width", [1280, 390])
def test_the_way_around_every_room_follows_its_reading_and_ends(browser: Browser, demo: Bench, width: int) -> None:
    for page in tab_of(browser, demo, viewport={"width": width, "height": 800}):
        for room in ROOMS:
            page.goto(demo.address + room.name)
            if room.name == "place":
                until_yard(page, "props === 60")
            quiet(page)
            for folded in page.locator("details").all():
                folded.evaluate("one => { one.open = true; }")
            there, back = Keys(page).lap(), Keys(page).lap("Shift+Tab")
            assert len(there) > 12, room.name
            assert sorted(there) == sorted(back), room.name
