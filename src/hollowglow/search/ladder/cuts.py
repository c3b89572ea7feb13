"""The cheapest cut plan by dynamic programming over the pieces of V+ between cuts, exact on a ladder.

V+ is open at each cut, so a piece of V+ stands alone. V- runs through, so pieces are not independent: what lies to the
left of a cut is to the right one conductance y with one current J (Norton), and in turn bears a rise of at most u volts
at the cut. A partial plan is a label (price, y, J, u); one that is no better in any of these can be forgotten, since a
rail's voltages rise with every current and fall with every conductance to its supply.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hollowglow.assembly.tables import Flags, Floats, Ints
from hollowglow.search.ladder.ladder import Ladder
from hollowglow.search.ladder.zones import SLACK_V, Last, Onward, Zones, zones_of
from hollowglow.search.trials.pieces import FeedWays

MOST_LABELS = 20
_SMALLEST_OHM = 1e-9
_SMALLEST = 1e-9
# The finest grid on which labels are compared: a share of conductances and currents, and volts.
_SHARE = 0.001
_STEP_V = 0.001
_ON_GRID = 1e-6
_BLOCK = 128
_MOST_COMPARED = 25.0
# So many numbers are held at once where labels pass zones.
_MOST_CELLS = 500_000


@dataclass(frozen=True)
class CutPlan:
    """The pieces of V+ of a plan: first prop of each (from 0) and the row of what feeds it there."""

    weight: float
    starts: tuple[int, ...]
    rows: tuple[int, ...]


@dataclass(frozen=True)
class _Labels:
    """Partial plans up to one cut: weight, conductance, current and bearable rise by scenario, and where they come from."""

    weight: Floats
    y: Floats
    j: Floats
    most: Floats
    start: Ints
    label: Ints
    row: Ints

    def take(self, rows: Ints | slice) -> _Labels:
        return _Labels(
            self.weight[rows],
            self.y[rows],
            self.j[rows],
            self.most[rows],
            self.start[rows],
            self.label[rows],
            self.row[rows],
        )


def cheapest_cuts(
    ladder: Ladder,
    pieces: Sequence[FeedWays],
    ceiling: float = np.inf,
    most_labels: int = MOST_LABELS,
    optimistic: bool = False,
    zones: Zones | None = None,
) -> CutPlan | None:
    """Return the cheapest plan without joined feeds that a ladder allows, None where none is below the ceiling.

    Where the labels fit, this is exact to a thousandth. Where they do not, an optimistic search gives a weight below
    which there is no plan, and the other one a plan that may not be the cheapest.

    Args:
        ladder: the string.
        pieces: what can feed each prop: the lead at the first, feeds at the others.
        ceiling: weight that a plan must stay below.
        most_labels: how many partial plans are kept at one place.
        optimistic: whether those that are left out are counted among those that are kept.
        zones: those of this ladder, where they are known already.
    """
    zones = zones_of(ladder, pieces) if zones is None else zones
    rest = _rest(ladder, pieces, zones)
    if not rest[0] < ceiling:
        return None
    points = len(ladder.current_a)
    start = _Labels(
        np.zeros(1), np.zeros(1), np.zeros((1, points)), np.full((1, points), np.inf), *(np.full(1, -1),) * 3
    )
    waiting: list[list[_Labels]] = [[] for _ in range(ladder.props + 1)]
    waiting[0] = [start]
    settled: list[_Labels] = []
    best: tuple[float, int, int, int] | None = None
    for first in range(ladder.props):
        labels = _unbeaten(waiting[first], most_labels, optimistic)
        settled.append(labels)
        if not len(labels.weight):
            continue
        fan = zones[first]
        if fan.onward is not None:
            for last, made in _pass(ladder, pieces[first], fan.onward, labels, ceiling - rest):
                waiting[last].append(made)
        if fan.to_end is not None:
            found = _finish(ladder, pieces[first], fan.to_end, labels)
            if found is not None and found[0] < ceiling:
                ceiling = found[0]
                best = (found[0], first, found[1], found[2])
    if best is None:
        return None
    weight_found, at, label, row = best
    starts, rows = [at], [row]
    while at > 0:
        labels = settled[at]
        at, row, label = int(labels.start[label]), int(labels.row[label]), int(labels.label[label])
        starts.append(at)
        rows.append(row)
    return CutPlan(weight_found, tuple(starts[::-1]), tuple(rows[::-1]))


def _rest(ladder: Ladder, pieces: Sequence[FeedWays], zones: Zones) -> Floats:
    """Return the least that feeding the string from each prop on costs, V- taken as without loss, shape (n + 1,)."""
    rest = np.full(ladder.props + 1, np.inf)
    rest[-1] = 0.0
    for first in range(ladder.props - 1, -1, -1):
        weight, fan = pieces[first].weight, zones[first]
        if fan.onward is not None:
            rest[first] = (weight[fan.onward.rows] + rest[fan.onward.last]).min()
        if fan.to_end is not None:
            rest[first] = min(rest[first], weight[fan.to_end.rows].min())
    return rest


def _entry(ladder: Ladder, pieces: FeedWays, first: int, rows: Ints, labels: _Labels) -> tuple[Floats, Floats]:
    """Return conductance and current at a zone's first place, shapes (L, P) and (L, P, S)."""
    own = 1.0 / np.maximum(pieces.minus_ohm[rows], _SMALLEST_OHM)
    at = int(ladder.entry[first])
    y = labels.y[:, None] + own[None, :]
    j = np.broadcast_to((labels.j + ladder.current_a[:, at])[:, None, :], (*y.shape, labels.j.shape[1]))
    return y, j


def _finish(ladder: Ladder, pieces: FeedWays, zone: Last, labels: _Labels) -> tuple[float, int, int] | None:
    """Return (weight, label, row) of the cheapest way to end with this zone, None where there is none."""
    at, end = int(ladder.entry[zone.first]), ladder.places
    y, j = _entry(ladder, pieces, zone.first, zone.rows, labels)
    past = ladder.sum_a[:, end]
    rise = (j + past - ladder.sum_a[:, at + 1]) / y[:, :, None]
    away = ladder.along_ohm[at:end] - ladder.along_ohm[at]
    along = past[:, None] * away - (ladder.moment_v[:, at:end] - ladder.moment_v[:, at : at + 1])
    bearable = (zone.room_v - along[:, None, :]).min(axis=2)
    good = (rise <= bearable.T + SLACK_V).all(axis=2) & (rise <= labels.most[:, None, :] + SLACK_V).all(axis=2)
    if not good.any():
        return None
    weight = np.where(good, labels.weight[:, None] + pieces.weight[zone.rows], np.inf)
    label, row = np.unravel_index(int(np.argmin(weight)), weight.shape)
    return float(weight[label, row]), int(label), int(zone.rows[row])


def _pass(
    ladder: Ladder, pieces: FeedWays, zones: Onward, labels: _Labels, ceiling: Floats
) -> Iterator[tuple[int, _Labels]]:
    """Yield the labels at the cut after each zone, for every label before it and every way to feed it.

    Args:
        ladder: the string.
        pieces: what can feed the zones' first prop.
        zones: where they go.
        labels: at the cut before them.
        ceiling: weight that a label must stay below at each prop, shape (n + 1,).
    """
    points, most = zones.bearable_v.shape[1:]
    block = max(1, _MOST_CELLS // (len(labels.weight) * points * max(most, 1)))
    for low in range(0, len(zones.rows), block):
        yield from _passed(ladder, pieces, zones.take(slice(low, low + block)), labels, ceiling)


def _passed(
    ladder: Ladder, pieces: FeedWays, zones: Onward, labels: _Labels, ceiling: Floats
) -> Iterator[tuple[int, _Labels]]:
    weight = labels.weight[:, None] + pieces.weight[zones.rows]
    cheap = weight < ceiling[zones.last]
    some = np.flatnonzero(cheap.any(axis=0))
    if not len(some):
        return
    zones, weight, cheap = zones.take(some), weight[:, some], cheap[:, some]
    y, j = _entry(ladder, pieces, zones.first, zones.rows, labels)
    into = y + 1.0 / zones.reach_ohm
    p = (j + zones.whole_v / zones.reach_ohm[:, None]) / into[:, :, None]
    q = (1.0 / zones.reach_ohm) / into
    most = (labels.most[:, None, :] - p) / q[:, :, None]
    if zones.share.shape[1]:
        left = 1.0 - zones.share
        bears = zones.bearable_v - p[..., None] * left[:, None, :]
        bears /= (q[..., None] * left + zones.share)[:, :, None, :]
        most = np.minimum(most, bears.min(axis=3))
    label, column = np.nonzero((most >= -SLACK_V).all(axis=2) & cheap)
    order = np.argsort(zones.last[column], kind="stable")
    label, column = label[order], column[order]
    reach, drawn = zones.reach_ohm[column], zones.drawn_a[column]
    y, j = y[label, column], j[label, column]
    y_there = 1.0 / (1.0 / y + reach)
    open_rise = (j + drawn) / y[:, None] + drawn * reach[:, None] - zones.whole_v[column]
    made = _Labels(
        weight[label, column],
        y_there,
        y_there[:, None] * open_rise,
        most[label, column],
        np.full(len(label), zones.first),
        label,
        zones.rows[column],
    )
    ends = zones.last[column]
    for last in np.unique(ends).tolist():
        yield last, made.take(slice(*np.searchsorted(ends, [last, last + 1])))


def _unbeaten(waiting: list[_Labels], most: int, optimistic: bool) -> _Labels:
    """Return labels that no other one beats in weight, conductance, current and bearable rise, `most` at most or so.

    They are compared on a grid that is made coarser until few enough are left. Optimistic labels take the values of
    their cell's best corner, so that they stand for everything that they replace.
    """
    if not waiting:
        return _Labels(*(np.zeros(0),) * 2, *(np.zeros((0, 1)),) * 2, *(np.zeros(0, dtype=np.int64),) * 3)
    names = ("weight", "y", "j", "most", "start", "label", "row")
    every = _Labels(*(np.concatenate([getattr(w, n) for w in waiting]) for n in names))
    coarse = max(1.0, len(every.weight) / _MOST_COMPARED)
    while True:
        rounded = _rounded(every, coarse)
        kept = _front(rounded)
        if len(kept) <= most:
            break
        coarse *= 3.0
        every = every.take(kept) if not optimistic else rounded.take(kept)
    return rounded.take(kept) if optimistic else every.take(kept)


def _rounded(labels: _Labels, coarse: float) -> _Labels:
    """Return labels with conductance, current and bearable rise brought to the next step that is no worse."""
    share, step = _SHARE * coarse, _STEP_V * coarse
    return replace(
        labels,
        y=np.exp(share * np.ceil(np.log(np.maximum(labels.y, _SMALLEST)) / share - _ON_GRID)),
        j=np.where(
            labels.j > _SMALLEST,
            np.exp(share * np.floor(np.log(np.maximum(labels.j, _SMALLEST)) / share + _ON_GRID)),
            0.0,
        ),
        most=step * np.ceil(labels.most / step - _ON_GRID),
    )


def _front(labels: _Labels) -> Ints:
    """Return the rows that no other row beats, the cheapest first."""
    merit = np.column_stack([labels.weight, -labels.y, labels.j, -labels.most])
    order = np.lexsort((*merit.T[::-1],))
    merit = merit[order]
    first = np.ones(len(merit), dtype=bool)
    first[1:] = (merit[1:] != merit[:-1]).any(axis=1)
    order, merit = order[first], merit[first]
    kept = np.zeros(0, dtype=np.int64)
    for low in range(0, len(merit), _BLOCK):
        rows = np.arange(low, min(low + _BLOCK, len(merit)))
        if len(kept):
            rows = rows[~_beats(merit[kept], merit[rows]).any(axis=0)]
        inside = _beats(merit[rows], merit[rows])
        np.fill_diagonal(inside, False)
        kept = np.concatenate([kept, rows[~inside.any(axis=0)]])
    return order[kept]


def _beats(one: Floats, other: Floats) -> Flags:
    """Return which rows are no worse than which others in every column, shape (rows, others)."""
    found: Flags = one[:, :1] <= other[:, 0]
    for column in range(1, one.shape[1]):
        found &= one[:, column, None] <= other[:, column]
    return found
