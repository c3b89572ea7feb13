"""docs/tolerance.md names every key of the documents that it describes, and its example reading can be read."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import pytest

from hollowglow.analysis.circuit.characterise import parse_reading
from hollowglow.analysis.circuit.tolerance import Chance, Influence, StringTolerance, ThingTolerance, ToleranceAnalysis

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "tolerance.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("made", [Chance, Influence, ToleranceAnalysis, StringTolerance, ThingTolerance])
def test_every_key_of_a_tolerance_analysis_is_on_the_page(made: type) -> None:
    words = set(re.findall(r"\w+", PAGE))
    assert {f.name for f in fields(made)} - {"name", "samples", "seed"} <= words


def test_the_example_reading_can_be_read() -> None:
    (text,) = re.findall(r'--reading "(12 V[^"]*)"', PAGE)
    assert len(parse_reading(text, 1)) == 4
