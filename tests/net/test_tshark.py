"""An independent reader of the standard, tshark, finds every field where it belongs and nothing malformed."""

import struct
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hollowglow.net.packets.packet import PORT, Data, Discovery, Sync, encode
from hollowglow.net.packets.stream import SentStream

CID = bytes.fromhex("c0ffee00112233445566778899aabbcc")
CID_TEXT = "c0ffee00-1122-3344-5566-778899aabbcc"
FULL = Data(CID, "Köping pier", 150, 7962, 201, False, False, False, 63999, 0, bytes(k % 256 for k in range(512)))


def capture(path: Path, datagrams: list[bytes]) -> None:
    """Write datagrams as a classic pcap file of raw IPv4 packets (link type 228), by hand."""
    out = struct.pack("<IHHiIII", 0xA1B2C3D4, 2, 4, 0, 0, 65535, 228)
    for k, datagram in enumerate(datagrams):
        udp = struct.pack(">HHHH", 50000, PORT, 8 + len(datagram), 0) + datagram
        head = struct.pack(">BBHHHBBH", 0x45, 0, 20 + len(udp), k, 0, 64, 17, 0) + bytes([127, 0, 0, 1] * 2)
        packet = head + udp
        out += struct.pack("<IIII", 1, k, len(packet), len(packet)) + packet
    path.write_bytes(out)


def fields(folder: Path, datagrams: list[bytes], *names: str) -> list[list[str]]:
    """What tshark reads in each datagram, after it found none of them malformed or odd."""
    path = folder / "sent.pcap"
    capture(path, datagrams)
    command = ["tshark", "-r", str(path), "-o", "acn.dmx_enable:TRUE", "--enable-heuristic", "acn"]
    command += ["-T", "fields", "-E", "separator=|", "-E", "occurrence=a"]
    for name in ("_ws.malformed", "_ws.expert", *names):
        command += ["-e", name]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", timeout=300, check=True)
    rows = [line.split("|") for line in done.stdout.splitlines()]
    assert len(rows) == len(datagrams)
    assert all(row[:2] == ["", ""] for row in rows), rows
    return [row[2:] for row in rows]


def number(text: str) -> int:
    return int(text, 0)


LAYERS = ("acn.preamble_size", "acn.postamble_size", "acn.packet_identifier", "acn.protocol_id", "acn.cid")
FRAMING = ("acn.dmx_vector", "acn.dmx.source_name", "acn.dmx.priority", "acn.dmx.reserved", "acn.dmx.seq_number")
FURTHER = ("acn.dmx.options", "acn.dmx.universe")
PROPERTIES = ("acn.dmp_vector", "acn.dmx.first_property_address", "acn.dmx.increment", "acn.dmx.count")


@pytest.mark.parametrize(
    "packet", [FULL, replace(FULL, slots=bytes(510), sync_address=0), replace(FULL, slots=bytes(24))]
)
def test_a_data_packet(packet: Data, tmp_path: Path) -> None:
    """The dissector is of the standard's first edition and calls the synchronization address reserved."""
    [row] = fields(tmp_path, [encode(packet)], *LAYERS)
    assert [number(row[0]), number(row[1]), row[2], number(row[3]), row[4]] == [16, 0, "ASC-E1.17", 4, CID_TEXT]
    [row] = fields(tmp_path, [encode(packet)], *FRAMING)
    assert [number(row[0]), row[1], *map(number, row[2:])] == [2, "Köping pier", 150, packet.sync_address, 201]
    [row] = fields(tmp_path, [encode(packet)], *FURTHER)
    assert [number(v) for v in row] == [0, 63999]
    [row] = fields(tmp_path, [encode(packet)], *PROPERTIES, "acn.dmx.start_code2", "acn.pdu.length")
    assert [number(v) for v in row[:5]] == [2, 0, 1, 1 + len(packet.slots), 0]
    slots = len(packet.slots)
    assert row[5] == f"{110 + slots},{88 + slots},{11 + slots}"


@pytest.mark.parametrize(("flag", "shown"), [("preview", ["True", "False"]), ("terminated", ["False", "True"])])
def test_the_options(flag: str, shown: list[str], tmp_path: Path) -> None:
    [row] = fields(tmp_path, [encode(replace(FULL, **{flag: True}))], "acn.dmx.option_p", "acn.dmx.option_s")
    assert [str(v in ("1", "True")) for v in row] == shown


def test_what_the_sender_lays_out(tmp_path: Path) -> None:
    """The packets as they leave: three frames of a fade, darkness, and the end of the stream three times."""
    made = SentStream((1, 2), cid=CID, source="x", priority=100)
    sent: list[bytes] = []
    for k in range(3):
        made.due(np.full((2, 512), k + 1, np.uint8), 0.025 * k)
        sent += [row.tobytes() for row in made.table]
    for ended in (False, True, True, True):
        made.last(ended)
        sent += [row.tobytes() for row in made.table]
    rows = fields(tmp_path, sent, "acn.dmx.universe", "acn.dmx.seq_number", "acn.dmx.option_s")
    first = made.table[0, 111] - 6
    expected = [[u, int(first) + k, int(k > 3)] for k in range(7) for u in (1, 2)]
    assert [[number(a), number(b), int(c in ("1", "True"))] for a, b, c in rows] == expected


def test_synchronization_and_discovery_are_carried_whole(tmp_path: Path) -> None:
    """The dissector does not read into these two (see test_sacn_package.py for that), nor does it find fault."""
    sent = [encode(Sync(CID, 7, 7962)), encode(Discovery(CID, "Köping pier", 0, 0, tuple(range(1, 513))))]
    assert fields(tmp_path, sent, "udp.length", "udp.dstport") == [["57", "5568"], ["1152", "5568"]]
