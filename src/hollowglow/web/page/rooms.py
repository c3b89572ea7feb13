"""The rooms of the workbench, in the order of the work: names, titles, and the way from a plan to what each shows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib import import_module
from typing import TYPE_CHECKING, Any, Protocol

from starlette.exceptions import HTTPException

from hollowglow.web.desk.album import Album

if TYPE_CHECKING:
    from hollowglow.plan import Plan
    from hollowglow.web.desk.errands import Errand
    from hollowglow.web.page.measures import Units


@dataclass(frozen=True)
class Ask:
    """What a person wants to see in a room.

    Attributes:
        query: of its address.
        units: first for this browser.
        errands: the long work so far, by task.
        album: the photographs that lie on the bench.
        live: returns what is sent and heard now.
    """

    query: Mapping[str, str]
    units: Units
    errands: Mapping[str, Errand] = field(default_factory=dict)
    album: Album = field(default_factory=Album)
    live: Callable[[], Mapping[str, Any]] = dict

    def brought(self, task: str) -> dict[str, Any] | None:
        """Return the data that the newest work of a task brought, None where there is none."""
        errand = self.errands.get(task)
        return None if errand is None or errand.result is None else errand.result.data


Wanted = Callable[[Mapping[str, str]], tuple[tuple[Any, ...], str]]


class _RoomModule(Protocol):
    """What the module of a room gives."""

    def view(self, plan: Plan, ask: Ask) -> dict[str, Any]:
        """Return the data of the page and of its JSON twin."""


@dataclass(frozen=True)
class Room:
    """A page of the workbench; the module of its name in this folder makes it, loaded when it is first asked for.

    Attributes:
        name: in its address.
        title: on the page.
        tasks: the long work that can be begun in it; its module's `WANTED` has a way for each.
        planless: whether its page shows nothing of the plan, so that it has no module.
    """

    name: str
    title: str
    tasks: tuple[str, ...] = ()
    planless: bool = False

    def view(self, plan: Plan, ask: Ask) -> dict[str, Any]:
        """Return the data of the page and of its JSON twin."""
        if self.planless:
            return {}
        made: _RoomModule = self._module()
        return made.view(plan, ask)

    def wanted(self, task: str, form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
        """Return the arguments of a task and its title, from a form."""
        ways: Mapping[str, Wanted] = self._module().WANTED
        return ways[task](form)

    def _module(self) -> Any:
        return import_module(f"hollowglow.web.rooms.{self.name}.view")


ROOMS = (
    Room("overview", "Overview"),
    Room("fill", "Fill", ("fill",)),
    Room("place", "Place"),
    Room("feed", "Feed", ("feed", "tolerance")),
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
