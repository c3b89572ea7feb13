"""Watch: what is heard of a show, and what it draws meanwhile; told the time and the datagrams, it opens no socket."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.tables import Floats
from hollowglow.file import load
from hollowglow.jobs.shows.analyse import frame_time_s, see_to_strings
from hollowglow.net.hearing.moments import Moments
from hollowglow.net.hearing.sources import HeardSources
from hollowglow.net.hearing.streams import Event, texts
from hollowglow.show.demand import Allowed, Demand, FrameCurrents
from hollowglow.show.demand.addresses import FULL, Bytes

AGAIN_S = 1.0
_RATE_OVER_S = 2.0


@dataclass(frozen=True)
class WatchedShow:
    """What a watcher sees at a moment.

    Attributes:
        at_s: s since the watch began.
        colours: linear red, green and blue of each cell as it appears, 0 to 1, shape (cells, 3).
        current_a: of supplies, then fuses, then cables and joints that a frame could overload, A, shape (limits,).
        lowest_v: lowest voltage across a light of each string, averaged over the pulses, V, shape (strings,).
        coincident_v: the same for a moment, where all pulses of what is lit coincide, V, shape (strings,).
        rate_hz: frames a second of late.
        lost, late: packets so far.
        sources: names of who is heard and wins.
    """

    at_s: float
    colours: Floats
    current_a: Floats
    lowest_v: Floats
    coincident_v: Floats
    rate_hz: float
    lost: int
    late: int
    sources: tuple[str, ...]


class Watch:
    """A display whose show is heard; hand it datagrams, then ask what is seen."""

    def __init__(self, assembly: Assembly, say: Callable[[str], None]) -> None:
        """Prepare; `say` is told in a sentence when a limit is passed, and when sources come and go."""
        self.assembly = assembly
        self.demand = Demand.of(assembly)
        self.allowed = Allowed.of(self.demand)
        self._sources = HeardSources(self.demand.addresses.universes)
        self._moments = Moments(self._sources, frame_time_s(assembly))
        self._say = say
        self._events: list[Event] = []
        self._waiting: list[tuple[float, Bytes]] = []
        self._begun_s: float | None = None
        self._drawn: FrameCurrents | None = None
        self._frame = self.demand.addresses.dark()
        self._since_s = 0.0
        self._recent: deque[float] = deque(maxlen=1000)
        limits = len(self.allowed.names)
        self._told_s = np.full(limits, -np.inf)
        self._over = np.zeros(limits, dtype=bool)
        self.peak_a = np.zeros(limits)
        self.over_s = np.zeros(limits)
        self.peak_w = self.energy_j = self.seconds = 0.0
        self.lowest_v = np.full(len(assembly.strings.names), np.nan)
        self.coincident_v = self.lowest_v.copy()
        self._coincident_v = self.lowest_v.copy()
        self.frames = 0
        head = np.searchsorted(self.demand.addresses.node_cell, np.arange(self.demand.addresses.cells))
        self._gamma = self.demand.addresses.node_gamma[head][:, None]
        self._last_w = 0.0

    @classmethod
    def of(cls, file: Path | str, say: Callable[[str], None]) -> Watch:
        """Return the watch of the display in a file; raises DisplayError or Refusal where there is none to watch."""
        assembly = expand(load(file))
        see_to_strings(assembly)
        return cls(assembly, say)

    @property
    def universes(self) -> tuple[int, ...]:
        """Return the universes of the display."""
        return self.demand.addresses.universes

    def hear(self, datagram: bytes, sender: str, at_s: float) -> None:
        """Take in a datagram."""
        made, events = self._moments.hear(datagram, sender, at_s)
        self._waiting += made
        self._events += events

    def look(self, at_s: float) -> WatchedShow:
        """Solve the frames that came since the last look, warn of limits passed, and return what is seen now."""
        self._begun_s = at_s if self._begun_s is None else self._begun_s
        self._waiting += self._moments.tick(at_s)
        for words in texts([*self._events, *self._sources.tick(at_s)]):
            self._say(words)
        self._events.clear()
        if self._waiting:
            frames = np.stack([frame for _, frame in self._waiting])
            self._take([t for t, _ in self._waiting], self.demand.solve(frames))
            pulsed = self.demand.solve(frames, pulses=True).lowest_v
            self._coincident_v = pulsed[-1]
            self.coincident_v = np.fmin(self.coincident_v, np.fmin.reduce(pulsed, axis=0))
            self._frame = frames[-1]
            self._waiting.clear()
        while self._recent and at_s - self._recent[0] > _RATE_OVER_S:
            self._recent.popleft()
        counts = [self._sources.counts(u) for u in self.universes]
        drawn = self._drawn
        shares = (self.demand.addresses.colours(self._frame) / FULL) ** self._gamma
        return WatchedShow(
            at_s=at_s - self._begun_s,
            colours=np.asarray(shares, dtype=np.float64),
            current_a=self.allowed.currents(drawn)[-1] if drawn is not None else np.zeros(len(self.allowed.names)),
            lowest_v=drawn.lowest_v[-1] if drawn is not None else np.full(len(self.assembly.strings.names), np.nan),
            coincident_v=self._coincident_v,
            rate_hz=len(self._recent) / _RATE_OVER_S,
            lost=sum(c.lost for c in counts),
            late=sum(c.late for c in counts),
            sources=tuple(dict.fromkeys(f"{h.source} ({h.address})" for h in self._sources.heard(at_s) if h.wins)),
        )

    def end(self, at_s: float) -> WatchedShow:
        """Solve what is left, count the last frame up to now, and return what is seen last."""
        self._waiting += self._moments.end()
        seen = self.look(at_s)
        if self.frames:
            self._pass_time(at_s)
        return seen

    def _pass_time(self, at_s: float) -> None:
        lasted = max(0.0, at_s - self._since_s)
        self.over_s += np.where(self._over, lasted, 0.0)
        self.energy_j += lasted * self._last_w
        self.seconds += lasted
        self._since_s = at_s

    def _take(self, times: Sequence[float], drawn: FrameCurrents) -> None:
        self._drawn = drawn
        currents = self.allowed.currents(drawn)
        passed = self.allowed.passed(drawn)
        power = np.nansum(drawn.supply_w, axis=1)
        self.peak_a = np.fmax(self.peak_a, np.nan_to_num(currents).max(axis=0, initial=0.0))
        self.peak_w = max(self.peak_w, float(power.max()))
        self.lowest_v = np.fmin(self.lowest_v, np.fmin.reduce(drawn.lowest_v, axis=0))
        for k, at_s in enumerate(times):
            if self.frames:
                self._pass_time(at_s)
            self._since_s = at_s
            self.frames += 1
            self._recent.append(at_s)
            fresh = passed[k] & ~self._over & (at_s - self._told_s >= AGAIN_S)
            self._warn(at_s, fresh, currents[k], doubtful=bool(drawn.doubtful[k]))
            self._over, self._last_w = passed[k], float(power[k])

    def _warn(self, at_s: float, fresh: np.ndarray, currents: Floats, *, doubtful: bool) -> None:
        rows = np.flatnonzero(fresh).tolist()
        self._told_s[rows] = at_s
        if rows and doubtful:
            self._say("Limit passed: switching drivers ask for more than a string can carry for sure; it may collapse.")
            return
        for row in rows:
            self._say(f"Limit passed: {self.allowed.words(row, float(currents[row]))}.")
