"""How a key of the file is declared: with what it means, and with what is assumed where it is not stated."""

from __future__ import annotations

import typing
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import Field
from pydantic.fields import FieldInfo

from hollowglow.quantity.measures import Measure
from hollowglow.quantity.units import parse
from hollowglow.quantity.written import stated

NO_UNIT = "-"  # text, a count, or yes and no
_UNITS = {"": "share", "degC": "°C", "lumen": "lm"}
Words = str | Callable[..., str]


@dataclass(frozen=True, slots=True)
class Unit:
    """Annotates a value that is no quantity with a unit of its own."""

    name: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """What is said of a key that is not stated; functions are given its table and those around it, nearest first.

    Attributes:
        reason: what the assumed value means; the meaning of the key where there is none.
        value: the assumed value in words; the default as the file would state it where there is none.
        when: whether anything is assumed at all; always where there is none.
    """

    reason: Words = ""
    value: Words = ""
    when: Callable[..., bool] | None = None


@dataclass(frozen=True, slots=True)
class Key:
    """A key of the file; pydantic calls it to complete the schema of the key."""

    meaning: str
    assumed: Assumed | None = None

    def __call__(self, schema: dict[str, Any]) -> None:
        """Put the meaning before what the schema says about the form of the value."""
        form = schema.get("description")
        schema["description"] = f"{self.meaning}; {form}" if form else self.meaning


def key(
    meaning: str,
    default: Any = ...,
    *,
    assumed: str | Assumed | None = None,
    factory: Callable[[], Any] | None = None,
    alias: str | None = None,
) -> Any:
    """Return the declaration of a key.

    Args:
        meaning: a short phrase, as it stands in the schema and in docs/words.md.
        default: its value where it is not stated; without one it must be stated.
        assumed: what is said where the default counts; a text is the reason alone.
        factory: makes the default instead.
        alias: how the file writes it, where that is no name in Python.
    """
    declared = Key(meaning, Assumed(assumed) if isinstance(assumed, str) else assumed)
    if factory is not None:
        return Field(default_factory=factory, json_schema_extra=declared)
    if alias is not None:
        return Field(default=default, alias=alias, json_schema_extra=declared)
    return Field(default=default, json_schema_extra=declared)


def declared(field: FieldInfo) -> Key:
    """Return the declaration of a model's field."""
    assert isinstance(field.json_schema_extra, Key)
    return field.json_schema_extra


def unit_of(field: FieldInfo) -> str:
    """Return the unit that a key's values have inside."""
    marks = (*field.metadata, *_marks(field.annotation))
    mark = next((one for one in marks if isinstance(one, (Measure, Unit))), Unit(NO_UNIT))
    return mark.name if isinstance(mark, Unit) else _UNITS.get(mark.unit, mark.unit)


def assumption(field: FieldInfo, *tables: Any) -> tuple[str, str, tuple[float, str] | None] | None:
    """Return value, reason and SI amount of what is assumed of a key that its table does not state, None where nothing is.

    The amount, with its unit, is that of lengths and masses, so that it can be told in other units; None for others.

    Args:
        field: of the key.
        tables: the table that it belongs to, and those around it, nearest first.
    """
    here = declared(field)
    assumed = here.assumed
    if assumed is None or (assumed.when is not None and not assumed.when(*tables)):
        return None
    measure = next((one for one in (*field.metadata, *_marks(field.annotation)) if isinstance(one, Measure)), None)
    value = _said(assumed.value, tables) or stated(field.get_default(), measure)
    measured = measure is not None and measure.unit in ("m", "kg")
    amount = (parse(value, measure), measure.unit) if measured and measure is not None and value[:1].isdigit() else None
    return value, _said(assumed.reason, tables) or here.meaning, amount


def _said(words: Words, tables: tuple[Any, ...]) -> str:
    return words if isinstance(words, str) else words(*tables)


def _marks(annotation: Any) -> Iterator[object]:
    """Yield what an annotation is marked with, inside unions and lists too; names of a table are no part of its values."""
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        yield from arguments[1:]
        arguments = arguments[:1]
    if origin is not dict:
        for one in arguments:
            yield from _marks(one)
