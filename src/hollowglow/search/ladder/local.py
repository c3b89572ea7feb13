"""A good plan soon, of joined and cut feeds: one feed after the other moved to where it serves best."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Floats
from hollowglow.search.ladder.bounds import SLACK_V
from hollowglow.search.ladder.ladder import Ladder
from hollowglow.search.ladder.rails import RailEntries, conductance, margins_v
from hollowglow.search.trials.pieces import FeedWays

_SWEEPS = 3
# Feeds that share a load never share it evenly.
_UNEVEN = 1.25


@dataclass(frozen=True)
class Sketch:
    """A plan without its fuses settled: first prop (from 0) of each entry, whether V+ is cut there, its cable."""

    starts: tuple[int, ...]
    cuts: tuple[bool, ...]
    runs: tuple[int, ...]


def sketches(ladder: Ladder, pieces: Sequence[FeedWays], most: int) -> Iterator[Sketch]:
    """Yield the plans that moving one feed after the other leads to, with one feed, two, and so on up to `most`."""
    for count in range(1, min(most, ladder.props - 1) + 1):
        found = _settle(ladder, pieces, count, cut=count > 1)
        if found is not None:
            yield found


def _settle(ladder: Ladder, pieces: Sequence[FeedWays], count: int, cut: bool) -> Sketch | None:
    """Return a plan with so many feeds that the ladder allows, None where moving finds none."""
    n = ladder.props
    starts = [0, *(round((i + 1) * n / (count + 0.6)) for i in range(count))]
    starts = [min(max(s, i), n - count - 1 + i) for i, s in enumerate(starts)]
    cuts = [False, *([cut] * count)]
    runs = [0, *(max(0, pieces[s].runs - 1) for s in starts[1:])]
    target = ladder.load_a(0, n) / (count + 1) * _UNEVEN / ladder.fuse_load
    tables = [_usual(p, target) for p in pieces]
    last: tuple[float, float] = (np.inf, np.inf)
    for _ in range(_SWEEPS):
        for which in range(count + 1):
            _move(ladder, tables, starts, cuts, runs, which)
        now = _standing(ladder, tables, starts, cuts, runs)
        if not now < last:
            break
        last = now
    return Sketch(tuple(starts), tuple(cuts), tuple(runs)) if last[0] <= 0.0 else None


@dataclass(frozen=True)
class _Usual:
    """By cable: resistances and weight with the fuse that is assumed."""

    plus_ohm: Floats
    minus_ohm: Floats
    weight: Floats


def _usual(pieces: FeedWays, target_a: float) -> _Usual:
    rows = []
    for run in range(pieces.runs):
        own = np.flatnonzero(pieces.run == run)
        enough = own[pieces.rating_a[own] >= target_a]
        rows.append(
            int(enough[np.argmin(pieces.rating_a[enough])] if len(enough) else own[np.argmax(pieces.rating_a[own])])
        )
    return _Usual(pieces.plus_ohm[rows], pieces.minus_ohm[rows], pieces.weight[rows])


def _standing(
    ladder: Ladder, tables: Sequence[_Usual], starts: list[int], cuts: list[bool], runs: list[int]
) -> tuple[float, float]:
    """Return (volts short, weight) of a plan."""
    spare = _spare(ladder, tables, starts, cuts, runs, [(starts[-1], cuts[-1], runs[-1])], len(starts) - 1)
    weight = sum(float(tables[s].weight[r]) for s, r in zip(starts, runs, strict=True))
    return max(0.0, -SLACK_V - float(spare[0])), weight


def _spare(
    ladder: Ladder,
    tables: Sequence[_Usual],
    starts: list[int],
    cuts: list[bool],
    runs: list[int],
    ways: list[tuple[int, bool, int]],
    which: int,
) -> Floats:
    """Return the voltage to spare with one entry replaced in each of several ways, V."""
    props = np.tile(starts, (len(ways), 1))
    cut = np.tile(cuts, (len(ways), 1))
    plus = np.tile([tables[s].plus_ohm[r] for s, r in zip(starts, runs, strict=True)], (len(ways), 1))
    minus = np.tile([tables[s].minus_ohm[r] for s, r in zip(starts, runs, strict=True)], (len(ways), 1))
    props[:, which] = [p for p, _, _ in ways]
    cut[:, which] = [c for _, c, _ in ways]
    plus[:, which] = [tables[p].plus_ohm[r] for p, _, r in ways]
    minus[:, which] = [tables[p].minus_ohm[r] for p, _, r in ways]
    entries = RailEntries(ladder.entry[props], conductance(plus), conductance(minus), cut)
    return margins_v(ladder, entries, np.full(len(ways), ladder.places))


def _move(
    ladder: Ladder, tables: Sequence[_Usual], starts: list[int], cuts: list[bool], runs: list[int], which: int
) -> None:
    """Put one entry where the plan is cheapest among those that hold, or else where it misses least."""
    if which == 0:
        ways = [(0, False, r) for r in range(len(tables[0].weight))]
    else:
        end = starts[which + 1] if which + 1 < len(starts) else ladder.props
        inner = range(starts[which - 1] + 1, end)
        ways = [(p, c, r) for p in inner for c in (False, True) for r in range(len(tables[p].weight))]
    if not ways:
        return
    ways = _carried(ladder, starts, cuts, ways, which)
    if not ways:
        return
    spare = _spare(ladder, tables, starts, cuts, runs, ways, which)
    weight = np.array([tables[p].weight[r] for p, _, r in ways])
    good = spare >= -SLACK_V
    best = int(np.lexsort((-spare, np.where(good, weight, np.inf)))[0]) if good.any() else int(np.argmax(spare))
    starts[which], cuts[which], runs[which] = ways[best]


def _carried(
    ladder: Ladder, starts: list[int], cuts: list[bool], ways: list[tuple[int, bool, int]], which: int
) -> list[tuple[int, bool, int]]:
    """Return the ways in which least of the load is more than the fuses of its zone may carry together."""
    over: dict[tuple[int, bool], float] = {}
    for prop, cut, _ in ways:
        if (prop, cut) not in over:
            at, open_ = [*starts], [*cuts]
            at[which], open_[which] = prop, cut
            over[prop, cut] = _overload_a(ladder, at, open_)
    least = min(over.values(), default=0.0)
    return [w for w in ways if over[w[0], w[1]] <= least + 1e-9]


def _overload_a(ladder: Ladder, starts: list[int], cuts: list[bool]) -> float:
    """Return by how much zones draw more than fuses allow that add up in what lies behind their last entry, A."""
    found = 0.0
    begin = 0
    for i in range(1, len(starts) + 1):
        if i == len(starts) or cuts[i]:
            to = starts[i] if i < len(starts) else ladder.props
            most = ladder.fuse_load * float(ladder.limit_a[starts[i - 1] : to].min())
            found += max(0.0, ladder.load_a(starts[begin], to) - most)
            begin = i
    return found
