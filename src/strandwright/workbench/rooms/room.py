"""What a room is: a name, a title, and a way from a plan to plain data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from strandwright.plan import Plan
from strandwright.workbench.measures import Units


@dataclass(frozen=True)
class Ask:
    """What a person wants to see in a room: the query of its address, and their units."""

    query: Mapping[str, str]
    units: Units


@dataclass(frozen=True)
class Room:
    """A page of the workbench; `view` makes the data of the page and of its JSON twin."""

    name: str
    title: str
    view: Callable[[Plan, Ask], dict[str, Any]]
