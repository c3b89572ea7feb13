"""Both operating points of many samples: batched where that settles, the full solver for the stubborn ones."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hollowglow.analysis.circuit.power import CircuitEquations, prepare, solve_network
from hollowglow.analysis.circuit.tolerance.chord import Chord, SampledRest
from hollowglow.analysis.circuit.tolerance.parts import Deviations, sampled_network
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags, Floats, Ints


class PointSolver:
    """One operating point (a duty) of any sample of an Assembly."""

    def __init__(self, assembly: Assembly, circuit: CircuitEquations, duty: Floats, places: Ints | None = None) -> None:
        self._places = np.zeros(0, dtype=np.int64) if places is None else places
        self._build, self._circuit, self._duty = assembly, circuit, duty
        stated = solve_network(assembly.network, duty, circuit)
        self.stated = stated.point
        # Where the display as stated has no plain solution, there is nothing to start from: all samples go one by one.
        plain = not stated.verdicts and not len(stated.point.unsolved) and circuit.size > 0
        self._chord = Chord(circuit, duty, stated.point, assembly.fuses.edge, self._places) if plain else None

    def solve(self, deviations: Deviations) -> tuple[SampledRest, Flags]:
        """Return where the samples come to rest, and which of them the full solver had to take."""
        samples = deviations.supply_v.shape[1]
        if self._chord is not None:
            rest = self._chord.solve(deviations)
        else:
            shapes = (int(self._circuit.alive.sum()), len(deviations.supply_v), len(self._build.fuses.edge))
            asked = (len(self._places),) * 2
            across, supply, edge, plus, minus = (np.full((rows, samples), np.nan) for rows in (*shapes, *asked))
            rest = SampledRest(across, supply, edge, np.zeros(samples, dtype=bool), plus, minus)
        alone = ~rest.settled
        settled = rest.settled.copy()
        for sample in np.flatnonzero(alone).tolist():
            settled[sample] = self._alone(deviations, sample, rest)
        return replace(rest, settled=settled), alone

    def _alone(self, deviations: Deviations, sample: int, rest: SampledRest) -> bool:
        """Enter one sample as the full solver finds it; return whether it has exactly one steady state."""
        network = sampled_network(self._build.network, deviations, sample)
        solved = solve_network(network, self._duty[self._build.network.load_characteristic])
        point = solved.point
        place = network.load_place[self._circuit.alive]
        rest.across_v[:, sample] = point.plus_v[place] - point.minus_v[place]
        rest.supply_a[:, sample] = point.supply_a
        rest.edge_plus_a[:, sample] = point.edge_plus_a[self._build.fuses.edge]
        rest.plus_v[:, sample], rest.minus_v[:, sample] = point.plus_v[self._places], point.minus_v[self._places]
        return not solved.verdicts and not len(point.unsolved)


class Solver:
    """Both operating points of any sample of an Assembly."""

    def __init__(self, assembly: Assembly) -> None:
        network = assembly.network
        self.circuit = prepare(network)
        self._mean = PointSolver(assembly, self.circuit, network.duty)
        self.stated = self._mean.stated
        pulses = np.where(network.duty > 0.0, 1.0, 0.0)
        same = np.array_equal(pulses, network.duty)
        self._coincident = self._mean if same else PointSolver(assembly, self.circuit, pulses)

    def solve(self, deviations: Deviations) -> tuple[SampledRest, SampledRest, Flags]:
        """Return the points `mean` and `coincident` of the samples, and which of them the full solver had to take."""
        mean, alone = self._mean.solve(deviations)
        if self._coincident is self._mean:
            return mean, mean, alone
        coincident, also = self._coincident.solve(deviations)
        return mean, coincident, alone | also
