"""The room Test in a real browser: from the address to answers in the record, with a receiver that sees the slots."""

from __future__ import annotations

import re
import signal
from collections.abc import Iterator
from pathlib import Path
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Browser, Page, expect
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

from hollowglow.measured.readings import answered
from hollowglow.net.sending.left_on import noticed
from tests.web.conftest import Bench, end, start, tab_of, until
from tests.web.lit import PATIENCE_S, Ear


@pytest.fixture
def demo_file(small_file: Path) -> Path:
    """Return a small display in place of the demo."""
    return small_file


@pytest.fixture
def bench(bench: Bench) -> Bench:
    """Return the workbench with nothing lit and nothing answered yet."""
    with urlopen(Request(bench.address + "test/stop", b"", {"origin": bench.address.rstrip("/")}), timeout=PATIENCE_S):
        pass
    for left in bench.file.parent.glob("*.sqlite*"):
        left.unlink()
    return bench


@pytest.fixture
def tab(browser: Browser, bench: Bench) -> Iterator[Page]:
    """Yield a page in the room Test once the plan is there."""
    yield from tab_of(browser, bench, "test", "#in-to")


def begin(tab: Page, ear: Ear) -> None:
    """Start sending to a receiver."""
    tab.get_by_label("Address of the controller").fill(ear.at)
    tab.get_by_role("button", name="Start sending").click()
    expect(tab.get_by_role("button", name="Stop sending")).to_be_visible()


def test_a_walk_from_the_address_to_answers_in_the_record(tab: Page, bench: Bench, ear: Ear) -> None:
    tab.get_by_label("Address of the controller").fill("http://127.0.0.1/")
    tab.get_by_role("button", name="Start sending").click()
    expect(tab.locator("#to-wrong")).to_contain_text("expected multicast, a host or host:port")
    expect(tab.get_by_label("Address of the controller")).to_have_value("http://127.0.0.1/")
    assert not ear.heard

    begin(tab, ear)
    expect(tab.locator(".step")).to_have_text("eave")
    until(lambda: ear.slots()[:15] == bytes([255] * 9 + [0] * 6))
    # The canvas gets these colours, and the table what they draw.
    expect(tab.locator("night-glow")).to_have_attribute("data-shown", re.compile(r"[1-9]"))
    expect(tab.locator("[data-draws] tbody tr").first).to_contain_text("shed")

    tab.keyboard.press("n")
    expect(tab.locator(".nth")).to_contain_text("colour order")
    until(lambda: ear.slots()[:9] == bytes([255, 0, 0, 0, 0, 0, 0, 0, 0]))
    for place, word in zip(("First", "Second", "Third", "Fourth"), ("green", "red", "blue", "white"), strict=True):
        tab.get_by_role("group", name=place).get_by_role("radio", name=word).check()
    tab.get_by_role("button", name="Keep these colours").click()
    expect(tab.locator("#told")).to_contain_text("eave/prop01: wrong colour (grbw), kept.")
    expect(tab.locator("#test-record")).to_contain_text("grb")

    tab.get_by_label("To", exact=True).fill("prop:arch/prop02")
    tab.get_by_role("button", name="Jump there").click()
    expect(tab.locator(".step")).to_have_text("arch/prop02")
    until(lambda: ear.slots()[:15] == bytes([0] * 12 + [255] * 3))
    tab.get_by_label("Note to the next answer").fill("rattles")
    tab.get_by_role("button", name="flickers").click()
    expect(tab.locator("#told")).to_contain_text("arch/prop02: flickers, kept.")
    kept = [(a.step, a.target, a.answer, a.seen, a.note) for a in answered(bench.file)]
    assert kept == [
        ("order", "eave/prop01", "wrong colour", "grbw", ""),
        ("prop", "arch/prop02", "flickers", "", "rattles"),
    ]

    tab.get_by_role("button", name="Stop sending").click()
    expect(tab.locator("#told")).to_contain_text("Everything is dark")
    until(lambda: ear.terminated == 3)


def test_an_own_address_that_is_none_is_told_beside_its_field(tab: Page, ear: Ear) -> None:
    tab.get_by_label("Address of the controller").fill(ear.at)
    tab.get_by_text("More choices").click()
    tab.get_by_label("Own address").fill("wifi")
    tab.get_by_role("button", name="Start sending").click()
    expect(tab.locator("#interface-wrong")).to_be_visible()
    expect(tab.locator("#interface-wrong")).to_contain_text('Found "wifi", expected the address of a network interface')
    expect(tab.get_by_label("Address of the controller")).to_have_value(ear.at)
    assert not ear.heard


def test_any_key_stops_a_full_load_trial(tab: Page, bench: Bench, ear: Ear) -> None:
    begin(tab, ear)
    tab.get_by_label("To", exact=True).fill("load shed")
    tab.get_by_role("button", name="Jump there").click()
    tab.get_by_role("button", name="Start the trial").click()
    until(lambda: max(ear.slots(), default=0) > 10)
    # Lights may be there before the page knows of it; until then a key is any other key.
    expect(tab.get_by_role("button", name="Stop the trial")).to_be_visible()
    tab.keyboard.press("q")
    expect(tab.get_by_role("button", name="Start the trial")).to_be_visible()
    until(lambda: not any(ear.slots()))


def test_a_walk_works_without_script(browser: Browser, bench: Bench, ear: Ear) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(bench.address + "test")
    begin(page, ear)
    page.get_by_role("button", name="Next →").click()
    expect(page.locator(".nth")).to_contain_text("colour order")
    page.get_by_role("button", name="lit").click()
    expect(page.locator("#told")).to_contain_text("eave/prop01: lit, kept.")
    expect(page.locator(".nth")).to_contain_text("both ends")
    page.get_by_role("button", name="Stop sending").click()
    expect(page.get_by_role("button", name="Start sending")).to_be_visible()
    context.close()
    assert ear.terminated == 3


def test_killing_the_workbench_is_told_at_the_next_start_and_closing_it_ends_the_stream(
    browser: Browser, bench: Bench, ear: Ear
) -> None:
    tab = browser.new_page()
    tab.goto(bench.address + "test")
    begin(tab, ear)
    until(ear.slots)
    bench.process.send_signal(signal.SIGKILL)
    bench.process.wait(PATIENCE_S)
    bench.worn = True
    assert noticed(bench.file) is not None
    assert ear.terminated == 0

    again = start(bench.file)
    try:
        tab.goto(again.address + "test")
        expect(tab.locator("#test-step")).to_contain_text("was cut off while something on a walk was lit")
        tab.get_by_role("button", name="Blackout there").click()
        expect(tab.locator("#told")).to_contain_text("A blackout was sent there.")
        until(lambda: ear.terminated == 3)
        begin(tab, ear)
        until(lambda: any(ear.slots()))
    finally:
        end(again)
    until(lambda: ear.terminated == 6)
    assert noticed(bench.file) is None
    tab.close()


def test_colours_are_streamed_to_pages_of_this_workbench_only(bench: Bench) -> None:
    stream = bench.address.replace("http", "ws") + "test/glow"
    with connect(stream, origin=bench.address.rstrip("/")) as socket:  # type: ignore[arg-type]
        assert len(socket.recv(timeout=PATIENCE_S)) >= 4
    with pytest.raises(InvalidStatus), connect(stream, origin="http://elsewhere.example"):  # type: ignore[arg-type]
        pass
