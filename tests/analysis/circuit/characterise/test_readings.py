"""Readings as a person types them, or puts them into a file; what is wrong is told with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from hollowglow.analysis.circuit.characterise import parse_reading, read_file
from hollowglow.messages.errors import DisplayError
from hollowglow.messages.refusal import Refusal

CURRENT = 'a current like "18.5 mA" (from 0 A to 200 A)'


def test_a_typed_reading() -> None:
    found = parse_reading("12 V: red 18.5 mA, off 1 mA", 3)
    assert [(r.volts, r.channel, r.where) for r in found] == [(12.0, "red", "reading 3"), (12.0, "off", "reading 3")]
    assert [r.amps for r in found] == pytest.approx([0.0185, 0.001])
    assert [r.step_a for r in found] == pytest.approx([1e-4, 1e-3])
    assert found[0].shown == "red at 12 V (reading 3)"


def test_several_lights_share_the_current() -> None:
    (found,) = parse_reading("5 V: red 0.185 A", 1, lights=10)
    assert (found.amps, found.step_a) == pytest.approx((0.0185, 1e-4))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            "12 V red 18 mA",
            'reading 2: found "12 V red 18 mA", expected a voltage, a colon and currents, like "12 V: red 19 mA, green 18 '
            'mA, blue 18 mA, off 1 mA".',
        ),
        (
            "12: red 18 mA",
            'reading 2, at: found "12" without a unit, expected a voltage like "12 V" (from 1 mV to 60 V).',
        ),
        ("12 V: red 18", f'reading 2, red: found "18" without a unit, expected {CURRENT}.'),
        ("12 V: red -1 mA", f'reading 2, red: found "-1 mA", expected {CURRENT}.'),
        ("12 V: red 5 V", f'reading 2, red: found "5 V", which is not a current, expected {CURRENT}.'),
        (
            "12 V: rde 5 mA",
            'reading 2: found the unknown key "rde", expected one of at, red, green, blue, white, all, off. Did you mean '
            '"red"?',
        ),
        ("12 V: red 1 mA, red 2 mA", 'reading 2: found "red" again, expected each colour once.'),
        ("12 V: red", 'reading 2: found "red", expected a colour and a current like red 19 mA.'),
        (
            "12 V: red 18,5 mA",
            'reading 2: found "5 mA", expected a colour and a current like red 19 mA. Write decimals with a point, not a '
            "comma, and put no other commas into a quantity.",
        ),
    ],
)
def test_a_mistyped_reading_is_told_whole(text: str, told: str) -> None:
    with pytest.raises(Refusal) as error:
        parse_reading(text, 2)
    assert str(error.value) == told


YAML = """\
# Bench, 3 December
readings:
  - {at: 12 V, red: 19 mA, off: 1 mA}
  - red: 18.5 mA
    at: 9 V
"""
CSV = "at,red,green,off\n12 V,19 mA,,1 mA\n\n9 V,18.5 mA,18 mA,\n"


def test_a_yaml_file_of_readings(tmp_path: Path) -> None:
    path = tmp_path / "bench.yaml"
    path.write_text(YAML, encoding="utf-8")
    found = read_file(path)
    assert [(r.volts, r.channel) for r in found] == [(12.0, "red"), (12.0, "off"), (9.0, "red")]
    assert found[-1].where == f"{path}, line 4"


def test_a_csv_file_of_readings(tmp_path: Path) -> None:
    path = tmp_path / "bench.csv"
    path.write_text(CSV, encoding="utf-8")
    found = read_file(path)
    assert [(r.volts, r.channel) for r in found] == [(12.0, "red"), (12.0, "off"), (9.0, "red"), (9.0, "green")]
    assert found[-1].where == f"{path}, line 4"


@pytest.mark.parametrize(
    ("name", "text", "told"),
    [
        (
            "b.yaml",
            "readings:\n  - {at: 12 V, red: 18}\n",
            f"F, line 2, red: found 18 without a unit, expected {CURRENT}.",
        ),
        (
            "b.yaml",
            "readings:\n  - {red: 18 mA}\n",
            'F, line 2: found no voltage, expected at: the voltage at the light, like "12 V".',
        ),
        (
            "b.yaml",
            "readings:\n  - {at: 9 V}\n",
            "F, line 2: found a voltage without currents, expected currents for some of red, green, blue, white, all, off.",
        ),
        (
            "b.yaml",
            "reading: []\n",
            "F, line 1: found no list of readings, expected readings: a list like [{at: 12 V, red: 19 mA}].",
        ),
        ("b.yaml", "readings: []\n", "F: found no readings, expected at least one reading."),
        ("b.yaml", "readings: [3]\n", "F, line 1: found 3, expected a reading like {at: 12 V, red: 19 mA}."),
        (
            "b.csv",
            "volts,red\n12 V,1 mA\n",
            'F, line 1: found "volts,red", expected a first line of names, each once: some of at, red, green, blue, white, '
            "all, off.",
        ),
        ("b.csv", "at,red\n12 V,1 mA,2 mA\n", "F, line 2: found 3 cells, expected 2, as many as names."),
        ("b.csv", "at,red\n12 V,1 mA\n9 V,x\n", f'F, line 3, red: found "x", expected {CURRENT}.'),
        ("b.csv", "at,red\n", "F: found no readings, expected at least one reading."),
    ],
)
def test_a_wrong_file_is_told_whole(tmp_path: Path, name: str, text: str, told: str) -> None:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DisplayError) as error:
        read_file(path)
    assert str(error.value).replace(str(path), "F") == told
