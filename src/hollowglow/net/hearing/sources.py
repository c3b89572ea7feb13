"""Many senders, one picture: which slots hold at a moment, by priority; a state machine that is told the time.

Rules, from ANSI E1.31-2018 unless called common practice:
- The source with the highest priority wins a universe (6.2.3). Sources of one priority are merged slot by slot, the highest
  value taking precedence (common practice; the standard leaves it open).
- A source is gone after 2.5 s without a packet (6.7.1), or at once when it says that it stops (6.2.6). Slots that nobody
  sends are 0.
- Preview data is not shown and does not keep a source alive (6.2.6). Packets with another START code than 0 are not shown;
  they do keep alive a source that is known (6.7.1 counts packets of any kind).
- Slots that name a synchronization address are shown at once until the first synchronization packet for it (11.1), from
  then on held until the next. After 2.5 s without one they are shown at once if the packet forces that, else held on (6.2.6).
  An address that no source names any more begins anew.
- A sender is told from others by its CID. Sequence numbers are compared for each CID and universe.
- Not more than so many sources are remembered for a universe; one of higher priority takes the place of the least.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from hollowglow.net.hearing.streams import SLOTS, Counts, Event, HeardSource, HeardStream, Slots, Totals, What
from hollowglow.net.packets.packet import Data, Discovery, Malformed, Sync, decode
from hollowglow.net.packets.sequence import is_old, step

LOSS_S = 2.5  # E131_NETWORK_DATA_LOSS_TIMEOUT, appendix A
MOST_SOURCES = 16  # of one universe


@dataclass(slots=True)
class _Synchronization:
    """When a synchronization address was heard last, and the last sequence number of each who sends it."""

    at_s: float
    sequences: dict[bytes, int] = field(default_factory=dict)


class HeardSources:
    """What is heard of some universes.

    Args:
        universes: whose slots matter, ascending; row k of a frame is the k-th of them.
        loss_s: how long a source may be silent before it is gone.
        most: how many sources of one universe are remembered.
    """

    def __init__(self, universes: Sequence[int], *, loss_s: float = LOSS_S, most: int = MOST_SOURCES) -> None:
        self.universes = tuple(universes)
        self.totals = Totals()
        self._row = {universe: k for k, universe in enumerate(self.universes)}
        self._counts = {universe: Counts() for universe in self.universes}
        self._streams: dict[int, dict[bytes, HeardStream]] = {universe: {} for universe in self.universes}
        self._syncs: dict[int, _Synchronization] = {}
        self._named: Counter[int] = Counter()  # how many streams name a synchronization address
        self._full: set[int] = set()
        self._changed: set[int] = set()
        self._frame = np.zeros((len(self.universes), SLOTS), dtype=np.uint8)
        self._untold: list[Event] = []
        self._loss_s, self._most = loss_s, most
        self._now_s = -math.inf
        self._look_again_s = math.inf

    def hear(self, datagram: bytes, sender: str, at_s: float) -> tuple[Event, ...]:
        """Take in a datagram and return what changed about the sources; never raises, whatever the datagram holds.

        Args:
            datagram: what follows the UDP header.
            sender: its address, for people to read.
            at_s: seconds on a clock that is never set back; an earlier time than before counts as no time passed.
        """
        self._advance(at_s)
        packet = decode(datagram)
        match packet:
            case Data():
                self._hear_data(packet, sender)
            case Sync():
                self._hear_sync(packet)
            case Discovery():
                self.totals.discoveries += 1
            case Malformed():
                self.totals.malformed += 1
        return self._tell()

    def tick(self, at_s: float) -> tuple[Event, ...]:
        """Let time pass without a datagram, and return what changed."""
        self._advance(at_s)
        return self._tell()

    def frame(self, at_s: float) -> NDArray[np.uint8]:
        """Return the slots that hold at a time, shape (universes, 512); what nobody sends is 0.

        Sources that are gone by then are told by the next `hear` or `tick`.
        """
        self._advance(at_s)
        for universe in self._changed:
            self._frame[self._row[universe]] = merged(self._streams[universe].values())
        self._changed.clear()
        return self._frame.copy()

    def counts(self, universe: int) -> Counts:
        """Return what was counted of a universe so far."""
        return replace(self._counts[universe])

    def heard(self, at_s: float) -> tuple[HeardSource, ...]:
        """Return the sources that are heard at a time, by universe, the most important first."""
        self._advance(at_s)
        found: list[HeardSource] = []
        for universe in self.universes:
            streams = self._streams[universe]
            top = max((s.priority for s in streams.values() if s.shown is not None), default=None)
            for cid, s in sorted(streams.items(), key=lambda item: (-item[1].priority, item[0])):
                wins = s.priority == top and s.shown is not None
                found.append(HeardSource(universe, cid, s.source, s.address, s.priority, wins))
        return tuple(found)

    def _hear_data(self, packet: Data, sender: str) -> None:
        universe = packet.universe
        streams = self._streams.get(universe)
        if streams is None:
            self.totals.count_elsewhere(universe)
            return
        counts = self._counts[universe]
        stream = streams.get(packet.cid)
        if stream is not None and not _in_order(counts, stream, packet.sequence):
            return
        if packet.terminated:
            counts.terminated += 1
            if stream is not None:
                self._drop(universe, packet.cid, "terminated")
        elif packet.preview:
            counts.preview += 1
        elif packet.start_code:
            counts.alternate += 1
            if stream is not None:
                stream.heard_s = self._now_s
        elif stream is not None or self._has_place(universe, packet, sender):
            counts.frames += 1
            self._take(universe, streams, packet, sender)

    def _has_place(self, universe: int, packet: Data, sender: str) -> bool:
        """Return whether one more source can be remembered, at the cost of the least important if need be."""
        streams = self._streams[universe]
        if len(streams) < self._most:
            return True
        least = min(streams, key=lambda cid: (streams[cid].priority, streams[cid].heard_s))
        if streams[least].priority < packet.priority:
            self._drop(universe, least, "refused")
            return True
        self._counts[universe].refused += 1
        if universe not in self._full:
            self._full.add(universe)
            self._untold.append(Event("refused", universe, packet.cid, packet.source, sender, self._now_s))
        return False

    def _take(self, universe: int, streams: dict[bytes, HeardStream], packet: Data, sender: str) -> None:
        stream = streams.get(packet.cid)
        if stream is None:
            stream = HeardStream(packet.source, sender, packet.priority, packet.sequence, self._now_s)
            streams[packet.cid] = stream
            self._look_again_s = min(self._look_again_s, self._now_s + self._loss_s)
            self._untold.append(Event("found", universe, packet.cid, packet.source, sender, self._now_s))
        stream.source, stream.address, stream.heard_s = packet.source, sender, self._now_s
        if stream.priority != packet.priority:
            stream.priority = packet.priority
            self._changed.add(universe)
        if stream.sync_address != packet.sync_address:
            self._name_address(stream, packet.sync_address)
        running = self._is_running(packet.sync_address)
        stream.synchronized = stream.synchronized or running
        slots = np.zeros(SLOTS, dtype=np.uint8)
        slots[: len(packet.slots)] = np.frombuffer(packet.slots, dtype=np.uint8)
        if stream.synchronized and (running or not packet.force_sync):
            stream.held = slots
        else:
            stream.shown, stream.held = slots, None
            self._changed.add(universe)

    def _is_running(self, sync_address: int) -> bool:
        sync = self._syncs.get(sync_address)
        return sync is not None and self._now_s - sync.at_s < self._loss_s

    def _hear_sync(self, packet: Sync) -> None:
        self.totals.synchronizations += 1
        address = packet.sync_address
        if address not in self._named:
            return
        waiting = [(u, s) for u in self.universes for s in self._streams[u].values() if s.sync_address == address]
        sync = self._syncs.get(address)
        if sync is None:
            sync = self._syncs[address] = _Synchronization(self._now_s)
        elif self._now_s - sync.at_s >= self._loss_s:
            sync.sequences.clear()
        last = sync.sequences.pop(packet.cid, None)
        if last is not None and is_old(last, packet.sequence):
            sync.sequences[packet.cid] = last
            return
        if len(sync.sequences) >= self._most:
            sync.sequences.pop(next(iter(sync.sequences)))
        sync.sequences[packet.cid] = packet.sequence
        sync.at_s = self._now_s
        for universe, stream in waiting:
            stream.synchronized = True
            if stream.held is not None:
                stream.shown, stream.held = stream.held, None
                self._changed.add(universe)

    def _name_address(self, stream: HeardStream, sync_address: int) -> None:
        """Let a stream name another synchronization address; one that nobody names any more is forgotten."""
        before = stream.sync_address
        stream.sync_address, stream.held, stream.synchronized = sync_address, None, False
        self._named[sync_address] += 1
        self._named[before] -= 1
        if self._named[before] <= 0:
            del self._named[before]
            self._syncs.pop(before, None)

    def _advance(self, at_s: float) -> None:
        self._now_s = max(self._now_s, at_s)
        if self._now_s < self._look_again_s:
            return
        self._look_again_s = math.inf
        for universe, streams in self._streams.items():
            for cid in [c for c, s in streams.items() if self._now_s - s.heard_s >= self._loss_s]:
                self._drop(universe, cid, "lost")
            soonest = min((s.heard_s for s in streams.values()), default=math.inf)
            self._look_again_s = min(self._look_again_s, soonest + self._loss_s)

    def _drop(self, universe: int, cid: bytes, what: What) -> None:
        stream = self._streams[universe].pop(cid)
        self._name_address(stream, 0)
        self._full.discard(universe)
        self._changed.add(universe)
        self._untold.append(Event(what, universe, cid, stream.source, stream.address, self._now_s))

    def _tell(self) -> tuple[Event, ...]:
        if not self._untold:
            return ()
        told = tuple(self._untold)
        self._untold.clear()
        return told


def merged(streams: Iterable[HeardStream]) -> Slots:
    """Return the slots of one universe: the highest priority wins, among equals the highest value of each slot."""
    shown = [(s.priority, s.shown) for s in streams if s.shown is not None]
    top = max((priority for priority, _ in shown), default=0)
    slots = np.zeros(SLOTS, dtype=np.uint8)
    for priority, values in shown:
        if priority == top:
            np.maximum(slots, values, out=slots)
    return slots


def _in_order(counts: Counts, stream: HeardStream, sequence: int) -> bool:
    """Count what a packet's sequence number says, and return whether the packet is to be heeded."""
    ahead = step(stream.sequence, sequence)
    if is_old(stream.sequence, sequence):
        counts.discarded += 1
        counts.late += ahead < 0
        return False
    if ahead > 0:
        counts.lost += ahead - 1
    else:
        counts.restarted += 1
    stream.sequence = sequence
    return True
