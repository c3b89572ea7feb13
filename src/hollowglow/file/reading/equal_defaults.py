"""Equal defaults of many entries told as one."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hollowglow.file.model.display import Display
from hollowglow.file.reading.assumptions import Assumption, assumptions


@dataclass(frozen=True, slots=True)
class DefaultGroup:
    """Equal defaults of one section: the path with * for the entries' names where they are several, and the names."""

    where: str
    value: str
    reason: str
    names: tuple[str, ...]
    amount: tuple[float, str] | None = None


_FEED = re.compile(r"feeds(\[\d+\])")


def grouped(display: Display) -> list[DefaultGroup]:
    """Return every default that this display leans on, those that differ only in the entry's name as one."""
    by_key: dict[tuple[str, str, str, str], list[Assumption]] = {}
    for one in assumptions(display):
        section, _, key = one.place
        by_key.setdefault((section, _FEED.sub("feeds[*]", key), one.value, one.reason), []).append(one)
    made = []
    for (section, key, value, reason), same in by_key.items():
        where = ".".join(word for word in (section, "*", key) if word) if len(same) > 1 else same[0].where
        made.append(DefaultGroup(where, value, reason, tuple(_name(one) for one in same), same[0].amount))
    return made


def _name(one: Assumption) -> str:
    """Return the name of the entry that leans on a default, with the number of its feed if it is one of a feed."""
    feed = _FEED.match(one.place[2])
    return one.place[1] + (feed.group(1) if feed else "")
