"""The packets of one source: headers made once, then only slots, sequence numbers and options change; no socket here."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from hollowglow.net.packets.packet import (
    DISCOVERY_UNIVERSE,
    MOST_LISTED,
    MOST_SLOTS,
    OPTIONS_AT,
    SEQUENCE_AT,
    SLOTS_AT,
    SYNC_SEQUENCE_AT,
    TERMINATED,
    Data,
    Discovery,
    Sync,
    encode,
)

Frame = NDArray[np.uint8]
Rows = NDArray[np.intp]

ALIKE = 3  # ANSI E1.31-2018 clause 6.6.2: packets with the same slots before suppression
# The same clause: one packet in 800 to 1000 ms while nothing changes.
KEEP_ALIVE_S = 0.9
DISCOVERY_S = 10.0  # E131_UNIVERSE_DISCOVERY_INTERVAL, appendix A
TERMINATIONS = 3  # clause 6.2.6
_HAIR_S = 1e-6

__all__ = ["DISCOVERY_UNIVERSE", "Frame", "Rows", "SentStream"]


class SentStream:
    """What one source sends for some universes, and which of it is due.

    Args:
        universes: ascending, each once.
        cid: 16 octets that stay this source's own.
        source: its name, up to 63 octets of UTF-8.
        priority: 0 to 200.
        sync_address: universe of the synchronization packets; 0 for none.
        force_sync: whether receivers may go on without synchronization once it is lost.
        preview: whether the data are for looking at only.

    Raises:
        ValueError: for what the standard has no room for.
    """

    def __init__(
        self,
        universes: Sequence[int],
        *,
        cid: bytes,
        source: str,
        priority: int,
        sync_address: int = 0,
        force_sync: bool = False,
        preview: bool = False,
    ) -> None:
        self.universes = tuple(universes)
        if not self.universes or list(self.universes) != sorted(set(self.universes)):
            raise ValueError("universes ascend, each once, and there is at least one")
        dark = bytes(MOST_SLOTS)
        made = [
            encode(Data(cid, source, priority, sync_address, 0, preview, False, force_sync, u, 0, dark))
            for u in self.universes
        ]
        self.table: Frame = np.frombuffer(bytearray(b"".join(made)), dtype=np.uint8).reshape(len(made), -1)
        self.sync_address = sync_address
        self._sync = bytearray(encode(Sync(cid, 0, sync_address))) if sync_address else bytearray()
        pages = [self.universes[i : i + MOST_LISTED] for i in range(0, len(self.universes), MOST_LISTED)]
        self.discovery = tuple(encode(Discovery(cid, source, i, len(pages) - 1, p)) for i, p in enumerate(pages))
        self._slots = self.table[:, SLOTS_AT:]
        self._sequence = self.table[:, SEQUENCE_AT]
        self._options = self.table[:, OPTIONS_AT]
        self._shown: Frame | None = None
        self._alike = np.zeros(len(made), dtype=np.int64)
        self._sent_s = np.full(len(made), -np.inf)
        self._next_discovery_s = -np.inf

    def due(self, frame: Frame, now_s: float) -> Rows:
        """Return the rows of `table` that are to be sent now, with their slots and sequence numbers set.

        Args:
            frame: uint8, shape (universes, 512); taken as unchanged where it is the same array as before.
            now_s: the frame's deadline.
        """
        if frame is not self._shown:
            changed = (frame != self._slots).any(axis=1)
            self._slots[...] = frame
            self._alike[changed] = 0
            self._shown = frame
        rows = np.flatnonzero((self._alike < ALIKE) | (now_s - self._sent_s >= KEEP_ALIVE_S - _HAIR_S))
        self._alike[rows] += 1
        self._sent_s[rows] = now_s
        return self._stamped(rows)

    def again(self, rows: Rows) -> None:
        """Have packets that could not leave sent with the next frame, and as often as if they were new."""
        self._alike[rows] = 0

    def last(self, terminated: bool) -> Rows:
        """Return all rows with dark slots, to be sent now; with `terminated` they say that the stream ends."""
        self._slots[...] = 0
        self._shown = None
        if terminated:
            self._options |= TERMINATED
        return self._stamped(np.arange(len(self.universes)))

    def sync(self) -> bytes:
        """Return the next synchronization packet, to follow the data of a frame; empty where there is none."""
        if self._sync:
            packet = bytes(self._sync)
            self._sync[SYNC_SEQUENCE_AT] = (self._sync[SYNC_SEQUENCE_AT] + 1) & 0xFF
            return packet
        return b""

    def discovery_due(self, now_s: float) -> tuple[bytes, ...]:
        """Return the pages of universe discovery where they are due."""
        if now_s < self._next_discovery_s - _HAIR_S:
            return ()
        self._next_discovery_s = now_s + DISCOVERY_S
        return self.discovery

    def _stamped(self, rows: Rows) -> Rows:
        self._sequence[rows] += 1  # wraps at 256, as the field does
        return rows
