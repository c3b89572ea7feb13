"""What each command does, and with which status it ends."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from hollowglow import __version__
from hollowglow.cli.show.ways import WAYS
from hollowglow.file import load_text
from hollowglow.file.reading.assumptions import assumptions
from hollowglow.file.reading.equal_defaults import grouped
from hollowglow.jobs import plan_file
from hollowglow.view.rows.document import document
from tests.cli.running import no_traceback, run, run_here


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("work")
    done = run_here("demo", folder / "demo")
    assert done.returncode == 0, done.stderr
    return folder / "demo"


def test_the_demo_writes_both_files_and_says_what_comes_next(demo: Path) -> None:
    assert sorted(p.name for p in demo.iterdir()) == ["landing-mended.yaml", "landing.yaml"]
    again = run_here("demo", demo)
    assert again.returncode == 2
    assert again.stdout == ""
    assert again.stderr == f"{demo}/landing.yaml is there already and is not overwritten. Name another folder.\n"


def test_the_demo_goes_into_a_folder_named_demo_unless_told_where(tmp_path: Path) -> None:
    done = run("demo", cwd=tmp_path)
    assert done.stdout.splitlines() == [
        "wrote demo/landing.yaml",
        "wrote demo/landing-mended.yaml",
        "Next: hollowglow plan demo/landing.yaml",
    ]
    assert (tmp_path / "demo" / "landing.yaml").is_file()


@pytest.mark.parametrize(("name", "status"), [("landing.yaml", 1), ("landing-mended.yaml", 0)])
@pytest.mark.parametrize("command", ["check", "plan"])
def test_the_status_says_whether_a_finding_forbids_it(demo: Path, name: str, status: int, command: str) -> None:
    done = run_here(command, demo / name)
    assert done.returncode == status
    assert done.stderr == ""
    assert ("STOP" in done.stdout) == bool(status)


def test_check_tells_the_findings_with_mend_reason_and_code(demo: Path) -> None:
    lines = run("check", demo / "landing.yaml").stdout.splitlines()
    assert lines[0] == "Findings: 1 stop, 2 warnings, 3 notes"
    assert lines[1].startswith("STOP  spruce/fuse is 7.5 A; behind it") or lines[1].startswith("STOP spruce/fuse")
    text = "\n".join(lines)
    assert text.count("mend ") == text.count("why ") == 6
    for code in (
        "fuse-over-joint",
        "light-loss",
        "chromaticity-shift",
        "fuse-may-stay-whole",
        "beyond-class-two",
        "kinds-unequal",
    ):
        assert f"[{code}]" in text


def test_the_plan_shows_every_table_and_the_worst_string(demo: Path) -> None:
    shown = run("plan", demo / "landing.yaml").stdout
    for title in (
        "Ferry landing, winter walk",
        "gable: voltage along the string at full white",
        "Strings",
        "Supplies",
        "Fuses",
        "Bill (USD)",
        "Spliced or plugged",
        "Work (estimate)",
        "Assumptions, because",
    ):
        assert re.search(rf"^{re.escape(title)}", shown, flags=re.MULTILINE), title
    assert "door: voltage along the string" in run("plan", demo / "landing.yaml", "--string", "door").stdout


def test_a_string_that_is_not_there_is_told_before_anything_is_written(demo: Path, tmp_path: Path) -> None:
    done = run_here("plan", demo / "landing.yaml", "--string", "gabel", "--json", tmp_path / "plan.json")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == 'There is no string "gabel" in this display. Did you mean "gable"?\n'
    assert list(tmp_path.iterdir()) == []


def test_json_on_standard_output_is_the_document_and_nothing_else(demo: Path) -> None:
    done = run("plan", demo / "landing.yaml", "--json", "-")
    assert (done.returncode, done.stderr) == (1, "")
    shown = json.loads(done.stdout)
    made = json.loads(json.dumps(document(plan_file(demo / "landing.yaml"), WAYS)))
    assert shown.pop("timings").keys() == made.pop("timings").keys()
    assert shown == made


def test_everything_can_be_written_at_once(demo: Path, tmp_path: Path) -> None:
    options = ("--json", tmp_path / "plan.json", "--csv", tmp_path / "csv", "--svg", tmp_path / "svg")
    done = run_here("plan", demo / "landing.yaml", *options)
    assert done.returncode == 1
    tables, pictures = list((tmp_path / "csv").iterdir()), list((tmp_path / "svg").iterdir())
    assert done.stdout.splitlines()[-3:] == [
        f"wrote {tmp_path / 'plan.json'}",
        f"wrote {len(tables)} files into {tmp_path / 'csv'}",
        f"wrote {len(pictures)} files into {tmp_path / 'svg'}",
    ]
    assert json.loads((tmp_path / "plan.json").read_text(encoding="utf-8"))["display"] == "Ferry landing, winter walk"
    assert {p.suffix for p in tables} == {".csv"}
    assert {p.stem for p in pictures} == {
        "yard",
        "night",
        *(f"profile-{s}" for s in ("rail-shore", "rail-head", "gable", "door", "spruce")),
        *(f"supply-{s}" for s in ("jetty", "house")),
        "glow",
        *(f"{picture}-{kind}" for picture in ("section", "polar") for kind in ("float", "acorn", "star")),
    }


def test_with_json_on_standard_output_other_words_go_to_standard_error(demo: Path, tmp_path: Path) -> None:
    done = run_here("plan", demo / "landing.yaml", "--json", "-", "--csv", tmp_path / "csv")
    json.loads(done.stdout)
    assert re.fullmatch(rf"wrote \d+ files into {re.escape(str(tmp_path / 'csv'))}\n", done.stderr)


def test_the_schema_is_json() -> None:
    done = run("schema")
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["title"] == "Display"


def test_the_parts_can_be_listed_by_sort_and_looked_into() -> None:
    everything, cables = run("parts").stdout, run("parts", "cable").stdout
    assert "cable-3x18awg" in everything
    assert "cable-3x18awg" in cables
    assert "bullet-12mm-5v" in everything
    assert "bullet-12mm-5v" not in cables
    one = run("parts", "plug-3pin-18awg").stdout
    assert re.search(r"joint\.rating +5 A +typical", one)
    none = run("parts", "plug-3pin-18agw")
    assert none.returncode == 2
    assert none.stderr == 'There is no part "plug-3pin-18agw" in the catalogue. Did you mean "plug-3pin-18awg"?\n'


@pytest.mark.parametrize("command", ["check", "plan"])
def test_a_display_without_strings_is_told_what_to_write_next_and_is_no_error(tmp_path: Path, command: str) -> None:
    file = tmp_path / "new.yaml"
    file.write_text("display: Just begun\n", encoding="utf-8")
    done = run_here(command, file)
    assert (done.returncode, done.stderr) == (0, "")
    told = (
        "This file has no strings yet, so there is nothing to light, to feed or to address.\n"
        "What it lacks next is a line such as\n"
        "supplies: {shed: {voltage: 12 V, rating: 60 W}}\n"
    )
    assert done.stdout == told if command == "check" else told in done.stdout
    assert "Nothing found" not in done.stdout
    assert json.loads(run_here("plan", file, "--json", "-").stdout)["nodes"] == []


def test_the_line_to_write_next_is_not_broken_up(tmp_path: Path) -> None:
    file = tmp_path / "new.yaml"
    name = "n" * 60
    head = {
        "display": "x",
        "supplies": {name: {"voltage": "12 V", "rating": "60 W"}},
        "controllers": {name: {"outputs": 1}},
        "kinds": {name: {"fill": {"light": "bullet-12mm-12v"}}},
    }
    text = "\n".join(f"{key}: {json.dumps(value)}" for key, value in head.items()) + "\n"
    file.write_text(text, encoding="utf-8")
    line = run_here("check", file).stdout.splitlines()[2]
    file.write_text(text + line, encoding="utf-8")
    assert run_here("check", file).stdout == "Nothing found that speaks against this display.\n"


def many_kinds(kinds: int) -> dict[str, Any]:
    """A display of many kinds of two sorts, one string for each."""
    lamp = {"light": "bullet-12mm-12v"}
    sorts = ({"fill": lamp, "pigtail": {"length": "0.1 m"}}, {"fill": lamp | {"count": 2, "gang": False}})
    names = [f"kind{i:02}" for i in range(kinds)]
    return {
        "display": "Many",
        "supplies": {"shed": {"voltage": "12 V", "rating": "100 W"}},
        "controllers": {"box": {"outputs": kinds}},
        "kinds": {name: sorts[i % 2] for i, name in enumerate(names)} | {"odd": {"fill": lamp | {"count": 1}}},
        "strings": {
            f"string{i:02}": {
                "output": f"box/{i + 1}",
                "supply": "shed",
                "props": name,
                "lead": {"length": "1 m"} | ({"joint": "splice-gel"} if i in (3, 4) else {}),
            }
            for i, name in enumerate(names)
        },
    }


def test_every_default_is_said_on_the_terminal_also_of_thirty_kinds(tmp_path: Path) -> None:
    file = tmp_path / "many.yaml"
    data = many_kinds(30)
    file.write_text(json.dumps(data), encoding="utf-8")
    shown = " ".join(run_here("plan", file).stdout.partition("Assumptions, because")[2].split())
    assert "... and" not in shown
    display = load_text(json.dumps(data))
    groups = grouped(display)
    assert sum(len(g.names) for g in groups) == len(list(assumptions(display))) > 150
    for group in groups:
        assert f"{group.where} " in shown
    even, uneven = (", ".join(f"kind{i:02}" for i in range(start, 30, 2)) for start in (0, 1))
    assert f"kinds.*.fill.wiring none all lights of a prop sit at one point of the cable ({uneven})" in shown
    assert f"kinds.*.pigtail.cable cable-3x18awg pigtails of the usual cable ({even})" in shown
    assert "levels.* 100 % full brightness (all 31)" in shown
    assert "the lead runs into the prop without a joint (all but string03, string04)" in shown


def test_the_list_of_assumptions_stays_short(tmp_path: Path) -> None:
    lines = {}
    for kinds in (2, 30):
        file = tmp_path / f"{kinds}.yaml"
        file.write_text(json.dumps(many_kinds(kinds)), encoding="utf-8")
        lines[kinds] = len(run_here("plan", file).stdout.partition("Assumptions, because")[2].splitlines())
    assert lines[30] <= 2 * lines[2]


def test_names_and_texts_are_shown_as_they_stand(tmp_path: Path) -> None:
    file = tmp_path / "odd.yaml"
    file.write_text(
        "display: 'Odd [bold]names[/] :smile:'\n"
        "currency: '[EUR]'\n"
        "supplies: {shed: {voltage: 12 V, rating: 60 W}}\n"
        "controllers: {box: {outputs: 1}}\n"
        "parts: {lamp: {extends: bullet-12mm-12v, about: 'see [/sheet] [2]'}}\n"
        "kinds: {ball: {fill: {light: lamp}}}\n"
        "strings: {rail: {output: box/1, supply: shed, props: 2 * ball, lead: {length: 1 m}, span: {length: 1 m}}}\n",
        encoding="utf-8",
    )
    done = run_here("plan", file)
    assert done.returncode in (0, 1), done.stderr
    assert "Odd [bold]names[/] :smile:" in done.stdout
    assert "see [/sheet] [2]" in done.stdout
    assert "Bill ([EUR])" in done.stdout


def test_help_and_version() -> None:
    assert run_here("--version").stdout == f"hollowglow, version {__version__}\n"
    shown = run_here("--help").stdout
    assert [line.split()[0] for line in shown.split("Commands:\n")[1].splitlines()] == [
        "demo",
        "check",
        "plan",
        "fill",
        "open",
        "place",
        "match",
        "feed",
        "tolerance",
        "characterise",
        "light",
        "walk",
        "watch",
        "capture",
        "analyse",
        "export",
        "book",
        "undo",
        "redo",
        "schema",
        "parts",
    ]
    assert "--json PATH" in run_here("plan", "-h").stdout


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["paln", "x.yaml"], 'There is no command "paln". Did you mean "plan"?'),
        (["wobble"], 'There is no command "wobble". hollowglow --help lists them.'),
        (["plan", "x.yaml", "--jsn", "-"], "No such option"),
        (["plan"], "Missing argument 'FILE'."),
        (["demo", "a", "b"], "Got unexpected extra argument"),
    ],
)
def test_a_misspelt_call_is_told_with_a_hint(arguments: list[str], told: str) -> None:
    done = run_here(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in done.stderr
    no_traceback(done)


def test_a_misspelt_option_is_told_which_one_may_be_meant() -> None:
    assert "--json" in run_here("plan", "x.yaml", "--jsn", "-").stderr


def test_without_a_command_the_help_is_shown() -> None:
    done = run_here()
    assert "Commands:" in done.stdout + done.stderr
    no_traceback(done)


def test_fill_explains_its_choice_and_lists_the_candidates(demo: Path) -> None:
    lights = ("--light", "puck-3led-12v", "--light", "puck-6led-12v")
    done = run("fill", demo / "landing.yaml", "acorn", *lights, "--prefer", "light")
    assert done.returncode == 0, done.stderr
    assert "What to put inside acorn\npuck-6led-12v, stand-off gives" in done.stdout
    assert "(now)" in done.stdout
    assert "light 70 %" in done.stdout


def test_fill_writes_json_and_a_picture(demo: Path, tmp_path: Path) -> None:
    picture = tmp_path / "fills.svg"
    done = run_here("fill", demo / "landing.yaml", "acorn", "--light", "puck-6led-12v", "--json", "-", "--svg", picture)
    assert done.returncode == 0, done.stderr
    data = json.loads(done.stdout)
    assert [c["light"] for c in data["candidates"]].count("puck-6led-12v") == 1
    assert "<svg" in picture.read_text(encoding="utf-8")


def test_fill_of_an_unknown_kind_ends_with_one_line(demo: Path) -> None:
    done = run_here("fill", demo / "landing.yaml", "acron")
    assert done.returncode == 2
    assert done.stderr == 'There is no kind "acron" in this display. Did you mean "acorn"?\n'
