"""The order in which a driver chip takes its colours, and a controller sends them: letters such as grb."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from hollowglow.quantity.shown import refuse, show

LETTERS = "rgbw"
_MOST_OUTPUTS = 100_000
_WORDS = 'letters of the colours in their order, like "grb" or "grbw"'


def _read(value: object) -> str:
    if isinstance(value, str):
        letters = value.strip().lower()
        if 3 <= len(letters) <= len(LETTERS) and sorted(letters) == sorted(LETTERS[: len(letters)]):
            return letters
    raise refuse(show(value), _WORDS)


def _read_number(value: object) -> int:
    text = str(value).strip()
    if isinstance(value, (int, str)) and text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= _MOST_OUTPUTS:
        return int(text)
    raise refuse(show(value), "the number of an output of this controller, like 1")


# A key of a table reaches us as text, whatever the file writes.
OutputNumber = Annotated[int, BeforeValidator(_read_number)]
ColourOrder = Annotated[
    str,
    BeforeValidator(_read),
    WithJsonSchema({"type": "string", "pattern": "^ *[rgbwRGBW]{3,4} *$", "description": _WORDS}),
]
