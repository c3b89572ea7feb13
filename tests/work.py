"""Work counted in calls of functions: unlike time it is the same on a slow machine, a busy one and a quick one."""

from __future__ import annotations

import cProfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def counted() -> Iterator[Callable[[], int]]:
    """Yield what tells, after the block, how many functions it called, of Python's and of C's."""
    profile = cProfile.Profile()

    def calls() -> int:
        return sum(one.callcount for one in profile.getstats())

    profile.enable()
    try:
        yield calls
    finally:
        profile.disable()


@contextmanager
def calls_at_most(most: int) -> Iterator[None]:
    """Fail where a block, once it is through, has called more functions than that."""
    with counted() as calls:
        yield
    assert calls() <= most, f"{calls():,} calls, expected {most:,} at most"
