"""Inheritance inside a display file: `extends`, and file parts laid over catalogue parts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hollowglow.file.text.source import Broken, Key, Source
from hollowglow.quantity.shown import nearest, nearest_or_all, show

__all__ = ["SECTIONS", "lay_over", "nearest", "resolve"]

SECTIONS = ("supplies", "controllers", "parts", "kinds", "strings")
_MOST_STEPS = 100


def lay_over(base: Any, top: Any) -> Any:
    """Return `top` laid over `base`: tables merge key by key, anything else is replaced.

    A table with another `class` than its base replaces it whole, since the keys of one class mean nothing to another.
    """
    if not isinstance(base, Mapping) or not isinstance(top, Mapping):
        return top
    if "class" in top and "class" in base and top["class"] != base["class"]:
        return dict(top)
    merged = dict(base)
    for key, value in top.items():
        merged[key] = lay_over(base[key], value) if key in base else value
    return merged


def resolve(source: Source, catalogue: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    """Return the file's data with every `extends` carried out; what cannot be is added to `source.problems`.

    Args:
        source: the file as read.
        catalogue: the built-in parts as plain data.

    Returns:
        The data, with the entries of `parts` laid over catalogue parts of the same name. Which entry takes over from
        which is entered in `source.parents`, so that an error in an inherited key points at the entry that states it.
    """
    data = dict(source.data)
    for section in SECTIONS:
        entries = data.get(section)
        if isinstance(entries, dict):
            data[section] = _Section(source, section, entries, catalogue if section == "parts" else {}).settled()
    return data


class _Section:
    """One section while its entries take over from each other."""

    def __init__(
        self, source: Source, section: str, entries: dict[str, Any], builtin: Mapping[str, dict[str, Any]]
    ) -> None:
        self.source, self.section, self.entries, self.builtin = source, section, entries, builtin
        self.done: dict[str, Any] = {}

    def settled(self) -> dict[str, Any]:
        for name in self.entries:
            for one in reversed(self.ancestry(name)):
                if one not in self.done:
                    self.done[one] = self.settle(one)
        return {name: self.done[name] for name in self.entries}

    def ancestry(self, name: str) -> list[str]:
        """Return an entry and those above it that are not settled yet, up to where a circle closes."""
        trail = [name]
        while (parent := self.parent(trail[-1])) is not None and parent not in self.done:
            if parent in trail:
                circle = trail[trail.index(parent) :]
                words = " -> ".join([*circle[:_MOST_STEPS], parent])
                self.fail(circle[-1], f"a circle ({words})", "entries that do not extend each other in a circle")
                break
            trail.append(parent)
        return trail

    def parent(self, name: str) -> str | None:
        entry = self.entries[name]
        above = entry.get("extends") if isinstance(entry, dict) else None
        return above if isinstance(above, str) and above in self.entries else None

    def settle(self, name: str) -> Any:
        entry = self.entries[name]
        if not isinstance(entry, dict):
            return entry
        here: Key = (self.section, name)
        own = {k: v for k, v in entry.items() if k != "extends"}
        if "extends" not in entry:
            return lay_over(self.builtin.get(name, {}), own)
        above = self.parent(name)
        if above is not None:
            if above not in self.done or (self.section, above) in self.source.adrift:
                self.source.adrift.add(here)
            if above in self.done:
                self.source.parents[here] = (self.section, above)
            return lay_over(self.done.get(above, {}), own)
        stated = entry["extends"]
        if isinstance(stated, str) and stated in self.builtin:
            return lay_over(self.builtin[stated], own)
        self.source.adrift.add(here)
        if isinstance(stated, Broken):
            return own
        known = [n for n in (*self.entries, *self.builtin) if n != name]
        mend = (
            nearest(str(stated), known) if self.builtin else nearest_or_all(str(stated), known, f"other {self.section}")
        )
        self.fail(name, show(stated), f"the name of another entry of {self.section}", mend)
        return own

    def fail(self, name: str, found: str, expected: str, mend: str = "") -> None:
        self.source.problems.append(self.source.problem((self.section, name, "extends"), found, expected, mend))
