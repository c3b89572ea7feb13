"""A bar on standard error for work that takes more than a second."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from hollowglow.cli.terminal.counting import counted
from hollowglow.plan import STEPS as PLANNED
from hollowglow.plan import Progress

STEPS = (*PLANNED, "chapters", "typeset", "labels", "write")


@contextmanager
def steps() -> Iterator[Progress]:
    """Yield a function to call with the name of each step; a bar appears only where the work outlasts a second."""
    with counted("load") as count:
        yield lambda name: count(STEPS.index(name) if name in STEPS else 0, len(STEPS), name)
