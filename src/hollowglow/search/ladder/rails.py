"""Both rails of many feed plans of one string at once, with constant currents: by how much each plan holds its limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Flags, Floats, Ints
from hollowglow.search.ladder.ladder import Ladder

PERFECT_S = 1e9
_SMALLEST_OHM = 1e-9


@dataclass(frozen=True)
class RailEntries:
    """Where power comes in, one row a plan, one column an entry, in the order along the string.

    Attributes:
        place: of each entry, rising, shape (B, E).
        plus_s, minus_s: conductance from the supply's terminal, shape (B, E).
        cut: whether V+ is open before it, shape (B, E).
    """

    place: Ints
    plus_s: Floats
    minus_s: Floats
    cut: Flags


def conductance(ohm: Floats) -> Floats:
    """Return the conductance of resistances that may be nothing, S."""
    made: Floats = 1.0 / np.clip(ohm, _SMALLEST_OHM, 1.0 / _SMALLEST_OHM)
    return made


def margins_v(ladder: Ladder, entries: RailEntries, until: Ints) -> Floats:
    """Return the smallest voltage to spare of each plan over the lights from its first entry on, V, shape (B,).

    Args:
        ladder: the string.
        entries: where power comes in.
        until: first place that is not looked at any more, shape (B,).
    """
    worst = np.full(len(until), np.inf)
    whole = np.zeros_like(entries.cut)
    least, most = int(entries.place[:, 0].min(initial=ladder.places)), int(until.max(initial=0))
    for point in range(len(ladder.current_a)):
        at = least + np.flatnonzero(np.isfinite(ladder.needed_v[point, least:most]))
        if not len(at):
            continue
        lost = _lost(ladder, point, entries, entries.plus_s, entries.cut, at)
        lost += _lost(ladder, point, entries, entries.minus_s, whole, at)
        asked = (at >= entries.place[:, :1]) & (at < until[:, None])
        spare = np.where(asked, ladder.room_v[point, at] - lost, np.inf)
        worst = np.minimum(worst, spare.min(axis=1))
    return worst


def voltages_v(ladder: Ladder, entries: RailEntries) -> Floats:
    """Return the voltage at each place of one plan, by scenario, V, shape (S, M)."""
    at = np.arange(ladder.places)
    whole = np.zeros_like(entries.cut)
    found = np.empty((len(ladder.current_a), ladder.places))
    for point in range(len(found)):
        lost = _lost(ladder, point, entries, entries.plus_s, entries.cut, at)
        lost += _lost(ladder, point, entries, entries.minus_s, whole, at)
        found[point] = ladder.terminal_v[point] - lost[0]
    return found


def _lost(ladder: Ladder, point: int, entries: RailEntries, own_s: Floats, cut: Flags, at: Ints) -> Floats:
    """Return what one rail loses from the supply's terminal to some places, V, shape (B, K)."""
    place = entries.place
    rows, count = place.shape
    drawn, moment, along = ladder.sum_a[point], ladder.moment_v[point], ladder.along_ohm
    before = drawn[place + 1]
    reach = np.maximum(np.diff(along[place], axis=1), _SMALLEST_OHM)
    load = drawn[place[:, 1:]] - before[:, :-1]
    sag = np.diff(moment[place], axis=1) - before[:, :-1] * reach
    tail = drawn[-1] - before[:, -1]
    open_gap = cut[:, 1:]
    couple = np.where(open_gap, 0.0, 1.0 / reach)
    diagonal = own_s.copy()
    diagonal[:, 1:] += couple
    diagonal[:, :-1] += couple
    right = ladder.current_a[point][place]
    right[:, :-1] += np.where(open_gap, load, sag * couple)
    right[:, 1:] += np.where(open_gap, 0.0, load - sag * couple)
    right[:, -1] += tail
    # Elimination of a symmetric tridiagonal system, all plans side by side.
    for e in range(1, count):
        share = couple[:, e - 1] / diagonal[:, e - 1]
        diagonal[:, e] -= share * couple[:, e - 1]
        right[:, e] += share * right[:, e - 1]
    lost = np.empty((rows, count))
    lost[:, -1] = right[:, -1] / diagonal[:, -1]
    for e in range(count - 2, -1, -1):
        lost[:, e] = (right[:, e] + couple[:, e] * lost[:, e + 1]) / diagonal[:, e]
    flow = np.empty((rows, count))
    flow[:, -1] = tail
    flow[:, :-1] = np.where(open_gap, load, (np.diff(lost, axis=1) + sag) / reach)
    # From entry e on: lost + (flow + before) (along - along_e) - (moment - moment_e), a line in `along` less `moment`.
    slope = flow + before
    offset = lost - slope * along[place] + moment[place]
    gap = np.zeros((rows, len(at)), dtype=np.int64)
    for e in range(1, count):
        gap += at >= place[:, e : e + 1]
    found: Floats = np.take_along_axis(offset, gap, axis=1) - moment[at]
    found += np.take_along_axis(slope, gap, axis=1) * along[at]
    return found
