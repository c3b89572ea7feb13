"""What is wrong in a form is seen beside its field, what was typed stays, and the person stays where they are."""

from __future__ import annotations

import os
import re
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import APIResponse, Browser, Page, Route, expect

from tests.web.conftest import Bench, end, press, quiet, start, until, workers


def test_the_keyboard_stays_where_it_was(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed?string=gable")
    tab.get_by_label("Lead, length").fill("12 apples")
    write = tab.get_by_role("button", name="Write it into the file")
    write.focus()
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        tab.keyboard.press("Enter")
    expect(tab.get_by_label("Lead, length")).to_be_focused()
    tab.get_by_label("Lead, length").fill("12 m")
    write.focus()
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        tab.keyboard.press("Enter")
    expect(tab.locator(".slip")).to_have_text(f"Written into {bench.file.name}.")
    expect(tab.locator("#state")).not_to_contain_text("Computing")
    expect(write).to_be_focused()
    press(tab, "Write it into the file")
    expect(tab.locator(".slip")).to_contain_text("Nothing was changed")


def test_a_refusal_is_seen_however_far_down_its_form_stands(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "place?string=gable")
    tab.get_by_text("Move, mirror or copy the whole string").click()
    tab.get_by_label("To the string").fill("gable")
    press(tab, "Copy")
    expect(tab.locator(".slip.bad")).to_contain_text("gable was to be copied onto itself.")
    expect(tab.locator(".slip.bad")).to_be_in_viewport()
    expect(tab.get_by_label("To the string")).to_have_value("gable")


def test_what_a_field_may_say_is_listed_whatever_it_says_now(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed?string=gable")
    field = tab.locator(".field", has=tab.get_by_label("Lead, cable"))
    expect(field.locator("input[list]")).to_have_value("cable-3x18awg")
    field.get_by_role("button", name="Choices").click()
    chosen = tab.get_by_role("dialog").get_by_role("button", name="cable-3x18awg", exact=True)
    expect(chosen).to_be_focused()
    tab.keyboard.press("ArrowDown")
    other = tab.evaluate("document.activeElement.textContent")
    assert other != "cable-3x18awg"
    tab.keyboard.press("Enter")
    # The list bears the field's name too, and goes a moment after it is closed.
    expect(field.locator("input[list]")).to_have_value(other)
    expect(field.locator("input[list]")).to_be_focused()
    expect(tab.get_by_role("dialog")).to_have_count(0)
    field.get_by_role("button", name="Choices").click()
    tab.keyboard.press("Escape")
    expect(tab.get_by_role("dialog")).to_have_count(0)


@contextmanager
def slow_plan(bench: Bench) -> Iterator[None]:
    """Let no plan be done while the block lasts, as on a slow machine."""
    (worker,) = workers(bench)
    os.kill(worker, signal.SIGSTOP)
    try:
        yield
    finally:
        os.kill(worker, signal.SIGCONT)


def test_what_was_added_is_shown_however_late_its_numbers_come(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed")
    tab.get_by_text("Add a string or a supply").click()
    tab.get_by_label("Name of the string").fill("eaves")
    with slow_plan(bench):
        add = tab.get_by_role("button", name="Add it").first
        with tab.expect_response(lambda answer: "/feed" in answer.url):
            add.click()
        expect(tab.locator(".slip")).to_contain_text("Written into")
    expect(tab.get_by_role("link", name="eaves")).to_be_visible()
    expect(tab.get_by_label("Name of the string")).to_have_value("")


def test_an_answer_that_was_overtaken_says_nothing_any_more(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed?string=gable")
    late: list[tuple[Route, APIResponse]] = []
    tab.route("**/put", lambda route: late.append((route, route.fetch())))
    tab.get_by_label("Lead, length").fill("21 ft")
    tab.get_by_role("button", name="Write it into the file").click()
    until(lambda: tab.title() and late)
    press(tab, "Undo")
    expect(tab.locator(".say.good")).to_contain_text("Taken back")
    ((route, answer),) = late
    with tab.expect_response("**/feed?string=gable"):
        route.fulfill(response=answer)
    quiet(tab)
    expect(tab.locator(".say.good")).to_contain_text("Taken back")


def test_the_first_form_works_without_script(browser: Browser, tmp_path: Path) -> None:
    made = start(tmp_path / "porch.yaml")
    context = browser.new_context(java_script_enabled=False)
    plain = context.new_page()
    plain.goto(made.address)
    plain.get_by_label("Name of the display").fill("Porch")
    plain.get_by_label("Size of the shell").fill("big")
    plain.get_by_role("button", name="Begin").click()
    expect(plain.locator(".field.wrong")).to_have_count(1)
    expect(plain.get_by_label("Name of the display")).to_have_value("Porch")
    plain.get_by_label("Size of the shell").fill("6 in")
    plain.get_by_label("Name of the string").fill("eaves")
    plain.get_by_role("button", name="Begin").click()
    expect(plain.get_by_role("heading", name="Porch")).to_be_visible()
    assert "  eaves:\n" in made.text
    plain.goto(made.address + "feed")
    expect(plain.get_by_label("Fuse at the supply")).to_have_attribute("placeholder", "none if empty", timeout=30_000)
    context.close()
    end(made)


def test_a_file_that_was_taken_away_can_be_written_back(tab: Page, bench: Bench) -> None:
    before = bench.file.read_bytes()
    tab.goto(bench.address + "feed?string=gable")
    bench.file.unlink()
    press(tab, "Write it back as it was")
    expect(tab.locator("#state")).to_have_text(re.compile(r"^\s*$"))
    assert bench.file.read_bytes() == before
    expect(tab.get_by_role("button", name="Write it into the file")).to_be_enabled()
