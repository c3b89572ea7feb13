"""The rooms of the workbench, in the order of the work; each turns a plan into what its page shows."""

from __future__ import annotations

from starlette.exceptions import HTTPException

from strandwright.workbench.rooms import address, book, feed, fill, match, overview, place, prove
from strandwright.workbench.rooms.room import Ask, Room

__all__ = ["ROOMS", "Ask", "Room", "room_at"]

ROOMS = (
    Room("overview", "Overview", overview.view),
    Room("fill", "Fill", fill.view, {"fill": fill.wanted}),
    Room("place", "Place", place.view),
    Room("feed", "Feed", feed.view, {"feed": feed.wanted, "scatter": feed.scattered}),
    Room("address", "Address", address.view),
    Room("match", "Match", match.view, {"match": match.wanted}),
    Room("prove", "Prove", prove.view),
    Room(
        "book",
        "Book",
        book.view,
        {"book": book.book_wanted, "labels": book.labels_wanted, "export": book.export_wanted},
    ),
)


def room_at(name: str) -> Room:
    """Return the room of a name; raises HTTPException (404) where there is none."""
    for room in ROOMS:
        if room.name == name:
            return room
    raise HTTPException(404)
