"""What a person meant by a key or a class that there is not: the nearest by spelling, else what fits what is stated."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import SequenceMatcher
from functools import cache
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from hollowglow.file.model.loads import CHARACTERISTICS, CLASSES
from hollowglow.file.reading.keys import fields_at, keys_at
from hollowglow.quantity.shown import nearest, show

_MOST = 2
# Spelled so nearly, a key is meant whatever is stated for it; below, what fits alone goes first.
_SURELY = 0.75
# What fits a key that takes one of these says too little to guess by.
_SAY_NOTHING = ("?", True)


def meant_keys(loc: tuple[str | int, ...], stated: Any, value: Any) -> list[str]:
    """Return the keys that an unknown key may stand for, the likeliest first; none where nothing is near.

    Args:
        loc: pydantic's location of the unknown key.
        stated: the table that it stands in.
        value: what is stated for it.
    """
    known = keys_at(loc[:-1])
    word = str(loc[-1])
    near = nearest(word, known)
    spelled = [key for key in known if f'"{key}"' in near]
    if not isinstance(stated, Mapping) or (spelled and _alike(word, spelled[0]) >= _SURELY):
        return spelled
    fields = fields_at(loc[:-1])
    fitting = [key for key, field in fields.items() if key not in stated and _tells(field) and _takes(field, value)]
    if spelled:
        return fitting if len(fitting) == 1 else spelled
    return sorted(fitting, key=lambda key: -_alike(word, key)) if len(fitting) <= _MOST else []


def meant_class(stated: Mapping[str, Any]) -> str:
    """Return the way out for a load of an unknown class: the nearest by spelling, else that whose keys stand beside it."""
    near = nearest(str(stated.get("class")), CLASSES)
    if near:
        return near
    own = [len((set(one.known_keys()) - {"class", "idle"}) & set(stated)) for one in CHARACTERISTICS]
    most = max(own)
    return did_you_mean([CLASSES[own.index(most)]]) if most and own.count(most) == 1 else ""


def _alike(word: str, key: str) -> float:
    return SequenceMatcher(None, word, key).ratio()


def did_you_mean(words: list[str]) -> str:
    """Return the question that names one word or two, or nothing."""
    return f"Did you mean {' or '.join(show(word) for word in words)}?" if words else ""


@cache
def _adapter(kind: Any) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def _takes(field: FieldInfo, value: Any) -> bool:
    """Return whether a key takes a value as it is written."""
    kind: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
    try:
        _adapter(kind).validate_python(value, strict=True)
    except ValidationError:
        return False
    return True


def _tells(field: FieldInfo) -> bool:
    """Return whether the form of a key's values says anything: not that of any text, of yes and no, of anything."""
    return field.annotation is not Any and not any(_takes(field, value) for value in _SAY_NOTHING)
