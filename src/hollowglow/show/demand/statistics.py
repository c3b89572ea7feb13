"""What a show drew: peaks, means, energy, the worst moments, time over limits, light lost, and the level that holds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.circuit.power import over
from hollowglow.assembly.tables import Floats, Ints
from hollowglow.show.demand.addresses import Bytes
from hollowglow.show.demand.allowed import Allowed
from hollowglow.show.demand.network import Demand
from hollowglow.show.demand.result import FrameCurrents

BINS = 20
WORST = 10
APART_S = 1.0
_J_PER_WH = 3600.0


@dataclass(frozen=True)
class ThingStatistics:
    """What one supply, fuse, cable, joint, mains circuit or string drew over the show.

    Attributes:
        id: of the thing.
        sort: supply, fuse, cable, joint, mains or string; cables and joints are told where some frame could overload them.
        peak_a, mean_a: current, A; the mean is over time.
        peak_w, mean_w: power, W: of a supply before its own resistance, of a fuse, cable or joint what goes through it,
            of a mains circuit what its supplies take, of a string that of its lights.
        peak_at_s: when the current was highest, s after the start.
        energy_wh: Wh.
        allowed_a: what the limits allow, A; None for a string.
        over_share: share of the time above that; None for a string.
        level: whole percent of today's level that would have kept it within; None where none does or it has no limit.
        lowest_v, lowest_at_s: lowest voltage across a light of a string, averaged over the pulses, and when; None for others.
        coincident_v: the lowest for a moment, where all pulses of what is lit coincide; None for others.
        light_lost: share of a string's light that its voltages took, over the whole show; None for others.
    """

    id: str
    sort: str
    peak_a: float
    mean_a: float
    peak_w: float
    mean_w: float
    peak_at_s: float
    energy_wh: float
    allowed_a: float | None = None
    over_share: float | None = None
    level: int | None = None
    lowest_v: float | None = None
    lowest_at_s: float | None = None
    coincident_v: float | None = None
    light_lost: float | None = None


@dataclass(frozen=True)
class Moment:
    """One of the worst moments: when, what was nearest to or farthest over its limit, and all power then."""

    at_s: float
    id: str
    current_a: float
    of_allowed: float
    power_w: float


@dataclass(frozen=True)
class ShowStatistics:
    """What a show drew.

    Attributes:
        seconds: how long it was.
        frames, distinct: moments at which slots changed or were sent again, and different frames among them.
        things: supplies, fuses, cables and joints, mains circuits, strings, in this order.
        peak_w, mean_w, energy_wh: of all supplies together.
        edges_w, time_share: histogram of the power of all supplies together: edges of its bins, share of the time in each.
        worst: the worst moments, at least a second apart, the worst first.
        over_share: share of the time over any limit.
        collapsed_share: share of the time without a steady state in which all drivers run, or with two.
        level: whole percent of today's levels that would have kept all limits; 100 where they were kept, None where no
            level does.
        light_lost: share of all light that voltage took.
    """

    seconds: float
    frames: int
    distinct: int
    things: tuple[ThingStatistics, ...]
    peak_w: float
    mean_w: float
    energy_wh: float
    edges_w: tuple[float, ...]
    time_share: tuple[float, ...]
    worst: tuple[Moment, ...]
    over_share: float
    collapsed_share: float
    level: int | None
    light_lost: float


@dataclass(frozen=True)
class Show:
    """A show as different frames and when each stood.

    Attributes:
        frames: different frames, shape (D, U, 512).
        which: which of them stood at each moment, shape (F,).
        at_s: when it began to, s after the start, shape (F,).
        lasted_s: for how long, s, shape (F,).
    """

    frames: Bytes
    which: Ints
    at_s: Floats
    lasted_s: Floats


def statistics_of(demand: Demand, show: Show, drawn: FrameCurrents) -> ShowStatistics:
    """Return what a show drew.

    Args:
        demand: the display.
        show: its frames and their times.
        drawn: what each different frame draws.
    """
    allowed = Allowed.of(demand)
    time = np.bincount(show.which, weights=show.lasted_s, minlength=len(drawn))
    total = float(time.sum()) or 1.0
    first_at = np.full(len(drawn), np.inf)
    np.minimum.at(first_at, show.which, show.at_s)
    currents = allowed.currents(drawn)
    passed = allowed.passed(drawn)
    power = np.nansum(drawn.supply_w, axis=1)
    lost, asked = time @ drawn.light_lm, time @ drawn.full_light_lm
    known = np.all(np.isfinite(drawn.light_lm), axis=1)
    if not np.all(known):
        lost, asked = (
            np.nansum(time[:, None] * v * np.reshape(known, (-1, 1)), axis=0)
            for v in (drawn.light_lm, drawn.full_light_lm)
        )
    edges = np.linspace(0.0, max(float(power.max(initial=0.0)), 1e-9), BINS + 1)
    filled, _ = np.histogram(np.clip(power, 0.0, edges[-1]), bins=edges, weights=time)
    return ShowStatistics(
        seconds=float(show.lasted_s.sum()),
        frames=len(show.which),
        distinct=len(drawn),
        things=_things(demand, show, drawn, allowed, time / total, first_at, lost, asked),
        peak_w=float(power.max(initial=0.0)),
        mean_w=float(power @ time / total),
        energy_wh=float(power @ time / _J_PER_WH),
        edges_w=tuple(edges.tolist()),
        time_share=tuple((filled / total).tolist()),
        worst=_worst(show, allowed, currents, power),
        over_share=float(time @ np.any(passed, axis=1) / total),
        collapsed_share=float(time @ drawn.doubtful / total),
        level=_level(demand, allowed, show.frames, passed),
        light_lost=_share_lost(float(np.sum(lost)), float(np.sum(asked))),
    )


def _share_lost(left: float, asked: float) -> float:
    return 1.0 - left / asked if asked > 0.0 else 0.0


def _things(
    demand: Demand,
    show: Show,
    drawn: FrameCurrents,
    allowed: Allowed,
    share: Floats,
    first_at: Floats,
    left: Floats,
    asked: Floats,
) -> tuple[ThingStatistics, ...]:
    assembly = demand.assembly
    made: list[ThingStatistics] = []
    passed = allowed.passed(drawn)
    seconds = float(show.lasted_s.sum())
    coincident_v = demand.solve(show.frames, pulses=True).lowest_v
    fuses = len(assembly.supplies)
    conductors = fuses + len(assembly.fuses.edge)
    mains = demand.mains
    circuits = conductors + len(demand.conductors)
    sorts = (
        (drawn.supply_a, drawn.supply_w, allowed.names[:fuses], 0),
        (np.abs(drawn.fuse_a), np.abs(drawn.fuse_w), allowed.names[fuses:conductors], fuses),
        (drawn.conductor_a, drawn.conductor_w, allowed.names[conductors:circuits], conductors),
        (drawn.supply_a @ mains.per_a.T, drawn.supply_w @ mains.per_w.T, mains.names, circuits),
        (drawn.string_a, drawn.string_w, assembly.strings.names, None),
    )
    for amps, watts, names, offset in sorts:
        for row, name in enumerate(names):
            sort = "string" if offset is None else allowed.sorts[offset + row]
            current, power = np.nan_to_num(amps[:, row]), np.nan_to_num(watts[:, row])
            peak = int(np.argmax(current)) if len(current) else 0
            more: dict[str, float | int | None] = {}
            if offset is not None:
                at = offset + row
                over_it: NDArray[np.bool_] = np.asarray(passed)[:, at : at + 1]
                more = {
                    "allowed_a": float(allowed.current_a[at]),
                    "over_share": float(share[over_it[:, 0]].sum()),
                    "level": _level(demand, allowed, show.frames, over_it, only=at),
                }
            else:
                volts = drawn.lowest_v[:, row]
                if np.isfinite(volts).any():
                    least = int(np.nanargmin(volts))
                    pulsed = coincident_v[np.isfinite(coincident_v[:, row]), row]
                    more = {"lowest_v": float(volts[least]), "lowest_at_s": float(first_at[least])}
                    more["coincident_v"] = float(pulsed.min()) if len(pulsed) else None
                more["light_lost"] = _share_lost(float(left[row]), float(asked[row]))
            mean_w = float(power @ share)
            made.append(
                ThingStatistics(
                    id=name,
                    sort=sort,
                    peak_a=float(current.max(initial=0.0)),
                    mean_a=float(current @ share),
                    peak_w=float(power.max(initial=0.0)),
                    mean_w=mean_w,
                    peak_at_s=float(first_at[peak]) if len(current) else 0.0,
                    energy_wh=mean_w * seconds / _J_PER_WH,
                    **more,  # type: ignore[arg-type]  # each key has the field's own type
                )
            )
    return tuple(made)


def _worst(show: Show, allowed: Allowed, currents: Floats, power: Floats) -> tuple[Moment, ...]:
    if not len(show.which) or not currents.shape[1]:
        return ()
    ratio = np.where(np.isfinite(currents), currents / np.maximum(allowed.current_a, 1e-12), np.inf)
    row = ratio.argmax(axis=1)
    highest = ratio.max(axis=1)[show.which]
    made: list[Moment] = []
    taken: list[float] = []
    for moment in np.argsort(-highest, kind="stable").tolist():
        at_s = float(show.at_s[moment])
        if any(abs(at_s - t) < APART_S for t in taken):
            continue
        frame = int(show.which[moment])
        which = int(row[frame])
        taken.append(at_s)
        made.append(
            Moment(
                at_s,
                allowed.names[which],
                float(currents[frame, which]),
                float(ratio[frame, which]),
                float(power[frame]),
            )
        )
        if len(made) == WORST:
            break
    return tuple(made)


def _level(demand: Demand, allowed: Allowed, frames: Bytes, passed: np.ndarray, only: int | None = None) -> int | None:
    """Return the largest whole percent of today's levels that keeps every frame that passed a limit within it.

    Args:
        demand: the display.
        allowed: its limits.
        frames: different frames, shape (D, U, 512).
        passed: which limits each passes, shape (D, n).
        only: the one limit to be kept, all of them where None.
    """
    bad = np.flatnonzero(passed.any(axis=1))
    if not len(bad):
        return 100
    low, high = 0, 100
    going = bad
    if not _holds(demand, allowed, frames[bad], 0.0, only).all():
        return None
    while high - low > 1:
        middle = (low + high) // 2
        fine = _holds(demand, allowed, frames[going], middle / 100.0, only)
        if fine.all():
            low = middle
        else:
            # What holds here holds at lower levels too, so only the others decide.
            going, high = going[~fine], middle
    return low


def _holds(demand: Demand, allowed: Allowed, frames: Bytes, level: float, only: int | None) -> np.ndarray:
    drawn = demand.solve(frames, level)
    if only is None:
        return np.asarray(~allowed.passed(drawn).any(axis=1))
    currents = allowed.currents(drawn)[:, only]
    return np.asarray(np.isfinite(currents) & ~over(currents, float(allowed.current_a[only])) & ~drawn.doubtful)
