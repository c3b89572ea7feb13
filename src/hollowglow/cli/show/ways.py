"""How what a mend asks for is done at the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

WAYS: Mapping[str, str] = MappingProxyType(
    {
        "measure": " with hollowglow match --photo or --meter",
        "match": "hollowglow match",
        "apply": "hollowglow match --apply",
    }
)
