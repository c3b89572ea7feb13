"""2,000 samples of a 2,000-node display, against as many runs of ngspice, of which twenty are made."""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator
from importlib.resources import as_file, files

import numpy as np

from benchmarks import peer
from benchmarks.displays import display_text
from benchmarks.rows import Row, at_most, plain
from hollowglow.analysis.circuit.tolerance import analyse
from hollowglow.analysis.circuit.tolerance.parts import Adder, sampled_network
from hollowglow.analysis.circuit.tolerance.sample import Sampler
from hollowglow.analysis.circuit.tolerance.solve import Solver
from hollowglow.assembly import expand
from hollowglow.file.reading.load import load, load_text

TITLE = "Tolerance analysis: 2,000 samples of 2,000 nodes in 10 strings, against separate runs of ngspice"
NODES = 2_000
SAMPLES = 2_000
RUNS = 20
LIMIT_S = 20.0
DEMO_LIMIT_S = 10.0
APART_MV = 1.0
_PATIENCE_S = 60.0


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    assembly = expand(load_text(display_text("props", NODES)))
    begin = time.perf_counter()
    found = analyse(assembly, SAMPLES)
    ours_s = time.perf_counter() - begin
    yield at_most("ours, the display as arrays to chances and rank correlations", ours_s, LIMIT_S, "s")
    yield plain("ours, samples that the full solver had to take", found.solved_alone, "")
    yield plain("ours, samples without a steady state", found.unsolved, "")

    sampled = Sampler(assembly, assembly.display.tolerances, assembly.display.tolerances.seed).everything(
        np.arange(RUNS)
    )
    deviations = Adder(assembly).deviations(sampled)
    mean, _, _ = Solver(assembly).solve(deviations)
    place = assembly.network.load_place
    times, apart = [], []
    for sample in range(RUNS):
        answer = peer.solve(sampled_network(assembly.network, deviations, sample), _PATIENCE_S)
        if answer.why:
            yield Row("ngspice", answer.why, "", "an answer", False)
            return
        times.append(answer.run_s)
        across = (answer.plus_v - answer.minus_v)[place]
        apart.append(float(np.abs(across - mean.across_v[:, sample]).max()))
    theirs_s = SAMPLES * statistics.fmean(times)
    yield plain(
        f"ngspice {peer.version()}, one sampled circuit, mean of {RUNS} whole runs", statistics.fmean(times), "s"
    )
    yield plain(f"ngspice, {SAMPLES:,} of them (extrapolated)", theirs_s, "s")
    yield plain("ngspice's runs over ours", theirs_s / ours_s, "times")
    yield at_most(
        f"largest difference of a voltage at a light in these {RUNS} samples", 1e3 * max(apart), APART_MV, "mV"
    )

    with as_file(files("hollowglow.file") / "demo" / "landing-mended.yaml") as path:
        demo = expand(load(path))
    begin = time.perf_counter()
    analyse(demo, SAMPLES)
    yield at_most("the mended demo, 2,000 samples", time.perf_counter() - begin, DEMO_LIMIT_S, "s")
