"""Voltages at chosen places in many samples of an Assembly, at any duty: what a meter would read there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.power import Point, prepare
from hollowglow.analysis.circuit.tolerance.analyse import batch_size
from hollowglow.analysis.circuit.tolerance.parts import Adder
from hollowglow.analysis.circuit.tolerance.sample import Sampler
from hollowglow.analysis.circuit.tolerance.solve import PointSolver
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats, Ints


@dataclass(frozen=True)
class SampledVolts:
    """Voltages as stated and as sampled.

    Attributes:
        stated: the operating point of the display as stated.
        plus_v, minus_v: volts above the common V- terminal of each place in each sample, NaN in a sample without exactly
            one steady state, shape (P, D).
    """

    stated: Point
    plus_v: Floats
    minus_v: Floats


def sampled_volts(assembly: Assembly, duty: Floats, places: Ints, samples: int, seed: int) -> SampledVolts:
    """Return the voltages at some places of an Assembly.

    Args:
        build: the display expanded.
        duty: of each colour of each kind, shape (kinds, c).
        places: of the network, shape (P,).
        samples: how many displays to sample.
        seed: where the row of random numbers starts.
    """
    sampler, adder = Sampler(assembly, assembly.display.tolerances, seed), Adder(assembly)
    solver = PointSolver(assembly, prepare(assembly.network), duty, places)
    plus: list[Floats] = []
    minus: list[Floats] = []
    step = batch_size(assembly)
    for start in range(0, samples, step):
        sampled = sampler.everything(np.arange(start, min(start + step, samples)))
        rest, _ = solver.solve(adder.deviations(sampled))
        for values, into in ((rest.plus_v, plus), (rest.minus_v, minus)):
            into.append(np.where(rest.settled, values, np.nan))
    return SampledVolts(solver.stated, np.concatenate(plus, axis=1), np.concatenate(minus, axis=1))
