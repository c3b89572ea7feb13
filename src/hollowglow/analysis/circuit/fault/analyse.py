"""Every short of an Assembly: its current, when its fuses open, how warm cables get, and the worst fault that opens none.

V+ and V- meet only in the lights, which a short leaves without voltage: the loop of a fault is what it sees along V+,
plus what it sees along V-, plus the supply's own resistance. Both are ladders with a rung at each lead and feed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.fault.heat import CableRatings, FaultPath
from hollowglow.analysis.circuit.fault.limits import SupplyLimits, sources_of
from hollowglow.analysis.circuit.fault.points import Points, PowerEntries, entries_of, line_of, points_of
from hollowglow.analysis.circuit.fault.result import HELD, OPENS, STAYS, Faults
from hollowglow.analysis.circuit.fault.window import Window, seen_ohm, shares, windows
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import NONE, Flags, Floats, Ints
from hollowglow.physics.fuses import OPENS_FROM, opening_times_s
from hollowglow.physics.shorts import limited_current_a, most_heat_w

_CHUNK = 200_000


@dataclass(frozen=True)
class _Feed:
    """What feeds each fault, all its entries together.

    Where several supplies feed one piece their resistances count as part of their runs, their highest voltage counts,
    and their limits add up.

    Attributes:
        source_v, inner_ohm, limit_a, at_zero, on_s, effective: as of a supply, shape (n,).
        run_ohm: resistance of each entry's run, shape (n, m).
        supply: the supply, of several the first, shape (n,).
    """

    source_v: Floats
    inner_ohm: Floats
    limit_a: Floats
    at_zero: Floats
    on_s: Floats
    effective: Floats
    run_ohm: Floats
    supply: Ints


def _feed(entries: PowerEntries, sources: SupplyLimits, entry: Ints) -> _Feed:
    supply = entries.supply[entry]
    first = supply[:, 0]
    one = (supply == first[:, None]).all(axis=1)
    same = (supply[:, :, None] == supply[:, None, :]).sum(axis=2)
    run = entries.plus_ohm[entry] + np.where(one[:, None], 0.0, sources.inner_ohm[supply])
    hiccup = sources.hiccup[supply].all(axis=1)
    return _Feed(
        source_v=sources.source_v[supply].max(axis=1),
        inner_ohm=np.where(one, sources.inner_ohm[first], 0.0),
        limit_a=np.where(one, sources.limit_a[first], (sources.limit_a[supply] / same).sum(axis=1)),
        at_zero=np.where(one, sources.at_zero[first], 1.0),
        on_s=np.where(hiccup, sources.on_s[supply].max(axis=1), np.inf),
        effective=np.where(hiccup, sources.effective[supply].max(axis=1), 1.0),
        run_ohm=run,
        supply=first,
    )


def analyse(assembly: Assembly) -> Faults:
    """Return every short of an Assembly."""
    line = line_of(assembly)
    entries = entries_of(assembly, line)
    points = points_of(assembly, line, entries)
    sources, cables = sources_of(assembly), CableRatings(assembly, line)
    n = len(points.row)
    result = Faults(
        points=points,
        entries=entries,
        line=line,
        supply=np.zeros(n, dtype=np.int64),
        source_v=np.zeros(n),
        loop_ohm=np.zeros(n),
        current_a=np.zeros(n),
        limited=np.zeros(n, dtype=bool),
        entry=np.zeros(n, dtype=np.int64),
        fuse_a=np.zeros(n),
        opens_after_s=np.zeros(n),
        opens_within_s=np.zeros(n),
        outcome=np.zeros(n, dtype=np.int64),
        lasting_a=np.zeros(n),
        cable=np.zeros(n, dtype=np.int64),
        hottest_c=np.zeros(n),
        overloaded=np.zeros(n, dtype=np.int64),
        smoulder_w=np.zeros(n),
        smoulder_ohm=np.zeros(n),
    )
    return_ohm = _return_ohm(points, entries)
    live = np.flatnonzero(entries.live)
    for rows, window in windows(
        points.piece,
        points.order,
        points.along_ohm,
        entries.piece[live],
        entries.order[live],
        entries.along_ohm[live],
    ):
        size = max(1, _CHUNK // window.entry.shape[1])
        for start in range(0, len(rows), size):
            part = slice(start, start + size)
            own = Window(live[window.entry[part]], window.left[part], window.along_ohm[part], window.at_ohm[part])
            _fill(result, rows[part], own, return_ohm[rows[part]], sources, cables)
    return result


def _return_ohm(points: Points, entries: PowerEntries) -> Floats:
    """Return the resistance from each point along V- to the common terminal, ohm."""
    by = np.lexsort((entries.order, entries.string))
    ohm = np.full(len(points.row), np.inf)
    for rows, window in windows(
        points.string,
        points.order,
        points.along_ohm,
        entries.string[by],
        entries.order[by],
        entries.along_ohm[by],
    ):
        size = max(1, _CHUNK // window.entry.shape[1])
        for start in range(0, len(rows), size):
            part = slice(start, start + size)
            own = Window(window.entry[part], window.left[part], window.along_ohm[part], window.at_ohm[part])
            ohm[rows[part]] = seen_ohm(own, entries.minus_ohm[by][own.entry])
    return ohm


@dataclass
class _State:
    """One group of faults while their fuses open one after the other; all arrays have a row for each fault."""

    closed: Flags
    after_s: Floats
    within_s: Floats
    stuck: Flags
    entry: Ints
    fuse_a: Floats
    lasting_a: Floats
    way: FaultPath


def _fill(
    result: Faults, rows: Ints, window: Window, return_ohm: Floats, sources: SupplyLimits, cables: CableRatings
) -> None:
    """Enter the shorts at some rows, all with equally many entries, into the result."""
    entries = result.entries
    feed = _feed(entries, sources, window.entry)
    plus_ohm, share = shares(window, feed.run_ohm)
    outer = plus_ohm + return_ohm
    current, limited = limited_current_a(feed.source_v, feed.inner_ohm, outer, feed.limit_a, feed.at_zero)
    result.supply[rows] = feed.supply
    result.source_v[rows] = feed.source_v
    result.loop_ohm[rows] = feed.inner_ohm + outer
    result.current_a[rows] = current
    result.limited[rows] = limited
    rating = entries.rating_a[window.entry]
    with np.errstate(divide="ignore"):
        holds = np.where(share > 0.0, OPENS_FROM * rating / np.where(share > 0.0, share, 1.0), np.inf).min(axis=1)
    most = np.minimum(holds, feed.limit_a)
    heat, at = most_heat_w(feed.source_v, feed.inner_ohm + outer, most)
    result.smoulder_w[rows] = heat
    result.smoulder_ohm[rows] = heat / np.maximum(at, 1e-12) ** 2
    state = _run(result, rows, window, feed, return_ohm)
    result.entry[rows] = state.entry
    result.fuse_a[rows] = state.fuse_a
    result.opens_after_s[rows] = state.after_s
    result.opens_within_s[rows] = np.where(state.stuck, np.inf, state.within_s)
    result.lasting_a[rows] = state.lasting_a
    result.cable[rows], result.hottest_c[rows] = cables.hottest(entries, window.entry, state.way)
    overloaded = cables.overloaded(entries, window.entry, state.way)
    result.overloaded[rows] = overloaded
    within_rating = overloaded == NONE
    unfused = ~np.isfinite(entries.rating_a[state.entry])
    on_and_off = state.stuck & limited & np.isfinite(feed.on_s)
    held = state.stuck & within_rating & (on_and_off | unfused)
    result.outcome[rows] = np.where(~state.stuck, OPENS, np.where(held, HELD, STAYS))


def _run(result: Faults, rows: Ints, window: Window, feed: _Feed, return_ohm: Floats) -> _State:
    """Open fuses one after the other until none is left, or none of those left need open."""
    entries = result.entries
    n, m = window.entry.shape
    rating = entries.rating_a[window.entry]
    bounds = np.empty((n, m + 1), dtype=np.int64)
    before = window.left.sum(axis=1)
    column = np.arange(m + 1)
    at_fault = column == before[:, None]
    bounds[at_fault] = result.points.order[rows]
    bounds[~at_fault] = entries.order[window.entry].ravel()
    zeros = np.zeros((n, m))
    way = FaultPath(bounds, *(zeros.copy() for _ in range(6)))
    state = _State(
        closed=np.ones((n, m), dtype=bool),
        after_s=np.zeros(n),
        within_s=np.zeros(n),
        stuck=np.zeros(n, dtype=bool),
        entry=window.entry[:, 0].copy(),
        fuse_a=np.zeros(n),
        lasting_a=np.zeros(n),
        way=way,
    )
    going = np.arange(n)
    for _ in range(m):
        own = Window(window.entry[going], window.left[going], window.along_ohm[going], window.at_ohm[going])
        closed = state.closed[going]
        ohm, share = shares(own, np.where(closed, feed.run_ohm[going], np.inf))
        total, limited = limited_current_a(
            feed.source_v[going],
            feed.inner_ohm[going],
            ohm + return_ohm[going],
            feed.limit_a[going],
            feed.at_zero[going],
        )
        run = share * total[:, None]
        after, within = opening_times_s(run / rating[going], rating[going])
        after, within = np.where(closed, after, np.inf), np.where(closed, within, np.inf)
        longest = np.where(limited, feed.on_s[going], np.inf)[:, None]
        after = np.where(after <= longest, after, np.inf)
        within = np.where(within <= longest, within, np.inf)
        # Of those that need not open, the one that is nearest to it decides.
        nearest = np.where(closed, run / rating[going], -1.0)
        soonest = (within / (1.0 + 1e-9 * nearest)).argmin(axis=1)  # of equally slow ones that of the larger multiple
        fuse = np.where(np.isfinite(within).any(axis=1), soonest, nearest.argmax(axis=1))
        pick = np.arange(len(going)), fuse
        opens = np.isfinite(within[pick])
        time = np.where(opens, within[pick], 0.0)
        effective = np.where(limited, feed.effective[going], 1.0)
        left = own.left
        stretch = np.where(
            left, np.cumsum(np.where(left, run, 0.0), axis=1),
            np.cumsum(np.where(left, 0.0, run)[:, ::-1], axis=1)[:, ::-1],
        )  # fmt: skip
        for values, squared, most, lasting in (
            (stretch, way.stretch_a2s, way.stretch_a, way.stretch_lasting_a),
            (run, way.run_a2s, way.run_a, way.run_lasting_a),
        ):
            squared[going] += values**2 * time[:, None]
            most[going] = np.maximum(most[going], np.where(opens[:, None], values, 0.0))
            lasting[going] = np.where(opens[:, None], 0.0, values * effective[:, None])
        state.after_s[going] += after[pick]
        state.within_s[going] += time
        state.entry[going] = own.entry[pick]
        state.fuse_a[going] = run[pick]
        state.stuck[going] = ~opens
        state.lasting_a[going] = np.where(opens, 0.0, total * effective)
        state.closed[going[opens], fuse[opens]] = False
        going = going[opens & state.closed[going].any(axis=1)]
        if not len(going):
            break
    return state
