"""The generated documents are what the code makes now, and explain every key that there is."""

import re
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest
from tools import docs, json_keys
from tools.agreement import distributor, groups
from tools.agreement_rows import difference
from tools.file_keys import FILE_KEYS
from tools.glossary import SEVERAL_UNITS, WORDS, units_by_name
from tools.json_keys import JSON_KEYS, SAME

from hollowglow.analysis.findings import CODES
from hollowglow.file.reading.inheritance import SECTIONS
from hollowglow.jobs import plan_document
from hollowglow.jobs.start.schema import display_schema

MADE = docs.documents()
UNITS = {
    "-",
    "V",
    "A",
    "W",
    "ohm",
    "ohm/m",
    "pixel",
    "m",
    "kg",
    "s",
    "min",
    "kWh",
    "Hz",
    "lm",
    "degree",
    "°C",
    "K",
    "share",
    "currency",
    "u'v'",
    "L*",
    "cd",
    "cd/m²",
    "N",
}


@pytest.fixture(scope="module")
def document() -> dict[str, Any]:
    with as_file(files("hollowglow.file") / "demo" / "landing.yaml") as path:
        return plan_document(path)


@pytest.mark.parametrize("name", MADE)
def test_the_document_is_what_the_generator_makes_now(name: str) -> None:
    written = (docs.DOCS / name).read_text(encoding="utf-8")
    assert written == MADE[name], f"docs/{name} is out of date: python -m tools.docs"


def test_every_finding_code_is_in_the_document_and_no_other() -> None:
    assert re.findall(r"^\| `([a-z-]+)` \|", MADE["findings.md"], flags=re.MULTILINE) == list(CODES)


def test_every_key_of_the_json_document_is_explained_and_no_other(document: dict[str, Any]) -> None:
    explained = {path: set(keys) for path, (_, keys) in JSON_KEYS.items()}
    for path, like in SAME.items():
        explained[path] = explained[like]
    assert json_keys.found_keys(document) == explained


def test_the_schema_knows_the_sections_that_the_glossary_says_can_extend() -> None:
    properties = display_schema()["properties"]
    assert set(SECTIONS) <= set(properties)
    assert set(properties) == set(FILE_KEYS[""][1])


def test_a_name_has_one_unit_wherever_it_stands_unless_the_glossary_says_why_not() -> None:
    units = units_by_name(FILE_KEYS, JSON_KEYS)
    assert {name for name, found in units.items() if len(found) > 1} == set(SEVERAL_UNITS)
    assert set().union(*units.values()) == UNITS


def test_meanings_are_short_phrases() -> None:
    for table in (FILE_KEYS, JSON_KEYS):
        for about, keys in table.values():
            for phrase in (about, *(meaning for _, meaning in keys.values())):
                assert phrase
                assert not phrase.endswith(".")
                assert len(phrase) < 160
    assert all(WORDS.values())


def test_words_used_as_keys_are_in_the_glossary() -> None:
    """The tool's own nouns: each table of the file, and each thing that the document counts, is a word of the glossary."""
    counted = {name.removesuffix("s").removesuffix("ie") for name in ("kinds", "strings", "emitters", "nodes", "cells")}
    assert counted | {"fuse", "joint", "supply", "controller", "output", "level", "lead", "span", "feed"} <= set(WORDS)


def test_numbers_of_the_document_have_the_unit_that_they_claim(document: dict[str, Any]) -> None:
    for row in document["supplies"]:
        assert row["power"] == pytest.approx(row["voltage"] * row["current"], rel=1e-6)
        assert row["load_fraction"] == pytest.approx(row["power"] / row["rating"], rel=1e-6)
    for row in document["outputs"]:
        assert row["frame_time"] * row["max_rate"] == pytest.approx(1.0, rel=1e-6)
    for row in document["cables"]:
        assert row["drop"] == pytest.approx((row["current_plus"] + row["current_minus"]) * row["resistance"], abs=1e-8)


def test_every_difference_from_a_published_value_has_a_reason() -> None:
    for group in groups():
        assert group.source
        for row in group.rows:
            if difference(row) != "none":
                assert len(row.reason) > 5, row


# Beyond these shares a difference is no rounding any more and must be looked into.
MOST_PERCENT = {"Data timing": 8.4, "Voltage drop of cords": 5.0, "Building wire": 0.6}


def test_no_difference_is_larger_than_its_reason_allows() -> None:
    for group in groups():
        most = MOST_PERCENT.get(group.title, 0.2)
        for row in group.rows:
            assert abs(row.ours / float(row.published) - 1.0) * 100.0 < most, row


def test_the_distributor_of_the_agreement_obeys_ohms_law() -> None:
    volts, lost = distributor(100.0, [1.0, 2.0], [3.0, 5.0])
    assert volts == pytest.approx([100.0 - 2 * 1.0 * 8.0, 100.0 - 2 * 1.0 * 8.0 - 2 * 2.0 * 5.0], rel=1e-12)
    assert lost == pytest.approx(2 * 1.0 * 8.0**2 + 2 * 2.0 * 5.0**2, rel=1e-12)


def test_a_cell_of_a_table_cannot_break_it() -> None:
    assert docs.table(("a", "b"), [("x|y", "z")]) == "| a | b |\n| --- | --- |\n| x\\|y | z |\n"


def test_writing_the_documents_changes_nothing_when_nothing_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(docs, "DOCS", tmp_path)
    docs.main()
    assert {p.name: p.read_text(encoding="utf-8") for p in tmp_path.iterdir()} == MADE
    assert capsys.readouterr().out.splitlines() == [f"wrote docs/{name}" for name in MADE]
