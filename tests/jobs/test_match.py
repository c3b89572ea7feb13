"""The levels as a job: what is asked for in words, what is written into the file, and what the documents hold."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hollowglow.cli.terminal.words import of_error
from hollowglow.file import load
from hollowglow.file.history import redo, undo
from hollowglow.jobs import plan_document
from hollowglow.jobs.matching.match import apply, match_document, match_file, read_share, read_target, read_white
from hollowglow.jobs.matching.pictures import before_and_after, write_match
from hollowglow.messages.refusal import Refusal
from hollowglow.view.rows.level_rows import in_percent, of_255
from tests.analysis.match.samples import light, lumens, times, two
from tests.cli.running import no_traceback, run
from tests.outside.displays import dump

LEVELS = """\
# what the yard was set to last year
levels:   # in percent
  dim: 100 %   # the old ones
  bright: 100 %   # new
"""


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    path = tmp_path / "yard.yaml"
    path.write_text(
        dump(two(times(1.0), light(lumens(2.6, 4.4, 2.4)), steps="percent")) + "\n" + LEVELS, encoding="utf-8"
    )
    return path


@pytest.mark.parametrize(
    ("words", "share"), [("40 %", 0.4), ("40%", 0.4), ("40", 0.4), ("0.4", 0.4), ("1", 1.0), ("100 %", 1.0)]
)
def test_a_cap_is_read_as_a_person_writes_it(words: str, share: float) -> None:
    assert read_share(words) == pytest.approx(share)


@pytest.mark.parametrize("words", ["0", "-5 %", "101", "bright", "", "nan", "40 cd", "inf %"])
def test_a_cap_that_is_none_is_told_what_to_type(words: str) -> None:
    with pytest.raises(Refusal) as told:
        read_share(words)
    assert of_error(told.value) == f'--share is {words!r}; expected a share above 0 and up to 100 %, like "40 %" or 40.'


def test_a_white_is_read_and_refused() -> None:
    assert read_white("0.3127, 0.3290") == (0.3127, 0.3290)
    for words in ("6500 K", "0.3", "0.3,0.3,0.3", "0.9,0.9", "nan,0.3", "0.3,0"):
        with pytest.raises(Refusal, match=r"expected a CIE 1931 chromaticity like 0\.3127,0\.3290"):
            read_white(words)


def test_a_luminance_is_asked_for_alone() -> None:
    assert read_target(None, None, 40.0, None).by == "luminance"
    assert read_target("view", None, 40.0, None).by == "view"
    with pytest.raises(Refusal, match="share and luminance both say how bright"):
        read_target(None, "40", 40.0, None)
    with pytest.raises(Refusal, match="luminance is no intensity"):
        read_target("intensity", None, 40.0, None)
    with pytest.raises(Refusal, match="expected cd/m2 above 0"):
        read_target(None, None, -1.0, None)


def test_settings_between_percent_and_255_round_half_up() -> None:
    assert [of_255(n, 100) for n in (0, 1, 30, 50, 100)] == [0, 3, 77, 128, 255]
    assert in_percent(128, 255) == 50.2


def test_applying_writes_levels_and_trims_and_keeps_every_comment(yard: Path) -> None:
    before = yard.read_text(encoding="utf-8")
    made = match_file(yard)
    apply(made, yard)
    after = yard.read_text(encoding="utf-8")
    assert after == before.replace("bright: 100 %   # new", "bright: 50 %   # new") + "trims:\n  bright: [1, 1, 0.5]\n"
    display = load(yard)
    assert display.levels == {"dim": 1.0, "bright": 0.5}
    assert display.trims == {"bright": (1.0, 1.0, 0.5)}
    rows = plan_document(yard)["levels"]
    # Half of a light with twice the red and green, and a quarter of one with four times the blue: the dim one's.
    assert [row["residual"] for row in rows] == pytest.approx([0.0, 0.0], abs=1e-5)
    assert rows[1]["chromaticity_shift"] == pytest.approx(0.0, abs=1e-5)


def test_applying_again_changes_nothing_and_takes_trims_out_that_no_longer_trim(yard: Path) -> None:
    apply(match_file(yard), yard)
    once = yard.read_text(encoding="utf-8")
    apply(match_file(yard), yard)
    assert yard.read_text(encoding="utf-8") == once
    yard.write_text(
        once.replace('"2.400000000 lm"', '"1.200000000 lm"').replace("2.400000000 lm", "1.200000000 lm"),
        encoding="utf-8",
    )
    apply(match_file(yard), yard)
    assert "trims" not in yard.read_text(encoding="utf-8")


def test_what_was_applied_is_taken_back_and_done_again(yard: Path) -> None:
    before = yard.read_bytes()
    assert apply(match_file(yard), yard)
    after = yard.read_bytes()
    assert not apply(match_file(yard), yard)
    assert undo(yard) == "levels that match"
    assert yard.read_bytes() == before
    assert redo(yard) == "levels that match"
    assert yard.read_bytes() == after


def test_a_file_without_levels_gets_them(tmp_path: Path) -> None:
    path = tmp_path / "yard.yaml"
    path.write_text(dump(two(times(1.0), times(2.0), steps="percent")), encoding="utf-8")
    apply(match_file(path), path)
    assert load(path).levels == {"dim": 1.0, "bright": 0.5}


def test_the_document_has_the_rows_of_the_plan_and_what_is_saved(yard: Path) -> None:
    document = match_document(match_file(yard))
    json.dumps(document, allow_nan=False)
    assert [row["kind"] for row in document["levels"]] == ["dim", "bright"]
    bright = document["levels"][1]
    assert bright["level"] == 0.5
    assert bright["trims"] == [1.0, 1.0, 0.5]
    assert bright["fade_steps"] == 128
    assert bright["settings"] == [
        {
            "controller": "box",
            "curve": "linear",
            "percent": 50.0,
            "of_255": 128,
            "trims_percent": [100.0, 100.0, 50.0],
            "trims_of_255": [255, 255, 128],
        }
    ]
    planned = plan_document(yard)["levels"]
    assert planned[0].keys() <= bright.keys()
    assert planned[1]["residual"] > 1.0
    assert document["saved"]["current"] == pytest.approx(document["current"]["now"] - document["current"]["matched"])
    # Two nodes at half of 2 x 18.5 mA and a quarter of 18.5 mA: 2 x (0.5 x 37 + 0.75 x 18.5) mA less.
    assert document["saved"]["current"] == pytest.approx(2 * (0.5 * 0.037 + 0.75 * 0.0185), rel=1e-4)


def test_the_pictures_show_each_kind_before_and_after_at_one_exposure(yard: Path, tmp_path: Path) -> None:
    made = match_file(yard)
    told = before_and_after(made).description
    assert "4 lit props at one exposure and one scale" in told
    for name in ("dim, now", "bright, now", "dim, matched", "bright, matched"):
        assert name in told
    written = write_match(made, tmp_path / "match.svg")
    assert [p.name for p in written] == ["match.svg", "match-fades.svg"]
    assert all(p.read_text(encoding="utf-8").rstrip().endswith("</svg>") for p in written)


def test_a_level_that_no_setting_comes_near_is_told(tmp_path: Path) -> None:
    path = tmp_path / "two.yaml"
    path.write_text(dump(two(times(1.0), times(2.0), steps="percent")), encoding="utf-8")
    # 1 % of the dim one's light is half a percent of the bright one's, and its controller has nothing below 1 %.
    told = " ".join(run("match", path, "--share", "1%").stdout.split())
    assert "bright comes out 100 % too bright: its controller has no nearer setting. A higher share leaves less" in told
    assert "dim comes out" not in told
    assert "comes out" not in run("match", path, "--share", "10%").stdout


def test_the_command_prints_what_to_type_and_writes_only_when_told(yard: Path) -> None:
    before = yard.read_text(encoding="utf-8")
    done = run("match", yard)
    no_traceback(done)
    assert done.returncode == 0
    assert done.stderr == ""
    assert "Levels that match: By hand" in done.stdout
    assert "What to type" in done.stdout
    assert yard.read_text(encoding="utf-8") == before
    done = run("match", yard, "--json", "-", "--apply")
    assert json.loads(done.stdout)["levels"][1]["level"] == 0.5
    assert done.stderr == f"wrote the levels into {yard}; hollowglow undo {yard} brings the old ones back\n"
    assert "bright: 50 %" in yard.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--share", "140"], "--share is '140'; expected a share above 0 and up to 100 %"),
        (["--white", "blue"], "--white is 'blue'; expected a CIE 1931 chromaticity"),
        (["--by", "taste"], "Invalid value for '--by'"),
        (["--luminance", "bright"], "Invalid value for '--luminance'"),
        (["--luminance", "40", "--by", "intensity"], "--luminance is no intensity"),
        (["--svg", "/nowhere/at/all.svg"], "/nowhere/at/all.svg"),
    ],
)
def test_what_cannot_be_asked_for_is_told_and_nothing_is_written(yard: Path, arguments: list[str], told: str) -> None:
    before = yard.read_text(encoding="utf-8")
    done = run("match", yard, *arguments, "--apply")
    no_traceback(done)
    assert done.returncode == 2
    assert told in done.stderr
    assert yard.read_text(encoding="utf-8") == before


def test_a_display_without_shells_is_told_what_to_state(tmp_path: Path) -> None:
    display = two(times(1.0), times(2.0))
    for kind in display["kinds"].values():
        del kind["shell"]
    path = tmp_path / "bare.yaml"
    path.write_text(dump(display), encoding="utf-8")
    done = run("match", path)
    assert done.returncode == 2
    assert done.stderr == (
        "There is nothing to match: no kind that hangs somewhere has a known light. State the shell of each kind, such as "
        "shell: {shape: sphere, diameter: 150 mm}.\n"
    )


def test_a_file_that_may_not_be_written_stays_as_it_was(yard: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made, before = match_file(yard), yard.read_text(encoding="utf-8")

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("os.replace", refuse)
    with pytest.raises(Refusal, match=r"cannot be written \(Permission denied\)\. It is as it was\."):
        apply(made, yard)
    assert yard.read_text(encoding="utf-8") == before
    assert [p.name for p in yard.parent.iterdir() if p.is_file()] == ["yard.yaml"]


def test_the_mended_demo_has_the_levels_that_are_computed_for_it() -> None:
    import hollowglow

    path = Path(hollowglow.__file__).parent / "file" / "demo" / "landing-mended.yaml"
    display, found = load(path), match_file(path).match
    assert {row.kind: row.level for row in found.rows} == pytest.approx(display.levels)
    assert {row.kind: row.trims for row in found.rows if min(row.trims) < 1.0} == display.trims
