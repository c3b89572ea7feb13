"""How long all shorts of a display take: from its expanded tables to currents, opening times and temperatures."""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.displays import write_display
from benchmarks.rows import Row, at_most, plain
from hollowglow.analysis.circuit import fault
from hollowglow.assembly import expand
from hollowglow.file import load

NODES = 2_000
LIMIT_S = 5.0
_RUNS = 9
TITLE = f"Shorts: every joint and far end of {NODES:,} nodes"


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        assembly = expand(load(write_display(Path(folder), "single", NODES)))
    times = []
    for _ in range(_RUNS):
        begin = time.perf_counter()
        faults = fault.analyse(assembly)
        times.append(time.perf_counter() - begin)
    yield plain("places where a short is tried", len(faults.outcome), "")
    yield at_most(f"all of them, median of {_RUNS}", statistics.median(times), LIMIT_S, "s")
