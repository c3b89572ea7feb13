"""The levels of the demo: voltages and levels worked out in turn until they rest, the light of the kinds included."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.rows import Row, at_most, plain
from hollowglow.analysis.match import BYS, Target, solve
from hollowglow.jobs.matching.match import match_file

TITLE = "Levels that match: the demo as first drawn"
LEVELS_S = 1.0
_DEMO = Path(__file__).parents[1] / "src" / "hollowglow" / "file" / "demo" / "landing.yaml"


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    match_file(_DEMO)
    begin = time.perf_counter()
    made = match_file(_DEMO)
    yield at_most("file to levels, light and fixed point included", time.perf_counter() - begin, LEVELS_S, "s")
    for by in BYS:
        begin = time.perf_counter()
        found = solve(made.assembly, made.optics, Target(by=by))
        yield plain(f"levels by {by} alone, {found.rounds} rounds", time.perf_counter() - begin, "s")
