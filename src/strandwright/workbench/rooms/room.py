"""What a room is: a name, a title, and a way from a plan to plain data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from strandwright.plan import Plan
from strandwright.workbench.album import Album
from strandwright.workbench.errands import Errand
from strandwright.workbench.measures import Units


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


@dataclass(frozen=True)
class Room:
    """A page of the workbench.

    Attributes:
        name: in its address.
        title: on the page.
        view: makes the data of the page and of its JSON twin.
        errands: the long work that can be begun in it, by task: from a form to its arguments and its title.
    """

    name: str
    title: str
    view: Callable[[Plan, Ask], dict[str, Any]]
    errands: Mapping[str, Wanted] = field(default_factory=dict)
