"""Levels from a photograph, as a person runs it: first the numbered picture, then the labels."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.cli.running import no_traceback, run, run_here

# Linear light of three discs on black: the third gives 1.5 times the light of the others.
DISCS = ((120, 0.24), (300, 0.24), (480, 0.36))


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("yard")
    assert run_here("demo", folder / "demo").returncode == 0
    y, x = np.mgrid[:300, :600]
    light = np.zeros((300, 600))
    for centre, value in DISCS:
        light[(x - centre) ** 2 + (y - 150) ** 2 < 40**2] = value
    # The curve of IEC 61966-2-1.
    coded = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    Image.fromarray(np.repeat((255 * coded).round().astype(np.uint8)[..., None], 3, axis=2)).save(folder / "yard.png")
    return folder


def test_without_labels_the_props_are_numbered_and_nothing_is_matched(yard: Path) -> None:
    done = run_here("match", yard / "demo" / "landing.yaml", "--photo", yard / "yard.png")
    no_traceback(done)
    assert done.returncode == 0
    assert "3 lit props" in done.stdout
    assert '--label "1-3=float"' in done.stderr
    assert "What to type" not in done.stdout
    assert (yard / "yard-numbered.png").is_file()


def test_of_props_that_were_not_caught_nothing_is_told_but_why(yard: Path, tmp_path: Path) -> None:
    with Image.open(yard / "yard.png") as picture:
        # Eight times the light clips all three discs: 8 x 0.24 is above 1.
        picture.point(lambda code: 255 if code > 60 else code).save(tmp_path / "over.png")
    done = run_here("match", yard / "demo" / "landing.yaml", "--photo", tmp_path / "over.png")
    rows = [line.split() for line in done.stdout.splitlines() if line.endswith("clipped")]
    assert rows == [[str(number), "-", "-", "-", "clipped"] for number in (1, 2, 3)]


def test_with_labels_the_levels_follow_the_photograph(yard: Path) -> None:
    file = yard / "demo" / "landing.yaml"
    done = run("match", file, "--photo", yard / "yard.png", "--label", "1-2=float,3=acorn", "--by", "luminance")
    no_traceback(done)
    assert done.returncode == 0, done.stderr
    row = next(line.split() for line in done.stdout.splitlines() if line.startswith("float "))
    assert float(row[2]) == pytest.approx(100.0 * 0.24 / 0.36, abs=1.5)  # percent of the brightest kind
    assert "What to type" in done.stdout
    assert "kept in" in done.stderr


def test_photographs_without_the_option_are_a_misuse(yard: Path) -> None:
    done = run_here("match", yard / "demo" / "landing.yaml", yard / "yard.png")
    no_traceback(done)
    assert done.returncode == 2
    assert "Photographs come after --photo." in done.stderr


def test_a_label_of_a_kind_that_is_not_there_is_told(yard: Path) -> None:
    done = run_here("match", yard / "demo" / "landing.yaml", "--photo", yard / "yard.png", "--label", "1-3=flaot")
    no_traceback(done)
    assert done.returncode == 2
    assert "float" in done.stderr


def test_a_meter_is_taken_at_its_word(yard: Path) -> None:
    file = yard / "demo" / "landing.yaml"
    done = run_here("match", file, "--meter", "float=60 cd/m2", "--meter", "acorn=90 cd/m2", "--by", "luminance")
    no_traceback(done)
    assert done.returncode == 0, done.stderr
    wrong = run_here("match", file, "--meter", "float=60 parsecs")
    assert wrong.returncode == 2
    assert "--meter" in wrong.stderr


def test_what_was_measured_is_remembered_the_next_time(yard: Path) -> None:
    file = yard / "demo" / "landing-mended.yaml"
    before = run_here("match", file)
    assert "corrected by what was measured" not in before.stdout
    measured = run_here(
        "match", file, "--photo", yard / "yard.png", "--label", "1-2=float,3=acorn", "--by", "luminance"
    )
    assert measured.returncode == 0, measured.stderr
    again = run_here("match", file, "--by", "luminance")
    assert "The model is corrected by what was measured of float, acorn." in again.stdout
    levels = [
        {w[0]: w[1] for line in done.stdout.splitlines() if len(w := line.split()) > 6 and w[0] in ("float", "acorn")}
        for done in (measured, again)
    ]
    assert levels[0].keys() == levels[1].keys() == {"float", "acorn"}
