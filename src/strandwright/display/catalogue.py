"""The built-in parts: generic, no brands, every number with its basis."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

from strandwright.display.source import parse_text


@cache
def raw_catalogue() -> Mapping[str, dict[str, Any]]:
    """Return every built-in part as plain data, by name, in the order of the catalogue's files."""
    parts: dict[str, dict[str, Any]] = {}
    folder = files("strandwright") / "catalogue"
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".yaml"):
            source = parse_text(entry.read_text(encoding="utf-8"), entry.name)
            parts.update(source.data["parts"])
    return MappingProxyType(parts)
