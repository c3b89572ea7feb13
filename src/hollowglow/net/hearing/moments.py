"""From single packets to whole frames: which packets belong to one moment of a show."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from hollowglow.net.hearing.sources import LOSS_S, HeardSources
from hollowglow.net.hearing.streams import Event

Frame = NDArray[np.uint8]
Datagrams = Iterable[tuple[float, str, bytes]]
_VECTOR_AT, _UNIVERSE_AT = slice(18, 22), slice(113, 115)
_DATA, _EXTENDED = (vector.to_bytes(4, "big") for vector in (4, 8))
_SYNC_OCTETS, _SYNC = 49, b""
_SET_BACK_S = 1.0  # less than that behind is packets out of order, more is a clock that was set


class Moments:
    """Tells when a frame is complete: one of its universes comes again, or half a frame's time has gone by.

    Where no packet comes for the loss timeout, the frame that is left then counts as one more. Times never fall. Only data of
    the universes that matter and synchronization packets make frames: other shows on the network, and noise, make none.

    Args:
        sources: hears the packets.
        frame_s: time of one frame, s.
    """

    def __init__(self, sources: HeardSources, frame_s: float) -> None:
        self.sources = sources
        self._gap_s = 0.5 * frame_s
        self._own = {universe.to_bytes(2, "big") for universe in sources.universes}
        self._seen: set[bytes] = set()
        self._begun = self._last = -math.inf
        self._silent = True

    def hear(self, datagram: bytes, sender: str, at_s: float) -> tuple[list[tuple[float, Frame]], tuple[Event, ...]]:
        """Take in a datagram; return the frames that are complete now, with their times, and what is new of the sources."""
        made = self.tick(at_s)
        now = max(at_s, self._last)
        universe = self._part(datagram)
        if universe is None:
            return made, self.sources.hear(datagram, sender, now)
        if universe in self._seen:
            made.append(self._close())
        if not self._seen:
            self._begun = now
        events = self.sources.hear(datagram, sender, now)
        self._seen.add(universe)
        self._last, self._silent = now, False
        return made, events

    def tick(self, at_s: float) -> list[tuple[float, Frame]]:
        """Let time pass; return the frames that are complete now, with their times."""
        made = []
        if self._seen and at_s - self._begun > self._gap_s:
            made.append(self._close())
        if not self._silent and at_s - self._last >= LOSS_S:
            self._silent = True
            gone = self._last + LOSS_S
            made.append((gone, self.sources.frame(gone)))
        return made

    def end(self) -> list[tuple[float, Frame]]:
        """Return the frame that was still open."""
        return [self._close()] if self._seen else []

    def _part(self, datagram: bytes) -> bytes | None:
        """Return which part of a frame a datagram is; None where it is none."""
        if datagram[_VECTOR_AT] == _DATA:
            universe = datagram[_UNIVERSE_AT]
            return universe if universe in self._own else None
        return _SYNC if datagram[_VECTOR_AT] == _EXTENDED and len(datagram) == _SYNC_OCTETS else None

    def _close(self) -> tuple[float, Frame]:
        self._seen.clear()
        return self._begun, self.sources.frame(self._last)


class Forward:
    """Datagrams of a capture with times that go on from before where its clock was set back; iterate once, then ask.

    Args:
        datagrams: (time in s, sender, what follows the UDP header), in the order of the capture.
    """

    def __init__(self, datagrams: Datagrams) -> None:
        self._datagrams = datagrams
        self._back_s: list[float] = []

    def __iter__(self) -> Iterator[tuple[float, str, bytes]]:
        latest_s, later_s = -math.inf, 0.0
        for time_s, sender, datagram in self._datagrams:
            at_s = time_s + later_s
            if latest_s - at_s > _SET_BACK_S:
                self._back_s.append(latest_s - at_s)
                later_s, at_s = latest_s - time_s, latest_s
            latest_s = max(latest_s, at_s)
            yield at_s, sender, datagram

    def notes(self) -> tuple[str, ...]:
        """Return how often the clock was set back so far, in a sentence; none where it was not."""
        if not self._back_s:
            return ()
        times = "once" if len(self._back_s) == 1 else f"{len(self._back_s):,} times"
        return (
            f"The clock of the capture goes back {times}, by up to {max(self._back_s):,.0f} s: it was set, or captures were "
            "joined. Times go on from before.",
        )


def moments(datagrams: Datagrams, sources: HeardSources, frame_s: float) -> Iterator[tuple[float, Frame]]:
    """Yield (time in s, frame) of every moment of a show that is at hand whole.

    Args:
        datagrams: (time in s, sender, what follows the UDP header), in order.
        sources: hears them.
        frame_s: time of one frame, s.
    """
    state = Moments(sources, frame_s)
    for at_s, sender, datagram in datagrams:
        made, _ = state.hear(datagram, sender, at_s)
        yield from made
    yield from state.end()
