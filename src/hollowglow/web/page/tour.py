"""A short tour of the demo for a new person: a few words in each room, until it is closed for good."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from hollowglow.file.text.source import parse_text
from hollowglow.jobs.start.demo import NAMES

if TYPE_CHECKING:
    from collections.abc import Sequence

COOKIE = "tour"
CLOSED = "closed"

_WORDS = {
    "overview": "This is an invented display with honest mistakes in it. The findings below say what is wrong and why; "
    "Mend leads to the place where it can be put right. What you write goes into the file, and Undo brings it back.",
    "fill": "Here a prop is designed. Move a slider and write it into the file to see the glow change, or compare what else "
    "could go inside.",
    "place": "Here the props get their places, on a plan or a photograph of the site; the cables measure themselves from it.",
    "feed": "Here you see how the voltage falls along each string. The gable is fed from one end only; the cheapest plans show "
    "where to feed it again.",
    "address": "Here you read which light has which address, and whether each output is fast enough.",
    "match": "Here unlike kinds are made to look alike: the search finds the levels to type into the controller.",
    "test": "Here the lights are tried out of this machine, prop by prop, with a phone in the hand if you like.",
    "book": "Here is what to buy, to cut and to build, for the bench and the ladder.",
}


@dataclass(frozen=True)
class Stop:
    """One room of the tour: its number of so many, what to know there, and the room after it, empty at the end."""

    number: int
    all: int
    words: str
    next: str


@cache
def _demo_names() -> frozenset[str]:
    texts = [(files("hollowglow.file") / "demo" / name).read_text(encoding="utf-8") for name in NAMES]
    return frozenset(str(parse_text(text, "demo").data["display"]) for text in texts)


def stop_at(room: str, rooms: Sequence[str], display: str, cookie: str) -> Stop | None:
    """Return what the tour says in a room, None where there is no tour.

    Args:
        room: its name.
        rooms: the names of all rooms, in the order of the work.
        display: what the display is called; only the demo has a tour.
        cookie: that the browser keeps about it.
    """
    way = [name for name in rooms if name in _WORDS]
    if cookie == CLOSED or room not in way or display not in _demo_names():
        return None
    place = way.index(room)
    return Stop(place + 1, len(way), _WORDS[room], way[place + 1] if place + 1 < len(way) else "")
