"""Walking a display from the command line, with a receiver on loopback that sees what leaves."""

from __future__ import annotations

import itertools
import json
import os
import pty
import re
import select
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from sacn.messages.data_packet import DataPacket

from hollowglow.measured.readings import answered, place_of
from hollowglow.net import Sender
from hollowglow.net.packets.stream import Frame
from hollowglow.net.sending.schedule import Clock
from tests.cli.running import COMMAND, PATIENCE_S, environment, no_traceback, run, run_here
from tests.net.listening import Ear, ends_well, heeding, listening
from tests.outside.displays import dump
from tests.show.walk.samples import two_strings

WHITE = 255


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "jetty.yaml"
    path.write_text(dump(two_strings()), encoding="utf-8")
    return path


def walk(file: Path, ear: Ear, lines: str, *options: str) -> subprocess.CompletedProcess[str]:
    done = run_here("walk", file, "--to", ear.at, *options, lines=lines)
    no_traceback(done)
    return done


class Prompt(Sender):
    """Sends two hundred frames a second, and lets nobody go on before a frame that was shown has left."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, rate_hz=200.0, **options)

    def show(self, frame: Frame) -> Frame:
        shown = super().show(frame)
        end = time.monotonic() + PATIENCE_S
        while not self.has_sent:
            assert time.monotonic() < end
            time.sleep(0.001)
        return shown


@pytest.fixture
def hurried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the walk's own clock stand but where the walk waits, so that no time is lost and no frame left out."""
    now = [1000.0]

    def wait(seconds: float) -> None:
        now[0] += seconds

    monkeypatch.setattr("hollowglow.cli.live.walk.time", SimpleNamespace(monotonic=lambda: now[0]))
    monkeypatch.setattr("hollowglow.cli.live.walking.time", SimpleNamespace(sleep=wait))
    monkeypatch.setattr("hollowglow.jobs.shows.walk.Sender", Prompt)


def frames(ear: Ear, universe: int = 1) -> list[tuple[int, ...]]:
    """Distinct frames in the order in which they came, as the sacn package reads them."""
    found: list[tuple[int, ...]] = []
    for datagram in ear.datagrams:
        if datagram[18:22] != b"\0\0\0\x04":  # root vector of data packets, ANSI E1.31-2018 clause 5.5
            continue
        packet = DataPacket.make_data_packet(tuple(datagram))
        if packet.universe == universe and (not found or packet.dmxData != found[-1]):
            found.append(packet.dmxData)
    return found


def lit(*ranges: tuple[int, int], value: int = WHITE) -> tuple[int, ...]:
    """A frame with the slots first to last (from 1) at one value, the others zero."""
    slots = [0] * 512
    for first, last in ranges:
        slots[first - 1 : last] = [value] * (last - first + 1)
    return tuple(slots)


# By hand: twelve ganged floats take three slots each; then five stars of three cells, nine slots each; then a float.
PROPS = [
    *((3 * i + 1, 3 * i + 3) for i in range(12)),
    *((36 + 9 * i + 1, 36 + 9 * i + 9) for i in range(5)),
    (82, 84),
]


@pytest.mark.usefixtures("hurried")
def test_each_prop_lights_exactly_its_own_slots_and_at_the_end_all_is_dark(file: Path) -> None:
    with listening() as ear:
        done = walk(file, ear, "next\n" * 18, "--only", "prop")
        assert done.returncode == 0, done.stderr
        assert frames(ear) == [*(lit(r) for r in PROPS), lit()]
        ends_well(ear.data())
    assert done.stdout.count("== ") == 18
    assert done.stdout.splitlines()[-2] == "That was the last step."


class Busy(Sender):
    """Sends from a machine that gives it a turn three times a second."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, clock=Clock(sleep_s=lambda seconds: time.sleep(seconds + 0.3)), **options)


def test_on_a_busy_machine_a_script_waits_until_a_step_was_lit(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hollowglow.jobs.shows.walk.Sender", Busy)
    with listening() as ear:
        walk(file, ear, "next\n" * 4 + "q\n", "--only", "prop")
        assert frames(ear) == [*(lit(r) for r in PROPS[:5]), lit()]


@pytest.mark.usefixtures("hurried")
def test_a_string_an_output_and_a_jump_light_what_they_name(file: Path) -> None:
    lines = "wait 1\nj box/2\nwait 1\nj rail/prop07\nwait 1\nb\nwait 1\nj order tree/prop06\nwait 8.5\nq\n"
    with listening() as ear:
        walk(
            file,
            ear,
            lines,
            "--percent",
            "50",
        )
        seen = frames(ear)
    half = 128  # half of 255 rounded up
    assert seen[:4] == [
        lit((1, 36), value=half),
        lit((37, 84), value=half),
        lit((19, 21), value=half),
        lit((16, 18), value=half),
    ]
    colours = [lit((82 + c, 82 + c), value=half) for c in range(3)] + [lit((82, 84), value=half)]
    at = seen.index(colours[0])
    assert seen[at : at + 5] == [*colours, lit()]


@pytest.mark.usefixtures("hurried")
def test_answers_are_kept_and_reported_until_they_are_closed(file: Path) -> None:
    with listening() as ear:
        done = walk(file, ear, "l\ngrbw\nj rail/prop05\ndark cap is wet\nj rail/prop06\nlit\nq\n")
    assert "tell the controller GRB" in done.stdout
    assert [(a.step, a.target, a.answer, a.seen, a.note) for a in answered(file)] == [
        ("string", "rail", "lit", "", ""),
        ("order", "rail/prop01", "wrong colour", "grbw", ""),
        ("prop", "rail/prop05", "dark", "", "cap is wet"),
        ("prop", "rail/prop06", "lit", "", ""),
    ]
    shown = run_here("walk", file, "--report")
    assert shown.returncode == 1
    assert "By hand: 2 open of 4 answers" in shown.stdout
    assert "rail/prop05 alone is dark while others light" in shown.stdout
    assert re.search(r"rail/prop05 +dark +cap is wet", shown.stdout)
    assert "15 of 18 props were not looked at one by one yet." in shown.stdout
    data = json.loads(run_here("walk", file, "--report", "--json", "-").stdout)
    assert [a["target"] for a in data["open"]] == ["rail/prop01", "rail/prop05"]
    assert [m["where"] for m in data["meanings"]] == [["rail/prop05"], ["rail/prop01"]]
    assert 10.0 < data["meanings"][0]["lowest_v"] < data["meanings"][0]["highest_v"] == 12.0
    assert len(data["unseen"]) == 18 - 3
    with listening() as ear:
        walk(file, ear, "j rail/prop05\nlit\nj order rail/prop01\nrgbw\nq\n")
    closed = run_here("walk", file, "--report")
    assert closed.returncode == 0
    assert "By hand: 0 open of 6 answers" in closed.stdout


@pytest.mark.usefixtures("hurried")
def test_the_next_walk_goes_on_where_the_last_one_stopped(file: Path) -> None:
    with listening() as ear:
        walk(file, ear, "n\nn\nq\n", "--only", "prop")
    assert place_of(file) == "prop:rail/prop03"
    with listening() as ear:
        again = walk(file, ear, "q\n", "--only", "prop")
        assert frames(ear)[0] == lit(PROPS[2])
    assert "== rail/prop03: one prop (3 of 18)" in again.stdout
    with listening() as ear:
        assert "== rail/prop09" in walk(file, ear, "q\n", "--only", "prop", "--start", "rail/prop09").stdout


@pytest.mark.usefixtures("hurried")
def test_a_full_load_trial_ramps_up_is_limited_and_stops(file: Path) -> None:
    display = two_strings()
    display["supplies"]["shed"]["rating"] = "10 W"
    file.write_text(dump(display), encoding="utf-8")
    with listening() as ear:
        done = walk(file, ear, "wait 1\ngo\nwait 9\nstop\nq\n", "--only", "load")
        seen = frames(ear)
        ends_well(ear.data())
    peaks = [max(f) for f in seen]
    assert peaks[0] == 0  # dark until started
    top = max(peaks)
    rise = peaks[: peaks.index(top) + 1]
    assert rise == sorted(rise)
    assert all(b - a <= 16 for a, b in itertools.pairwise(rise))
    # 10 W at 80 % (the usual limit) is 8 W of what 18 props of six or three lights of 0.7 W would take.
    assert 0 < top < WHITE / 4
    assert re.search(r"Scaled to \d+(\.\d+)? %: ", done.stdout)
    assert "any key stops" in done.stdout
    assert "blackout; g lights it again" in done.stdout


@pytest.mark.parametrize("ended_by", [signal.SIGINT, signal.SIGTERM])
def test_ctrl_c_and_a_request_to_end_leave_darkness(file: Path, ended_by: signal.Signals) -> None:
    with listening() as ear:
        child = subprocess.Popen(
            [*COMMAND, "walk", str(file), "--to", ear.at],
            env=environment(),
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            preexec_fn=heeding,
        )
        try:
            ear.wait_for(lambda e: any(any(p.slots) for p in e.data()))
            child.send_signal(ended_by)
            said, told = child.communicate(timeout=PATIENCE_S)
        finally:
            child.kill()
        ends_well(ear.data())
    assert child.returncode == (130 if ended_by == signal.SIGINT else 143)
    assert "Traceback" not in said + told
    assert ended_by == signal.SIGTERM or said.splitlines()[-1].startswith("Everything is dark. ")
    assert place_of(file) is None or place_of(file) == "string:rail"


def on_terminal(file: Path, ear: Ear, talk: Callable[[Callable[[str], None], Callable[..., None]], None]) -> str:
    """Run a walk on a terminal of its own; `talk` gets a function that presses keys and one that waits for words."""
    ours, theirs = pty.openpty()
    child = subprocess.Popen(
        [*COMMAND, "walk", str(file), "--to", ear.at],
        env=environment(),
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
    )
    os.close(theirs)
    shown = ""

    def read(seconds: float) -> bool:
        nonlocal shown
        if not select.select([ours], [], [], seconds)[0]:
            return True
        try:
            piece = os.read(ours, 65536)
        except OSError:  # the other end is closed
            return False
        shown += piece.decode("utf-8", "replace").replace("\r\n", "\n")
        return bool(piece)

    def wait_for(*words: str) -> None:
        end = time.monotonic() + PATIENCE_S
        while not any(one in shown for one in words):
            assert time.monotonic() < end, shown
            assert read(0.1), shown

    def press(keys: str) -> None:
        os.write(ours, keys.encode())

    try:
        talk(press, wait_for)
        end = time.monotonic() + PATIENCE_S
        while read(0.5):  # to the very end: what was said last may still lie in the terminal once the child is gone
            assert time.monotonic() < end, shown
        assert child.wait(timeout=PATIENCE_S) == 0, shown
    finally:
        child.kill()
        os.close(ours)
    return shown


def test_single_keys_lead_through_a_walk_on_a_terminal(file: Path) -> None:
    def talk(press: Callable[[str], None], wait_for: Callable[..., None]) -> None:
        wait_for("== rail: whole string (1 of")
        wait_for("[1] lit  [2] dark  [3] wrong colour  [4] flickers  [5] dim  [6] out of order")
        press("1")
        wait_for("== rail/prop01: colour order")
        press("c")
        wait_for("the four colours in the order in which they came")
        press("gbx\x7frw\r")
        wait_for("GBR, and write")
        press("j")
        wait_for("go to (an id")
        press("rail/prop04\r")
        wait_for("== rail/prop04: one prop")
        press("\x1b[C")
        wait_for("== rail/prop05: one prop")
        press("t")
        wait_for("note for the next answer")
        press("near the post\r")
        wait_for("kept with: near the post")
        press("d")
        wait_for("rail/prop05: dark, kept")
        press("jshed\r")
        wait_for("full-load trial")
        press("g")
        wait_for(*(f" {share} % of full white" for share in (25, 50, 75, 100)))  # a busy machine leaves some out
        press(" ")
        wait_for("blackout; g lights it again")
        press("q")

    with listening() as ear:
        shown = on_terminal(file, ear, talk)
        ends_well(ear.data())
    assert "Everything is dark." in shown
    assert (
        max(len(re.sub(r"\x1b\[\d*m", "", line)) for line in shown.partition("Everything is dark")[0].split("\n"))
        <= 100
    )
    assert [(a.target, a.answer, a.note) for a in answered(file)][-1] == ("rail/prop05", "dark", "near the post")


@pytest.mark.usefixtures("hurried")
def test_what_was_mistyped_is_told_and_the_walk_goes_on(file: Path) -> None:
    with listening() as ear:
        done = walk(file, ear, "wobble\nj rail/prop99\nwait x\nl\nq\n")
    assert done.returncode == 0
    assert '"wobble" is no answer and no move. Type help for what there is.' in done.stdout
    assert 'There is no prop, string, output or supply "rail/prop99" in this display.' in done.stdout
    assert 'wait: found "x", expected seconds from 0 to 3600.' in done.stdout
    assert [a.answer for a in answered(file)] == ["lit"]


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ((), "--to is missing: the address of the controller, such as --to 192.168.1.20."),
        (("--to", "203.0.113.7"), "203.0.113.7 is a public address, so nothing was sent."),
        (("--to", "127.0.0.1", "--only", "hop"), "--only: found hop, expected one of string, output, order"),
        (("--to", "127.0.0.1", "--start", "rail/prop99"), 'There is no prop, string, output or supply "rail/prop99"'),
        (("--json", "-"), "--json goes with --report."),
    ],
)
def test_a_walk_that_cannot_begin_says_why(file: Path, options: tuple[str, ...], told: str) -> None:
    # Where this process may not even ask for a public address, a person's own process does.
    done = (run if "203.0.113.7" in options else run_here)("walk", file, *options)
    assert done.returncode == 2
    assert told in done.stderr
    no_traceback(done)


def test_a_display_that_was_never_walked_has_nothing_open(file: Path) -> None:
    done = run_here("walk", file, "--report")
    assert done.returncode == 0
    assert "By hand: 0 open of 0 answers" in done.stdout
    assert "18 of 18 props were not looked at one by one yet." in done.stdout
    assert [p.name for p in file.parent.iterdir()] == ["jetty.yaml"]
