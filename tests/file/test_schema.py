"""The JSON Schema that is printed says what the loader takes."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from click.testing import CliRunner

from hollowglow.cli.main import hollowglow
from hollowglow.file import load_text
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.inheritance import SECTIONS
from hollowglow.file.reading.keys import keys_at
from hollowglow.file.text.source import parse_text
from tests.file.jetty import FILE, JETTY, complaints, jetty

TYPES: dict[str, type | tuple[type, ...]] = {
    "object": dict, "array": list, "string": str, "number": (int, float), "integer": int, "boolean": bool, "null": type(None),
}  # fmt: skip


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    result = CliRunner().invoke(hollowglow, ["schema"])
    assert result.exit_code == 0
    printed: dict[str, Any] = json.loads(result.output)
    return printed


def objections(value: Any, rule: dict[str, Any], root: dict[str, Any], at: str = "") -> list[str]:
    """What a JSON Schema has against a value; only the words that this schema uses."""
    if "$ref" in rule:
        rule = {**root["$defs"][rule["$ref"].rpartition("/")[2]], **{k: v for k, v in rule.items() if k != "$ref"}}
    known = {
        "$schema", "$defs", "$ref", "title", "description", "default", "discriminator", "type", "enum", "const",
        "anyOf", "oneOf", "properties", "required", "additionalProperties", "items", "prefixItems", "minItems",
        "maxItems", "minLength", "maxLength", "minimum", "maximum", "pattern",
    }  # fmt: skip
    assert set(rule) <= known, set(rule) - known
    found: list[str] = []
    kinds = rule.get("type", list(TYPES))
    if not any(_is(value, kind) for kind in ([kinds] if isinstance(kinds, str) else kinds)):
        return [f"{at} is no {kinds}"]
    if ("enum" in rule and value not in rule["enum"]) or ("const" in rule and value != rule["const"]):
        found.append(f"{at} is none of the words allowed")
    for word in ("anyOf", "oneOf"):
        fits = [not objections(value, choice, root, at) for choice in rule.get(word, ())]
        if word in rule and not any(fits):
            found.append(f"{at} fits none of {word}")
        if word == "oneOf" and sum(fits) > 1:
            found.append(f"{at} fits several of oneOf")
    if isinstance(value, dict):
        found += [f"{at} lacks {key}" for key in rule.get("required", ()) if key not in value]
        other = rule.get("additionalProperties", True)
        for key, inner in value.items():
            below = rule.get("properties", {}).get(key, other)
            if below is False:
                found.append(f"{at} has {key}")
            elif isinstance(below, dict):
                found += objections(inner, below, root, f"{at}.{key}")
    if isinstance(value, list):
        for i, inner in enumerate(value):
            heads = rule.get("prefixItems", [])
            found += objections(inner, heads[i] if i < len(heads) else rule.get("items", {}), root, f"{at}[{i}]")
        if not rule.get("minItems", 0) <= len(value) <= rule.get("maxItems", 10**9):
            found.append(f"{at} has {len(value)} items")
    if isinstance(value, str) and not re.search(rule.get("pattern", ""), value):
        found.append(f"{at} does not match")
    if isinstance(value, str) and not rule.get("minLength", 0) <= len(value) <= rule.get("maxLength", 10**9):
        found.append(f"{at} has {len(value)} characters")
    if _is(value, "number") and not rule.get("minimum", value) <= value <= rule.get("maximum", value):
        found.append(f"{at} is out of range")
    return found


def _is(value: Any, kind: str) -> bool:
    return isinstance(value, TYPES[kind]) and (kind in ("boolean", "null") or not isinstance(value, bool))


def test_the_example_fits_the_schema(schema: dict[str, Any]) -> None:
    assert objections(parse_text(JETTY, FILE).data, schema, schema) == []


def test_the_catalogue_fits_the_schema(schema: dict[str, Any]) -> None:
    assert objections({"display": "x", "parts": dict(raw_catalogue())}, schema, schema) == []


VARIANTS = [
    ("12 * float", "[6 * float, float, 5 * float]"),
    ("length: 1.8 m", f"length: [{', '.join(['1 m'] * 11)}]"),
    ("fuse: 5 A   ", "fuse: blade-5a   "),
    ("levels:", "  gable: {extends: rail, output: box/2}\nlevels:"),
    ("shape: sphere, diameter: 150 mm", "shape: lathe, profile: [[0 mm, 0 mm], [40 mm, 50 mm]]"),
    ("transmittance: 0.45", "transmittance: 45 %"),
    ("display: ", "limits: {chromaticity_shift: 0.01, light_loss: 5 %}\nlabour: {splice: 4 min, hour: 30}\ndisplay: "),
]


@pytest.mark.parametrize(("old", "new"), VARIANTS)
def test_what_the_loader_takes_fits_the_schema(schema: dict[str, Any], old: str, new: str) -> None:
    text = jetty((old, new))
    load_text(text, FILE)
    assert objections(parse_text(text, FILE).data, schema, schema) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("supply: shed\n", "suply: shed\n"),
        ("length: 1.8 m", "length: 1.8"),
        ("light: test-constant-current, ", ""),
        ("class: constant-current, ", ""),
        ("class: constant-current", "class: snik"),
        ("voltage: 12 V", "voltage: 12"),
        ("[18.5 mA, 18.5 mA, 18.5 mA]", "[18.5 mA]"),
        ("shape: sphere", "shape: ball"),
        ("12 * float", "[]"),
        ("box/1", "box"),
        ("display: Jetty sample", 'display: ""'),
        ("rating: 100 W", "rating: 100 W, price: -5"),
    ],
)
def test_what_the_schema_refuses_the_loader_refuses(schema: dict[str, Any], old: str, new: str) -> None:
    text = jetty((old, new))
    assert complaints(text)
    assert objections(parse_text(text, FILE).data, schema, schema)


def test_the_schema_has_every_key_of_every_table(schema: dict[str, Any]) -> None:
    for section in SECTIONS:
        entry = schema["properties"][section]["additionalProperties"]["$ref"].rpartition("/")[2]
        assert sorted(schema["$defs"][entry]["properties"]) == sorted(keys_at((section, "any")))
    assert sorted(schema["properties"]) == sorted(keys_at(()))
