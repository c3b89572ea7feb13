"""What ANSI E1.31-2018 prints of packets and times, beside what our packets and state machines do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hollowglow.net.hearing.sources import HeardSources
from hollowglow.net.packets.packet import Data, Discovery, Packet, Sync, encode
from hollowglow.net.packets.sequence import is_old
from hollowglow.net.packets.stream import SentStream

_CID = bytes(range(16))
_DATA = Data(_CID, "name", 100, 0, 0, False, False, False, 1, 0, bytes(512))
_SYNC = Sync(_CID, 0, 1)
_DISCOVERY = Discovery(_CID, "name", 0, 0, tuple(range(1, 513)))
FRAME_S = 0.025

Printed = tuple[str, str, str, float]


def moved(packet: Packet, **change: object) -> int:
    """Return the first octet of a packet that a change of a field changes, octets counted from 0."""
    before, after = (np.frombuffer(encode(p), dtype=np.uint8) for p in (packet, replace(packet, **change)))
    return int(np.flatnonzero(before != after)[0])


def silence_s() -> float:
    """Return after how long a silent source is gone, found by halves, s."""
    low, high = 0.0, 100.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        sources = HeardSources([1])
        sources.hear(encode(_DATA), "192.0.2.1", 0.0)
        gone = any(event.what == "lost" for event in sources.tick(middle))
        low, high = (low, middle) if gone else (middle, high)
    return high


def stream_times() -> tuple[int, float]:
    """Return how many packets are alike before suppression, and the time between discoveries, s, as frames run."""
    stream = SentStream([1], cid=_CID, source="name", priority=100)
    frame = np.zeros((1, 512), dtype=np.uint8)
    sent, listed = [], []
    for k in range(1000):
        now = k * FRAME_S
        sent += [now] * len(stream.due(frame, now))
        listed += [now] * bool(stream.discovery_due(now))
    gaps = np.diff(sent)
    alike = 1 + int(np.argmax(gaps > 1.5 * FRAME_S))
    return alike, float(np.diff(listed).max())


def printed() -> list[Printed]:
    """Return (quantity, as printed, unit, ours) for what the standard prints."""
    alike, listed_s = stream_times()
    return [
        ("octets of a data packet with 512 slots (table 4-1)", "638", "-", len(encode(_DATA))),
        ("its source name begins at octet (table 4-1)", "44", "-", moved(_DATA, source="Name")),
        ("its priority (table 4-1)", "108", "-", moved(_DATA, priority=101)),
        ("its synchronization address (table 4-1)", "109", "-", moved(_DATA, sync_address=0x0100)),
        ("its sequence number (table 4-1)", "111", "-", moved(_DATA, sequence=1)),
        ("its options (table 4-1)", "112", "-", moved(_DATA, preview=True)),
        ("its universe (table 4-1)", "113", "-", moved(_DATA, universe=0x0101)),
        ("its START code (table 4-1)", "125", "-", moved(_DATA, start_code=1)),
        ("its first slot (table 4-1)", "126", "-", moved(_DATA, slots=b"\1" + bytes(511))),
        ("octets of a synchronization packet (table 4-2)", "49", "-", len(encode(_SYNC))),
        ("its sequence number (table 4-2)", "44", "-", moved(_SYNC, sequence=1)),
        ("its synchronization address (table 4-2)", "45", "-", moved(_SYNC, sync_address=0x0101)),
        ("octets of a discovery packet of 512 universes (table 4-3)", "1144", "-", len(encode(_DISCOVERY))),
        ("its page (table 4-3)", "118", "-", moved(replace(_DISCOVERY, last_page=1), page=1)),
        ("its last page (table 4-3)", "119", "-", moved(_DISCOVERY, last_page=1)),
        (
            "its first universe (table 4-3)",
            "120",
            "-",
            moved(replace(_DISCOVERY, universes=(1,)), universes=(0x0101,)),
        ),
        ("a source is gone after (appendix A)", "2.5", "s", silence_s()),
        ("the list of universes is sent every (appendix A)", "10", "s", listed_s),
        ("packets alike before suppression (6.6.2)", "3", "-", alike),
        (
            "differences of sequence numbers that are discarded (6.7.2)",
            "20",
            "-",
            sum(is_old(100, n) for n in range(256)),
        ),
    ]
