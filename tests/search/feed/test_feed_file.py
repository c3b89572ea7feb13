"""Feeding a display file: what is promised, written, taken back, and told where it cannot be done."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from hollowglow.file.history import FOLDER, MOST_VERSIONS, save, undo
from hollowglow.jobs import plan_document, plan_file
from hollowglow.jobs.feed import FeedReport, document, feed_file
from hollowglow.messages.errors import DisplayError
from hollowglow.messages.refusal import Refusal
from tests.assembly.samples import CONSTANT_CURRENT, Stated, changed, stated
from tests.outside import spice
from tests.outside.displays import dump

# Comments, odd spaces, an anchor and an heir: all of it must survive.
FILE = """\
# Written on the jetty.
display:   Rail and gable
ambient: 5 degC          # a cold evening
supplies:
  shed: {voltage: 12 V,   rating: 300 W, resistance: 10 mohm}
controllers:
  box: {outputs: 4, gangs: true}
kinds:
  float: {fill: {light: bullet-12mm-12v, count: 5}, pigtail: {cable: cable-3x18awg, length: 150 mm}}
strings:
  rail:                  # the long one
    output: box/1
    supply: shed
    props: 30 * float
    lead: &lead {cable: cable-3x18awg, length: 6 m}
    span: {cable: cable-3x18awg, length: 1.5 m, joint: splice-solder}
    fuse: holder-blade-7.5a   # from the box of spares

  # the heir
  gable:
    extends: rail
    output: box/2
    props: 6 * float
    lead: *lead
levels: {float: 100 %}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    file = tmp_path / "display.yaml"
    file.write_text(FILE, encoding="utf-8")
    return file


def row_of(report: FeedReport, string: str) -> dict[str, Any]:
    found: dict[str, Any] = next(r for r in document(report)["strings"] if r["string"] == string)
    return found


def test_what_is_promised_is_what_the_written_file_gives(path: Path) -> None:
    report = feed_file(path, apply=True)
    assert report.written
    assert report.meets
    rail = row_of(report, "rail")
    assert rail["feeds"]
    assert rail["before"]["findings"]
    plan = plan_file(path)
    rows = plan.assembly.load_string == plan.assembly.strings.names.index("rail")
    assert rail["after"]["voltage"] == float(np.min(plan.power.coincident_v[rows]))
    assert rail["after"]["light"] == float(np.min(plan.power.light[rows]))
    assert rail["after"]["shift"] == float(np.nanmax(plan.power.chromaticity_shift[rows]))
    assert rail["after"]["findings"] == []
    bills = [p.cost.bill.total for p in (report.before, report.after)]
    minutes = [p.cost.minutes for p in (report.before, report.after)]
    assert rail["price"] == pytest.approx(bills[1] - bills[0], abs=0.03)  # the bill rounds each of its lines
    assert rail["minutes"] == pytest.approx(minutes[1] - minutes[0], abs=0.1)
    again = feed_file(path)
    assert not again.edits
    assert all(s.choice.kept for s in again.feeds.strings)


def test_every_other_line_of_the_file_stays_as_it_was(path: Path) -> None:
    feed_file(path, apply=True)
    before, after = FILE.splitlines(), path.read_text(encoding="utf-8").splitlines()
    kept = [line for line in before if line in after]
    assert set(before) - set(kept) <= {"    fuse: holder-blade-7.5a   # from the box of spares", "    lead: *lead"}
    assert [line for line in after if line in kept] == kept
    assert any("# from the box of spares" in line for line in after)


def test_the_heir_of_a_fed_string_is_not_fed_along(path: Path) -> None:
    before = plan_file(path).assembly.display.strings["gable"]
    report = feed_file(path, apply=True)
    assert row_of(report, "gable")["as_stated"]
    assert plan_file(path).assembly.display.strings["gable"] == before


def test_feeds_are_written_in_feet_where_the_file_speaks_of_feet(path: Path) -> None:
    text = FILE.replace("length: 6 m", "length: 20 ft").replace("length: 1.5 m", "length: 5 ft")
    path.write_text(text.replace("150 mm", "6 in"), encoding="utf-8")
    report = feed_file(path, apply=True)
    assert report.written
    stated = path.read_text(encoding="utf-8").partition("strings:")[2].partition("gable:")[0]
    told = re.findall(r"before: .*?length: (\d+ ft(?: \d in)?)[,}]", stated)
    assert len(told) == len(re.findall("before:", stated)) > 0
    feet = [[int(n) for n in re.findall(r"\d+", one)] + [0] for one in told]
    assert all(inches % 3 == 0 for _, inches, *_ in feet)
    # Along the lead and the spans of 5 ft, with the display's own allowance, rounded up to a quarter of a foot.
    feeding = report.after.assembly.display.feeding
    for (whole, inches, *_), before in zip(feet, re.findall(r"before: (\d+)", stated), strict=True):
        way_in = 12.0 * (20.0 + 5.0 * (int(before) - 1)) * (1.0 + feeding.detour) + feeding.reserve / 0.0254
        assert 0.0 <= 12 * whole + inches - way_in < 3.0


def test_undo_brings_the_text_back_byte_by_byte(path: Path) -> None:
    path.write_bytes(b"\xef\xbb\xbf" + FILE.replace("\n", "\r\n").encode())
    old = path.read_bytes()
    feed_file(path, apply=True)
    assert path.read_bytes() != old
    assert undo(path).startswith("feeds of rail")
    assert path.read_bytes() == old
    with pytest.raises(Refusal) as caught:
        undo(path)
    assert str(caught.value) == f"{path} has no edit of Hollowglow to undo."


def test_undo_does_not_lose_what_was_written_by_hand_since(path: Path) -> None:
    feed_file(path, apply=True)
    path.write_text(path.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    with pytest.raises(Refusal) as caught:
        undo(path)
    kept = path.parent / FOLDER / "display.yaml" / "000001.json"
    assert str(caught.value) == (
        f"{path} was changed by hand since Hollowglow last wrote it, and undoing would lose that. "
        f"The text before is kept in {kept} under before."
    )
    assert path.read_text(encoding="utf-8").endswith("# mine\n")
    assert json.loads(kept.read_text(encoding="utf-8"))["before"] == FILE


def test_a_file_that_changed_meanwhile_is_not_overwritten(path: Path) -> None:
    path.write_text("display: Another\n", encoding="utf-8")
    with pytest.raises(Refusal) as caught:
        save(path, FILE, FILE, [], "nothing")
    assert str(caught.value) == f"{path} was changed meanwhile, so nothing was written. Run the command again."
    assert path.read_text(encoding="utf-8") == "display: Another\n"


def test_the_history_is_bounded(path: Path) -> None:
    texts = [f"display: Number {i}\n" for i in range(MOST_VERSIONS + 6)]
    path.write_text(texts[0], encoding="utf-8")
    for old, new in pairwise(texts):
        save(path, old, new, [], new.strip())
    kept = sorted((path.parent / FOLDER / "display.yaml").iterdir())
    assert len(kept) == MOST_VERSIONS
    assert [undo(path) for _ in kept] == [t.strip() for t in texts[: -MOST_VERSIONS - 1 : -1]]
    assert path.read_text(encoding="utf-8") == texts[-MOST_VERSIONS - 1]


def tight(**string: Any) -> Stated:
    """Own parts only in what ngspice is given too: a string that only a joined or a cut feed brings within limits."""
    made = stated(
        CONSTANT_CURRENT,
        props="8 * float",
        fill={"count": 10},
        supply={"resistance": "20 mohm"},
        parts={
            "wire": {"cable": {"resistance": "0.06 ohm/m", "ampacity": "10 A"}},
            "feeder": {"cable": {"cores": 2, "resistance": "0.02 ohm/m", "ampacity": "10 A"}, "price": 0.05},
            "glass": {"fuse": {"rating": "5 A", "resistance": "15 mohm"}, "price": 0.01},
            "weld": {"joint": {"resistance": "2 mohm", "sort": "terminal"}, "price": 0.01},
        },
        string={
            "lead": {"cable": "wire", "length": "2 m"},
            "span": {"cable": "wire", "length": "1.5 m", "joint": "weld"},
            "fuse": "glass",
            **string,
        },
        limits={"lowest_voltage": "10.5 V"},
    )
    return made


def test_ngspice_finds_the_promised_voltages_of_a_joined_feed(tmp_path: Path) -> None:
    file = tmp_path / "display.yaml"
    file.write_text(dump(tight()), encoding="utf-8")
    report = feed_file(file, apply=True)
    rail = row_of(report, "rail")
    assert rail["meets"]
    assert [f["cut"] for f in rail["feeds"]] == [False]
    built = tight(feeds=[{**e, "length": f"{e['length']} m"} for e in (stated_feed(f) for f in rail["feeds"])])
    built["strings"]["rail"]["fuse"] = rail["lead"]["fuse"]
    solved = spice.solve(spice.netlist(with_joint(built), "mean"))
    ours = {n["id"]: (n["v_plus"], n["v_minus"]) for n in plan_document(file)["nodes"]}
    assert ours.keys() == solved.keys()
    for node, volts in solved.items():
        assert ours[node] == pytest.approx(volts, abs=1e-3), node
    lowest = min(plus - minus for plus, minus in solved.values())
    assert rail["after"]["voltage"] == pytest.approx(lowest, abs=1e-3)
    assert lowest >= 10.5 - 1e-3


def stated_feed(row: dict[str, Any]) -> dict[str, Any]:
    return {k: row[k] for k in ("before", "supply", "cable", "length", "fuse", "cut")}


def with_joint(display: Stated) -> Stated:
    """The netlist knows no joint at a feed: its 2 mohm are put into each feed's cable."""
    made = display
    for i, feed in enumerate(display["strings"]["rail"]["feeds"]):
        metres = spice.quantity(feed["length"])
        ohm = spice.quantity(display["parts"][feed["cable"]]["cable"]["resistance"]) + 0.002 / metres
        made = changed(made, f"parts.{feed['cable']}{i}", {"cable": {"cores": 2, "resistance": f"{ohm!r} ohm/m"}})
        made["strings"]["rail"]["feeds"][i]["cable"] = f"{feed['cable']}{i}"
    return made


def report_of(tmp_path: Path, display: Stated) -> FeedReport:
    file = tmp_path / "display.yaml"
    file.write_text(dump(display), encoding="utf-8")
    return feed_file(file)


def test_limits_that_no_plan_meets_are_answered_with_the_nearest(tmp_path: Path) -> None:
    report = report_of(tmp_path, {**tight(), "limits": {"lowest_voltage": "11.98 V"}})
    rail = row_of(report, "rail")
    assert not report.meets
    assert not rail["meets"]
    assert rail["bound"] is None
    assert rail["after"]["voltage"] > rail["before"]["voltage"] + 0.5
    assert rail["short"] == pytest.approx(11.98 - rail["after"]["voltage"], abs=1e-3)
    assert [f["code"] for f in rail["after"]["findings"]] == ["low-voltage"]


def test_a_voltage_above_the_supply_is_answered_too(tmp_path: Path) -> None:
    rail = row_of(report_of(tmp_path, {**tight(), "limits": {"lowest_voltage": "15 V"}}), "rail")
    assert not rail["meets"]
    assert rail["proven"]
    assert rail["short"] > 3.0


def test_a_supply_without_room_is_told_with_the_rating_that_it_takes(tmp_path: Path) -> None:
    """80 lights of 56.5 mA at 12 V take 54.2 W; four fifths of 60 W are 48 W, of 70 W 56 W."""
    report = report_of(tmp_path, changed(tight(), "supplies.shed.rating", "60 W"))
    assert not report.meets
    (load,) = document(report)["supplies"]
    assert load["power"] == pytest.approx(80 * 0.0565 * 12.0, rel=1e-6)
    assert load["needed"] == 70.0


def test_a_zone_moves_to_a_supply_with_room(tmp_path: Path) -> None:
    display = changed(tight(), "supplies.shed.rating", "60 W")
    display["supplies"]["hut"] = {"voltage": "12 V", "rating": "100 W", "resistance": "20 mohm"}
    display["supplies"]["other"] = {"voltage": "24 V", "rating": "500 W"}
    report = report_of(tmp_path, display)
    rail = row_of(report, "rail")
    loads = {s["supply"]: s["power"] for s in document(report)["supplies"]}
    assert loads["hut"] > 0.0
    assert loads["other"] == 0.0
    assert all(s["needed"] is None for s in document(report)["supplies"])
    assert "hut" in {rail["lead"]["supply"], *(f["supply"] for f in rail["feeds"])}
    assert rail["after"]["findings"] == []


def test_a_lower_level_and_a_heavier_cable_are_priced_with_what_remains(tmp_path: Path) -> None:
    display = {**tight(), "limits": {"light_loss": "10 %"}}
    display["parts"]["light"]["light"]["minimum"] = "9 V"
    display["parts"]["light"]["light"]["load"] = {**CONSTANT_CURRENT, "turn_on": ["8 V", "9.6 V", "9.7 V"]}
    rail = row_of(report_of(tmp_path, display), "rail")
    ways = {a["way"]: a for a in rail["alternatives"]}
    assert set(ways) == {"heavier cable", "higher voltage", "lower level"}
    heavier = ways["heavier cable"]
    assert heavier["price"] > 0.0
    assert heavier["meets"] == (heavier["findings"] == [])
    assert ways["higher voltage"]["price"] is None


def test_lights_of_a_higher_voltage_are_offered_with_their_supply(tmp_path: Path) -> None:
    """Five-volt bullets have a twelve-volt sister of the same emitters; 30 of them cost 30 * (0.46 - 0.38) more."""
    display = tight(props="30 * float", fuse="holder-blade-5a")
    display["kinds"]["float"]["fill"] = {"light": "bullet-12mm-5v", "count": 1}
    display["supplies"]["shed"] = {"voltage": "5 V", "rating": "60 W"}
    del display["limits"]
    rail = row_of(report_of(tmp_path, display), "rail")
    higher = next(a for a in rail["alternatives"] if a["way"] == "higher voltage")
    assert higher["what"].startswith("bullet-12mm-12v on a supply of its own (supply-12v-60w)")
    assert higher["price"] == pytest.approx(30 * 0.08 + 17.00, abs=1e-9)
    assert higher["meets"]


def test_a_string_whose_lead_brings_data_only_is_fed_at_its_first_prop(tmp_path: Path) -> None:
    feeds = [{"before": 1, "supply": "shed", "cable": "wire", "length": "9 m", "fuse": "2 A"}]
    display = tight(feeds=feeds)
    del display["strings"]["rail"]["supply"], display["strings"]["rail"]["fuse"]
    rail = row_of(report_of(tmp_path, display), "rail")
    assert rail["meets"]
    assert rail["lead"]["supply"] is None
    assert rail["feeds"][0]["before"] == 1


def test_a_display_without_supply_says_what_to_add(path: Path) -> None:
    path.write_text(
        "display: Dark\ncontrollers: {box: {outputs: 1}}\nkinds: {float: {fill: {light: bullet-12mm-12v}}}\n"
        "strings: {rail: {output: box/1, props: 2 * float, lead: {length: 4 m}, span: {length: 1 m}}}\n",
        encoding="utf-8",
    )
    with pytest.raises(Refusal) as caught:
        feed_file(path)
    assert str(caught.value) == (
        "The display has no supply, so nothing can be fed. Add one: supplies: {shed: {voltage: 12 V, rating: 60 W}}"
    )


def test_a_display_without_strings_needs_nothing(path: Path) -> None:
    path.write_text("display: Empty\n", encoding="utf-8")
    report = feed_file(path, apply=True)
    assert report.meets
    assert not report.written
    assert document(report)["strings"] == []


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (
            "feeding: {detour: 120 %}",
            'feeding.detour: found "120 %", expected a percentage like "40 %" (from 0 % to 100 %).',
        ),
        (
            "feeding: {reserve: 1}",
            'feeding.reserve: found 1 without a unit, expected a length like "150 mm" or "6 in" (from 0 m to 2000 m)',
        ),
        ("feeding: {spare: 1 m}", 'feeding.spare: found the unknown key "spare", expected one of detour, reserve'),
    ],
)
def test_a_wrong_allowance_is_told_with_its_line(path: Path, line: str, message: str) -> None:
    path.write_text(FILE + line + "\n", encoding="utf-8")
    with pytest.raises(DisplayError) as caught:
        feed_file(path)
    assert message in str(caught.value)
    assert f"line {FILE.count(chr(10)) + 1}, feeding" in str(caught.value)
