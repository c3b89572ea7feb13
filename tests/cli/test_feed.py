"""The commands feed and undo, as a person runs them."""

from __future__ import annotations

import json
import signal
from pathlib import Path

import pytest
from benchmarks.feeding import display_text

from tests.cli.running import no_traceback, run, run_here, run_on_terminal


@pytest.fixture
def landing(tmp_path: Path) -> Path:
    assert run_here("demo", tmp_path / "demo").returncode == 0
    return tmp_path / "demo" / "landing.yaml"


def test_feed_shows_plans_and_writes_nothing_unless_asked(landing: Path) -> None:
    before = landing.read_bytes()
    done = run_here("feed", landing)
    assert done.returncode == 0
    assert done.stderr == ""
    assert landing.read_bytes() == before
    for words in (
        "Nothing to change on rail-shore, rail-head, door",
        "gable: feed again at 1 place",
        "light-loss, chromaticity-shift",
        "heavier cable",
        "higher voltage",
        "lower level",
        "assumption feeding.detour: 10 %",
        "licensed electrician",
        "--apply writes this into the file",
    ):
        assert words in done.stdout, words
    assert " m (" in done.stdout
    assert " ft)" in done.stdout


def test_feed_applies_and_undo_takes_back(landing: Path) -> None:
    before = landing.read_bytes()
    done = run("feed", landing, "--apply", "--json", "-")
    assert done.returncode == 0
    assert json.loads(done.stdout)["written"] is True
    assert done.stderr == f"wrote {landing}; hollowglow undo {landing} brings the old text back\n"
    assert run("check", landing).returncode == 0
    back = run("undo", landing)
    assert back.stdout == (
        f"took back in {landing}: feeds of gable, spruce; hollowglow redo {landing} makes it again\n"
    )
    assert landing.read_bytes() == before
    again = run("undo", landing)
    assert again.returncode == 2
    assert again.stderr == f"{landing} has no edit of Hollowglow to undo.\n"


def test_what_remains_wrong_is_status_one(landing: Path) -> None:
    landing.write_text(landing.read_text(encoding="utf-8") + "limits: {lowest_voltage: 11.99 V}\n", encoding="utf-8")
    done = run_here("feed", landing)
    assert done.returncode == 1
    assert "no feed plan meets its limits; this comes nearest" in done.stdout
    no_traceback(done)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    for command in ("feed", "undo"):
        done = run_here(command, tmp_path / "none.yaml")
        assert done.returncode == 2
        assert "found no file of this name" in done.stderr


def test_an_interrupt_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "large.yaml"
    file.write_text(display_text(), encoding="utf-8")
    ended = run_on_terminal(
        "feed", file, "--apply", shows="stderr", when_shown=lambda child: child.send_signal(signal.SIGINT)
    )
    assert ended.status == 130
    assert "Stopped. Nothing was left half written." in ended.shown
    assert file.read_text(encoding="utf-8") == display_text()
    assert [p.name for p in tmp_path.iterdir()] == ["large.yaml"]
