"""`hollowglow tolerance` and `hollowglow characterise` as a person runs them."""

from __future__ import annotations

import difflib
import json
import re
from pathlib import Path

import pytest

from hollowglow.file import load
from tests.cli.running import no_traceback, run, run_here
from tests.file.jetty import jetty

READINGS = ("--reading", "12 V: red 16.9 mA, green 17.1 mA, blue 16.8 mA, white 48.4 mA, off 1.2 mA")
LOWER = ("--reading", "9 V: red 17.0 mA, green 17.0 mA, blue 16.9 mA, off 1.2 mA")


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    assert run_here("demo", tmp_path / "demo").returncode == 0
    return tmp_path / "demo" / "landing-mended.yaml"


def test_a_tolerance_analysis_says_chances_and_what_matters(demo: Path) -> None:
    done = run("tolerance", demo, "--samples", "200")
    assert (done.returncode, done.stderr) == (0, "")
    assert "200 samples with seed 1: the whole display stays within its limits in" in done.stdout
    titles = (
        "Strings: chance",
        "Supplies: load over rating",
        "Fuses: load over rating",
        "What the lowest voltage hangs on",
    )
    for words in titles:
        assert words in done.stdout
    no_traceback(done)


def test_the_same_seed_gives_the_same_document_and_another_another(demo: Path, tmp_path: Path) -> None:
    first = run_here("tolerance", demo, "--samples", "50", "--json", "-")
    assert first.stderr == ""
    assert run_here("tolerance", demo, "--samples", "50", "--json", tmp_path / "a.json").returncode == 0
    assert json.loads(first.stdout) == json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))
    other = json.loads(run_here("tolerance", demo, "--samples", "50", "--seed", "2", "--json", "-").stdout)
    made = json.loads(first.stdout)
    assert (made["tolerances"]["seed"], other["tolerances"]["seed"]) == (1, 2)
    assert made["strings"][0]["lowest_v"] != other["strings"][0]["lowest_v"]
    assert made["chance"]["samples"] == 50
    assert set(made) == {
        "display", "hollowglow", "tolerances", "chance", "strings", "supplies", "fuses", "solved_alone", "unsolved",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (
            "light_current: -8 %",
            'light_current: found "-8 %", expected a tolerance like "8 %" (from 0 % to 50 %).',
        ),
        (
            "temperature: -5 degC",
            'temperature: found "-5 degC", expected a temperature difference like "5 degC" or "9 degF" (from 0 degC to 60 '
            "degC).",
        ),
        ("bad_joints: -1 %", 'bad_joints: found "-1 %", expected a percentage like "1 %" (from 0 % to 100 %).'),
        (
            "bad_joint: -5 mohm",
            'bad_joint: found "-5 mohm", expected a resistance like "5 mohm" (from 0 ohm to 100 ohm).',
        ),
        ("samples: 5", "samples: found 5, expected how many displays to sample, a whole number from 10 to 100,000."),
        (
            "cable_varies: by the mile",
            'cable_varies: found "by the mile", expected one of by the reel, by the piece. Did you mean "by the piece"?',
        ),
        ("seed: 1.5", "seed: found 1.5, expected where the row of random numbers starts, a whole number from 0 to "),
    ],
)
def test_a_tolerance_that_cannot_be_is_told_with_its_line(tmp_path: Path, line: str, told: str) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(f"display: A\ntolerances:\n  {line}\n", encoding="utf-8")
    done = run_here("tolerance", path)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{path}, line 3, tolerances.{told}")
    no_traceback(done)


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [
        ("--samples", "9", "--samples: found 9, expected a whole number from 10 to 100,000.\n"),
        ("--seed", "-1", "--seed: found -1, expected a whole number from 0 to 9,007,199,254,740,992.\n"),
    ],
)
def test_draws_and_seeds_out_of_range_are_told(demo: Path, option: str, value: str, told: str) -> None:
    done = run_here("tolerance", demo, option, value)
    assert (done.returncode, done.stdout, done.stderr) == (2, "", told)


def test_a_file_without_strings_has_nothing_to_sample(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("display: A\n", encoding="utf-8")
    done = run_here("tolerance", path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == "A\nThis file has no strings yet, so there is nothing that could stray.\n"


def test_a_string_without_power_has_unknown_figures(tmp_path: Path) -> None:
    path = tmp_path / "dark.yaml"
    path.write_text(re.sub(r"    supply: shed\n|    feeds:\n.*\n", "", jetty()), encoding="utf-8")
    said = run("tolerance", path, "--samples", "20").stdout
    assert "nan" not in said
    assert "unknown" in said


def test_a_measured_light_is_shown_beside_the_catalogue(demo: Path) -> None:
    done = run("characterise", demo, "bullet-12mm-12v", *READINGS, *LOWER)
    assert (done.returncode, done.stderr) == (0, "")
    assert "The readings follow constant-current (a linear driver of constant current) as stated" in done.stdout
    assert "Too few readings for turn_on, saturation: as stated before." in done.stdout
    assert "95 % limits" in done.stdout
    assert "wrote" not in done.stdout


def test_what_was_measured_goes_into_the_file_and_its_comments_stay(demo: Path) -> None:
    before = demo.read_text(encoding="utf-8")
    done = run_here("characterise", demo, "bullet-12mm-12v", *READINGS, *LOWER, "--apply")
    assert done.returncode == 0
    assert done.stdout.endswith(f"wrote {demo}\n")
    after = demo.read_text(encoding="utf-8")
    changed = [line for line in difflib.ndiff(before.splitlines(), after.splitlines()) if line[0] in "+-"]
    assert not [line for line in changed if line.startswith("-")]
    part = load(demo).parts["bullet-12mm-12v"]
    assert part.basis == {"default": "typical", "light.load.current": "measured", "light.load.idle": "measured"}
    assert part.light is not None
    assert part.light.load.characteristic == "constant-current"
    assert part.light.load.current == pytest.approx([0.01575, 0.01585, 0.01565], abs=2e-4)
    again = run_here("characterise", demo, "bullet-12mm-12v", *READINGS, *LOWER, "--apply")
    assert again.returncode == 0
    assert demo.read_text(encoding="utf-8") == after


def test_another_characteristic_replaces_the_stated_one(demo: Path) -> None:
    given = [
        "12 V: red 3.8 mA, green 5.8 mA, blue 5.9 mA, off 1.2 mA",
        "9 V: red 4.7 mA, green 7.3 mA, blue 7.6 mA, off 1.2 mA",
    ]
    done = run_here(
        "characterise", demo, "bullet-12mm-12v", "--apply", *(w for text in given for w in ("--reading", text))
    )
    assert "The readings follow constant-power (a switching driver), not constant-current as stated" in done.stdout
    light = load(demo).parts["bullet-12mm-12v"].light
    assert light is not None
    assert light.load.characteristic == "constant-power"


def test_a_part_of_the_file_itself_is_changed_where_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    text = (
        "display: A\nparts:\n  own:   # from the market\n    light: {emitters: 1, load: {class: constant-current, "
        "current: [18 mA, 18 mA, 18 mA], turn_on: [2 V, 3 V, 3 V], saturation: 0.6 V}}\n    basis: standard  # a guess\n"
    )
    path.write_text(text, encoding="utf-8")
    assert run_here("characterise", path, "own", *READINGS, *LOWER, "--apply").returncode == 0
    after = path.read_text(encoding="utf-8")
    assert "own:   # from the market" in after
    part = load(path).parts["own"]
    assert part.basis == {"default": "standard", "light.load.current": "measured", "light.load.idle": "measured"}


def test_a_measured_light_as_a_document(demo: Path) -> None:
    done = run_here("characterise", demo, "bullet-12mm-12v", *READINGS, *LOWER, "--json", "-")
    made = json.loads(done.stdout)
    assert (made["characteristic"], made["stated_characteristic"], made["sure"]) == (
        "constant-current",
        "constant-current",
        True,
    )
    assert made["load"]["class"] == "constant-current"
    assert len(made["readings"]) == 9


def test_readings_come_from_a_file_too(demo: Path, tmp_path: Path) -> None:
    path = tmp_path / "bench.csv"
    path.write_text("at,red,green,blue,off\n12 V,169 mA,171 mA,168 mA,12 mA\n9 V,170 mA,170 mA,169 mA,12 mA\n")
    done = run_here("characterise", demo, "bullet-12mm-12v", "--readings", path, "--lights", "10")
    assert "The readings follow constant-current" in done.stdout


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (
            ("bullet-12mm-12", *READINGS),
            'There is no part "bullet-12mm-12" in this display or in the catalogue. Did you mean "bullet-12mm-12v"?\n',
        ),
        (
            ("cable-3x18awg", *READINGS),
            'The part "cable-3x18awg" is no light but has the role cable. Name a light.\n',
        ),
        (
            ("bullet-12mm-12v",),
            'There are no readings. Give some as --reading "12 V: red 19 mA, green 18 mA, blue 18 mA, off 1 mA", or a file '
            "with --readings FILE.\n",
        ),
        (
            ("bullet-12mm-12v", *READINGS, "--lights", "0"),
            "--lights: found 0, expected a whole number from 1 to 10,000.\n",
        ),
        (
            ("bullet-12mm-12v", "--reading", "12 V: red 0 V"),
            'reading 1, red: found "0 V", which is not a current, expected a current like "18.5 mA" (from 0 A to 200 A).\n',
        ),
    ],
)
def test_what_cannot_be_measured_is_told_and_the_file_stays(demo: Path, arguments: tuple[str, ...], told: str) -> None:
    before = demo.read_bytes()
    done = run_here("characterise", demo, *arguments, "--apply")
    assert (done.returncode, done.stdout, done.stderr) == (2, "", told)
    assert demo.read_bytes() == before
