"""Where every key, value and item of YAML text stands, so that an edit can replace just that."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from ruamel.yaml import YAML

from hollowglow.file.text.commas import rest_of_number, rest_of_quantity
from hollowglow.file.text.yaml_nodes import compose

_NOTHING = ("", "~", "null", "Null", "NULL")


@dataclass(slots=True)
class TextSpot:
    """One value: where its text begins (an anchor included) and ends.

    `flow` holds for lists and tables in brackets; `plain` for a scalar that stands without quotes.
    """

    sort: Literal["scalar", "table", "list", "alias"]
    start: int
    end: int
    flow: bool = False
    plain: bool = False
    entries: list[Entry] = field(default_factory=list)

    @property
    def is_block(self) -> bool:
        """Return whether this is a list or a table whose entries have lines of their own."""
        return self.sort in ("table", "list") and not self.flow


@dataclass(slots=True)
class Entry:
    """A key with its value, or an item of a list (whose key is None, and which begins at its dash)."""

    key: str | None
    start: int
    key_end: int
    value: TextSpot

    @property
    def end(self) -> int:
        """Return where its text ends."""
        return max(self.key_end, self.value.end)


def read_layout(text: str, file: str) -> TextSpot | None:
    """Return the layout of a text, None where it holds nothing; raises DisplayError when it is no YAML."""
    compose(text, file)
    events = YAML(typ="rt", pure=True).parse(text)
    for event in events:
        if type(event).__name__ == "DocumentStartEvent":
            return _spot(text, next(events), events)
    return None


def says_nothing(text: str, spot: TextSpot) -> bool:
    """Return whether a value is null."""
    return spot.sort == "scalar" and spot.plain and text[spot.start : spot.end] in _NOTHING


def _spot(text: str, event: Any, events: Iterator[Any]) -> TextSpot:
    start, end = int(event.start_mark.index), int(event.end_mark.index)
    match type(event).__name__:
        case "AliasEvent":
            return TextSpot("alias", start, end)
        case "ScalarEvent":
            if event.style in ("|", ">"):
                end = start + len(text[start:end].rstrip())
            return TextSpot("scalar", start, end, plain=event.style in (None, ""))
        case "MappingStartEvent":
            spot = TextSpot("table", start, end, flow=bool(event.flow_style))
            _fill_table(text, spot, events)
        case _:
            spot = TextSpot("list", start, end, flow=bool(event.flow_style))
            _fill_list(text, spot, events)
    return spot


def _fill_table(text: str, spot: TextSpot, events: Iterator[Any]) -> None:
    for event in events:
        if type(event).__name__ == "MappingEndEvent":
            _close(spot, event)
            return
        key = _spot(text, event, events)
        name = getattr(event, "value", None)
        value = _spot(text, next(events), events)
        last = spot.entries[-1].value if spot.entries else None
        if (
            spot.flow
            and last is not None
            and last.plain
            and value.sort == "scalar"
            and value.start == value.end
            and rest_of_number(str(name), text[last.start : last.end])
        ):
            last.end = key.end
            continue
        spot.entries.append(Entry(str(name), key.start, key.end, value))


def _fill_list(text: str, spot: TextSpot, events: Iterator[Any]) -> None:
    # The dash of an item is no event: it is the first one in its column after the item before.
    column = spot.start - (text.rfind("\n", 0, spot.start) + 1)
    dash = re.compile(rf"^ {{{column}}}-(?=\s|\Z)", re.MULTILINE)
    for event in events:
        if type(event).__name__ == "SequenceEndEvent":
            _close(spot, event)
            return
        value = _spot(text, event, events)
        last = spot.entries[-1].value if spot.entries else None
        if spot.flow:
            begin = value.start
            if last is not None and _goes_on(text, last, value):
                last.end, last.plain = value.end, False
                continue
        elif last is None and text[spot.start : spot.start + 1] == "-":
            begin = spot.start
        else:
            found = dash.search(text, text.find("\n", last.end) + 1 if last is not None else spot.start)
            begin = found.end() - 1 if found is not None else value.start
        spot.entries.append(Entry(None, begin, begin, value))


def _goes_on(text: str, last: TextSpot, value: TextSpot) -> bool:
    """Return whether an item is the rest of the number before it, cut off by a decimal comma."""
    adjoin = last.plain and value.plain and value.start == last.end + 1
    return adjoin and rest_of_quantity(text[value.start : value.end], text[last.start : last.end])


def _close(spot: TextSpot, event: Any) -> None:
    """Set the end of a list or table: that of a block is where its last entry ends, not where the next thing begins."""
    if spot.flow:
        spot.end = int(event.end_mark.index)
    elif spot.entries:
        spot.end = max(e.end if e.key is not None else max(e.start + 1, e.value.end) for e in spot.entries)
