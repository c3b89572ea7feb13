"""The pieces of V+ between cuts, zones, that can be fed alone, and V- along each of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Floats, Ints
from hollowglow.search.ladder.ladder import Ladder
from hollowglow.search.trials.pieces import FeedWays

SLACK_V = 1e-9
_SMALLEST_OHM = 1e-9


@dataclass(frozen=True)
class Last:
    """The piece of V+ from prop `first` to the string's end with the rows that can feed it alone.

    Attributes:
        rows: of the pieces at its first prop, shape (P,).
        room_v: what V- may rise at each place, by scenario and row, shape (S, P, M).
    """

    first: int
    rows: Ints
    room_v: Floats


@dataclass(frozen=True)
class _FarEnd:
    """V- along a zone, whatever feeds it: terms of what it bears at its far end, by scenario.

    Attributes:
        reach_ohm: of the cable from its first place to the one after it.
        drawn_a: what the places between them draw, shape (S,).
        whole_v: what these make along the way, shape (S,).
        share: how far along each place with a limit is, shape (K,).
        bearable_v: what V- may rise at such a place, and what the draw takes off it there, by row, shape (P, S, K).
    """

    reach_ohm: float
    drawn_a: Floats
    whole_v: Floats
    share: Floats
    bearable_v: Floats


@dataclass(frozen=True)
class Onward:
    """All zones from one prop to a later one, each with each row that can feed it alone, side by side: N columns.

    Attributes:
        first: prop where they begin.
        last: prop where each ends, rising, shape (N,).
        rows: of the pieces at the first prop, shape (N,).
        reach_ohm: as a way has it, shape (N,).
        drawn_a, whole_v: as a way has them, shape (N, S).
        share: as a way has it, shape (N, K); 0 beyond its own.
        bearable_v: as a way has it, shape (N, S, K); without limit beyond its own.
    """

    first: int
    last: Ints
    rows: Ints
    reach_ohm: Floats
    drawn_a: Floats
    whole_v: Floats
    share: Floats
    bearable_v: Floats

    def take(self, columns: slice | Ints) -> Onward:
        """Return some of the columns."""
        return Onward(
            self.first,
            self.last[columns],
            self.rows[columns],
            self.reach_ohm[columns],
            self.drawn_a[columns],
            self.whole_v[columns],
            self.share[columns],
            self.bearable_v[columns],
        )


@dataclass(frozen=True)
class Fan:
    """The zones that can be fed at one prop: those that go on to another one, and the one to the end; None for none."""

    onward: Onward | None
    to_end: Last | None


Zones = list[Fan]


def zones_of(ladder: Ladder, pieces: Sequence[FeedWays]) -> Zones:
    """Return for each first prop the zones that can be fed there."""
    made: list[Fan] = []
    for first in range(ladder.props):
        ways: list[tuple[int, Ints, _FarEnd]] = []
        to_end: Last | None = None
        at = int(ladder.entry[first])
        known: dict[bytes, Ints] = {}
        for last in range(first + 1, ladder.props + 1):
            end = int(ladder.entry[last]) if last < ladder.props else ladder.places
            limit = float(ladder.limit_a[first:last].min())
            rows = np.flatnonzero(pieces[first].fit(limit, ladder.load_a(first, last), ladder.fuse_load))
            if not len(rows):
                break
            key = rows.tobytes()
            if key not in known:
                known[key] = pieces[first].unbeaten(rows)
            rows = known[key]
            past = ladder.sum_a[:, end]
            total = past - ladder.sum_a[:, at]
            away = ladder.along_ohm[at:end] - ladder.along_ohm[at]
            along = past[:, None] * away - (ladder.moment_v[:, at:end] - ladder.moment_v[:, at : at + 1])
            room = ladder.room_v[:, at:end] - along
            left = room[:, None, :] - (total[:, None] * pieces[first].plus_ohm[rows])[:, :, None]
            good = (left >= -SLACK_V).all(axis=(0, 2))
            if not good.any():
                break
            left = left[:, good]
            if last < ladder.props:
                ways.append((last, rows[good], _way(ladder, at, end, left)))
            else:
                to_end = Last(first, rows[good], left)
        made.append(Fan(_side_by_side(first, ways) if ways else None, to_end))
    return made


def _way(ladder: Ladder, at: int, end: int, room_v: Floats) -> _FarEnd:
    reach = max(float(ladder.along_ohm[end] - ladder.along_ohm[at]), _SMALLEST_OHM)
    before = ladder.sum_a[:, at + 1]
    away = ladder.along_ohm[at:end] - ladder.along_ohm[at]
    sagged = (ladder.moment_v[:, at:end] - ladder.moment_v[:, at : at + 1]) - before[:, None] * away
    whole = ladder.moment_v[:, end] - ladder.moment_v[:, at] - before * reach
    lit = np.flatnonzero(np.isfinite(room_v).any(axis=(0, 1)))
    share = away[lit] / reach
    upper = room_v[:, :, lit] + (sagged[:, lit] - share * whole[:, None])[:, None, :]
    return _FarEnd(reach, ladder.sum_a[:, end] - before, whole, share, upper.transpose(1, 0, 2).copy())


def _side_by_side(first: int, ways: Sequence[tuple[int, Ints, _FarEnd]]) -> Onward:
    count = [len(rows) for _, rows, _ in ways]
    most = max(len(way.share) for _, _, way in ways)
    points = len(ways[0][2].drawn_a)
    share = np.zeros((len(ways), most))
    bearable = np.full((sum(count), points, most), np.inf)
    low = 0
    for i, (_, rows, way) in enumerate(ways):
        share[i, : len(way.share)] = way.share
        bearable[low : low + len(rows), :, : len(way.share)] = way.bearable_v
        low += len(rows)
    return Onward(
        first,
        np.repeat([last for last, _, _ in ways], count),
        np.concatenate([rows for _, rows, _ in ways]),
        np.repeat([way.reach_ohm for _, _, way in ways], count),
        np.repeat([way.drawn_a for _, _, way in ways], count, axis=0),
        np.repeat([way.whole_v for _, _, way in ways], count, axis=0),
        np.repeat(share, count, axis=0),
        bearable,
    )
