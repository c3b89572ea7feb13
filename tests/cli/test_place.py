"""The place command: places on the terminal, lines and points in, tables and pictures out."""

from __future__ import annotations

import csv
import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from hollowglow.file import load
from tests.analysis.site.placement.samples import YARD
from tests.cli.running import run, run_here

LINE = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 100"><path id="rail" d="M 100 60 h 200"/></svg>'


@pytest.fixture
def file(tmp_path: Path) -> Path:
    made = tmp_path / "yard.yaml"
    made.write_text("# my yard\n" + YARD, encoding="utf-8")
    return made


def test_places_go_out_as_tables_and_pictures_and_come_back_as_they_were(file: Path) -> None:
    folder = file.parent
    table, day, night = folder / "a.csv", folder / "day.svg", folder / "night.svg"
    ran = run_here("place", str(file), "--csv", str(table), "--svg", str(day), "--night", str(night))
    assert ran.returncode == 0, ran.stderr
    assert "0.40 m" in ran.stdout or "400 mm" in ran.stdout
    rows = list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))
    assert [(r["id"], float(r["x_m"]), float(r["y_m"])) for r in rows][-1] == ("rail/prop05", 4.0, 3.4)
    assert float(rows[0]["x_ft"]) == pytest.approx(3.0 / 0.3048, abs=1e-4)
    for picture in (day, night):
        assert "Yard" in "".join(ET.parse(picture).getroot().itertext())
    before = file.read_text(encoding="utf-8")
    ran = run_here("place", str(file), "--points", f"rail={table}", "--apply", "--json", "-")
    assert ran.returncode == 0, ran.stderr
    made = json.loads(ran.stdout)
    assert [p["x_m"] for p in made["props"]] == [float(r["x_m"]) for r in rows]
    after = file.read_text(encoding="utf-8")
    assert after.startswith("# my yard\n")
    assert load(file).strings["rail"].place is not None
    assert after != before
    assert run_here("undo", str(file)).returncode == 0
    assert file.read_text(encoding="utf-8") == before


def test_a_drawn_path_becomes_the_line_of_a_string(file: Path) -> None:
    picture = file.parent / "yard.svg"
    picture.write_text(LINE, encoding="utf-8")
    ran = run("place", str(file), "--line", f"rail={picture}#rail", "--scale", "10 mm", "--apply")
    assert ran.returncode == 0, ran.stderr
    place = load(file).strings["rail"].place
    assert place is not None
    # 100 and 300 units from the left, 40 up from the bottom of the picture, at 10 mm each.
    assert place.line == ((1.0, 0.4, 0.0), (3.0, 0.4, 0.0))
    assert place.pitch == 0.4


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--line", "rail"), '--line: found "rail", expected STRING=FILE.'),
        (("--line", "rial=a.svg"), '--line: found no string "rial". Did you mean "rail"?'),
        (("--points", "rail=none.csv"), "none.csv: the file cannot be read"),
        (("--line", "rail=yard.yaml"), "--line needs --scale"),
        (("--line", "rail=yard.yaml", "--scale", "10"), "--scale: found"),
        (("--line", "rail=yard.yaml", "--scale", "backdrop"), "The file has no backdrop"),
        (("--line", "rail=yard.yaml", "--scale", "1 mm"), "found no SVG picture"),
    ],
)
def test_what_cannot_be_taken_over_is_told_and_nothing_is_written(
    file: Path, arguments: tuple[str, ...], told: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(file.parent)
    before = file.read_text(encoding="utf-8")
    ran = run_here("place", "yard.yaml", *arguments, "--apply")
    assert ran.returncode == 2
    assert told in ran.stderr
    assert file.read_text(encoding="utf-8") == before
