"""The export command: what it writes, and what it says of a form or a folder that will not do."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from tests.cli.running import run, run_here

DISPLAY = """\
display: "=Odd & <b>"
supplies: {shed: {voltage: 12 V, rating: 60 W}}
controllers: {box: {outputs: 1}}
kinds:
  ball:
    shell: {shape: sphere, diameter: 120 mm, transmittance: 0.45, reflectance: 0.45}
    carrier: {shape: disc, diameter: 70 mm}
    fill: {light: bullet-12mm-12v, count: 3}
    pigtail: {length: 150 mm}
    gland: {part: gland-pg7, count: 2}
strings:
  row: {output: box/1, supply: shed, props: 4 * ball, lead: {length: 3 m}, span: {length: 1 m, joint: splice-solder}}
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "odd.yaml"
    path.write_text(DISPLAY, encoding="utf-8")
    return path


def test_every_form_is_written(file: Path, tmp_path: Path) -> None:
    done = run("export", file, tmp_path / "out")
    assert done.returncode == 0, done.stderr
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert {path.rsplit(".", 1)[1] for path in names} == {"csv", "svg", "dxf", "ies", "gdtf", "mvr"}
    assert {
        "spares.csv",
        "hanging.csv",
        "positions.csv",
        "commissioning.csv",
        "addresses.csv",
        "bill.csv",
        "cuts.csv",
    } <= names
    assert "positions.svg" in names
    assert {"ball.ies", "template-ball-tip.dxf", "strip-ball.dxf", "strip-ball.svg"} <= names
    assert {"template-ball-shell-base.dxf", "template-ball-shell-base.svg", "template-ball-shell-tip.svg"} <= names
    assert f"wrote {len(names)} files into" in done.stdout
    assert "straight line for each string, at the lengths of its spans: the file states no places." in done.stdout
    with (tmp_path / "out" / "hanging.csv").open(encoding="utf-8") as stream:
        assert [row["id"] for row in csv.DictReader(stream)] == ["row/lead", *(f"row/prop{n:02d}" for n in range(1, 5))]


def test_only_what_is_asked_for(file: Path, tmp_path: Path) -> None:
    assert run_here("export", file, tmp_path / "out", "--forms", "ies,gdtf").returncode == 0
    assert sorted(path.suffix for path in (tmp_path / "out").iterdir()) == [".gdtf", ".ies"]


def test_an_unknown_form_is_refused_before_the_work(file: Path, tmp_path: Path) -> None:
    done = run_here("export", file, tmp_path / "out", "--forms", "gdtf,dwg")
    assert done.returncode == 2
    assert done.stderr == '--forms: found "dwg", expected some of csv, svg, dxf, ies, gdtf, mvr with commas between.\n'
    assert not (tmp_path / "out").exists()


def test_a_folder_that_cannot_be_made_is_said_before_the_work(file: Path) -> None:
    done = run_here("export", file, file / "out")
    assert done.returncode == 2
    assert "cannot be made a folder" in done.stderr
    assert "Traceback" not in done.stderr
