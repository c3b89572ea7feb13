"""What a room is: a name, a title, and a way from a plan to plain data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from strandwright.plan import Plan
from strandwright.workbench.errands import Errand
from strandwright.workbench.measures import Units


@dataclass(frozen=True)
class Ask:
    """What a person wants to see in a room: the query of its address, their units, and the long work of that room."""

    query: Mapping[str, str]
    units: Units
    errand: Errand | None = None


Wanted = Callable[[Mapping[str, str]], tuple[str, tuple[Any, ...], str]]


@dataclass(frozen=True)
class Room:
    """A page of the workbench.

    Attributes:
        name: in its address.
        title: on the page.
        view: makes the data of the page and of its JSON twin.
        errand: from a form to the long work of the room: task, arguments, title; None where it has none.
    """

    name: str
    title: str
    view: Callable[[Plan, Ask], dict[str, Any]]
    errand: Wanted | None = None
