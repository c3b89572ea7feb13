"""The pictures of a plan by name, each drawn once."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    from hollowglow.plan import Plan


class Pictures:
    """Pictures of the newest plan, kept until there is a newer one."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._plan: Plan | None = None
        self._drawn: dict[str, str | None] = {}

    async def svg(self, plan: Plan, name: str) -> str | None:
        """Return a picture as SVG text, None where the plan has none of that name.

        Args:
            plan: what it shows.
            name: like `profile/gable`: the sort, then the string, supply or kind that it is about.
        """
        if plan is not self._plan:
            self._plan, self._drawn = plan, {}
        drawn = self._drawn
        if name not in drawn:
            drawn[name] = await asyncio.to_thread(_draw, plan, name, self._folder)
        return drawn[name]


def _draw(plan: Plan, name: str, folder: Path) -> str | None:
    # What draws is loaded by who first wants a picture.
    from hollowglow.web.page.figures import drawn

    return drawn(plan, name, folder)
