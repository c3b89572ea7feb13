"""The edits of a display file as small frozen commands: in words, as plain data, and what they mean on plain data."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from hollowglow.file.text.source import spell
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import cut, show

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Put:
    """Put a value (plain data) at a path of keys and places in lists (from 0); tables of keys on the way are made."""

    path: Path
    value: Any

    def words(self) -> str:
        """Return the command in a line of words."""
        return f"set {spell(self.path)} to {_brief(self.value)}"

    def to_json(self) -> dict[str, Any]:
        """Return the command as plain data."""
        return {"do": "put", "path": list(self.path), "value": self.value}


@dataclass(frozen=True, slots=True)
class Remove:
    """Take a key or an item out; one that is not there is no error."""

    path: Path

    def words(self) -> str:
        """Return the command in a line of words."""
        return f"remove {spell(self.path)}"

    def to_json(self) -> dict[str, Any]:
        """Return the command as plain data."""
        return {"do": "remove", "path": list(self.path)}


@dataclass(frozen=True, slots=True)
class Insert:
    """Put a new key into a table (before another one, else last), or a new item into a list before the one at its place."""

    path: Path
    value: Any
    before: str | None = None

    def words(self) -> str:
        """Return the command in a line of words."""
        where = "" if self.before is None else f" before {cut(self.before)}"
        return f"add {spell(self.path)}{where}: {_brief(self.value)}"

    def to_json(self) -> dict[str, Any]:
        """Return the command as plain data."""
        return {"do": "insert", "path": list(self.path), "value": self.value, "before": self.before}


@dataclass(frozen=True, slots=True)
class Move:
    """Move an item of the list at a path from one place to another, both from 0."""

    path: Path
    source: int
    target: int

    def words(self) -> str:
        """Return the command in a line of words."""
        return f"move item {self.source + 1} of {spell(self.path)} to place {self.target + 1}"

    def to_json(self) -> dict[str, Any]:
        """Return the command as plain data."""
        return {"do": "move", "path": list(self.path), "source": self.source, "target": self.target}


@dataclass(frozen=True, slots=True)
class Rename:
    """Give a key another name; what refers to it elsewhere is not followed."""

    path: Path
    name: str

    def words(self) -> str:
        """Return the command in a line of words."""
        return f"rename {spell(self.path)} to {cut(self.name)}"

    def to_json(self) -> dict[str, Any]:
        """Return the command as plain data."""
        return {"do": "rename", "path": list(self.path), "name": self.name}


Edit = Put | Remove | Insert | Move | Rename
_KEYS = {
    "put": ("path", "value"),
    "remove": ("path",),
    "insert": ("path", "value", "before"),
    "move": ("path", "source", "target"),
    "rename": ("path", "name"),
}
_OPTIONAL = ("before",)


def from_json(data: Any) -> Edit:
    """Return the command that plain data stands for.

    Raises:
        Refusal: it stands for none; what was found and what was expected.
    """
    sort = data.get("do") if isinstance(data, Mapping) else None
    if not isinstance(data, Mapping) or not isinstance(sort, str) or sort not in _KEYS:
        raise Refusal(f'An edit is {show(sort or data)}; expected one with "do": {", ".join(_KEYS)}.')
    keys = _KEYS[sort]
    missing = [k for k in keys if k not in data and k not in _OPTIONAL]
    unknown = [str(k) for k in data if k not in ("do", *keys)]
    if missing or unknown:
        told = f"lacks {', '.join(missing)}" if missing else f"knows no {cut(', '.join(unknown))}"
        raise Refusal(f"An edit of the sort {sort} {told}; its keys are {', '.join(keys)}.")
    path = data["path"]
    if not isinstance(path, (list, tuple)) or not path or not all(_is_step(step) for step in path):
        raise Refusal(f"The path of an edit is {show(path)}; expected a list of keys, and of places in lists from 0.")
    places = [k for k in ("source", "target") if k in keys]
    if any(not _is_place(data[k]) for k in places):
        raise Refusal(f"{' and '.join(places)} of an edit are places in a list, whole numbers from 0.")
    names = [k for k in ("name", "before") if k in keys]
    if any(not isinstance(data.get(k), str) and not (k == "before" and data.get(k) is None) for k in names):
        raise Refusal(f"{' and '.join(names)} of an edit is a key, a text.")
    steps = tuple(path)
    match sort:
        case "put":
            return Put(steps, data["value"])
        case "remove":
            return Remove(steps)
        case "insert":
            return Insert(steps, data["value"], data.get("before"))
        case "move":
            return Move(steps, data["source"], data["target"])
    return Rename(steps, data["name"])


def _is_place(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and value >= 0


def _is_step(step: Any) -> bool:
    return isinstance(step, str) or _is_place(step)


def _brief(value: Any) -> str:
    if isinstance(value, dict):
        return (
            "nothing"
            if not value
            else f"{', '.join(f'{cut(str(k))}: {_brief(v)}' for k, v in list(value.items())[:4])}"
        )
    if isinstance(value, (list, tuple)):
        return "no items" if not value else f"{len(value)} item{'s' if len(value) > 1 else ''}"
    return cut(value) if isinstance(value, str) else show(value)


def words_of(edits: tuple[Edit, ...] | list[Edit]) -> str:
    """Return edits in one line."""
    told = [e.words() for e in edits[:3]]
    return "; ".join(told) + (f"; and {len(edits) - 3} more" if len(edits) > 3 else "") if told else "nothing"


def merged(first: Edit, second: Edit) -> Edit | None:
    """Return one command for two that follow each other, such as the two ends of a dragged slider; None where two stay."""
    if isinstance(second, (Put, Remove)) and isinstance(first, Put) and first.path == second.path:
        return second
    if isinstance(second, Put) and isinstance(first, Insert) and first.path == second.path:
        return Insert(first.path, second.value, first.before)
    if (
        isinstance(first, Move)
        and isinstance(second, Move)
        and first.path == second.path
        and first.target == second.source
    ):
        return Move(first.path, first.source, second.target)
    return None


def applied(data: Any, edits: list[Edit] | tuple[Edit, ...]) -> Any:
    """Return plain data with edits carried out, one after the other; what does not fit changes nothing."""
    made = copy.deepcopy(data)
    for edit in edits:
        _apply(made, edit)
    return made


def _apply(data: Any, edit: Edit) -> None:
    if isinstance(edit, Move):
        row = _inner(data, edit.path, make=False)
        if isinstance(row, list) and edit.source < len(row):
            row.insert(edit.target, row.pop(edit.source))
        return
    *way, key = edit.path
    table = _inner(data, way, make=isinstance(edit, (Put, Insert)), new=list if isinstance(key, int) else dict)
    if isinstance(table, dict):
        match edit:
            case Put():
                table[key] = copy.deepcopy(edit.value)
            case Insert():
                _reorder(table, {key: copy.deepcopy(edit.value)}, edit.before)
            case Remove():
                table.pop(key, None)
            case Rename():
                names = {k: edit.name if k == key else k for k in table}
                values = [(names[k], v) for k, v in table.items()]
                table.clear()
                table.update(values)
    elif isinstance(table, list) and isinstance(key, int):
        if isinstance(edit, Insert):
            table.insert(key, copy.deepcopy(edit.value))
        elif key < len(table) and isinstance(edit, Put):
            table[key] = copy.deepcopy(edit.value)
        elif key < len(table):
            del table[key]


def _reorder(table: dict[Any, Any], new: dict[Any, Any], before: str | None) -> None:
    old = list(table.items())
    at = next((i for i, (k, _) in enumerate(old) if k == before), len(old))
    table.clear()
    table.update([*old[:at], *new.items(), *old[at:]])


def _inner(data: Any, way: Any, make: bool, new: type = dict) -> Any:
    """Return the table or list at a path; tables that are not there (or null) are made where asked."""
    for i, step in enumerate(way):
        known = step in data if isinstance(data, dict) else isinstance(data, list) and step < len(data)
        if not known and not (make and isinstance(data, dict)):
            return None
        if make and (not known or data[step] is None):
            data[step] = new() if i == len(way) - 1 else {}
        data = data[step]
    return data
