"""Our side of a comparison: network arrays in, voltages out, timed."""

from __future__ import annotations

import statistics
import time
from dataclasses import dataclass

from benchmarks.displays import Form, display_text
from hollowglow.analysis.circuit.power.analyse import solve_network
from hollowglow.analysis.circuit.power.result import Point
from hollowglow.assembly import Network, expand
from hollowglow.file.reading.load import load_text

TIMES = 9


@dataclass(frozen=True)
class Ours:
    """A solved network, with the first and the median wall time (s) from its arrays to its voltages."""

    network: Network
    point: Point
    first_s: float
    median_s: float


def solve(form: Form, nodes: int) -> Ours:
    """Return the solution of a display's network; the equations are set up anew each time."""
    network = expand(load_text(display_text(form, nodes))).network
    times = []
    for _ in range(TIMES):
        begin = time.perf_counter()
        solved = solve_network(network, network.duty)
        times.append(time.perf_counter() - begin)
    return Ours(network, solved.point, times[0], statistics.median(times))
