"""After a measurement the plan, the findings and the next match say what the yard showed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from hollowglow.analysis.match import Target
from hollowglow.file import load
from hollowglow.jobs import plan_document
from hollowglow.jobs.filling.fill import fill_file
from hollowglow.jobs.matching.kept import keep_photographed
from hollowglow.jobs.matching.light_meter import keep_metered, meter_kinds
from hollowglow.jobs.matching.match import match_document, match_file
from hollowglow.jobs.matching.photographs import photograph_kinds, see
from hollowglow.measured.readings import store_path
from tests.cli.running import run
from tests.measured.photo.yard import KINDS, LABELS, shoot

YARD = f"""\
display: Two kinds on a rail
supplies: {{shed: {{voltage: 12 V, rating: 60 W}}}}
controllers: {{box: {{outputs: 1}}}}
{KINDS}strings:
  rail:
    {{output: box/1, supply: shed, props: [2 * float, 2 * acorn], lead: {{length: 2 m}}, span: {{length: 1 m}}, fuse: 5 A}}
"""


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    path = tmp_path / "yard.yaml"
    path.write_text(YARD, encoding="utf-8")
    return path


def taken(yard: Path) -> None:
    """The made photograph of six props: float to acorn as 0.5 to 0.3 in luminance."""
    display = load(yard)
    keep_photographed(yard, display, photograph_kinds(display, see([shoot(yard.parent / "a.jpg")]), LABELS))


def test_after_a_photograph_the_plan_has_its_ratio_of_luminance_also_a_second_time(yard: Path) -> None:
    plain = plan_document(yard)
    assert [k["measured"] for k in plain["kinds"]] == [None, None]
    assert not {"light-measured", "reading-outdated"} & {f["code"] for f in plain["findings"]}
    for _ in range(2):
        taken(yard)
        document = plan_document(yard)
        floats, acorns = document["kinds"]
        assert floats["mean_luminance"] / acorns["mean_luminance"] == pytest.approx(0.5 / 0.3, rel=0.03)
        assert floats["measured"] * acorns["measured"] == pytest.approx(1.0)
    (found,) = (f for f in document["findings"] if f["code"] == "light-measured")
    assert (found["severity"], found["basis"], found["where"]) == ("note", "measured", ["float", "acorn"])
    assert "photograph of 20" in found["message"]


def test_levels_that_match_after_a_photograph_make_the_kinds_equal_in_it(yard: Path) -> None:
    taken(yard)
    document = match_document(match_file(yard))
    rows = {row["kind"]: row for row in document["levels"]}
    assert rows["acorn"]["level"] == 1.0
    left = {k["kind"]: k for k in plan_document(yard)["levels"]}
    assert rows["float"]["luminance"] < left["float"]["luminance"]
    by_luminance = {r.kind: r for r in match_file(yard, Target(by="luminance")).match.rows}
    assert by_luminance["float"].level == pytest.approx(0.3 / 0.5, rel=0.04)


def test_what_a_weak_cable_takes_is_not_taken_twice(yard: Path) -> None:
    """Resistor lights at the end of a thin cable lose light and shift in colour, in the photograph and in the plan."""
    weak = "parts: {thin: {cable: {resistance: 0.5 ohm/m}}, ball: {extends: puck-3led-12v}}\n"
    text = YARD.replace("length: 1 m", "cable: thin, length: 1 m").replace(
        "light: bullet-12mm-12v, count: 2", "light: ball"
    )
    yard.write_text(text + weak, encoding="utf-8")
    plain = {row["kind"]: row["luminance"] for row in plan_document(yard)["levels"]}
    nominal = {k["kind"]: k["mean_luminance"] for k in plan_document(yard)["kinds"]}
    assert plain["acorn"] < 0.97 * nominal["acorn"]
    taken(yard)
    rows = {row["kind"]: row["luminance"] for row in plan_document(yard)["levels"]}
    assert rows["float"] / rows["acorn"] == pytest.approx(0.5 / 0.3, rel=0.03)


def test_a_kind_that_was_changed_is_told_and_left_as_computed(yard: Path) -> None:
    taken(yard)
    plain = YARD.replace("count: 2", "count: 3")
    yard.write_text(plain, encoding="utf-8")
    document = plan_document(yard)
    (found,) = (f for f in document["findings"] if f["code"] == "reading-outdated")
    assert found["where"] == ["acorn"]
    assert found["message"].startswith("acorn was measured (photograph of 20")
    assert [k["measured"] is None for k in document["kinds"]] == [
        True,
        True,
    ]  # one kind alone on a free scale says nothing


def test_a_meter_sets_the_plan_and_the_level_of_a_fill(yard: Path) -> None:
    readings, _ = meter_kinds(load(yard), ["float=90 cd/m2", "acorn=45 cd/m2"])
    keep_metered(yard, load(yard), readings)
    floats, acorns = plan_document(yard)["kinds"]
    assert floats["mean_luminance"] == pytest.approx(90.0)
    assert acorns["mean_luminance"] == pytest.approx(45.0)
    (now,) = (r.outcome for r in fill_file(yard, "float", lights=["bullet-12mm-12v"]).ranked if r.outcome.candidate.now)
    assert now.mean_cd_m2 == pytest.approx(90.0, rel=0.02)
    assert now.level == pytest.approx(0.5, rel=0.02)


def test_the_command_says_the_same_at_once_and_the_next_time(yard: Path) -> None:
    photo = shoot(yard.parent / "a.jpg")
    first = run("match", yard, "--photo", photo, "--label", LABELS)
    again = run("match", yard)
    assert first.returncode == again.returncode == 0, first.stderr
    assert first.stdout.partition("Levels that match")[2] == again.stdout.partition("Levels that match")[2]
    assert "The model is corrected by what was measured of float, acorn." in again.stdout
    told = re.search(r"Measured over computed: float (\S+), acorn (\S+)\.\n", again.stdout)
    assert told is not None
    # From photographs alone the factors have the geometric mean 1.
    assert float(told[1]) * float(told[2]) == pytest.approx(1.0, abs=0.01)


def test_without_readings_nothing_is_opened(yard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def opened(*_: object, **__: object) -> None:
        raise AssertionError("there are no readings to open")

    monkeypatch.setattr("sqlite3.connect", opened)
    plan_document(yard)
    assert not store_path(yard).exists()
