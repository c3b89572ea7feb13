"""Small edits of a display file's text: only the lines that an edit is about change, every other byte stays."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from strandwright.display.yaml_nodes import compose
from strandwright.errors import UseError

_PLAIN = re.compile(r"[A-Za-z][\w ./%+-]*|-?\d+(?:\.\d+)?(?: [A-Za-z%]\w*)?")
_WORDS = ("true", "false", "yes", "no", "on", "off", "null", "y", "n")
_COMMENT = re.compile(r"(?:^|(?<=\s))#.*$")


@dataclass(frozen=True, slots=True)
class Put:
    """Put a value (plain data) at a path of keys, in place of what is there; None takes the key out."""

    path: tuple[str, ...]
    value: Any

    def plain(self) -> dict[str, Any]:
        """Return the edit as plain data, for a log."""
        return {"put": list(self.path), "value": self.value}


def read_put(data: Mapping[str, Any]) -> Put:
    """Return the edit that plain data stands for."""
    return Put(tuple(data["put"]), data["value"])


def edited(text: str, edits: Iterable[Put], file: str = "display") -> str:
    """Return the text of a display file with edits carried out, one after the other.

    Raises:
        DisplayError: when the text is no YAML.
        UseError: when a path leads into something that is no table of keys.
    """
    left = list(edits)
    while left:
        # Places that are apart are edited together, because reading a long file again takes a while.
        node, _ = compose(text, file)
        splices: list[_Splice] = []
        later: list[Put] = []
        for edit in left:
            splice = _put(text, node, edit)
            clear = splice is None or all(splice.start > s.end or splice.end < s.start for s in splices)
            if not clear or (later and any(_related(edit, one) for one in later)):
                later.append(edit)
            elif splice is not None:
                splices.append(splice)
        for splice in sorted(splices, key=lambda s: -s.start):
            text = text[: splice.start] + splice.text + text[splice.end :]
        left = later
    return text


@dataclass(frozen=True, slots=True)
class _Splice:
    """A piece of text to put in place of another."""

    start: int
    end: int
    text: str


def _related(edit: Put, other: Put) -> bool:
    """Return whether one edit may be about something that the other one makes or takes away."""
    shared = min(len(edit.path), len(other.path))
    return edit.path[: min(2, shared)] == other.path[: min(2, shared)]


def _put(text: str, node: Any, edit: Put) -> _Splice | None:
    """Return what carries out an edit on a text, None where there is nothing to do."""
    *way, key = edit.path
    for i, step in enumerate(way):
        entry = _entry(node, step)
        if entry is None:
            if edit.value is None:
                return None
            nested: Any = edit.value
            for name in reversed(edit.path[i + 1 :]):
                nested = {name: nested}
            return _add(text, node, step, nested, edit)
        node = entry[1]
    found = _entry(node, key)
    if found is None:
        return None if edit.value is None else _add(text, node, key, edit.value, edit)
    return _take_out(text, node, found) if edit.value is None else _replace(text, node, found, edit.value)


def _entry(node: Any, key: str) -> tuple[Any, Any] | None:
    """Return the nodes of a key and its value in a table of keys, None where it has none of that name."""
    if type(node).__name__ != "MappingNode":
        return None
    return next(((k, v) for k, v in node.value if str(k.value) == key), None)


def _is_alias(key: Any, value: Any) -> bool:
    """Return whether a value is an alias: its node then stands where its anchor does."""
    return bool(value.start_mark.index < key.end_mark.index)


def _end(text: str, node: Any) -> int:
    """Return where the text of a node ends; the mark of a block lies beyond blank lines and comments that follow it."""
    end = int(node.end_mark.index)
    if type(node).__name__ == "ScalarNode" or node.flow_style:
        return end
    while True:
        begin = text.rfind("\n", 0, end) + 1
        line = text[begin:end].strip()
        if line and not line.startswith("#"):
            return begin + len(text[begin:end].rstrip())
        if begin == 0:
            return end
        end = begin - 1


def _line_end(text: str, at: int) -> int:
    """Return where the line that a position is in ends, its end of line not included."""
    found = re.compile(r"\r?\n|\Z").search(text, at)
    assert found is not None
    return found.start()


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _replace(text: str, table: Any, entry: tuple[Any, Any], value: Any) -> _Splice:
    key, old = entry
    start, end = int(old.start_mark.index), _end(text, old)
    if _is_alias(key, old):
        stated = re.compile(r"\s*:\s*(\*[^\s,}\]]+)").match(text, int(key.end_mark.index))
        if stated is None:
            raise UseError(f"The alias behind {key.value} cannot be replaced. Write its value out in the file first.")
        return _Splice(stated.start(1), stated.end(1), flow(value))
    block = type(old).__name__ != "ScalarNode" and not old.flow_style
    if start == end or block:
        start = int(key.end_mark.index)
        start = text.index(":", start) + 1
    if table.flow_style or not isinstance(value, (list, dict)) or not value:
        return _Splice(start, end, (" " if text[start - 1] == ":" else "") + flow(value))
    indent = int(key.start_mark.column)
    lines = _kept_comments(text[start : _line_end(text, end)], indent) if block or start != end else []
    made = _newline(text).join(["", *lines, *_block(value, indent)])
    return _Splice(len(text[:start].rstrip(" ")), _line_end(text, end) if block else end, made)


def _kept_comments(old: str, indent: int) -> list[str]:
    """Return the comments inside a text that is replaced, each on a line of its own."""
    found = (_COMMENT.search(line) for line in old.splitlines() if not re.search(r"['\"]", line))
    return [" " * (indent + 2) + match.group() for match in found if match is not None]


def _add(text: str, table: Any, key: str, value: Any, edit: Put) -> _Splice:
    if type(table).__name__ != "MappingNode":
        raise UseError(f"{'.'.join(edit.path)} cannot be put into the file: what stands there is no table of keys.")
    if table.flow_style:
        close = int(table.end_mark.index) - 1
        before = text[:close].rstrip()
        comma = "" if not table.value or before.endswith(",") else ","
        space = " " if table.value else ""
        return _Splice(len(before), len(before), f"{comma}{space}{flow_key(key)}: {flow(value)}")
    indent = int(table.value[0][0].start_mark.column)
    at = _line_end(text, _end(text, table))
    lines = [f"{' ' * indent}{flow_key(key)}:"]
    if isinstance(value, (list, dict)) and value:
        lines += _block(value, indent)
    else:
        lines[0] += f" {flow(value)}"
    newline = _newline(text)
    return _Splice(at, at, newline + newline.join(lines))


def _take_out(text: str, table: Any, entry: tuple[Any, Any]) -> _Splice:
    key, old = entry
    start, end = int(key.start_mark.index), max(_end(text, old), int(key.end_mark.index))
    if not table.flow_style:
        begin = text.rfind("\n", 0, start) + 1
        stop = _line_end(text, end)
        newline = re.compile(r"\r?\n").match(text, stop)
        return _Splice(begin, newline.end() if newline else stop, "")
    rest = re.compile(r"\s*,\s*").match(text, end)
    if rest is not None:
        return _Splice(start, rest.end(), "")
    return _Splice(len(re.sub(r"\s*,\s*$", "", text[:start])), end, "")


def _block(value: Any, indent: int) -> list[str]:
    """Return the lines of a list or a table under a key; what is inside its entries is written in braces."""
    space = " " * (indent + 2)
    if isinstance(value, dict):
        return [f"{space}{flow_key(k)}: {flow(v)}" for k, v in value.items()]
    return [f"{space}- {flow(v)}" for v in value]


def flow_key(key: str) -> str:
    """Return a key as YAML reads it back."""
    return flow(key)


def flow(value: Any) -> str:
    """Return plain data on one line of YAML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{flow_key(k)}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(flow(v) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    plain = (
        isinstance(value, str) and _PLAIN.fullmatch(value) and value.lower() not in _WORDS and value == value.strip()
    )
    if plain and not re.fullmatch(r"-?\d[\d.]*", value):
        return str(value)
    return '"' + str(value).replace("\\", "\\\\").replace('"', '\\"') + '"'
