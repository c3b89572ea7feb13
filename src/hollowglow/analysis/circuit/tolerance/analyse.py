"""From an Assembly and its tolerances to chances: sample, solve, judge against the limits, rank what matters."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.power import over
from hollowglow.analysis.circuit.tolerance.influence import influences
from hollowglow.analysis.circuit.tolerance.loads import Shine
from hollowglow.analysis.circuit.tolerance.parts import Adder
from hollowglow.analysis.circuit.tolerance.result import (
    StringTolerance,
    ThingTolerance,
    ToleranceAnalysis,
    chance,
    spread,
)
from hollowglow.analysis.circuit.tolerance.sample import SampledParts, Sampler
from hollowglow.analysis.circuit.tolerance.solve import Solver
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import fuse_ids
from hollowglow.assembly.tables import Flags, Floats, Ints

Progress = Callable[[int, int], None]
_VALUES_AT_ONCE = 1_500_000
_MOST_AT_ONCE = 500
_SLACK_V = 1e-9


@dataclass
class _Tally:
    """What every sample came to: strings, supplies, fuses by sample."""

    lowest_v: Floats
    margin_v: Floats
    light: Floats
    chromaticity_shift: Floats
    dimmest: Floats
    supply: Floats
    fuse: Floats
    settled: Flags
    alone: Flags


def _empty(assembly: Assembly, count: int) -> _Tally:
    def nothing(rows: int) -> Floats:
        return np.full((rows, count), np.nan)

    strings = len(assembly.strings.names)
    return _Tally(
        lowest_v=nothing(strings),
        margin_v=nothing(strings),
        light=nothing(strings),
        chromaticity_shift=nothing(strings),
        dimmest=nothing(strings),
        supply=nothing(len(assembly.supplies)),
        fuse=nothing(len(assembly.fuses.edge)),
        settled=np.zeros(count, dtype=bool),
        alone=np.zeros(count, dtype=bool),
    )


def batch_size(assembly: Assembly) -> int:
    """Return how many samples of an Assembly are solved together; the answer does not depend on it."""
    return max(1, min(_MOST_AT_ONCE, _VALUES_AT_ONCE // max(1, 2 * assembly.network.places)))


def analyse(
    assembly: Assembly,
    samples: int | None = None,
    seed: int | None = None,
    progress: Progress | None = None,
    at_once: int | None = None,
) -> ToleranceAnalysis:
    """Return what the tolerances of a display make of it.

    Args:
        build: the display expanded.
        samples, seed: in place of those of its tolerances.
        progress: called with how many samples of how many are solved.
        at_once: how many samples are solved together; by size where None.
    """
    tolerances = assembly.display.tolerances
    count = tolerances.samples if samples is None else samples
    first = tolerances.seed if seed is None else seed
    sampler = Sampler(assembly, tolerances, first)
    solver = Solver(assembly)
    tally = _draw(assembly, sampler, solver, count, at_once or batch_size(assembly), progress)
    return _judged(assembly, sampler, solver, tally)


def _draw(
    assembly: Assembly, sampler: Sampler, solver: Solver, count: int, at_once: int, progress: Progress | None
) -> _Tally:
    adder = Adder(assembly)
    limits = assembly.display.limits
    characteristic = assembly.network.load_characteristic
    live = np.flatnonzero(solver.circuit.alive)
    lit = (assembly.network.duty[characteristic[live]] > 0.0).any(axis=1)
    rows = live[lit]
    shine = Shine(assembly, rows)
    lowest = assembly.kinds.lowest_v[characteristic[rows]]
    if limits.lowest_voltage is not None:
        lowest = np.full(len(rows), limits.lowest_voltage)
    groups = _Groups(assembly, rows)
    tally = _empty(assembly, count)
    for start in range(0, count, at_once):
        at = slice(start, min(start + at_once, count))
        sampled = sampler.everything(np.arange(at.start, at.stop))
        deviations = adder.deviations(sampled)
        mean, coincident, alone = solver.solve(deviations)
        across = coincident.across_v[lit]
        tally.lowest_v[groups.strings, at] = groups.least(across)
        tally.margin_v[groups.strings, at] = groups.least(across - lowest[:, None])
        light, shift = shine.light_and_shift(mean.across_v[lit])
        tally.light[groups.strings, at] = groups.least(light)
        # What is dark has no colour: the light lost tells of it.
        tally.chromaticity_shift[groups.strings, at] = -groups.least(-np.nan_to_num(shift))
        tally.dimmest[groups.strings, at] = groups.dimmest(light, sampled)
        rating = assembly.supply_rating_w[:, None]
        tally.supply[:, at] = deviations.supply_v * mean.supply_a / rating
        tally.fuse[:, at] = np.abs(mean.edge_plus_a) / assembly.fuses.rating_a[:, None]
        tally.settled[at] = mean.settled & coincident.settled
        tally.alone[at] = alone
        if progress is not None:
            progress(at.stop, count)
    return tally


class _Groups:
    """Lit loads by string."""

    def __init__(self, assembly: Assembly, rows: Ints) -> None:
        owner = assembly.load_string[rows]
        self._starts = np.flatnonzero(np.r_[True, np.diff(owner) > 0]) if len(rows) else np.zeros(0, np.int64)
        self.strings = owner[self._starts]
        at = np.full(len(assembly.network.load_place), -1)
        at[rows] = np.arange(len(rows))
        self._nodes = np.flatnonzero(at[assembly.nodes.load] >= 0)
        self._load = at[assembly.nodes.load[self._nodes]]
        of = assembly.props.string[assembly.nodes.prop[self._nodes]]
        self._node_starts = np.flatnonzero(np.r_[True, np.diff(of) > 0]) if len(of) else np.zeros(0, np.int64)

    def least(self, values: Floats) -> Floats:
        """Return the least value of each string, NaN where one is NaN."""
        if not len(self._starts):
            return np.zeros((0, values.shape[1]))
        least: Floats = np.minimum.reduceat(values, self._starts, axis=0)
        return least

    def dimmest(self, light: Floats, sampled: SampledParts) -> Floats:
        """Return the light of the dimmest node of each string."""
        if not len(self._node_starts):
            return np.zeros((0, light.shape[1]))
        nodes = light[self._load] * sampled.current[self._nodes] * sampled.flux[self._nodes]
        least: Floats = np.minimum.reduceat(nodes, self._node_starts, axis=0)
        return least


def _judged(assembly: Assembly, sampler: Sampler, solver: Solver, tally: _Tally) -> ToleranceAnalysis:
    limits = assembly.display.limits
    settled = tally.settled
    enough = (tally.margin_v >= -_SLACK_V) & settled
    bright = ~over(1.0 - tally.light, limits.light_loss) & np.isfinite(tally.light) & settled
    white = ~over(tally.chromaticity_shift, limits.chromaticity_shift) & settled
    supplied = ~over(tally.supply, limits.supply_load) & settled
    fused = ~over(tally.fuse, limits.fuse_load) & settled
    unlit = np.isnan(tally.lowest_v).all(axis=1) & settled.any()
    enough[unlit], bright[unlit] = settled, settled
    dark = np.bincount(assembly.load_string[~solver.circuit.alive], minlength=len(assembly.strings.names))
    strings: list[StringTolerance] = []
    everything = settled & supplied.all(axis=0) & fused.all(axis=0)
    for row, name in enumerate(assembly.strings.names):
        fuses = fused[assembly.fuses.string == row].all(axis=0) & settled
        within = enough[row] & bright[row] & white[row] & fuses & (dark[row] == 0)
        everything &= within
        usable = np.flatnonzero(np.isfinite(tally.lowest_v[row]))
        strong, by_sort = influences(sampler, row, usable, tally.lowest_v[row, usable], solver.stated)
        strings.append(
            StringTolerance(
                name=name,
                chance=chance(within),
                lowest_voltage=chance(enough[row]),
                light_loss=chance(bright[row]),
                chromaticity_shift=chance(white[row]),
                fuse_load=chance(fuses),
                lowest_v=spread(tally.lowest_v[row]),
                light=spread(tally.light[row]),
                greatest_shift=spread(tally.chromaticity_shift[row]),
                dimmest=spread(tally.dimmest[row]),
                influences=strong,
                by_sort=by_sort,
                dark=int(dark[row]),
            )
        )
    return ToleranceAnalysis(
        samples=len(settled),
        seed=sampler.seed,
        chance=chance(everything),
        strings=tuple(strings),
        supplies=_things(assembly.supplies, tally.supply, supplied),
        fuses=_things(fuse_ids(assembly), tally.fuse, fused),
        solved_alone=int(tally.alone.sum()),
        unsolved=int((~settled).sum()),
    )


def _things(names: tuple[str, ...] | list[str], values: Floats, within: Flags) -> tuple[ThingTolerance, ...]:
    return tuple(ThingTolerance(n, spread(v), chance(w)) for n, v, w in zip(names, values, within, strict=True))
