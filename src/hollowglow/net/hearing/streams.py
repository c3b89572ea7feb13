"""What a receiver remembers of one source's packets for one universe, and what it counts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

SLOTS = 512
MOST_OTHERS = 64
_NAMED = 8

Slots = NDArray[np.uint8]
What = Literal["found", "lost", "terminated", "refused"]


@dataclass(frozen=True, slots=True)
class Event:
    """A source that appeared, fell silent, said that it stops, or found no place."""

    what: What
    universe: int
    cid: bytes
    source: str
    address: str
    at_s: float

    def text(self) -> str:
        """Return the event as a sentence for a person."""
        return _sentence([self])


def texts(events: Sequence[Event]) -> list[str]:
    """Return events as sentences, one for what the same source did in several universes."""
    alike: dict[tuple[What, bytes, str, str], list[Event]] = {}
    for event in events:
        alike.setdefault((event.what, event.cid, event.source, event.address), []).append(event)
    return [_sentence(some) for some in alike.values()]


def universes_words(universes: Iterable[int]) -> str:
    """Return universes in words, at least one.

    >>> universes_words([3]), universes_words([1, 2, 3]), universes_words([3, 1])
    ('universe 3', 'universes 1 to 3', 'universes 1, 3')
    >>> universes_words(range(1, 40, 2))
    '20 universes from 1 to 39'
    """
    rising = sorted(set(universes))
    first, last = rising[0], rising[-1]
    if first == last:
        return f"universe {first}"
    if last - first == len(rising) - 1:
        return f"universes {first} to {last}"
    if len(rising) <= _NAMED:
        return f"universes {', '.join(map(str, rising))}"
    return f"{len(rising)} universes from {first} to {last}"


def _sentence(events: Sequence[Event]) -> str:
    """Return what one source did in some universes as a sentence."""
    one = events[0]
    name = f'"{one.source}"' if one.source.isprintable() else ascii(one.source)
    words = {
        "found": "is heard",
        "lost": "fell silent",
        "terminated": "says that it stops",
        "refused": "is one source too many and is not heeded",
    }
    return f"{universes_words({event.universe for event in events})}: {name} ({one.address}) {words[one.what]}"


@dataclass(slots=True)
class Counts:
    """Packets of one universe.

    `frames` were taken. `lost` is how many sequence numbers were missing; a `late` one, which came after a later one, is
    among them. `discarded` are those that the sequence rule threw away: the late ones and the repeated ones. `restarted`
    counts leaps backwards that the rule takes for a new start. `preview`, `alternate` (a START code other than 0) and
    `refused` (no place for one more source) were not heeded.
    """

    frames: int = 0
    lost: int = 0
    late: int = 0
    discarded: int = 0
    restarted: int = 0
    preview: int = 0
    alternate: int = 0
    terminated: int = 0
    refused: int = 0


@dataclass(slots=True)
class Totals:
    """Datagrams that belong to no universe that is listened to; `others` are the first universes that `elsewhere` counts."""

    malformed: int = 0
    elsewhere: int = 0
    synchronizations: int = 0
    discoveries: int = 0
    others: set[int] = field(default_factory=set)

    def count_elsewhere(self, universe: int) -> None:
        """Count data of a universe that is not listened to."""
        self.elsewhere += 1
        if len(self.others) < MOST_OTHERS:
            self.others.add(universe)

    def others_words(self) -> str:
        """Return which universes these are, the first of them where they are many; "" where there are none."""
        return universes_words(self.others) if self.others else ""


@dataclass(frozen=True, slots=True)
class HeardSource:
    """A source that is heard at present: who, where, how important, whether its slots are the ones shown."""

    universe: int
    cid: bytes
    source: str
    address: str
    priority: int
    wins: bool


@dataclass(slots=True)
class HeardStream:
    """One source's packets for one universe: the last sequence number, when, the slots shown and those held."""

    source: str
    address: str
    priority: int
    sequence: int
    heard_s: float
    sync_address: int = 0
    synchronized: bool = False
    shown: Slots | None = None
    held: Slots | None = None
