"""Captures of shows, written by a writer that is not ours: scapy, down to the E1.31 octets."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from scapy.layers.inet import IP, UDP
from scapy.layers.l2 import Ether
from scapy.packet import Raw
from scapy.utils import wrpcap


def datagram(universe: int, sequence: int, slots: bytes) -> bytes:
    """A data packet by ANSI E1.31-2018, tables 4-1, 5-2 to 5-5 (octet offsets in the comments)."""
    count = len(slots) + 1
    root = struct.pack(">HH12sHI16s", 0x10, 0, b"ASC-E1.17\0\0\0", 0x7000 | (109 + count), 4, b"\7" * 16)  # 0 to 37
    framing = struct.pack(
        ">HI64sBHBBH", 0x7000 | (87 + count), 2, b"independent", 100, 0, sequence % 256, 0, universe
    )  # 38 to 114
    dmp = struct.pack(">HBBHHH", 0x7000 | (10 + count), 2, 0xA1, 0, 1, count)  # 115 to 124
    return root + framing + dmp + b"\0" + slots


def write_capture(path: Path, universes: Sequence[int], frames: Sequence[np.ndarray], times: Sequence[float]) -> None:
    """Write frames (U, 512) at these times, s, as a pcap file of Ethernet frames."""
    packets = []
    for sequence, (frame, time_s) in enumerate(zip(frames, times, strict=True)):
        for row, universe in enumerate(universes):
            layers = IP(src="192.0.2.7", dst=f"239.255.{universe >> 8}.{universe & 255}") / UDP(sport=5568, dport=5568)
            packet = Ether() / layers / Raw(datagram(universe, sequence, frame[row].tobytes()))
            packet.time = 1_700_000_000 + time_s
            packets.append(packet)
    wrpcap(str(path), packets)
