"""What long work keeps from one time to the next, and what it brings back to the page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from hollowglow.file.text.commands import Edit
    from hollowglow.jobs.filling.fill_preview import Light
    from hollowglow.jobs.matching.photographs import SeenPhotographs
    from hollowglow.plan import Plan

Step = Callable[[int, int, str], None]


@dataclass
class PlanMemory:
    """What the process remembers: the last plan, so that the light of unchanged kinds is not computed again; and what
    the last photographs show, by what they are, so that naming props does not read them again; and the light of a
    file before a preview.
    """

    plan: Plan | None = None
    seen: tuple[object, SeenPhotographs] | None = None
    light: Light | None = None


@dataclass(frozen=True)
class Proposal:
    """A change of the file that long work proposes: what to put, and what it is in a few words."""

    puts: tuple[Edit, ...]
    why: str


@dataclass(frozen=True)
class Brought:
    """What long work brings.

    Attributes:
        data: plain data for the page.
        pictures: by name, as SVG text or as the bytes of a PNG file.
        proposals: by name.
        anew: whether something was kept that changes the plan of the same text.
        files: to take away, by name.
    """

    data: dict[str, Any]
    pictures: Mapping[str, str | bytes]
    proposals: dict[str, Proposal]
    anew: bool = False
    files: Mapping[str, bytes] = field(default_factory=dict)
