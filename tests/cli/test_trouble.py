"""Whatever goes wrong, a person is told in a sentence, nothing is left half written, and no traceback is shown."""

import errno
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any, NoReturn

import pytest

import hollowglow.jobs
from hollowglow.cli.run import main
from tests.cli.running import (
    COMMAND,
    PATIENCE_S,
    big_display,
    environment,
    no_traceback,
    run,
    run_here,
    run_on_terminal,
)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("work")
    assert run("demo", folder / "demo").returncode == 0
    return folder / "demo" / "landing.yaml"


def unreadable(name: str, folder: Path) -> Path:
    path = folder / "display.yaml"
    if name == "folder":
        return folder
    if name == "device":
        return Path(os.devnull)
    if name == "long name":
        return folder / ("x" * 300)
    if name != "missing":
        content = {"empty": b"", "binary": b"\x7fELF\x00\x01", "latin-1": b"display: Caf\xe9\n", "list": b"- 1\n"}
        path.write_bytes(content[name])
    return path


@pytest.mark.parametrize("name", ["folder", "device", "long name", "missing", "empty", "binary", "latin-1", "list"])
def test_a_file_that_cannot_be_read_is_told_by_its_name(tmp_path: Path, name: str) -> None:
    path = unreadable(name, tmp_path)
    done = run("check" if name == "missing" else "plan", path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(str(path))
    assert ": found " in done.stderr
    assert ", expected " in done.stderr
    assert len(done.stderr.splitlines()) == 1
    no_traceback(done)


def test_a_mistake_in_the_file_is_told_with_file_line_key_and_what_was_expected(demo: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.yaml"
    lines = demo.read_text(encoding="utf-8").splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("ambient:"))
    lines[at] = "ambient: 2 feet"
    broken.write_text("\n".join(lines), encoding="utf-8")
    done = run_here("plan", broken)
    assert done.returncode == 2
    assert done.stderr.startswith(f'{broken}, line {at + 1}, ambient: found "2 feet", which is not a temperature')
    assert "expected a temperature like" in done.stderr


def test_several_mistakes_are_told_together(tmp_path: Path) -> None:
    file = tmp_path / "two.yaml"
    file.write_text("display: Two\nambient: 2 feet\ndrip_lop: 60 mm\n", encoding="utf-8")
    lines = run_here("check", file).stderr.splitlines()
    assert lines[0] == f"{file} cannot be used; 2 things are wrong with it:"
    assert [line.split(", ")[1] for line in lines[1:]] == ["line 2", "line 3"]
    assert 'Did you mean "drip_loop"?' in lines[2]


@pytest.mark.parametrize("option", ["--json", "--csv", "--svg"])
def test_a_place_that_cannot_be_written_is_told(demo: Path, tmp_path: Path, option: str) -> None:
    (tmp_path / "a-file").write_text("", encoding="utf-8")
    done = run_here("plan", demo, option, tmp_path / "a-file" / "out")
    assert (done.returncode, done.stdout) == (2, "")
    assert re.search(r"cannot be (written|made a folder) \(.+\)\. Choose another place\.\n$", done.stderr)
    assert [p.name for p in tmp_path.iterdir()] == ["a-file"]
    no_traceback(done)


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize("option", ["--json", "--csv", "--svg"])
def test_a_full_disk_is_told_and_leaves_nothing(
    demo: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    option: str,
    step: str,
) -> None:
    def full(*_: Any) -> NoReturn:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, step, full)
    target = tmp_path / "plan.json" if option == "--json" else tmp_path
    monkeypatch.setattr(sys, "argv", ["hollowglow", "plan", str(demo), option, str(target)])
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert re.fullmatch(r".+ cannot be written \(No space left on device\)\. Choose another place\.\n", told.err)
    assert list(tmp_path.iterdir()) == []


def test_a_fault_of_the_tool_is_one_line_that_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def burst(*_: Any) -> NoReturn:
        raise RuntimeError("the pipes\nburst")

    monkeypatch.setattr(hollowglow.jobs, "plan_file", burst)
    monkeypatch.setattr(sys, "argv", ["hollowglow", "plan", "x.yaml"])
    monkeypatch.delenv("HOLLOWGLOW_DEBUG", raising=False)
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 70
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == (
        "This is a fault of Hollowglow, not of your file (RuntimeError: the pipes burst). Nothing was left half "
        "written. Set HOLLOWGLOW_DEBUG=1 to see where, and report it with your display file.\n"
    )


def test_a_fault_shows_where_it_is_when_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    def burst(*_: Any) -> NoReturn:
        raise RuntimeError("the pipes burst")

    monkeypatch.setattr(hollowglow.jobs, "plan_file", burst)
    monkeypatch.setattr(sys, "argv", ["hollowglow", "plan", "x.yaml"])
    monkeypatch.setenv("HOLLOWGLOW_DEBUG", "1")
    with pytest.raises(RuntimeError, match="the pipes burst"):
        main()


@pytest.mark.parametrize("arguments", [["plan"], ["plan", "--json", "-"], ["check"]])
def test_a_reader_that_goes_away_is_no_error(demo: Path, arguments: list[str]) -> None:
    process = subprocess.Popen(
        [*COMMAND, arguments[0], str(demo), *arguments[1:]],
        env=environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    assert process.stderr is not None
    process.stdout.readline()
    process.stdout.close()
    told = process.stderr.read()
    process.stderr.close()
    # What was read may have been all there was to say (then the finding's own status stands).
    assert process.wait(timeout=PATIENCE_S) in (0, 1)
    assert told == b""


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["--help"], 0),
        (["--version"], 0),
        (["plan", "--help"], 0),
        (["plan", "DEMO"], 0),
        (["schema"], 0),
        (["parts"], 0),
        (["wobble"], 2),
        (["plan", "no-such-file"], 2),
        ([], 2),
    ],
)
@pytest.mark.parametrize("both", [False, True], ids=["output", "output and errors"])
def test_a_reader_that_was_never_there_is_no_error(demo: Path, arguments: list[str], status: int, both: bool) -> None:
    ours, theirs = os.pipe()
    os.close(ours)
    try:
        done = subprocess.run(
            [*COMMAND, *(str(demo) if a == "DEMO" else a for a in arguments)],
            env=environment(),
            stdin=subprocess.DEVNULL,
            stdout=theirs,
            stderr=theirs if both else subprocess.PIPE,
            check=False,
        )
    finally:
        os.close(theirs)
    # Python itself would end with 120 where it cannot flush.
    assert done.returncode == status
    if not both:
        assert b"Broken" not in done.stderr
        assert b"Traceback" not in done.stderr
        assert bool(done.stderr) == (status == 2)


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("no\nsuch.yaml", "no\\nsuch.yaml"),
        ("a\tb\x1b[31m.yaml", "a\\tb\\x1b[31m.yaml"),
        ("over\u202etaken.yaml", "over\\u202etaken.yaml"),
    ],
)
def test_a_file_name_that_cannot_be_seen_is_shown_escaped(tmp_path: Path, name: str, shown: str) -> None:
    missing = run_here("plan", name, cwd=tmp_path)
    assert missing.returncode == 2
    assert missing.stderr.startswith(f"{shown}: found no file of this name, expected ")
    assert len(missing.stderr.splitlines()) == 1
    (tmp_path / name).write_text("display: Two\nambient: 2 feet\ndrip_lop: 60 mm\n", encoding="utf-8")
    lines = run_here("plan", name, cwd=tmp_path).stderr.splitlines()
    assert lines[0] == f"{shown} cannot be used; 2 things are wrong with it:"
    assert [line.partition(", line")[0] for line in lines[1:]] == [shown, shown]


def test_words_of_a_call_that_cannot_be_seen_are_shown_escaped(demo: Path, tmp_path: Path) -> None:
    assert 'There is no command "wob\\nble".' in run_here("wob\nble").stderr
    assert "--js\\nn" in run_here("plan", demo, "--js\nn").stderr
    assert run_here("plan", demo, "--string", "a\nb").stderr.startswith('There is no string "a\\nb" in this display.')
    assert run_here("parts", "a\nb").stderr.startswith('There is no part "a\\nb" in the catalogue.')
    written = run_here("plan", demo, "--json", tmp_path / "a\nb.json").stdout.splitlines()[-1]
    assert written == f"wrote {tmp_path}/a\\nb.json"
    assert run_here("demo", tmp_path / "c\nd").stdout.splitlines()[-1].endswith("/c\\nd/landing.yaml")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("arguments", [["plan", "DEMO"], ["plan", "DEMO", "--json", "-"], ["schema"], ["--help"]])
def test_an_output_that_is_full_is_told(demo: Path, arguments: list[str]) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [*COMMAND, *(str(demo) if a == "DEMO" else a for a in arguments)],
            env=environment(),
            stdin=subprocess.DEVNULL,
            stdout=full,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == "The output cannot be written (No space left on device).\n"


def test_an_output_that_is_closed_is_no_fault(demo: Path) -> None:
    script = f'exec "{sys.executable}" -m hollowglow plan "{demo}" --json - >&-'
    done = subprocess.run(
        ["sh", "-c", script], env=environment(), stderr=subprocess.PIPE, encoding="utf-8", check=False
    )
    assert (done.returncode, done.stderr) == (1, "")


@pytest.fixture(scope="module")
def big(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("big") / "big.yaml"
    path.write_text(big_display(400), encoding="utf-8")
    return path


def test_ctrl_c_during_long_work_ends_it_with_a_sentence(big: Path, tmp_path: Path) -> None:
    ended = run_on_terminal(
        "plan",
        big,
        "--json",
        tmp_path / "plan.json",
        shows="stderr",
        when_shown=lambda process: process.send_signal(signal.SIGINT),
    )
    assert ended.status == 130
    assert "Stopped. Nothing was left half written." in ended.shown
    assert "Traceback" not in ended.shown
    assert list(tmp_path.iterdir()) == []


# Ctrl-C comes while the command is still being read in.
INTERRUPTED = """
import sys
class Finder:
    def find_spec(self, name, path, target=None):
        if name == "hollowglow.cli.terminal.group":
            raise KeyboardInterrupt
sys.meta_path.insert(0, Finder())
from hollowglow.__main__ import main
main()
"""


def test_ctrl_c_before_the_command_is_there_ends_it_with_a_sentence() -> None:
    done = subprocess.run(
        [sys.executable, "-c", INTERRUPTED], env=environment(), capture_output=True, encoding="utf-8", check=False
    )
    assert (done.returncode, done.stdout) == (130, "")
    assert done.stderr == "\nStopped. Nothing was left half written.\n"
