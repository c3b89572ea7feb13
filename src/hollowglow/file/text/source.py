"""The text of a display file as plain data, with the line of every key kept."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, Final

from hollowglow.file.text.commas import rest_of_number, rest_of_quantity
from hollowglow.file.text.yaml_nodes import compose
from hollowglow.messages.errors import DisplayError, Problem
from hollowglow.quantity.shown import cut, show

Key = tuple[str | int, ...]

MOST_ALIASED = 100_000
_MOST_DIGITS = 400
_HIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_HALF_CHARACTER = re.compile("[\ud800-\udfff]")


class Broken:
    """Stands for a value that was already told to be wrong, so that nothing else is said about it."""


BROKEN: Final = Broken()


@dataclass
class Source:
    """Plain data (dicts, lists, scalars) of one file.

    Attributes:
        file: its name in messages.
        data: what it holds.
        lines: line of each path of keys, counted from 1.
        problems: what is wrong with it so far.
        parents: entry whose keys an entry takes over, by (section, name).
        adrift: entries that would take over keys from something that is not there.
    """

    file: str
    data: Any
    lines: dict[Key, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    parents: dict[Key, Key] = field(default_factory=dict)
    adrift: set[Key] = field(default_factory=set)

    def origin(self, path: Key) -> Key:
        """Return the path where a key stands that an entry may have taken over from another one."""
        if path in self.lines:
            return path
        for end in range(len(path), 2, -1):
            entry: Key | None = path[:2]
            while entry is not None:
                if (*entry, *path[2:end]) in self.lines:
                    return (*entry, *path[2:])
                entry = self.parents.get(entry)
        return path

    def line(self, path: Key) -> int | None:
        """Return the line of the nearest key on the way to `path` that stands in the file."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return None

    def problem(self, path: Key, found: str, expected: str, mend: str = "", here: bool = False) -> Problem:
        """Return a problem at a path, placed where the file states it; `here` where it is the heir's own."""
        path = path if here else self.origin(path)
        return Problem(spell(path), found, expected, mend, self.line(path))


def spell(path: Key) -> str:
    """Return a path of keys as a person would point at it: strings.rail.feeds[2].length."""
    text = ""
    for key in path:
        text += f"[{key + 1}]" if isinstance(key, int) else ("." if text else "") + (cut(key) or '""')
    return text


def parse_text(text: str, file: str) -> Source:
    """Return YAML text as plain data.

    Duplicate keys, tags and the like are kept in `problems`, so that they are told together with whatever else is wrong.

    Raises:
        DisplayError: when the text is not YAML at all, its top is not a table of keys, or its aliases stand for more
            values than any display needs.
    """
    node, tagged = compose(text, file)
    source = Source(file, None)
    if node is not None:
        source.data = _Reader(source, tagged).read(node, (), (), False)
    if isinstance(source.data, dict):
        return source
    found = "no keys at all" if source.data is None else show(source.data)
    expected = 'a table of keys that starts with "display: a name"'
    mend = "Start from the demo: hollowglow demo."
    raise DisplayError(file, source.problems or [Problem("", found, expected, mend, source.lines.get(()))])


class _Reader:
    """Turns composed nodes into plain data; counts what aliases bring in again."""

    def __init__(self, source: Source, tagged: dict[int, str]) -> None:
        self.source = source
        self.tagged = tagged
        self.seen: set[int] = set()
        self.aliased = 0

    def told(self, path: Key, node: Any, found: str, expected: str, mend: str = "") -> Broken:
        line = node.start_mark.line + 1
        self.source.problems.append(Problem(spell(path), found, expected, mend, line))
        return BROKEN

    def read(self, node: Any, path: Key, above: tuple[int, ...], aliased: bool) -> Any:
        self.source.lines.setdefault(path, node.start_mark.line + 1)
        if id(node) in above:
            return self.told(path, node, "an alias that contains itself", "plain values")
        if id(node) in self.tagged and id(node) not in self.seen:
            self.seen.add(id(node))
            tag = self.tagged[id(node)].replace("tag:yaml.org,2002:", "!!")
            return self.told(path, node, f"the tag {show(tag)}", "plain values without tags", "Delete it.")
        aliased = aliased or id(node) in self.seen
        self.seen.add(id(node))
        if aliased:
            self.aliased += 1
            if self.aliased > MOST_ALIASED:
                found = f"aliases that stand for more than {MOST_ALIASED:,} values"
                line = node.start_mark.line + 1
                mend = "Use extends: NAME to take over the keys of another entry."
                raise DisplayError(self.source.file, [Problem("", found, "fewer", mend, line)])
        inner = (*above, id(node))
        match type(node).__name__:
            case "MappingNode":
                return self.mapping(node, path, inner, aliased)
            case "SequenceNode":
                return self.sequence(node, path, inner, aliased)
        return self.scalar(node, path)

    def sequence(self, node: Any, path: Key, above: tuple[int, ...], aliased: bool) -> list[Any]:
        result: list[Any] = []
        last: Any = None
        for item in node.value:
            if node.flow_style and last is not None and _is_rest_of_quantity(item, last):
                # [1,8 m, 2 m] reaches us as three values, "1", "8 m" and "2 m"
                result[-1] = f"{last.value},{item.value}"
                last = None
                continue
            result.append(self.read(item, (*path, len(result)), above, aliased))
            last = item
        return result

    def mapping(self, node: Any, path: Key, above: tuple[int, ...], aliased: bool) -> dict[str, Any]:
        result: dict[str, Any] = {}
        last: Any = None
        for key_node, value_node in node.value:
            if type(key_node).__name__ != "ScalarNode":
                self.told(path, key_node, "a key that is a list or a table", "a word as key")
                continue
            key = str(key_node.value)
            here = (*path, key)
            if _HALF_CHARACTER.search(key):
                self.told(here, key_node, f"half of a character in the key {show(key)}", "a word as key")
                continue
            if node.flow_style and last is not None and _is_rest_of_number(key_node, value_node, last[1]):
                # {length: 1,8 m} reaches us as two keys, "length" and "8 m"
                result[last[0]] = f"{last[1].value},{' ' if ' ' in last[1].value else ''}{key}"
                continue
            if key in result:
                first = self.source.lines.get(here)
                self.told(here, key_node, f"the key {show(key)} again", f"it once (first in line {first})")
                continue
            if key == "<<":
                mend = "Use extends: NAME to take over the keys of another entry."
                self.told(path, key_node, 'the merge key "<<"', "plain keys", mend)
                self.source.adrift.add(path[:2])
                continue
            self.source.lines[here] = key_node.start_mark.line + 1
            result[key] = self.read(value_node, here, above, aliased)
            last = (key, value_node)
        return result

    def scalar(self, node: Any, path: Key) -> Any:
        text: str = node.value
        tag = str(node.ctag if hasattr(node, "ctag") else node.tag)
        match tag.rpartition(":")[2].removeprefix("!!"):
            case "null":
                return None
            case "bool":
                return text.lower() in ("true", "yes", "on")
            case "int" if len(text) <= _MOST_DIGITS:
                try:
                    base = 0 if text.lower().lstrip("+-").startswith(("0x", "0o", "0b")) else 10
                    return int(text.replace("_", ""), base)
                except ValueError:
                    return text
            case "float":
                try:
                    return float(text.replace("_", "").lower().replace(".inf", "inf").replace(".nan", "nan"))
                except ValueError:
                    return text
        hidden = _HIDDEN.search(text)
        if hidden is not None:
            return self.told(path, node, f"the invisible character {show(hidden.group())}", "plain text", "Delete it.")
        return text


def _is_rest_of_number(key_node: Any, value_node: Any, last: Any) -> bool:
    """Return whether a key without a value is what a decimal comma cut off the number before it."""
    nothing = type(value_node).__name__ == "ScalarNode" and value_node.value == "" and value_node.style is None
    plain = type(last).__name__ == "ScalarNode" and last.style is None
    return bool(nothing and plain) and rest_of_number(str(key_node.value), str(last.value))


def _is_rest_of_quantity(item: Any, last: Any) -> bool:
    """Return whether a value of a list is what a decimal comma cut off the bare number before it."""
    if any(type(n).__name__ != "ScalarNode" or n.style is not None for n in (item, last)):
        return False
    touches = item.start_mark.index == last.end_mark.index + 1
    return touches and rest_of_quantity(str(item.value), str(last.value))
