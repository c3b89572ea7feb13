"""One edit as pieces of text to put in place of others: only what it is about changes, every other byte stays."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from hollowglow.file.text.flow import block, flow, flow_key, nested
from hollowglow.file.text.layout import Entry, TextSpot, says_nothing
from hollowglow.file.text.source import spell
from hollowglow.messages.refusal import Refusal

Path = tuple[str | int, ...]

_COMMENT = re.compile(r"(?:^|(?<=\s))#.*$")
_COMMA = re.compile(r"\s*,[ \t]*")


@dataclass(frozen=True, slots=True)
class Splice:
    """A piece of text to put in place of another."""

    start: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class _Found:
    """The way to a place: the table or list that holds it, the entry of that in the one above, and its own entry."""

    table: TextSpot
    holder: Entry | None
    entry: Entry | None


def put(text: str, tree: TextSpot | None, path: Path, value: Any) -> list[Splice]:
    """Return what puts a value at a path, in place of what is there; tables of keys on the way are made."""
    table, holder = _top(tree, path), None
    for i, step in enumerate(path):
        if holder is not None and says_nothing(text, table):
            return _replace(text, _around(tree, path, i), holder, _wrapped(path, i, value), i == 1)
        entry = _entry(table, step, path)
        if entry is None:
            return _add(text, table, step, _wrapped(path, i + 1, value), None, path, i == 0)
        if i == len(path) - 1:
            return _replace(text, table, entry, value, i == 0)
        table, holder = entry.value, entry
    return []


def insert(text: str, tree: TextSpot | None, path: Path, value: Any, before: str | None) -> list[Splice]:
    """Return what puts a new key (before another one, else last) or a new item of a list into a text."""
    found = _find(text, tree, path)
    if found is None:
        return put(text, tree, path[:-1], [value] if isinstance(path[-1], int) else {path[-1]: value})
    if isinstance(path[-1], int):
        return _add_item(text, found.table, path, value)
    if found.entry is not None:
        raise Refusal(f"{spell(path)} is there already. Put a value in its place, or choose another name.")
    follower = None if before is None else _entry(found.table, before, path)
    if before is not None and follower is None:
        raise Refusal(f"{spell((*path[:-1], before))} is not in the file, so nothing can be put before it.")
    return _add(text, found.table, path[-1], value, follower, path, len(path) == 1)


def remove(text: str, tree: TextSpot | None, path: Path) -> list[Splice]:
    """Return what takes a key or an item out, nothing where it is not there."""
    found = _find(text, tree, path)
    if found is None or found.entry is None:
        return []
    table, entry = found.table, found.entry
    at = table.entries.index(entry)
    if len(table.entries) == 1:
        return _emptied(text, table, found.holder)
    following = table.entries[at + 1] if at + 1 < len(table.entries) else None
    if table.flow:
        comma = _COMMA.match(text, entry.end)
        if comma is not None:
            return [Splice(entry.start, comma.end(), "")]
        between = text[table.entries[at - 1].end : entry.start]
        return [Splice(entry.start if "\n" in between else table.entries[at - 1].end, entry.end, "")]
    begin = _line_start(text, entry.start)
    if not text[begin : entry.start].strip():
        return [Splice(begin, _after_line(text, _end(entry)), "")]
    # The first entry of a table or list that begins on the line of a dash: the dash stays.
    assert following is not None
    end = _line_end(text, _end(entry))
    return [Splice(entry.start, end if text[end : following.start].strip() else following.start, "")]


def rename(text: str, tree: TextSpot | None, path: Path, name: str) -> list[Splice]:
    """Return what gives a key another name."""
    found = _find(text, tree, path)
    if found is None or found.entry is None or found.entry.key is None:
        raise Refusal(f"{spell(path)} is not in the file, so it cannot be renamed.")
    if any(e.key == name for e in found.table.entries if e is not found.entry):
        raise Refusal(f"{spell((*path[:-1], name))} is there already. Choose another name.")
    return [Splice(found.entry.start, found.entry.key_end, flow_key(name))]


def move(text: str, tree: TextSpot | None, path: Path, source: int, target: int) -> list[Splice]:
    """Return what moves an item of a list to another place in it, with the comment on its own line."""
    found = _find(text, tree, (*path, 0))
    items = [] if found is None or found.table.sort != "list" else found.table.entries
    if found is None or not (0 <= source < len(items) and 0 <= target < len(items)):
        raise Refusal(f"{spell(path)} has {len(items)} items; there is none to move from {source + 1} to {target + 1}.")
    if source == target:
        return []
    own_lines = all(not text[_line_start(text, e.start) : e.start].strip() for e in items)
    if found.table.flow or not own_lines:
        order = list(range(len(items)))
        order.insert(target, order.pop(source))
        pieces = [text[e.value.start : e.value.end] for e in items]
        return [Splice(e.value.start, e.value.end, pieces[order[i]]) for i, e in enumerate(items) if order[i] != i]
    begin, end = _line_start(text, items[source].start), _after_line(text, _end(items[source]))
    piece, newline = text[begin:end], _newline(text)
    if target == 0:
        at = _line_start(text, items[0].start)
    else:
        at = _after_line(text, _end(items[target if target > source else target - 1]))
    if not piece.endswith("\n"):
        piece += newline
    if at == len(text) and not text.endswith("\n"):
        piece = newline + piece[: -len(newline)]
    return [Splice(begin, end, ""), Splice(at, at, piece)]


def _top(tree: TextSpot | None, path: Sequence[object]) -> TextSpot:
    if tree is None or not path:
        raise Refusal("An edit needs a place in a file that holds something.")
    return tree


def _entry(table: TextSpot, step: str | int, path: Path) -> Entry | None:
    """Return the entry of a key or an item, None where a table has no such key."""
    if table.sort == "alias":
        raise Refusal(
            f"{spell(path)} cannot be edited: an alias stands for it, and what is behind that is used elsewhere too. "
            "Write it out in the file first."
        )
    if table.sort == "table" and isinstance(step, str):
        return next((e for e in table.entries if e.key == step), None)
    if table.sort == "list" and isinstance(step, int):
        if 0 <= step < len(table.entries):
            return table.entries[step]
        raise Refusal(f"{spell(path)} cannot be edited: the list has {len(table.entries)} items.")
    what = "list" if isinstance(step, int) else "table of keys"
    raise Refusal(f"{spell(path)} cannot be put into the file: what stands there is no {what}.")


def _find(text: str, tree: TextSpot | None, path: Path) -> _Found | None:
    """Return the way to a place, None where what would hold it is not there."""
    table, holder = _top(tree, path), None
    for i, step in enumerate(path):
        if holder is not None and says_nothing(text, table):
            return None
        last = i == len(path) - 1
        if last and isinstance(step, int) and table.sort == "list":
            return _Found(table, holder, table.entries[step] if 0 <= step < len(table.entries) else None)
        entry = _entry(table, step, path)
        if last:
            return _Found(table, holder, entry)
        if entry is None:
            return None
        table, holder = entry.value, entry
    return None


def _around(tree: TextSpot | None, path: Path, i: int) -> TextSpot:
    """Return the table or list that holds the value at the first i steps of a path."""
    table = _top(tree, path)
    for step in path[: i - 1]:
        entry = _entry(table, step, path)
        assert entry is not None
        table = entry.value
    return table


def _wrapped(path: Path, i: int, value: Any) -> Any:
    for step in reversed(path[i:]):
        if isinstance(step, int):
            raise Refusal(f"{spell(path)} cannot be put into the file: there is no list that has such an item.")
        value = {step: value}
    return value


def _replace(text: str, table: TextSpot, entry: Entry, value: Any, top: bool) -> list[Splice]:
    old = entry.value
    if not table.flow and entry.key is not None and _takes_lines(text, old, value, top):
        start, end = _after_colon(text, entry), _line_end(text, old.end)
        indent = _column(text, entry.start)
        lines = [*_kept_comments(text[start:end], indent), *block(value, indent)]
        return [Splice(start, end, _newline(text).join(["", *lines]))]
    if entry.key is None:
        empty = old.start == old.end
        at = entry.start + 1 if empty and not table.flow else old.start
        return [Splice(at, old.end if not empty else at, (" " if empty else "") + flow(value))]
    if not old.is_block or text[old.start : old.start + 1] == "&":
        if old.start < old.end:
            return [Splice(old.start, old.end, flow(value))]
        colon = text.find(":", entry.key_end, old.start)
        return [Splice(old.start, old.start, (" " if colon >= 0 else ": ") + flow(value))]
    start = _after_colon(text, entry)
    first, last = _line_end(text, start), _line_end(text, old.end)
    return [Splice(start, start, " " + flow(value)), Splice(first, last, "")]


def _takes_lines(text: str, old: TextSpot, value: Any, top: bool) -> bool:
    """Return whether a value is written with its entries a line each: as what was there, else where it is large."""
    if not isinstance(value, (list, dict)) or not value:
        return False
    if old.flow and old.entries:
        return False
    return old.is_block or nested(value) or (top and isinstance(value, dict))


def _kept_comments(old: str, indent: int) -> list[str]:
    """Return the comments inside a text that is replaced, each on a line of its own."""
    found = (_COMMENT.search(line) for line in old.splitlines() if not re.search(r"['\"]", line))
    return [" " * (indent + 2) + match.group() for match in found if match is not None]


def _add(
    text: str, table: TextSpot, key: str | int, value: Any, before: Entry | None, path: Path, top: bool
) -> list[Splice]:
    if table.sort != "table" or not isinstance(key, str):
        raise Refusal(f"{spell(path)} cannot be put into the file: what stands there is no table of keys.")
    if table.flow:
        return _add_in_brackets(text, table, f"{flow_key(key)}: {flow(value)}", before)
    indent = _column(text, table.entries[0].start)
    lines = [f"{flow_key(key)}:"]
    if isinstance(value, (list, dict)) and value and (nested(value) or (top and isinstance(value, dict))):
        lines += block(value, indent)
    else:
        lines[0] += f" {flow(value)}"
    return _add_lines(text, table, lines, indent, before)


def _add_item(text: str, table: TextSpot, path: Path, value: Any) -> list[Splice]:
    at = path[-1]
    if table.sort != "list" or not isinstance(at, int):
        raise Refusal(f"{spell(path)} cannot be put into the file: what stands there is no list.")
    if not 0 <= at <= len(table.entries):
        raise Refusal(f"{spell(path)} cannot be put into the file: the list has {len(table.entries)} items.")
    before = table.entries[at] if at < len(table.entries) else None
    if table.flow:
        return _add_in_brackets(text, table, flow(value), before)
    return _add_lines(text, table, [f"- {flow(value)}"], _column(text, table.entries[0].start), before)


def _bare(text: str, table: TextSpot) -> bool:
    """Return whether this is the pair in [key: value], a table of one key that has no braces."""
    if not table.flow or table.sort != "table" or not table.entries:
        return False
    return "{" not in text[table.start : table.entries[0].start]


def _add_in_brackets(text: str, table: TextSpot, words: str, before: Entry | None) -> list[Splice]:
    if _bare(text, table):
        own = text[table.start : table.end]
        together = f"{words}, {own}" if before is not None else f"{own}, {words}"
        return [Splice(table.start, table.end, f"{{{together}}}")]
    if before is not None:
        return [Splice(before.start, before.start, f"{words}, ")]
    if not table.entries:
        return [Splice(table.end - 1, table.end - 1, words)]
    at = table.entries[-1].end
    return [Splice(at, at, f", {words}")]


def _add_lines(text: str, table: TextSpot, lines: list[str], indent: int, before: Entry | None) -> list[Splice]:
    """Return lines put after the entry before their place, so that comments above an entry stay with it."""
    newline, space = _newline(text), " " * indent
    at = table.entries.index(before) if before is not None else len(table.entries)
    if at == 0:
        start = table.entries[0].start
        return [Splice(start, start, newline.join([*lines, space]))]
    lines = [space + lines[0], *lines[1:]]
    end = _line_end(text, _end(table.entries[at - 1]))
    return [Splice(end, end, newline.join(["", *lines]))]


def _emptied(text: str, table: TextSpot, holder: Entry | None) -> list[Splice]:
    """Return what leaves a list or table with nothing in it."""
    first, nothing = table.entries[0], "{}" if table.sort == "table" else "[]"
    if _bare(text, table):
        return [Splice(table.start, table.end, nothing)]
    if table.flow:
        comma = _COMMA.match(text, first.end)
        return [Splice(first.start, comma.end() if comma is not None else first.end, "")]
    if holder is None or holder.key is None or text[table.start : table.start + 1] == "&":
        return [Splice(first.start, table.end, nothing)]
    colon = _after_colon(text, holder)
    return [
        Splice(colon, colon, f" {nothing}"),
        Splice(_line_start(text, first.start), _after_line(text, table.end), ""),
    ]


def _end(entry: Entry) -> int:
    """Return where an entry of a block ends; an item has at least its dash."""
    return entry.end if entry.key is not None else max(entry.start + 1, entry.value.end)


def _after_colon(text: str, entry: Entry) -> int:
    return text.index(":", entry.key_end) + 1


def _line_start(text: str, at: int) -> int:
    return text.rfind("\n", 0, at) + 1


def _line_end(text: str, at: int) -> int:
    """Return where the line that a position is in ends, its end of line not included."""
    found = re.compile(r"\r?\n|\Z").search(text, at)
    assert found is not None
    return found.start()


def _after_line(text: str, at: int) -> int:
    end = text.find("\n", at)
    return len(text) if end < 0 else end + 1


def _column(text: str, at: int) -> int:
    return at - _line_start(text, at)


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"
