"""A key of the display file is declared once: type, default, meaning and what is assumed stand together."""

from __future__ import annotations

import inspect
from collections.abc import Iterator

import pytest
from pydantic.fields import FieldInfo
from tools.file_keys import FILE_KEYS

from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.keys import Key, declared
from hollowglow.file.reading.keys import tables
from hollowglow.jobs.start.schema import display_schema


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
