"""Which tables and keys the display file has, read off the models themselves."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from typing import Any

from pydantic.fields import FieldInfo

from hollowglow.file.model.display import Display
from hollowglow.file.model.fields import Frozen
from hollowglow.file.reading.inheritance import SECTIONS


def tables(model: type[Frozen] = Display, path: str = "") -> Iterator[tuple[str, type[Frozen]]]:
    """Yield the path and the model of every table that the file may have.

    In a path NAME stands for a name that the builder chooses, [] for the entries of a list; the class of a load stands
    behind its path.
    """
    yield path, model
    for name, field in model.model_fields.items():
        for below, steps in _models(field.annotation):
            tag = below.model_fields.get("characteristic")
            here = f"{path}.{field.alias or name}".lstrip(".") + steps
            yield from tables(below, here if tag is None else f"{here} ({tag.default})")


def _models(annotation: Any) -> Iterator[tuple[type[Frozen], str]]:
    """Yield every model that an annotation may hold, with the steps to it: .NAME through a table, [] through a list."""
    if _is_model(annotation):
        yield annotation, ""
        return
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    step = {dict: ".NAME", tuple: "[]"}.get(origin, "")
    for one in {typing.Annotated: arguments[:1], dict: arguments[1:]}.get(origin, arguments):
        yield from ((model, step + steps) for model, steps in _models(one))


def fields_at(loc: tuple[str | int, ...]) -> dict[str, FieldInfo]:
    """Return the fields of the model at a pydantic location, by their keys."""
    kinds: list[Any] = [Display]
    for key in loc:
        kinds = [t for k in kinds for t in _step(k, key)] or kinds
    return {f.alias or name: f for k in kinds if _is_model(k) for name, f in k.model_fields.items()}


def keys_at(loc: tuple[str | int, ...]) -> list[str]:
    """Return the keys that the model at a pydantic location knows."""
    extends = len(loc) == 2 and loc[0] in SECTIONS
    return [*fields_at(loc), *(["extends"] if extends else [])]


def _is_model(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, Frozen)


def _step(kind: Any, key: str | int) -> list[Any]:
    if _is_model(kind):
        by_key = {f.alias or name: f.annotation for name, f in kind.model_fields.items()}
        if key in by_key:
            return _open(by_key[key])
        tag = kind.model_fields.get("characteristic")
        return [kind] if tag is not None and tag.default == key else []
    arguments = typing.get_args(kind)
    return _open(arguments[-1] if arguments and arguments[-1] is not Ellipsis else arguments[0]) if arguments else []


def _open(annotation: Any) -> list[Any]:
    """Return what an annotation may be: the members of a union, without None and Annotated's extras."""
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        return _open(typing.get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return [o for a in typing.get_args(annotation) if a is not type(None) for o in _open(a)]
    return [annotation]
