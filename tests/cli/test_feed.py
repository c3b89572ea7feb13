"""The commands feed and undo, as a person runs them."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time
from pathlib import Path

import pytest
from benchmarks.feeding import display_text

from tests.cli.running import COMMAND, environment, no_traceback, run


@pytest.fixture
def landing(tmp_path: Path) -> Path:
    assert run("demo", tmp_path / "demo").returncode == 0
    return tmp_path / "demo" / "landing.yaml"


def test_feed_shows_plans_and_writes_nothing_unless_asked(landing: Path) -> None:
    before = landing.read_bytes()
    done = run("feed", landing)
    assert done.returncode == 0
    assert done.stderr == ""
    assert landing.read_bytes() == before
    for words in (
        "Nothing to change on rail-shore, rail-head, door",
        "gable: feed again at 1 place",
        "light-loss, colour-shift",
        "heavier cable",
        "higher voltage",
        "lower level",
        "assumed feeding.detour: 10 %",
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
    assert done.stderr == f"wrote {landing}; strandwright undo {landing} brings the old text back\n"
    assert run("check", landing).returncode == 0
    back = run("undo", landing)
    assert back.stdout == (
        f"took back in {landing}: feeds of gable, spruce; strandwright redo {landing} makes it again\n"
    )
    assert landing.read_bytes() == before
    again = run("undo", landing)
    assert again.returncode == 2
    assert again.stderr == f"{landing} has no edit of Strandwright to undo.\n"


def test_what_remains_wrong_is_status_one(landing: Path) -> None:
    landing.write_text(landing.read_text(encoding="utf-8") + "limits: {lowest_voltage: 11.99 V}\n", encoding="utf-8")
    done = run("feed", landing)
    assert done.returncode == 1
    assert "no feed plan meets its limits; this comes nearest" in done.stdout
    no_traceback(done)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    for command in ("feed", "undo"):
        done = run(command, tmp_path / "none.yaml")
        assert done.returncode == 2
        assert "found no file of this name" in done.stderr


def _heeds_interrupts() -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def test_an_interrupt_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "large.yaml"
    file.write_text(display_text(), encoding="utf-8")
    child = subprocess.Popen(
        [*COMMAND, "feed", str(file), "--apply"],
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        # What starts the tests may have told its children to ignore an interrupt.
        preexec_fn=_heeds_interrupts,
    )
    time.sleep(4.0)
    os.kill(child.pid, signal.SIGINT)
    _, said = child.communicate(timeout=60)
    assert child.returncode == 130
    assert said.strip() == "Stopped. Nothing was left half written."
    assert file.read_text(encoding="utf-8") == display_text()
    assert [p.name for p in tmp_path.iterdir()] == ["large.yaml"]
