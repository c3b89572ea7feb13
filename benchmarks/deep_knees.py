"""20,000 nodes that sag deep into their knees: whether we converge, whether it adds up, and what ngspice says."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from benchmarks import ours, peer
from benchmarks.rows import Row, at_most, plain

TITLE = "Deep in the knees: 20,000 nodes in 100 strings on long thin cable"
NODES = 20_000
CHARGE_A = 1e-6
ENERGY = 1e-6
APART_MV = 1.0
_LIMIT_S = 60.0


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    mine = ours.solve("knees", NODES)
    network, point = mine.network, mine.point
    across = (point.plus_v - point.minus_v)[network.load_place]
    solved = bool(np.isfinite(across).all()) and not len(point.unsolved)
    yield Row("ours", "converged" if solved else f"{len(point.unsolved):,} nodes unsolved", "", "converged", solved)
    yield plain("ours, arrays to voltages, median of 9", mine.median_s, "s")
    yield plain("ours, Newton steps", point.steps, "")
    yield at_most("ours, largest sum of currents at a place", point.charge_error_a, CHARGE_A, "A")
    yield at_most("ours, power put in less power used, over power put in", abs(point.energy_error), ENERGY, "")
    yield plain("lowest voltage at a light", float(np.nanmin(across)), "V")
    characteristics, characteristic = network.characteristics, network.load_characteristic
    u = (across[:, None] - characteristics.columns["turn_on_v"][characteristic]) / characteristics.columns[
        "saturation_v"
    ][characteristic][:, None]
    inside = ((u > 0.0) & (u < 1.0) & (characteristics.columns["full_a"][characteristic] > 0.0)).any(axis=1)
    yield plain("lights with a colour inside its knee", 100.0 * float(inside.mean()), "%")
    below = ((u <= 0.0) & (characteristics.columns["full_a"][characteristic] > 0.0)).any(axis=1)
    yield plain("lights with a colour gone dark", 100.0 * float(below.mean()), "%")
    theirs = peer.solve(network, _LIMIT_S)
    if theirs.why:
        yield Row(f"ngspice {peer.version()} on the same arrays", theirs.why, "")
        yield plain("ngspice, time until then", theirs.run_s, "s")
        return
    yield plain(f"ngspice {peer.version()}, whole run", theirs.run_s, "s")
    yield plain("ngspice, iterations", theirs.iterations, "")
    apart = np.abs((theirs.plus_v - theirs.minus_v)[network.load_place] - across)
    yield at_most("largest difference of the voltage across a light", 1e3 * float(apart.max()), APART_MV, "mV")
