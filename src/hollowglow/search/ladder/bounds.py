"""What finishing a partial feed plan costs at least: from each prop on, were everything beyond its neighbours perfect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.circuit.power.ratings import SLACK
from hollowglow.assembly.tables import Flags, Floats, Ints
from hollowglow.search.ladder.ladder import Ladder
from hollowglow.search.ladder.rails import PERFECT_S, RailEntries, conductance, margins_v
from hollowglow.search.trials.pieces import FeedWays

SLACK_V = 1e-7
Number = TypeVar("Number", np.float64, np.int64, np.bool_)


@dataclass(frozen=True)
class Best:
    """By cable at one prop: resistance in V+ and V-, weight, and rating of the fuse that is best in that, shape (R,)."""

    plus_ohm: Floats
    minus_ohm: Floats
    weight: Floats
    rating_a: Floats


def best_fuses(pieces: FeedWays) -> Best:
    """Return what each cable is at its best; a cable that no fuse suits has an infinite weight."""
    runs = pieces.runs
    made = Best(np.full(runs, np.inf), np.full(runs, np.inf), np.full(runs, np.inf), np.zeros(runs))
    np.minimum.at(made.plus_ohm, pieces.run, pieces.plus_ohm)
    np.minimum.at(made.minus_ohm, pieces.run, pieces.minus_ohm)
    np.minimum.at(made.weight, pieces.run, pieces.weight)
    np.maximum.at(made.rating_a, pieces.run, pieces.rating_a)
    return made


@dataclass(frozen=True)
class Bounds:
    """The least weight still to come after an entry.

    Attributes:
        alone: after an entry that begins a zone of V+, by prop and cable, shape (n, R).
        joined: after an entry of a zone that began before, by the zone's first prop and the entry's prop, shape (n, n).
        reach: how many props after an entry the next one may be at most, shape (n,).
        most_a: what a zone whose last entry stands before a prop may draw, by prop and last prop of the zone, A.
    """

    alone: Floats
    joined: Floats
    reach: Ints
    most_a: Floats


def bounds(ladder: Ladder, pieces: Sequence[FeedWays], best: Sequence[Best]) -> Bounds:
    """Return the bounds of a string.

    Fuses of one zone add up in whatever lies behind its last entry, so a zone draws no more than that allows, however
    often it is fed (a lead without a fuse is left out of this).
    """
    n = ladder.props
    runs = max(len(b.weight) for b in best)
    bare = bool(np.isinf(pieces[0].rating_a).any())
    least = np.array([b.weight.min(initial=np.inf) for b in best])
    most_a = np.full((n, n + 1), np.inf)
    for e in range(n):
        most_a[e, e + 1 :] = ladder.fuse_load * np.minimum.accumulate(ladder.limit_a[e:])
    alone, joined = np.full((n, runs), np.inf), np.full((n, n), np.inf)
    reach = np.zeros(n, dtype=np.int64)
    weights = np.full((n, runs), np.inf)
    for prop, at in enumerate(best):
        weights[prop, : len(at.weight)] = at.weight
    share = ladder.fuse_load * (1.0 + SLACK)
    loads = np.array([[ladder.load_a(z, to) if to > z else 0.0 for to in range(n + 1)] for z in range(n)])
    for e in range(n - 1, -1, -1):
        count = len(best[e].weight)
        further = _further(ladder, best, e)
        reach[e] = further.reach
        last = np.arange(e + 1, e + 1 + further.reach)
        begins = (weights[last] + alone[last]).min(axis=1, initial=np.inf)
        for z in range(e + 1):
            allowed = ~np.zeros(n + 1, dtype=bool)
            onward = allowed[last]
            if not (bare and z == 0):
                allowed = loads[z] <= most_a[e] * (1.0 + SLACK)
                # A joined feed after this one moves the last entry of the zone further.
                onward = loads[z, last] <= share * ladder.limit_a[last]
            for run in range(count) if z == e else (-1,):
                good = allowed
                if z == e and not (bare and z == 0):
                    good = allowed & (loads[z] <= share * best[e].rating_a[run])
                cut = begins[further.cut[run] & good[last]].min(initial=np.inf)
                join = (least[last] + joined[z, last])[further.join[run] & onward].min(initial=np.inf)
                found = 0.0 if further.end[run] and good[n] else min(float(cut), float(join))
                if z == e:
                    alone[e, run] = found
                else:
                    joined[z, e] = found
    return Bounds(alone, joined, reach, most_a)


@dataclass(frozen=True)
class _Further:
    """What can follow an entry: by cable where it begins a zone, and in a last row where its zone began before.

    Attributes:
        reach: how many props further the next entry may be at most.
        cut, join: whether the next entry may be so many props further, shape (R + 1, reach).
        end: whether none is needed, shape (R + 1,).
    """

    reach: int
    cut: Flags
    join: Flags
    end: Flags


def _further(ladder: Ladder, best: Sequence[Best], e: int) -> _Further:
    n = ladder.props
    own = best[e]
    rows = len(own.weight) + 1
    plus = conductance(np.append(own.plus_ohm, own.plus_ohm.min(initial=np.inf)))
    minus = conductance(np.append(own.minus_ohm, own.minus_ohm.min(initial=np.inf)))
    begins = np.arange(rows) < rows - 1
    near = _Column(np.array([e]), plus[:, None], minus[:, None], begins[:, None])
    left = [] if e == 0 else [_perfect(np.array([e - 1]), rows)]
    end = _spare(ladder, [*left, near], np.array([ladder.places]))[:, 0] >= -SLACK_V
    later = np.arange(e + 1, n)
    if not len(later):
        empty = np.zeros((rows, 0), dtype=bool)
        return _Further(0, empty, empty, end)
    open_there = _perfect(later, rows)
    open_there = _Column(later, open_there.plus_s, open_there.minus_s, np.ones((rows, len(later)), dtype=bool))
    cut = _spare(ladder, [*left, near, open_there], ladder.entry[later]) >= -SLACK_V
    fed = _Column(
        later,
        np.tile(conductance(np.array([best[b].plus_ohm.min(initial=np.inf) for b in later.tolist()])), (rows, 1)),
        np.tile(conductance(np.array([best[b].minus_ohm.min(initial=np.inf) for b in later.tolist()])), (rows, 1)),
        np.zeros((rows, len(later)), dtype=bool),
    )
    join = np.zeros_like(cut)
    inner = later[later + 1 < n]
    if len(inner):
        some = _Column(inner, fed.plus_s[:, : len(inner)], fed.minus_s[:, : len(inner)], fed.cut[:, : len(inner)])
        beyond = _perfect(inner + 1, rows)
        join[:, : len(inner)] = _spare(ladder, [*left, near, some, beyond], ladder.entry[inner + 1]) >= -SLACK_V
    if len(inner) < len(later):
        last = _Column(later[-1:], fed.plus_s[:, -1:], fed.minus_s[:, -1:], fed.cut[:, -1:])
        join[:, -1:] = _spare(ladder, [*left, near, last], np.array([ladder.places])) >= -SLACK_V
    reach = int(np.flatnonzero((cut | join).any(axis=0)).max(initial=-1)) + 1
    return _Further(reach, cut[:, :reach], join[:, :reach], end)


@dataclass(frozen=True)
class _Column:
    """An entry in many plans, laid out by row (its cable) and column (how far the next one is); broadcast where equal."""

    prop: Ints
    plus_s: Floats
    minus_s: Floats
    cut: Flags


def _perfect(prop: Ints, rows: int) -> _Column:
    shape = (rows, len(prop))
    return _Column(prop, np.full(shape, PERFECT_S), np.full(shape, PERFECT_S), np.zeros(shape, dtype=bool))


def _spare(ladder: Ladder, entries: list[_Column], until: Ints) -> Floats:
    """Return the voltage to spare up to some places, by row and column, V."""
    rows = entries[0].plus_s.shape[0] if entries[0].plus_s.shape[0] > 1 else entries[-1].plus_s.shape[0]
    shape = (rows, len(until))

    def laid(columns: Sequence[NDArray[Number]]) -> NDArray[Number]:
        return np.stack([np.broadcast_to(c, shape).reshape(-1) for c in columns], axis=1)

    every = RailEntries(
        laid([ladder.entry[c.prop] for c in entries]),
        laid([c.plus_s for c in entries]),
        laid([c.minus_s for c in entries]),
        laid([c.cut for c in entries]),
    )
    return margins_v(ladder, every, laid([until])[:, 0]).reshape(shape)
