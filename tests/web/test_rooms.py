"""What the rooms show and how: a fill looked at before it is written, addresses of one string, findings by weight."""

from __future__ import annotations

import csv
import io

import pytest
from playwright.sync_api import Page, expect

from hollowglow.analysis.findings import CODES
from hollowglow.file import load_text
from hollowglow.messages import SEVERITY_WORDS, severity_count
from hollowglow.plan import make_plan
from hollowglow.web.page.rooms import ROOMS, Ask
from hollowglow.web.phone import views
from hollowglow.web.rooms.feed import view as feed
from tests.web.conftest import Bench
from tests.web.lit import SMALL


def test_a_fill_is_looked_at_before_it_is_written(tab: Page, bench: Bench) -> None:
    before = bench.file.read_bytes()
    tab.goto(bench.address + "fill?kind=float")
    with tab.expect_response(lambda answer: answer.url.endswith("/preview")):
        tab.get_by_role("slider", name="Lights inside").fill("2")
    preview = tab.locator("#preview")
    light = preview.locator(".number", has_text="Light out").locator("dd")
    expect(light).to_be_visible()
    then, now = light.inner_text().replace("now", "").split("lm")[:2]
    # The four lights stand alike in a round shell, so each gives a quarter.
    assert float(then) == pytest.approx(float(now) / 2, rel=0.01)
    expect(preview.get_by_role("img")).to_be_visible()
    assert bench.file.read_bytes() == before
    tab.get_by_label("Shell, diameter", exact=True).fill("14 cows")
    tab.get_by_label("Shell, diameter", exact=True).blur()
    expect(preview.locator(".say.bad")).to_contain_text("14 cows")
    expect(tab.get_by_label("Shell, diameter", exact=True)).to_have_value("14 cows")
    assert bench.file.read_bytes() == before


def test_addresses_are_those_of_one_string_and_leave_as_csv(tab: Page, bench: Bench) -> None:
    tab.goto(bench.address + "address?string=rail-head")
    row = tab.get_by_role("row", name="rail-head/prop02")
    # Packed after the 12 cells of three slots of the string before it: the second cell begins at slot 12 * 3 + 4.
    expect(row).to_contain_text("40 to 42")
    expect(tab.get_by_text("rail-shore/prop01")).to_have_count(0)
    with tab.expect_download() as download:
        tab.get_by_role("link", name="CSV of rail-head").click()
    with open(download.value.path(), encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert {one["string"] for one in rows} == {"rail-head"}
    assert [int(one["first_slot"]) for one in rows] == [37 + 3 * i for i in range(len(rows))]
    every = tab.request.get(bench.address + "address.csv").text()
    assert len({one["string"] for one in csv.DictReader(io.StringIO(every))}) == 5
    assert tab.request.get(bench.address + "address.csv?string=none").status == 404


def test_findings_stand_by_weight_and_assumptions_fold_away(tab: Page, bench: Bench) -> None:
    counts = {weight: tab.locator(f".finding.{weight}").count() for weight in SEVERITY_WORDS}
    expect(
        tab.get_by_text(", ".join(severity_count(weight, counts[weight]) for weight in SEVERITY_WORDS))
    ).to_be_visible()
    first = tab.locator(".finding").first
    expect(first).to_have_class("finding stop")
    tab.locator("#findings-warn summary").click()
    expect(tab.locator(".finding.warn").first).to_be_hidden()
    expect(tab.get_by_role("table")).to_be_hidden()
    tab.get_by_text("Assumptions, because the file does not say").click()
    expect(tab.get_by_role("table")).to_be_visible()


def test_every_finding_has_a_room_where_it_is_mended() -> None:
    assert {code.stage for code in CODES.values()} <= {room.name for room in ROOMS}


def test_every_supply_that_powers_a_string_is_told_of_it_also_where_the_lead_brings_none() -> None:
    fed = "eave: {output: box/1, feeds: [{before: 1, supply: shed, cable: wire, length: 1 m}]"
    text = SMALL.replace("eave: {output: box/1, supply: shed", fed)
    assert text != SMALL
    plan = make_plan(load_text(text))
    shown = feed.view(plan, Ask({"string": "eave"}, "metric"))
    assert (shown["supply"], shown["powered_by"]) == (None, ["shed"])
    assert views.strings(plan, {"string": "eave"})["supplies"] == ["shed"]
