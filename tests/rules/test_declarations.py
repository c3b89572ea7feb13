"""A key of the display file is declared once: type, default, meaning and what is assumed stand together."""

from __future__ import annotations

import inspect
import re
import typing
from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic.fields import FieldInfo
from tools.file_keys import FILE_KEYS

import hollowglow
from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.keys import Key, declared
from hollowglow.file.model.loads import CHARACTERISTICS, CLASSES, Load
from hollowglow.file.reading.keys import tables
from hollowglow.jobs.start.schema import display_schema

SOURCE = Path(hollowglow.__file__).parent


def fields() -> Iterator[tuple[str, FieldInfo]]:
    for path, model in tables():
        for name, field in model.model_fields.items():
            yield f"{path}.{field.alias or name}".lstrip("."), field


def test_every_key_is_declared_with_a_meaning() -> None:
    undeclared = [path for path, field in fields() if not isinstance(field.json_schema_extra, Key)]
    assert not undeclared
    assert [path for path, field in fields() if not declared(field).meaning] == []


def test_every_key_of_the_schema_says_what_it_means() -> None:
    schema = display_schema()
    keys = [
        (table, key, stated)
        for table, model in {"": schema, **schema["$defs"]}.items()
        for key, stated in model.get("properties", {}).items()
    ]
    assert len(keys) > sum(len(keys) for _, keys in FILE_KEYS.values())  # `extends` stands there beside them
    assert [(table, key) for table, key, stated in keys if not stated.get("description")] == []


@pytest.mark.parametrize(("path", "model"), [pytest.param(path, one, id=path or "top") for path, one in tables()])
def test_every_table_says_what_it_is_and_declares_no_key_twice(path: str, model: type[Frozen]) -> None:
    assert model.__doc__
    assert model.__doc__ != inspect.getdoc(Frozen)
    names = [field.alias or name for name, field in model.model_fields.items()]
    assert len(names) == len(set(names))
    assert set(FILE_KEYS[path][1]) == set(names)


def test_what_is_assumed_is_a_default() -> None:
    """A key that must be stated is never assumed."""
    assert [path for path, field in fields() if declared(field).assumed and field.is_required()] == []


def test_every_characteristic_is_registered_once_and_has_columns_of_its_own() -> None:
    assert typing.get_args(typing.get_args(Load)[0]) == CHARACTERISTICS
    assert len(set(CLASSES)) == len(CHARACTERISTICS)
    names = [name for one in CHARACTERISTICS for name in one.COLUMNS]
    assert len(names) == len(set(names))
    for one in CHARACTERISTICS:
        assert {column.key for column in one.COLUMNS.values()} == set(one.model_fields) - {"characteristic", "idle"}
        assert not one.FALLS or {"power_w", "efficiency", "cutoff_v"} <= set(one.COLUMNS)


def test_nothing_outside_its_module_asks_for_the_class_of_a_load() -> None:
    """Who needs to know asks what the characteristic is like, so that another one needs no change there."""
    home = SOURCE / "file" / "model" / "loads"
    asking = re.compile(
        "|".join(f'"{name}"|{one.__name__}' for name, one in zip(CLASSES, CHARACTERISTICS, strict=True))
    )
    found = [
        f"{path.relative_to(SOURCE)}: {line.strip()}"
        for path in sorted(SOURCE.rglob("*.py"))
        if home not in path.parents
        for line in path.read_text(encoding="utf-8").splitlines()
        if asking.search(line) and '"resistor": "[' not in line  # the key of that name, not the class
    ]
    assert found == []
