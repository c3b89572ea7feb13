"""The room of the build book: the same chapters as on paper, and the files that are taken away from it."""

from __future__ import annotations

import io
import json
import re
import urllib.request
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Download, Page, expect

from hollowglow.book import BookSource, Measures
from hollowglow.book import contents as chapters
from hollowglow.file import load
from hollowglow.plan import Plan, make_plan
from hollowglow.web.page.rooms import Ask
from hollowglow.web.rooms.book.view import PARTS, export_wanted, labels_wanted, view
from tests.book.reading import pages
from tests.web.conftest import Bench, held, press


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    from hollowglow.jobs.start.demo import write_demo

    return make_plan(load(write_demo(tmp_path_factory.mktemp("demo") / "demo")[0]))


def seen(plan: Plan, units: str = "metric", **query: str) -> dict[str, object]:
    return view(plan, Ask(query, units))  # type: ignore[arg-type]


def test_a_page_shows_what_the_sheet_of_the_book_says(plan: Plan) -> None:
    source = BookSource(plan, Measures("both"), drawn=False)
    sheets = {one["name"]: one for one in chapters.strings(source)}
    assert seen(plan, part="strings", name="gable")["chapter"] == sheets["gable"]
    assert seen(plan, part="parts")["chapter"] == chapters.bill(source)
    assert seen(plan, part="hanging")["chapter"] == chapters.hanging(source)
    assert seen(plan, part="power")["chapter"] == chapters.wiring(source)
    assert seen(plan, part="addresses")["chapter"] == chapters.addressing(source)
    assert seen(plan, part="assumptions")["chapter"] == chapters.assumptions_of(source)
    assert source.pictures == {}


def test_every_chapter_is_plain_data(plan: Plan) -> None:
    for part in PARTS:
        assert json.loads(json.dumps(seen(plan, part=part)))["part"] == part


def test_the_units_that_a_person_wants_stand_first(plan: Plan) -> None:
    def lead(units: str) -> str:
        chapter = seen(plan, units, part="strings", name="rail-shore")["chapter"]
        return str(chapter["runs"][0]["length"])  # type: ignore[index]

    assert lead("metric") == "4.06 m / 13 ft 3 7/8 in"
    assert lead("us") == "13 ft 3 7/8 in / 4.06 m"


def test_a_sheet_tells_its_own_findings_and_where_they_are_mended(plan: Plan) -> None:
    assert seen(plan, part="strings", name="door")["findings"] == []
    (stop,) = seen(plan, part="strings", name="spruce")["findings"]  # type: ignore[misc]
    assert (stop["severity"], stop["mended"]) == ("stop", "/feed?string=spruce")
    assert len(seen(plan, part="cautions")["findings"]) == len(plan.findings)  # type: ignore[arg-type]


def test_a_name_that_is_none_shows_the_first_sheet_and_says_so(plan: Plan) -> None:
    made = seen(plan, part="kinds", name="moon")
    assert (made["name"], made["missing"]) == ("float", "moon")
    assert seen(plan, part="moon")["part"] == "parts"


def test_what_a_form_says_becomes_what_the_work_is_given() -> None:
    assert labels_wanted({"sheet": " a4-70x37 ", "address": ""})[0] == ("a4-70x37", "", "both")
    assert labels_wanted({"sheet": "a4-70x37", "label_units": "us"})[0] == ("a4-70x37", "", "us")
    assert labels_wanted({"sheet": "a4-70x37", "label_units": "<b>"})[0] == ("a4-70x37", "", "both")
    assert export_wanted({})[0] == ()


def saved(download: Download, folder: Path) -> Path:
    place = folder / download.suggested_filename
    download.save_as(place)
    return place


def test_book_labels_and_open_files_are_made_with_a_bar_and_taken_away(tab: Page, bench: Bench, tmp_path: Path) -> None:
    tab.goto(bench.address + "book")
    press(tab, "Make the book (PDF)")
    with held(bench):
        expect(tab.locator("#errand-book progress")).to_be_visible()
    link = tab.get_by_role("link", name=re.compile(r"^Take .*-book\.pdf"))
    expect(link).to_be_visible()
    with tab.expect_download() as got:
        link.click()
    book = saved(got.value, tmp_path)
    assert book.name == "Ferry-landing-winter-walk-book.pdf"
    assert "DO NOT BUILD YET" in pages(book)[0]
    expect(tab.get_by_text("1 finding says not to build yet")).to_be_visible()

    tab.get_by_label("Sheet: page, then width").fill("a9-1x1")
    press(tab, "Make the labels (PDF)")
    expect(tab.locator("#errand-labels")).to_contain_text('Found "a9-1x1", expected one of a4-70x37')
    tab.get_by_label("Sheet: page, then width").fill("a4-48.5x25.4")
    press(tab, "Make the labels (PDF)")
    link = tab.get_by_role("link", name=re.compile(r"^Take .*-labels\.pdf"))
    expect(link).to_be_visible()
    with tab.expect_download() as got:
        link.click()
    assert "rail-shore/" in pages(saved(got.value, tmp_path))[0]

    press(tab, "Write every open form (ZIP)")
    link = tab.get_by_role("link", name=re.compile(r"^Take .*\.zip"))
    expect(link).to_be_visible()
    with tab.expect_download() as got:
        link.click()
    with zipfile.ZipFile(saved(got.value, tmp_path)) as archive:
        names = set(archive.namelist())
    assert {"positions.csv", "positions.svg", "spares.csv", "float.ies", "Ferry-landing-winter-walk.mvr"} <= names


def test_every_chapter_has_a_page_with_pictures_and_a_twin(tab: Page, bench: Bench) -> None:
    for part, title in PARTS.items():
        tab.goto(f"{bench.address}book?part={part}")
        expect(tab.get_by_role("link", name=title, exact=True)).to_have_attribute("aria-current", "true")
        tab.wait_for_load_state()
        broken = tab.evaluate("[...document.images].filter((i) => !i.complete || !i.naturalWidth).map((i) => i.src)")
        assert broken == []
        with urllib.request.urlopen(f"{bench.address}book.json?part={part}") as answer:
            assert json.load(io.TextIOWrapper(answer, "utf-8"))["room"]["part"] == part
    tab.goto(f"{bench.address}book?part=strings&name=spruce")
    tab.get_by_role("link", name="Mend", exact=True).click()
    expect(tab.get_by_role("heading", name="spruce")).to_be_visible()
