"""No command writes over a file that it reads: a display, a photograph, a capture, readings."""

from pathlib import Path

import pytest

from hollowglow.cli.run import UNREADABLE
from hollowglow.jobs.start.demo import write_demo
from tests.cli.running import run_here


@pytest.fixture
def display(tmp_path: Path) -> Path:
    return write_demo(tmp_path)[1]


@pytest.mark.parametrize(
    ("command", "option"),
    [
        (["plan"], "--json"),
        (["fill", "float"], "--svg"),
        (["place"], "--csv"),
        (["place"], "--night"),
        (["match"], "--json"),
        (["match"], "--svg"),
        (["feed"], "--json"),
        (["tolerance"], "--json"),
        (["characterise", "bullet-12mm-12v"], "--json"),
        (["walk", "--report"], "--json"),
        (["analyse", "show.pcap"], "--json"),
        (["book"], "--output"),
    ],
    ids=lambda one: "-".join(one) if isinstance(one, list) else one,
)
def test_the_display_is_never_written_over_by_what_is_made_of_it(
    display: Path, command: list[str], option: str
) -> None:
    before = display.read_bytes()
    done = run_here(command[0], display.name, *command[1:], option, display.name, cwd=display.parent)
    assert done.returncode == UNREADABLE
    assert f"{option}: found {display.name}, which this command reads" in done.stderr
    assert display.read_bytes() == before


def test_a_photograph_is_never_written_over_also_by_another_name_of_it(display: Path) -> None:
    photograph, link = display.parent / "a.jpg", display.parent / "b.jpg"
    photograph.write_bytes(b"all that is left of that evening")
    link.symlink_to(photograph)
    done = run_here("match", display, "--photo", photograph, "--overlay", link)
    assert done.returncode == UNREADABLE
    assert "--overlay: found" in done.stderr
    assert photograph.read_bytes() == b"all that is left of that evening"


def test_a_capture_bench_readings_and_a_drawing_are_spared_too(display: Path) -> None:
    for name, call in (
        ("yard.svg", ("place", display, "--line", "door=yard.svg#door", "--svg", "yard.svg")),
        ("show.pcapng", ("analyse", display, "show.pcapng", "--json", "./show.pcapng")),
        ("bench.csv", ("characterise", display, "bullet-12mm-12v", "--readings", "bench.csv", "--json", "bench.csv")),
    ):
        (display.parent / name).write_text("measured")
        done = run_here(*call, cwd=display.parent)
        assert done.returncode == UNREADABLE
        assert "which this command reads" in done.stderr
        assert (display.parent / name).read_text() == "measured"


def test_what_was_made_before_may_be_made_again(display: Path) -> None:
    made = display.parent / "match.json"
    made.write_text("of last week")
    done = run_here("match", display, "--json", made)
    assert done.returncode == 0
    assert made.read_text().startswith("{")
