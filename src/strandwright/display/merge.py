"""Inheritance inside a display file: `extends`, and file parts laid over catalogue parts."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from strandwright.display.source import Key, Source, spell
from strandwright.display.units import show
from strandwright.errors import Problem

SECTIONS = ("supplies", "controllers", "parts", "kinds", "strings")


def lay_over(base: Any, top: Any) -> Any:
    """Return `top` laid over `base`: tables merge key by key, anything else is replaced.

    A table with another `class` than its base replaces it whole, since the keys of one load law mean nothing to another.
    """
    if not isinstance(base, Mapping) or not isinstance(top, Mapping):
        return top
    if "class" in top and "class" in base and top["class"] != base["class"]:
        return dict(top)
    merged = dict(base)
    for key, value in top.items():
        merged[key] = lay_over(base[key], value) if key in base else value
    return merged


def nearest(name: str, known: list[str]) -> str:
    """Return 'Did you mean "x"?' for the nearest known name, or nothing where none is near."""
    match = get_close_matches(name.lower(), [k.lower() for k in known], n=1, cutoff=0.6)
    if not match:
        return ""
    right = next(k for k in known if k.lower() == match[0])
    return f"Did you mean {show(right)}?"


def resolve(source: Source, catalogue: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    """Return the file's data with every `extends` carried out; what cannot be is added to `source.problems`.

    Args:
        source: the file as read.
        catalogue: the built-in parts as plain data.

    Returns:
        The data, with the entries of `parts` laid over catalogue parts of the same name. The lines of inherited keys
        are entered in `source.lines`, so that an error in them points at the entry that states them.
    """
    data = dict(source.data)
    for section in SECTIONS:
        entries = data.get(section)
        if isinstance(entries, dict):
            data[section] = _section(source, section, entries, catalogue if section == "parts" else {})
    return data


def _section(
    source: Source, section: str, entries: dict[str, Any], builtin: Mapping[str, dict[str, Any]]
) -> dict[str, Any]:
    done: dict[str, Any] = {}
    broken: set[str] = set()

    def fail(path: Key, found: str, expected: str, mend: str = "") -> None:
        source.problems.append(Problem(spell(path), found, expected, mend, source.line(path)))

    def settle(name: str, trail: tuple[str, ...]) -> Any:
        if name in done:
            return done[name]
        entry = entries[name]
        if not isinstance(entry, dict):
            done[name] = entry
            return entry
        base: Any = builtin.get(name, {})
        own = {k: v for k, v in entry.items() if k != "extends"}
        if "extends" in entry:
            path = (section, name, "extends")
            parent = entry["extends"]
            known = [n for n in (*entries, *builtin) if n != name]
            if isinstance(parent, str) and parent in (*trail, name) and parent in entries:
                if not broken.intersection((*trail, name)):
                    circle = (*trail[trail.index(parent) :], name) if parent in trail else (name,)
                    words = " -> ".join((*circle, parent))
                    fail(path, f"a circle ({words})", "entries that do not extend each other in a circle")
                broken.update((*trail, name))
            elif isinstance(parent, str) and parent in entries:
                base = settle(parent, (*trail, name))
                for old, line in list(source.lines.items()):
                    if old[:2] == (section, parent) and len(old) > 2:
                        source.lines.setdefault((section, name, *old[2:]), line)
            elif isinstance(parent, str) and parent in builtin:
                base = builtin[parent]
            else:
                fail(path, show(parent), f"the name of another entry of {section}", nearest(str(parent), known))
        done[name] = lay_over(base, own)
        return done[name]

    return {name: settle(name, ()) for name in entries}
