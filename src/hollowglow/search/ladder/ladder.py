"""A string as a ladder of constant currents: what every plan that meets the limits can do at best.

In a plan that meets the limits each light gets at least the voltage that it needs. A light of constant current or
with resistors then draws at least what it draws at that voltage, a switching driver what it draws at the supply's. With these
currents instead of the real ones no voltage is lower than it really is (the conductance matrix of a rail is an M-matrix:
its inverse has no negative entries). So a plan that fails on this ladder fails in truth, and a search on the ladder
gives bounds that hold. Where all lights are saturated constant currents, the ladder is the truth.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from hollowglow.analysis.circuit.power.analyse import nominal_voltage
from hollowglow.analysis.circuit.power.network.loads import drawer
from hollowglow.analysis.circuit.power.ratings import part_ampacity, part_joint_rating
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.tables import NONE, CableSort, Flags, Floats, Ints, JointSort
from hollowglow.file import Display
from hollowglow.file.model.display import Feed
from hollowglow.physics.colour import white_change
from hollowglow.search.trials.trial import TrialString

_GRID = 2001
_HALVINGS = 40


@dataclass(frozen=True)
class Ladder:
    """Places of a string from its first prop to its end; scenarios are the points `mean` and `coincident`.

    Attributes:
        entry: place where a feed before each prop joins, shape (n,).
        along_ohm: resistance of one conductor from the first place, shape (M,).
        step_ohm: resistance before each place, shape (M,).
        current_a: what is drawn at each place, by scenario, shape (S, M).
        needed_v: voltage that the lights there need, -inf where there are none, shape (S, M).
        mean: scenario that counts for fuses.
        terminal_v: voltage at the supply's terminal with all this drawn, by scenario, shape (S,).
        supply_ohm: resistance of the supply.
        limit_a: largest fuse that the cable and joints of each prop with the span after it allow, shape (n,).
        fuse_load: share of its rating that a fuse may carry.
    """

    entry: Ints
    along_ohm: Floats
    step_ohm: Floats
    current_a: Floats
    needed_v: Floats
    mean: int
    terminal_v: Floats
    supply_ohm: float
    limit_a: Floats
    fuse_load: float

    @property
    def props(self) -> int:
        """Return how many props there are."""
        return len(self.entry)

    @property
    def places(self) -> int:
        """Return how many places there are."""
        return len(self.along_ohm)

    @cached_property
    def sum_a(self) -> Floats:
        """Return the current drawn before each place, with one entry more at the end, by scenario, shape (S, M + 1)."""
        return np.concatenate([np.zeros((len(self.current_a), 1)), np.cumsum(self.current_a, axis=1)], axis=1)

    @cached_property
    def moment_v(self) -> Floats:
        """Return the sum of step resistance times current drawn before the step, by scenario, shape (S, M)."""
        return np.cumsum(self.step_ohm * self.sum_a[:, :-1], axis=1)

    @cached_property
    def room_v(self) -> Floats:
        """Return what both rails together may lose up to each place, by scenario, shape (S, M)."""
        return self.terminal_v[:, None] - self.needed_v

    def drawing(self, current_a: Floats) -> Ladder:
        """Return the same string with other currents, by scenario, shape (S, M)."""
        more = current_a.sum(axis=1) - self.current_a.sum(axis=1)
        return replace(self, current_a=current_a, terminal_v=self.terminal_v - self.supply_ohm * more)

    def load_a(self, first: int, last: int) -> float:
        """Return what props `first` to `last` (from 0, the last one not included) draw at the point mean, A."""
        end = int(self.entry[last]) if last < self.props else self.places
        return float(self.sum_a[self.mean, end] - self.sum_a[self.mean, self.entry[first]])


@dataclass(frozen=True)
class Rungs:
    """What a ladder is made from: the string with a feed before every prop, and what its lights need."""

    bench: TrialString
    supply: int
    assembly: Assembly

    @cached_property
    def needed_v(self) -> tuple[Floats, Floats]:
        """Return the voltage that each load needs at the points mean and together, V; 0 where it is not lit."""
        return floors_v(self.assembly)

    def ladder(self, short_v: float = 0.0, share: float = 0.0) -> Ladder:
        """Return the ladder.

        Args:
            short_v: by how much every light may miss the voltage that it needs, V.
            share: 0 for the least that lights can draw where the limits are met, 1 for the most, between for between.
        """
        assembly, network = self.assembly, self.assembly.network
        characteristic, count = network.load_characteristic, network.load_count
        draw = drawer(network.characteristics, characteristic)
        top = np.full(len(characteristic), self._top_v)
        switching = network.characteristics.falls[characteristic]
        mean_v, coincident_v = (np.maximum(v - short_v, 0.0) for v in self.needed_v)
        pulses = np.where(network.duty > 0.0, 1.0, 0.0)
        # Averaged currents are never larger than those of all pulses together, so no light gets less on average.
        points = [(network.duty, np.maximum(mean_v, coincident_v)), (pulses, coincident_v)]
        if np.array_equal(network.duty, pulses):
            points = [(pulses, np.maximum(mean_v, coincident_v))]
        first = 1 + len(network.supply_v)
        places = network.places - first
        current = np.zeros((len(points), places))
        needed = np.full((len(points), places), -np.inf)
        at = network.load_place - first
        for row, (duty, need) in enumerate(points):
            need = np.minimum(need, 1e6)
            low = np.where(switching, top, np.minimum(need, top))
            high = np.where(switching, np.maximum(need, network.characteristics.cutoff_v[characteristic]), top)
            least, most = (draw.node(v, duty[characteristic])[0] * count for v in (low, high))
            np.add.at(current[row], at, least + share * (np.maximum(most, least) - least))
            np.maximum.at(needed[row], at, np.where(need > 0.0, need, -np.inf))
        inner = network.edge_a >= first
        step = np.zeros(places)
        step[network.edge_b[inner] - first] = network.edge_minus_ohm[inner]
        own_ohm = float(network.supply_ohm[self.supply])
        feeds = assembly.cables.sort == CableSort.FEED
        return Ladder(
            entry=network.edge_b[assembly.cables.edge[feeds]] - first,
            along_ohm=np.cumsum(step),
            step_ohm=step,
            current_a=current,
            needed_v=needed,
            mean=0,
            terminal_v=top[0] - own_ohm * current.sum(axis=1),
            supply_ohm=own_ohm,
            limit_a=self.limit_a,
            fuse_load=assembly.display.limits.fuse_load,
        )

    def certain_a(self, at_most_v: Floats) -> Floats:
        """Return what is drawn at each place at least where the voltage is at most so much, by scenario, shape (S, M).

        Only switching drivers draw more at less voltage; for all others it is what the ladder has.
        """
        network = self.assembly.network
        characteristic, count = network.load_characteristic, network.load_count
        switching = np.flatnonzero(network.characteristics.falls[characteristic])
        current = self.ladder().current_a.copy()
        if not len(switching):
            return current
        draw = drawer(network.characteristics, characteristic[switching])
        at = network.load_place[switching] - 1 - len(network.supply_v)
        pulses = np.where(network.duty > 0.0, 1.0, 0.0)
        duties = (pulses,) if len(current) == 1 else (network.duty, pulses)
        for row, duty in enumerate(duties):
            v = np.maximum(at_most_v[row, at], network.characteristics.cutoff_v[characteristic[switching]])
            then = draw.node(v, duty[characteristic[switching]])[0] * count[switching]
            least = draw.node(np.full(len(v), self._top_v), duty[characteristic[switching]])[0] * count[switching]
            np.add.at(current[row], at, np.maximum(then - least, 0.0))
        return current

    @property
    def _top_v(self) -> float:
        return float(self.bench.supply_v(self.assembly)[self.supply])

    @cached_property
    def limit_a(self) -> Floats:
        """Return the smallest rating among the cables and joints of each prop and of the span after it, A, shape (n,)."""
        assembly = self.assembly
        cables, joints = assembly.cables, assembly.joints
        found = np.full(len(assembly.props.number), np.inf)
        own = ~np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED)) & (cables.edge != NONE)
        np.minimum.at(found, cables.number[own] - 1, part_ampacity(assembly)[0][cables.part[own]])
        spans = np.isin(joints.sort, (JointSort.SPAN_NEAR, JointSort.SPAN_FAR))
        np.minimum.at(found, joints.number[spans] - 1, part_joint_rating(assembly)[joints.part[spans]])
        return found


def floors_v(assembly: Assembly) -> tuple[Floats, Floats]:
    """Return the voltage that each load needs at the points mean (its white) and together (itself), V; 0 where dark."""
    limits, network = assembly.display.limits, assembly.network
    characteristic = network.load_characteristic
    lit = (network.duty[characteristic] > 0.0).any(axis=1)
    lowest = (
        assembly.kinds.lowest_v[characteristic]
        if limits.lowest_voltage is None
        else np.full(len(characteristic), limits.lowest_voltage)
    )
    nominal_v = nominal_voltage(assembly)
    white = np.zeros(len(characteristic))
    pairs, which = np.unique(np.stack([characteristic.astype(float), nominal_v]), axis=1, return_inverse=True)
    for i, (row, nominal) in enumerate(pairs.T.tolist()):
        mine = (which == i) & lit
        if mine.any():
            most = 1.1 * max(nominal, float(network.supply_v.max(initial=0.0)))
            white[mine] = _floor(assembly, int(row), nominal, most, limits.light_loss, limits.chromaticity_shift)
    return white, np.where(lit, lowest - 1e-9, 0.0)


def _floor(
    assembly: Assembly, characteristic: int, nominal_v: float, most_v: float, loss: float, shift: float
) -> float:
    """Return a voltage below which no white of a characteristic is within its limits, and just above which one is, V."""
    network, kinds = assembly.network, assembly.kinds

    def right(v: Floats) -> Flags:
        rows = np.full(len(v), characteristic)
        draw = drawer(network.characteristics, rows)
        nominal, here = draw.light(np.full(len(v), nominal_v)), draw.light(v)
        relative = np.divide(here, nominal, out=np.zeros_like(nominal), where=nominal > 0.0)
        lit = np.where((nominal > 0.0) & (network.duty[rows] > 0.0), kinds.flux_lm[rows] * network.duty[rows], 0.0)
        change = white_change(relative, lit, kinds.xy[rows])
        return ~((1.0 - change.light > loss) | (change.chromaticity_shift > shift) | np.isnan(change.light))

    grid = np.linspace(0.0, most_v, _GRID)
    good = np.flatnonzero(right(grid))
    if not len(good):
        return most_v
    low, high = float(grid[max(int(good[0]) - 1, 0)]), float(grid[good[0]])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        low, high = (low, middle) if right(np.array([middle]))[0] else (middle, high)
    return low


def rungs(bench: TrialString, supply: str) -> Rungs:
    """Return what the ladders of a string are made from."""
    string = bench.display.strings[bench.name]
    points = tuple(
        Feed.model_construct(before=p, supply=supply, cable=string.lead.cable, length=1.0)
        for p in range(1, string.prop_count + 1)
    )
    alone: Display = bench.alone.model_copy(
        update={"strings": {bench.name: string.model_copy(update={"supply": supply, "feeds": points})}}
    )
    assembly = expand(alone)
    return Rungs(bench, assembly.supplies.index(supply), assembly)
