"""Branch and bound over all feed plans of a string, joined and cut, the cheapest first.

A partial plan has its feeds up to some prop. It is bounded from below by its own weight and by what covering the rest
must cost at least; it is dropped where even a perfect supply at the next prop would not save the props before it. Whole
plans are tried with the plan's own solver in the order of their weight: the first that holds is the cheapest there is,
and whatever happens, the smallest bound still open is one that no plan goes below.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.circuit.power.ratings import SLACK
from hollowglow.assembly.tables import Flags, Floats, Ints
from hollowglow.search.ladder.bounds import SLACK_V, Number, best_fuses, bounds
from hollowglow.search.ladder.ladder import Ladder
from hollowglow.search.ladder.local import Sketch
from hollowglow.search.ladder.rails import PERFECT_S, RailEntries, conductance, margins_v, voltages_v
from hollowglow.search.trials.pieces import FeedWays

_TIE = 1e-9
_ROUNDS = 12


@dataclass(frozen=True)
class Effort:
    """How much a search may do: partial plans looked at, and whole plans tried."""

    parts: int = 4000
    tries: int = 400


@dataclass(frozen=True)
class Whole:
    """A whole plan: first prop (from 0) of each entry, whether V+ is cut before it, row of what feeds it there."""

    starts: tuple[int, ...]
    cuts: tuple[bool, ...]
    rows: tuple[int, ...]


@dataclass(frozen=True)
class SearchResult:
    """What a search came to: the plan (None where none holds below the ceiling), its weight, and the bound."""

    plan: Whole | None
    weight: float
    bound: float
    parts: int
    tries: int


@dataclass
class Search:
    """One search; `holds` tries a whole plan in truth, `protected` says which ratings its cable and joints allow.

    Attributes:
        ladder: the string.
        pieces: what can feed each prop: the lead at the first, feeds at the others.
        holds: whether a plan meets every limit.
        protected: for a plan's entries and cuts, a test of (number of the zone's first entry, its entries' ratings).
        effort: when to stop.
        certain_a: what is drawn at each place at least where the voltages are at most so much, by scenario.
    """

    ladder: Ladder
    pieces: Sequence[FeedWays]
    holds: Callable[[Whole], bool]
    protected: Callable[[Whole], Callable[[int, Floats], bool]]
    effort: Effort
    certain_a: Callable[[Floats], Floats]

    def run(self, ceiling: float = np.inf) -> SearchResult:
        """Return the cheapest plan below a weight."""
        order = itertools.count()
        heap: list[tuple[float, int, int, Sketch | Whole]] = []

        def push(weight: float, rank: int, thing: Sketch | Whole) -> None:
            if weight < ceiling - _TIE:
                heapq.heappush(heap, (weight, rank, next(order), thing))

        for run in range(self.pieces[0].runs):
            if np.isfinite(self.best[0].weight[run]):
                push(
                    float(self.best[0].weight[run]) + float(self.bounds.alone[0, run]),
                    2,
                    Sketch((0,), (False,), (run,)),
                )
        parts = tries = 0
        while heap:
            weight, _, _, thing = heapq.heappop(heap)
            if isinstance(thing, Whole):
                if self.fits(thing):
                    if tries >= self.effort.tries:
                        return SearchResult(None, np.inf, float(min(weight, ceiling)), parts, tries)
                    tries += 1
                    if self.holds(thing):
                        return SearchResult(thing, self.weight(thing), self.weight(thing), parts, tries)
                continue
            if parts >= self.effort.parts:
                return SearchResult(None, np.inf, float(min(weight, ceiling)), parts, tries)
            parts += 1
            if self._ends(thing):
                for whole in self.fused(thing):
                    push(self.weight(whole), 0, whole)
            for more, child in self._children(thing, ceiling):
                push(more, 1, child)
        return SearchResult(None, np.inf, float(ceiling), parts, tries)

    def __post_init__(self) -> None:
        self.best = [best_fuses(p) for p in self.pieces]
        self.bare = bool(np.isinf(self.pieces[0].rating_a).any())
        self.bounds = bounds(self.ladder, self.pieces, self.best)

    def weight(self, plan: Whole) -> float:
        """Return the weight of a whole plan."""
        return float(sum(self.pieces[s].weight[r] for s, r in zip(plan.starts, plan.rows, strict=True)))

    def _children(self, part: Sketch, ceiling: float) -> Iterator[tuple[float, Sketch]]:
        """Yield (bound, child) for every way to feed once more after the last entry that a perfect supply could save."""
        ladder = self.ladder
        own = self.part_weight(part)
        last, begin = part.starts[-1], _begin(part)
        props: list[Ints] = []
        cuts: list[Flags] = []
        runs: list[Ints] = []
        least: list[Floats] = []
        for prop in range(last + 1, last + 1 + int(self.bounds.reach[last])):
            load = ladder.load_a(begin, prop)
            weight = self.best[prop].weight
            for cut in (True, False):
                if self._carries(part, begin, load, prop, cut):
                    rest = self.bounds.alone[prop, : len(weight)] if cut else self.bounds.joined[begin, prop]
                    bound = own + weight + rest
                    run = np.flatnonzero(bound < ceiling - _TIE)
                    props.append(np.full(len(run), prop))
                    cuts.append(np.full(len(run), cut))
                    runs.append(run)
                    least.append(bound[run])
        if not props:
            return
        prop_of, cut_of, run_of = np.concatenate(props), np.concatenate(cuts), np.concatenate(runs)
        bounds_of = np.concatenate(least)
        good = np.flatnonzero(self._saved(part, prop_of, cut_of, run_of))
        for i in good.tolist():
            child = Sketch((*part.starts, int(prop_of[i])), (*part.cuts, bool(cut_of[i])), (*part.runs, int(run_of[i])))
            yield float(bounds_of[i]), child

    def _saved(self, part: Sketch, prop: Ints, cut: Flags, run: Ints) -> Flags:
        """Return which feeds added to a partial plan save it up to the next prop, if power there were perfect."""
        ladder, n = self.ladder, self.ladder.props
        good = np.zeros(len(prop), dtype=bool)
        for rows, beyond in ((np.flatnonzero(prop < n - 1), True), (np.flatnonzero(prop == n - 1), False)):
            if len(rows):
                entries = self._entries(part, prop[rows], cut[rows], run[rows], beyond)
                end = entries.place[:, -1] if beyond else np.full(len(rows), ladder.places)
                good[rows] = margins_v(ladder, entries, end) >= -SLACK_V
        return good

    def _entries(self, part: Sketch, prop: Ints, cut: Flags, run: Ints, beyond: bool) -> RailEntries:
        """Return the entries of a partial plan with one more each, and with perfect power at the prop after that."""
        pairs = [(self.best[s], r) for s, r in zip(part.starts, part.runs, strict=True)]
        shape = (len(prop), len(pairs))

        def beside(before: Sequence[float], kind: type, after: Sequence[NDArray[Number]]) -> NDArray[Number]:
            first = np.broadcast_to(np.array(before, dtype=kind), shape).astype(after[0].dtype)
            return np.column_stack([first, *after])

        at = list(zip(prop.tolist(), run.tolist(), strict=True))
        plus = [np.array([self.best[p].plus_ohm[r] for p, r in at])]
        minus = [np.array([self.best[p].minus_ohm[r] for p, r in at])]
        starts, cuts = [prop], [cut]
        if beyond:
            nothing = np.full(len(prop), 1.0 / PERFECT_S)
            plus, minus = [*plus, nothing], [*minus, nothing]
            starts, cuts = [prop, prop + 1], [cut, np.zeros(len(prop), dtype=bool)]
        return RailEntries(
            self.ladder.entry[beside(part.starts, int, starts)],
            conductance(beside([float(b.plus_ohm[r]) for b, r in pairs], float, plus)),
            conductance(beside([float(b.minus_ohm[r]) for b, r in pairs], float, minus)),
            beside(part.cuts, bool, cuts),
        )

    def part_weight(self, part: Sketch) -> float:
        return float(sum(self.best[s].weight[r] for s, r in zip(part.starts, part.runs, strict=True)))

    def _carries(self, part: Sketch, begin: int, load_a: float, prop: int, cut: bool) -> bool:
        """Return whether a zone that began at a prop can carry its load up to the next feed.

        A cut there closes the zone, and its own fuses must do; a joined feed must not bring them above what is behind it.
        """
        if begin == 0 and self.bare:
            return True
        share = self.ladder.fuse_load * (1.0 + SLACK)
        if not cut:
            return load_a <= share * float(self.ladder.limit_a[prop])
        first = part.starts.index(begin)
        rating = sum(
            float(self.best[s].rating_a[r]) for s, r in zip(part.starts[first:], part.runs[first:], strict=True)
        )
        return load_a <= min(share * rating, float(self.bounds.most_a[part.starts[-1], prop]) * (1.0 + SLACK))

    def _ends(self, part: Sketch) -> bool:
        """Return whether a partial plan may do without further feeds."""
        ladder, begin = self.ladder, _begin(part)
        if not self._carries(part, begin, ladder.load_a(begin, ladder.props), ladder.props, True):
            return False
        pairs = [(self.best[s], r) for s, r in zip(part.starts, part.runs, strict=True)]
        plus = conductance(np.array([[b.plus_ohm[r] for b, r in pairs]]))
        minus = conductance(np.array([[b.minus_ohm[r] for b, r in pairs]]))
        entries = RailEntries(ladder.entry[np.array([part.starts])], plus, minus, np.array([part.cuts]))
        return bool(margins_v(ladder, entries, np.array([ladder.places]))[0] >= -SLACK_V)

    def fused(self, part: Sketch) -> Iterator[Whole]:
        """Yield the plan with every choice of fuses that protects its cable and joints and can carry what it draws."""
        ladder = self.ladder
        rows = [np.flatnonzero(self.pieces[s].run == r) for s, r in zip(part.starts, part.runs, strict=True)]
        template = Whole(part.starts, part.cuts, tuple(int(r[0]) for r in rows))
        allows = self.protected(template)
        begins = [i for i, cut in enumerate(part.cuts) if cut or i == 0]
        options: list[list[tuple[int, ...]]] = []
        for zone, begin in enumerate(begins):
            end = begins[zone + 1] if zone + 1 < len(begins) else len(part.starts)
            to = part.starts[end] if end < len(part.starts) else ladder.props
            load = ladder.load_a(part.starts[begin], to)
            good: list[tuple[int, ...]] = []
            # What lies behind the last entry bears all fuses of the zone together: a quick test before the full one.
            most = float(ladder.limit_a[part.starts[end - 1]]) * (1.0 + SLACK)
            for some in itertools.product(*(rows[i].tolist() for i in range(begin, end))):
                rating = np.array([self.pieces[part.starts[begin + k]].rating_a[r] for k, r in enumerate(some)])
                total = float(rating.sum())
                enough = load <= ladder.fuse_load * total * (1.0 + SLACK)
                if enough and (total <= most or np.isinf(total)) and allows(begin, rating):
                    good.append(some)
            options.append(self._largest(part, begin, good) if end - begin == 1 else good)
        for chosen in itertools.product(*options):
            yield Whole(part.starts, part.cuts, tuple(r for some in chosen for r in some))

    def _largest(self, part: Sketch, begin: int, rows: list[tuple[int, ...]]) -> list[tuple[int, ...]]:
        """Return of the fuses that feed a zone alone the one of least resistance at each price."""
        table = self.pieces[part.starts[begin]]
        kept: dict[float, tuple[int, ...]] = {}
        for some in sorted(rows, key=lambda r: (float(table.plus_ohm[r[0]]), -float(table.rating_a[r[0]]))):
            kept.setdefault(round(float(table.weight[some[0]]), 9), some)
        return list(kept.values())

    def fits(self, plan: Whole) -> bool:
        """Return whether the ladder allows a whole plan, also with what its lights draw at the voltages found."""
        ladder = self.ladder
        props = np.array([plan.starts])
        pairs = list(zip(plan.starts, plan.rows, strict=True))
        plus = conductance(np.array([[self.pieces[s].plus_ohm[r] for s, r in pairs]]))
        minus = conductance(np.array([[self.pieces[s].minus_ohm[r] for s, r in pairs]]))
        entries = RailEntries(ladder.entry[props], plus, minus, np.array([plan.cuts]))
        end = np.array([ladder.places])
        for _ in range(_ROUNDS):
            if margins_v(ladder, entries, end)[0] < -SLACK_V:
                return False
            current = self.certain_a(voltages_v(ladder, entries))
            if np.allclose(current, ladder.current_a, rtol=1e-6, atol=0.0):
                return True
            ladder = ladder.drawing(current)
        return True


def _begin(part: Sketch) -> int:
    """Return the first prop of the zone that a partial plan's last entry feeds."""
    return max(start for start, cut in zip(part.starts, part.cuts, strict=True) if cut or start == part.starts[0])
