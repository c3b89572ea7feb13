"""20,000 nodes near saturation, solved by us and by ngspice in the same run: how much faster, and how far apart."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from benchmarks import ours, peer
from benchmarks.rows import Row, at_least, at_most, plain
from hollowglow.assembly.tables import Floats

TITLE = "Against ngspice: 20,000 nodes in 100 strings, all saturated, the same arrays for both"
NODES = 20_000
RATIO = 25.0
APART_MV = 1.0
_LIMIT_S = 120.0
_TIMES = 3


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    mine = ours.solve("bare", NODES)
    answers = [peer.solve(mine.network, _LIMIT_S) for _ in range(_TIMES)]
    theirs = min(answers, key=lambda a: a.run_s)
    yield plain("ours, arrays to voltages, median of 9", mine.median_s, "s")
    yield plain("ours, the first of the 9", mine.first_s, "s")
    yield plain("ours, Newton steps", mine.point.steps, "")
    if theirs.why:
        yield Row("ngspice", theirs.why, "", "an answer", False)
        return
    yield plain(f"ngspice {peer.version()}, whole run, best of 3", theirs.run_s, "s")
    yield plain("ngspice, what it counts as analysis (setting up, ordering, solving)", theirs.analysis_s, "s")
    yield plain("ngspice, iterations", theirs.iterations, "")
    yield at_least("ngspice's whole run over ours", theirs.run_s / mine.median_s, RATIO, "times")
    yield at_least("ngspice's analysis alone over ours", theirs.analysis_s / mine.median_s, RATIO, "times")
    place = mine.network.load_place
    apart = [np.abs(a - b)[place].max() for a, b in _pairs(mine, theirs)]
    yield at_most("largest difference of a voltage, V+ or V-", 1e3 * float(max(apart)), APART_MV, "mV")
    yield plain("lowest voltage at a light", float((mine.point.plus_v - mine.point.minus_v)[place].min()), "V")


def _pairs(mine: ours.Ours, theirs: peer.Answer) -> Iterator[tuple[Floats, Floats]]:
    yield mine.point.plus_v, theirs.plus_v
    yield mine.point.minus_v, theirs.minus_v
