"""What is shown fits the terminal: its width, its colours, its letters, and a bar where the work takes long."""

import re
import signal
from importlib.resources import as_file, files
from pathlib import Path

import pytest

from hollowglow.draw.sheet.plain import cell_width
from tests.cli.running import big_display, no_traceback, run, run_on_terminal

ESCAPE = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
COLOUR = re.compile(r"\x1b\[[0-9;]*(?:3[0-7]|4[0-7]|9[0-7]|38|48)[0-9;]*m")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    with as_file(files("hollowglow.file") / "demo" / "landing.yaml") as path:
        (folder / "landing.yaml").write_bytes(path.read_bytes())
    return folder / "landing.yaml"


def cells(line: str) -> int:
    return sum(map(cell_width, line))


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
def test_an_output_that_knows_few_letters_gets_the_plot_and_tables_in_those(demo: Path, encoding: str) -> None:
    done = run("plan", demo, PYTHONIOENCODING=encoding, PYTHONUTF8="0")
    assert done.returncode == 1
    no_traceback(done)
    plot = done.stdout.split("Voltage across each light, V")[1].split("Strings (")[0]
    assert plot.isascii()
    assert "|" in plot
    assert "supply 12.00 V" in plot
    assert "?" not in done.stdout
    if encoding == "ascii":
        assert done.stdout.isascii()


def test_an_output_that_knows_all_letters_gets_the_finer_plot(demo: Path) -> None:
    shown = run("plan", demo).stdout
    assert any("⠀" <= char <= "⣿" for char in shown)


def test_without_a_terminal_there_are_no_escape_codes(demo: Path) -> None:
    assert "\x1b" not in run("plan", demo).stdout


def test_a_terminal_gets_colours_unless_it_asks_for_none(demo: Path) -> None:
    assert COLOUR.search(run_on_terminal("check", demo).shown)
    assert not COLOUR.search(run_on_terminal("check", demo, NO_COLOR="1").shown)
    assert "\x1b" not in run_on_terminal("check", demo, TERM="dumb").shown


@pytest.mark.parametrize("columns", [60, 80, 110])
def test_nothing_is_wider_than_the_terminal(demo: Path, columns: int) -> None:
    ended = run_on_terminal("plan", demo, columns=columns, NO_COLOR="1")
    assert ended.status == 1
    lines = ESCAPE.sub("", ended.shown).splitlines()
    assert max(map(cells, lines)) <= columns
    text = " ".join(" ".join(lines).split())
    assert "rail-shore" in text
    assert "Use a fuse of 5 A" in text


def test_in_a_narrow_terminal_the_findings_can_still_be_read(demo: Path) -> None:
    shown = ESCAPE.sub("", run_on_terminal("check", demo, columns=60, NO_COLOR="1").shown)
    words = " ".join(shown.split())
    assert "spruce/fuse is 7.5 A; behind it spruce/lead/joint (plug-3pin-18awg) may carry 5 A." in words


def test_short_work_shows_no_bar(demo: Path) -> None:
    ended = run_on_terminal("plan", demo, shows="stderr")
    assert ended.status == 1
    assert ended.shown == "" or ended.seconds > 1.0


def test_work_of_more_than_a_second_shows_a_bar_on_standard_error(tmp_path: Path) -> None:
    big = tmp_path / "big.yaml"
    big.write_text(big_display(400), encoding="utf-8")
    ended = run_on_terminal("check", big, shows="stderr", when_shown=lambda process: process.send_signal(signal.SIGINT))
    shown = ESCAPE.sub("", ended.shown)
    assert ended.seconds > 1.0
    assert re.search(r"(load|expand|power|signal|cost|findings) +[━╸╺ ]+ +\d+/\d+ [0-]:[0-]+[0-9-]*:[\d-]+", shown), (
        shown
    )


def test_without_a_terminal_there_is_no_bar(tmp_path: Path) -> None:
    big = tmp_path / "big.yaml"
    big.write_text(big_display(20), encoding="utf-8")
    assert run("check", big).stderr == ""
