"""What is wrong in a form stands beside its field, what was typed stays, and the person stays where they are."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from strandwright.errors import FormError
from strandwright.jobs.demo import write_demo
from strandwright.plan import Plan
from strandwright.workbench.adding import first_of
from strandwright.workbench.values import at, plain
from tests.workbench.asking import ask, bench_of
from tests.workbench.conftest import Bench, end, start
from tests.workbench.test_browser import press

FIRST = {
    "display": "Porch", "name": "globe", "shape": "sphere", "size": "150 mm", "light": "puck-3led-12v", "count": "1",
    "string": "eaves", "props": "12", "spacing": "1 m", "supply": "shed", "part": "supply-12v-100w",
}  # fmt: skip


def test_all_that_is_wrong_in_a_form_is_told_at_once() -> None:
    with pytest.raises(FormError) as told:
        first_of(FIRST | {"display": " ", "size": "big", "props": "-3"})
    assert told.value.fields == {
        "display": "The name of the display is missing.",
        "size": 'The size of the shell: found "big", expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m).',
        "props": 'How many props: found "-3", expected a whole number from 1 to 100,000.',
    }


def test_a_first_display_has_the_names_that_were_typed() -> None:
    made = first_of(FIRST | {"part": "supply-24v-150w"})
    assert list(made["strings"]) == ["eaves"]
    assert made["strings"]["eaves"]["supply"] == "shed"
    assert made["supplies"] == {"shed": {"part": "supply-24v-150w"}}


def test_a_part_that_there_is_not_is_told_beside_the_field_it_was_chosen_in(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        _, app = await bench_of(tmp_path / "porch.yaml", demo_plan)
        reply = await ask(app, "/begin", FIRST | {"light": "lamp"})
        assert reply.status == 422
        assert re.search(
            r'<select id="in-light" name="light" aria-invalid="true" aria-describedby="in-light-wrong">', reply.text
        )
        assert re.search(r'id="in-light-wrong">found &#34;lamp&#34;', reply.text)
        assert 'role="alert"' not in reply.text
        assert not (tmp_path / "porch.yaml").exists()

    asyncio.run(scene())


def test_a_key_that_has_to_be_there_is_missed_beside_its_field(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        desk, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        path = '["strings", "gable", "props"]'
        reply = await ask(app, "/put", {f"put:{path}": "", f"seen:{path}": "x", "back": "/feed?string=gable"})
        assert reply.status == 422
        assert re.search(r'id="at-strings-gable-props-wrong">found no props, expected', reply.text)
        assert "props" in desk.text

    asyncio.run(scene())


def test_what_was_typed_is_kept_when_the_file_says_something_else_by_now(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        desk, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        path = '["strings", "gable", "lead", "length"]'
        before = desk.text
        form = {f"put:{path}": "9 m", f"was:{path}": '"1 m"', f"seen:{path}": "1 m", "back": "/feed?string=gable"}
        reply = await ask(app, "/put", form)
        assert (reply.status, desk.text) == (409, before)
        assert 'value="9 m"' in reply.text
        stated = at(plain(before), ("strings", "gable", "lead", "length"))
        said = (
            f'id="at-strings-gable-lead-length-wrong">The file says &#34;{stated}&#34; by now, so nothing was changed.'
        )
        assert said in reply.text
        again = form | {f"was:{path}": f'"{stated}"'}
        assert (await ask(app, "/put", again)).status == 303
        assert "length: 9 m" in desk.text

    asyncio.run(scene())


def test_what_is_typed_into_one_form_does_not_turn_up_in_another(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        _, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        reply = await ask(app, "/add", {"sort": "supply", "name": "barn", "part": "none such", "back": "/feed"})
        assert 'id="in-supply-name" name="name" value="barn"' in reply.text
        assert 'id="in-string-name" name="name" value=""' in reply.text
        place = await ask(
            app, "/place/do", {"act": "shift", "string": "gable", "x": "far", "y": "1 m", "back": "/place"}
        )
        assert re.search(r'id="do-shift-x" name="x" value="far"[^>]* aria-invalid="true"', place.text)
        assert 'id="do-copy-x" name="x" value="0 m"' in place.text
        ids = re.findall(r' id="([^"]+)"', reply.text)
        assert sorted(set(ids)) == sorted(ids)

    asyncio.run(scene())


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
    expect(tab.get_by_label("Lead, cable")).to_have_value(other)
    expect(tab.get_by_label("Lead, cable")).to_be_focused()
    field.get_by_role("button", name="Choices").click()
    tab.keyboard.press("Escape")
    expect(tab.get_by_role("dialog")).to_have_count(0)


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
