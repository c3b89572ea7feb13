"""Fields that are no quantities: counts, prices, titles, pairs, yes and no, and the model that all share."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    WithJsonSchema,
    model_validator,
)
from pydantic_core import CoreSchema, PydanticKnownError, core_schema

from hollowglow.file.model.keys import Unit
from hollowglow.quantity.shown import DECIMAL_COMMA, refuse, show


class Frozen(BaseModel):
    """Base of everything a display file states: frozen, and closed to keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)

    @model_validator(mode="before")
    @classmethod
    def _nothing_is_unstated(cls, data: Any) -> Any:
        """Take a key with nothing behind it as not stated, as a person who empties a value means it."""
        if not isinstance(data, dict) or None not in data.values():
            return data
        known = cls.known_keys()
        return {k: v for k, v in data.items() if v is not None or k not in known}

    @classmethod
    def known_keys(cls) -> tuple[str, ...]:
        """Return the keys that this table may have, as they are written in the file."""
        return tuple(f.alias or name for name, f in cls.model_fields.items())


def whole(low: int, high: int, what: str) -> Any:
    """Return the validator of a whole number from `low` to `high`; `what` says what it counts."""

    def read(value: object) -> object:
        if not isinstance(value, int) or isinstance(value, bool) or not low <= value <= high:
            raise refuse(show(value), f"{what}, a whole number from {low:,} to {high:,}")
        return value

    return BeforeValidator(read)


def _yes_no(value: object) -> object:
    if isinstance(value, str) and value.lower() in ("true", "yes", "on", "false", "no", "off"):
        return value.lower() in ("true", "yes", "on")
    if not isinstance(value, bool):
        raise refuse(show(value), "true or false")
    return value


YesNo = Annotated[bool, BeforeValidator(_yes_no)]


def _of_text(value: str, mend: str) -> str:
    """Return the way out for a text that stands where a number belongs."""
    return DECIMAL_COMMA if re.fullmatch(r"\s*[+-]?\d*,\d+\s*", value) else mend


def _number(low: float, high: float, expected: str, mend: str = "") -> Any:
    def read(value: object) -> float:
        if not isinstance(value, (int, float)) or isinstance(value, bool):
            raise refuse(show(value), expected, _of_text(value, mend) if isinstance(value, str) else "")
        if not low <= value <= high:
            found = show(value)
            if isinstance(value, float) and not math.isfinite(value):
                found += ", which is not a finite number"
            raise refuse(found, expected)
        return float(value)

    return BeforeValidator(read), WithJsonSchema({"type": "number", "minimum": low, "maximum": high})


_PRICE = "a price like 4.50 (from 0 to 1,000,000)"
Price = Annotated[
    float, Unit("currency"), *_number(0.0, 1e6, _PRICE, "Write the number alone; currency is a key of its own.")
]
ChromaticityShift = Annotated[
    float, Unit("u'v'"), *_number(1e-4, 1.0, "a distance in u'v' like 0.006 (from 0.0001 to 1)")
]


def _text(longest: int, expected: str) -> Any:
    def read(value: object) -> object:
        if not isinstance(value, str):
            raise refuse(show(value), expected, "Put it in quotes." if isinstance(value, (int, float)) else "")
        if not value.strip() or len(value) > longest or not value.isprintable():
            raise refuse(show(value), expected)
        return value

    return BeforeValidator(read), WithJsonSchema({"type": "string", "minLength": 1, "maxLength": longest})


Title = Annotated[str, *_text(200, "a name of 1 to 200 characters on one line")]
Currency = Annotated[str, *_text(8, "a currency of 1 to 8 characters like USD")]

BASES = ("typical", "standard", "measured")


def _read_basis(value: object) -> object:
    for word in value.values() if isinstance(value, dict) else (value,):
        if word not in BASES:
            raise refuse(show(word), "one of " + ", ".join(BASES))
    return value


Basis = Annotated[
    Any,
    BeforeValidator(_read_basis),
    WithJsonSchema(
        {"anyOf": [{"enum": list(BASES)}, {"type": "object", "additionalProperties": {"enum": list(BASES)}}]}
    ),
]


@dataclass(frozen=True, slots=True)
class Several:
    """Annotates a tuple that is a list of `low` to `high` values in the file.

    The length is judged before the values: pydantic would count only those that are right.
    """

    low: int
    high: int

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self._read, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return {**handler(schema), "minItems": self.low, "maxItems": self.high}

    def _read(self, value: object) -> object:
        if not isinstance(value, list):
            return value
        size = {"field_type": "List", "actual_length": len(value)}
        if len(value) < self.low:
            raise PydanticKnownError("too_short", {**size, "min_length": self.low})
        if len(value) > self.high:
            raise PydanticKnownError("too_long", {**size, "max_length": self.high})
        return tuple(value)


Colours = Several(3, 4)


def one_or_more(expected: str) -> Any:
    """Return the validator that takes a single value as a list of one, and refuses an empty list."""

    def read(value: object) -> object:
        if isinstance(value, list):
            if not value:
                raise refuse("an empty list", expected)
            return tuple(value)
        return (value,)

    return BeforeValidator(read)


def Pair(example: str) -> Any:  # noqa: N802 - reads as a field's annotation
    """Return the validator of a list of exactly two values."""

    def read(value: object) -> object:
        if not isinstance(value, list) or len(value) != 2:
            found = f"a list of {len(value)}" if isinstance(value, list) else show(value)
            raise refuse(found, f"a pair like {example}")
        return tuple(value)

    return BeforeValidator(read)


_LEAST_Y = 0.001


def _read_chroma(value: object) -> object:
    if isinstance(value, list) and len(value) == 2:
        numbers = [float(v) for v in value if isinstance(v, (int, float)) and not isinstance(v, bool) and abs(v) <= 1]
        if len(numbers) == 2 and numbers[0] >= 0.0 and numbers[1] >= _LEAST_Y and sum(numbers) <= 1.0 + 1e-9:
            return tuple(numbers)
    found = f"[{', '.join(show(v) for v in value[:3])}]" if isinstance(value, list) else show(value)
    expected = f"a CIE 1931 chromaticity like [0.31, 0.33] (x from 0, y from {_LEAST_Y}, together at most 1)"
    # [0,31, 0,33] reaches us as four whole numbers
    cut_up = isinstance(value, list) and len(value) == 4 and all(type(v) is int for v in value)
    raise refuse(found, expected, DECIMAL_COMMA if cut_up else "")


Chroma = Annotated[tuple[float, float], BeforeValidator(_read_chroma)]
