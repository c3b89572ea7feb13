"""Decimal commas inside brackets, where YAML takes them for the end of a value: which pieces belong together again."""

from __future__ import annotations

import re

_DIGIT = re.compile(r"\d")
_NUMBER = re.compile(r"[+-]?[\d.]")
_WHOLE = re.compile(r"[+-]?\d+")
_QUANTITY = re.compile(r"\d+ ?(?:[^\W\d_]|[%'\"°])")


def rest_of_number(key: str, last: str) -> bool:
    """Return whether a bare key is what a comma cut off a number: {length: 1,8 m} comes as "length": "1" and "8 m"."""
    return bool(_DIGIT.match(key)) and bool(_NUMBER.match(last))


def rest_of_quantity(item: str, last: str) -> bool:
    """Return whether an item is what a comma cut off a bare number: [1,8 m] comes as "1" and "8 m"."""
    return bool(_QUANTITY.match(item)) and bool(_WHOLE.fullmatch(last))
