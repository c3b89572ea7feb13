"""What a person does at the workbench, in a real browser, from start to the file on disk."""

from __future__ import annotations

import re
from pathlib import Path

from playwright.sync_api import Browser, Page, expect

from hollowglow.web.server.serve import usual_port
from tests.web.conftest import Bench, end, held, press, quiet, serious, start


def test_a_finding_leads_to_the_place_where_it_is_mended_and_is_gone_afterwards(tab: Page, bench: Bench) -> None:
    stop = tab.locator(".finding.stop")
    expect(stop).to_contain_text("may carry 5 A")
    stop.get_by_role("link", name="Mend", exact=True).click()
    expect(tab.get_by_role("heading", name="spruce")).to_be_visible()
    tab.get_by_label("Fuse at the supply").fill("holder-blade-5a")
    press(tab, "Write it into the file")
    expect(tab.get_by_label("Fuse at the supply")).to_have_value("holder-blade-5a")
    assert "    fuse: holder-blade-5a" in bench.text
    tab.get_by_role("link", name="Overview").click()
    expect(tab.locator(".finding.warn").first).to_be_visible()
    expect(tab.locator(".finding.stop")).to_have_count(0)


def test_what_is_typed_in_one_form_stays_when_another_is_sent(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed?string=gable")
    tab.get_by_label("Lead, length").fill("21 ft")
    ours, theirs = "length: 1.2 m, joint: splice-solder}", "length: 1.25 m, joint: splice-solder}"
    bench.file.write_text(bench.text.replace(ours, theirs), encoding="utf-8")
    press(tab, "Read it again")
    expect(tab.locator("#state")).not_to_contain_text("by something else")
    expect(tab.get_by_label("Span, length")).to_have_value("1.25 m")
    expect(tab.get_by_label("Lead, length")).to_have_value("21 ft")
    press(tab, "Write it into the file")
    expect(tab.get_by_label("Lead, length")).to_have_value("21 ft")
    assert "length: 21 ft" in bench.text
    assert theirs in bench.text


def test_undo_brings_back_the_very_bytes(tab: Page, bench: Bench) -> None:
    before = bench.file.read_bytes()
    tab.goto(bench.address + "feed?string=gable")
    tab.get_by_label("Lead, length").fill("21 ft")
    press(tab, "Write it into the file")
    expect(tab.locator(".slip")).to_contain_text("Written into")
    quiet(tab)
    assert re.search(r"lead: \{cable: cable-3x18awg, length: 21 ft\}", bench.text)
    tab.get_by_role("heading", name="gable").click()
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        tab.keyboard.press("Control+z")
    expect(tab.locator(".say.good")).to_contain_text("Taken back")
    assert bench.file.read_bytes() == before


def test_a_mistake_is_told_beside_its_field_and_nothing_is_lost_or_written(tab: Page, bench: Bench) -> None:
    before = bench.file.read_bytes()
    tab.goto(bench.address + "feed?string=gable")
    tab.get_by_label("Lead, length").fill("5 lightyears")
    tab.get_by_label("Span, length").fill("1.3 m")
    press(tab, "Write it into the file")
    wrong = tab.locator(".field.wrong")
    expect(wrong).to_have_count(1)
    expect(wrong.locator(".why")).to_contain_text('found "5 lightyears"')
    expect(wrong.locator(".why")).to_contain_text('expected a length like "6 ft" or "1.8 m"')
    expect(tab.get_by_label("Lead, length")).to_have_value("5 lightyears")
    expect(tab.get_by_label("Span, length")).to_have_value("1.3 m")
    assert bench.file.read_bytes() == before


def test_a_file_that_an_editor_changed_is_offered_and_never_written_over(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed?string=gable")
    tab.get_by_label("Lead, length").fill("7 m")
    changed = bench.text.replace("display: Ferry landing", "display: Harbour landing")
    bench.file.write_text(changed, encoding="utf-8")
    expect(tab.locator("#state")).to_contain_text("was changed by something else")
    press(tab, "Write it into the file")
    expect(tab.locator("#state")).to_contain_text("nothing was changed here")
    assert bench.text == changed
    press(tab, "Read it again")
    tab.get_by_role("link", name="Overview").click()
    expect(tab.get_by_role("heading", name="Harbour landing")).to_be_visible()


def test_a_file_with_mistakes_is_shown_with_their_lines_and_the_last_good_numbers(tab: Page, bench: Bench) -> None:
    line = next(n for n, row in enumerate(bench.text.splitlines(), 1) if "ambient:" in row)
    bench.file.write_text(bench.text.replace("ambient: 2 degC", "ambient: 2 apples"), encoding="utf-8")
    press(tab, "Read it again")
    expect(tab.locator("#state")).to_contain_text(f"line {line}")
    expect(tab.locator("#state")).to_contain_text("2 apples")
    expect(tab.locator(".finding")).not_to_have_count(0)
    tab.goto(bench.address + "feed")
    expect(tab.get_by_role("button", name="Write it into the file")).to_be_disabled()
    bench.file.write_text(bench.text.replace("2 apples", "2 degC"), encoding="utf-8")
    press(tab, "Read it again")
    expect(tab.get_by_role("button", name="Write it into the file")).to_be_enabled()


def test_long_work_can_be_stopped_and_what_it_brings_can_be_used(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "feed")
    press(tab, "Find the cheapest plans")
    with held(bench):
        press(tab, "Stop")
    expect(tab.locator("#errand-feed")).to_contain_text("stopped")
    press(tab, "Find the cheapest plans")
    expect(tab.get_by_role("button", name="Use this plan")).to_be_visible()
    press(tab, "Use this plan")
    expect(tab.locator("#state")).not_to_contain_text("Computing")
    assert re.search(r"gable:.*?feeds:.*?before: \d+", bench.text, re.S)


def test_units_are_a_choice_that_stays(tab: Page, bench: Bench) -> None:
    press(tab, "Units: metres")
    expect(tab.get_by_role("button", name="Units: feet")).to_be_visible()
    tab.goto(bench.address + "feed")
    expect(tab.get_by_role("button", name="Units: feet")).to_be_visible()


def test_everything_works_without_script(tab: Page, bench: Bench, tmp_path: Path) -> None:
    context = tab.context.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    plain = context.new_page()
    plain.goto(bench.address + "feed?string=spruce")
    plain.get_by_label("Fuse at the supply").fill("holder-blade-5a")
    plain.get_by_role("button", name="Write it into the file").click()
    expect(plain.get_by_label("Fuse at the supply")).to_have_value("holder-blade-5a")
    assert "    fuse: holder-blade-5a" in bench.text
    context.close()


def test_a_display_is_begun_from_nothing_by_clicking(browser: Browser, tmp_path: Path) -> None:
    made = start(tmp_path / "porch.yaml")
    context = browser.new_context()
    tab = context.new_page()
    tab.goto(made.address)
    assert serious(tab) == []
    expect(tab.get_by_role("complementary", name="Tour of the demo")).to_have_count(0)
    tab.get_by_label("Name of the display").fill("Porch")
    tab.get_by_label("Size of the shell").fill("6 in")
    press(tab, "Begin")
    expect(tab.get_by_role("heading", name="Porch")).to_be_visible()
    expect(tab.get_by_text("Lowest voltage")).to_be_visible()
    expect(tab.get_by_role("complementary", name="Tour of the demo")).to_have_count(0)
    assert "diameter: 6 in" in made.text
    tab.get_by_role("link", name="Feed").click()
    tab.get_by_text("Add a string or a supply").click()
    tab.get_by_label("Name of the string").fill("eaves")
    quiet(tab)
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        tab.get_by_role("button", name="Add it").first.click()
    expect(tab.get_by_role("link", name="eaves")).to_be_visible()
    assert "output: controller/2" in made.text
    context.close()
    end(made)


def test_another_fill_is_compared_and_used(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "fill?kind=acorn")
    press(tab, "Compare side by side")
    expect(tab.get_by_role("row", name="as the file says")).to_be_visible()
    tab.get_by_text("The other ").click()
    row = tab.get_by_role("row", name="4 × bullet-12mm-12v-resistor, ring")
    quiet(tab)
    with tab.expect_response(lambda answer: answer.request.method == "POST"):
        row.get_by_role("button", name="Use this one").click()
    assert "light: bullet-12mm-12v-resistor, count: 4, arrangement: ring" in bench.text


def nobodys(folder: Path) -> Path:
    """Return a file whose usual port the system gives to nobody else while no workbench has it."""
    most = int(Path("/proc/sys/net/ipv4/ip_local_port_range").read_text(encoding="ascii").split()[1])
    return next(path for i in range(1000) if usual_port(path := folder / f"small-{i}.yaml") > most)


def test_a_tab_left_open_over_a_restart_goes_on(browser: Browser, small_file: Path) -> None:
    small_file = small_file.rename(nobodys(small_file.parent))
    first = start(small_file)
    context = browser.new_context()
    tab = context.new_page()
    tab.goto(first.address)
    expect(tab.get_by_role("heading", name="Small yard")).to_be_visible()
    expect(tab.get_by_text("Lowest voltage")).to_be_visible()
    end(first)
    expect(tab.locator("#state")).to_contain_text("This page goes on by itself once it is back.")
    small_file.write_text(small_file.read_text(encoding="utf-8").replace("Small yard", "Small garden"), "utf-8")
    second = start(small_file)
    assert second.address == first.address
    expect(tab.get_by_role("heading", name="Small garden")).to_be_visible()
    expect(tab.locator("#state")).not_to_contain_text("goes on by itself")
    context.close()
    end(second)
