"""The rooms of the workbench, in the order of the work; each turns a plan into what its page shows."""

from __future__ import annotations

from starlette.exceptions import HTTPException

from hollowglow.web.rooms.room import Ask, Room

__all__ = ["ROOMS", "Ask", "Room", "room_at"]

ROOMS = (
    Room("overview", "Overview"),
    Room("fill", "Fill", ("fill",)),
    Room("place", "Place"),
    Room("feed", "Feed", ("feed", "scatter")),
    Room("address", "Address"),
    Room("match", "Match", ("match",)),
    Room("test", "Test"),
    Room("book", "Book", ("book", "labels", "export")),
)


def room_at(name: str) -> Room:
    """Return the room of a name; raises HTTPException (404) where there is none."""
    for room in ROOMS:
        if room.name == name:
            return room
    raise HTTPException(404)
