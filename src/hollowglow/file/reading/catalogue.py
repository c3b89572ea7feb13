"""The built-in parts: generic, no brands, every number with its basis."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from hollowglow.file.text.source import parse_text

_PART = re.compile(r"^  (?=[^\s#])", re.MULTILINE)
_NAME = re.compile(r"([^\s:]+):")
_ROLE = re.compile(r"^    (\w+):", re.MULTILINE)


class Catalogue(Mapping[str, dict[str, Any]]):
    """Every built-in part as plain data, by name; the text of a part is read when somebody asks for the part."""

    def __init__(self) -> None:
        self._texts: dict[str, tuple[str, str]] = {}
        self._parts: dict[str, dict[str, Any]] = {}
        folder = files("hollowglow.file") / "catalogue"
        for entry in sorted(folder.iterdir(), key=lambda e: e.name):
            if entry.name.endswith(".yaml"):
                for text in _PART.split(entry.read_text(encoding="utf-8"))[1:]:
                    name = _NAME.match(text)
                    if name is not None:
                        self._texts[name.group(1)] = (entry.name, text)

    def __getitem__(self, name: str) -> dict[str, Any]:
        if name not in self._parts:
            file, text = self._texts[name]
            self._parts[name] = parse_text("  " + text, file).data[name]
        return self._parts[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)

    def with_role(self, role: str) -> list[str]:
        """Return the names of the parts that have a role ("light", "cable", ...)."""
        return [name for name, (_, text) in self._texts.items() if role in _ROLE.findall(text)]


@cache
def raw_catalogue() -> Catalogue:
    """Return every built-in part as plain data, by name, in the order of the catalogue's files."""
    return Catalogue()
