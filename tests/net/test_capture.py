"""Captures that other programs wrote are read, and what we write other programs read."""

import gzip
import io
import itertools
import json
import shutil
import struct
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scapy.layers.inet import IP, TCP, UDP, fragment
from scapy.layers.inet6 import IPv6, IPv6ExtHdrDestOpt, IPv6ExtHdrFragment
from scapy.layers.l2 import ARP, CookedLinux, CookedLinuxV2, Dot1AD, Dot1Q, Ether, Loopback
from scapy.utils import PcapNgWriter, PcapWriter

from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.capture import Timed, Writer, read
from hollowglow.net.hearing.frames import unwrap
from tests.net.senders import data

PORT = 5568
START_S = 1_764_000_000.25
SHOW = [data(1, k, bytes([k, 255 - k])) for k in range(4)]


def udp(payload: bytes, source: str = "10.0.0.5") -> Any:
    return IP(src=source, dst="239.255.0.1") / UDP(sport=50_000, dport=PORT) / payload


def udp6(payload: bytes) -> Any:
    return IPv6(src="fe80::1", dst="ff18::8300:1") / UDP(sport=50_000, dport=PORT) / payload


def timed(packets: Sequence[Any]) -> list[Any]:
    for k, packet in enumerate(packets):
        packet.time = START_S + k / 64
    return list(packets)


def written(path: Path, packets: Sequence[Any], **how: Any) -> Path:
    with PcapWriter(str(path), sync=True, **how) as writer:
        for packet in timed(packets):
            writer.write(packet)
    return path


def expected(source: str = "10.0.0.5", show: Sequence[bytes] = tuple(SHOW)) -> list[Timed]:
    return [Timed(START_S + k / 64, source, datagram) for k, datagram in enumerate(show)]


@pytest.mark.parametrize(("endianness", "nano"), list(itertools.product("<>", (False, True))))
def test_pcap_of_either_byte_order_in_micro_or_nanoseconds(tmp_path: Path, endianness: str, nano: bool) -> None:
    frames = [Ether(src="02:00:00:00:00:01") / udp(d) for d in SHOW]
    path = written(tmp_path / "show.pcap", frames, endianness=endianness, nano=nano, linktype=1)
    capture = read(path)
    assert list(capture) == expected()
    assert (capture.cut, capture.notes()) == (False, ())


def test_pcapng_as_scapy_writes_it(tmp_path: Path) -> None:
    with PcapNgWriter(str(tmp_path / "show.pcapng")) as writer:
        for packet in timed([Ether() / udp(d) for d in SHOW]):
            writer.write(packet)
    assert list(read(tmp_path / "show.pcapng")) == expected()


LINKS: dict[str, tuple[int, Any]] = {
    "ethernet": (1, Ether()),
    "ethernet with a tag": (1, Ether() / Dot1Q(vlan=7)),
    "ethernet with two tags": (1, Ether() / Dot1AD(vlan=9) / Dot1Q(vlan=7)),
    "linux cooked": (113, CookedLinux()),
    "linux cooked, second form": (276, CookedLinuxV2()),
    "raw ip": (101, None),
    "loopback": (0, Loopback()),
    "loopback of the other byte order": (108, Loopback()),
}


@pytest.mark.parametrize("name", LINKS)
@pytest.mark.parametrize("six", [False, True])
def test_every_link_layer_with_either_ip(tmp_path: Path, name: str, six: bool) -> None:
    link, below = LINKS[name]
    make = udp6 if six else udp
    packets = [make(d) if below is None else below.copy() / make(d) for d in SHOW]
    if name == "linux cooked":  # scapy leaves the protocol to the caller
        for packet in packets:
            packet.proto = 0x86DD if six else 0x0800
    path = written(tmp_path / "show.pcap", packets, linktype=link)
    assert list(read(path)) == expected("fe80::1" if six else "10.0.0.5")


def test_several_interfaces_of_different_links_and_clocks_in_one_file(tmp_path: Path) -> None:
    ether = written(tmp_path / "ether.pcap", [Ether() / udp(d) for d in SHOW[:2]], linktype=1)
    raw = written(tmp_path / "raw.pcap", [udp(d, "10.0.0.6") for d in SHOW[2:]], linktype=101, nano=True)
    both = tmp_path / "both.pcapng"
    subprocess.run(["mergecap", "-F", "pcapng", "-w", both, ether, raw], check=True, capture_output=True)
    found = sorted(read(both))
    assert [t for t in found if t.source == "10.0.0.5"] == expected(show=SHOW[:2])
    assert [t for t in found if t.source == "10.0.0.6"] == expected("10.0.0.6", SHOW[2:])


def block(order: str, kind: int, body: bytes) -> bytes:
    body += bytes(-len(body) % 4)
    length = struct.pack(f"{order}I", len(body) + 12)
    return struct.pack(f"{order}I", kind) + length + body + length


def packet_block(order: str, interface: int, ticks: int, frame: bytes, options: bytes = b"") -> bytes:
    head = struct.pack(f"{order}5I", interface, ticks >> 32, ticks & 0xFFFFFFFF, len(frame), len(frame))
    return block(order, 6, head + frame + bytes(-len(frame) % 4) + options)


def described(order: str, link: int, options: bytes = b"") -> bytes:
    return block(order, 1, struct.pack(f"{order}HHI", link, 0, 0) + options)


def section(order: str) -> bytes:
    return block(order, 0x0A0D0D0A, struct.pack(f"{order}IHHq", 0x1A2B3C4D, 1, 0, -1))


@pytest.mark.parametrize("order", ["<", ">"])
def test_pcapng_by_its_specification(tmp_path: Path, order: str) -> None:
    """Sections, resolutions of two and of ten, an offset, a strange comment, an old packet block, an unknown block."""
    frame = bytes(Ether() / udp(SHOW[0]))
    raw = bytes(udp(SHOW[1]))
    half = struct.pack(f"{order}HHB3x", 9, 1, 0x80 | 1)  # units of 2^-1 s
    offset = struct.pack(f"{order}HHB3xHHq", 9, 1, 9, 14, 8, 1_000_000_000)  # 10^-9 s, from a later day on
    comment = struct.pack(f"{order}HH", 1, 2) + b"\xff\xfe\0\0"
    old = struct.pack(f"{order}HHIIII", 0, 0, 0, 7, len(frame), len(frame)) + frame
    other = "<" if order == ">" else ">"
    path = tmp_path / "show.pcapng"
    path.write_bytes(
        section(order)
        + described(order, 1, half)
        + described(order, 101, offset)
        + packet_block(order, 1, 5_500_000_000, raw)
        + packet_block(order, 0, 2_000_000_003, frame, comment)
        + block(order, 2, old)
        + block(order, 0x0BAD, b"what is this")
        + block(order, 3, struct.pack(f"{order}I", len(frame)) + frame)
        + section(other)
        + described(other, 1)
        + packet_block(other, 0, 1_500_000, frame)
    )
    capture = read(path)
    assert [(t.time_s, t.datagram) for t in capture] == [
        (1_000_000_005.5, SHOW[1]),
        (1_000_000_001.5, SHOW[0]),
        (3.5, SHOW[0]),
        (1.5, SHOW[0]),
    ]
    assert capture.notes() == ("show.pcapng: left out, packets without a time: 1.",)


def test_what_is_no_datagram_for_us_is_left_out_and_said_where_it_matters(tmp_path: Path) -> None:
    pieces = fragment(udp(bytes(3000)), fragsize=1400)
    pieces6 = [
        IPv6() / IPv6ExtHdrFragment(nh=17, m=1, offset=0) / UDP(sport=1, dport=PORT) / bytes(64),
        IPv6() / IPv6ExtHdrFragment(nh=17, m=0, offset=9) / bytes(64),
    ]
    whole = IPv6(src="fe80::1") / IPv6ExtHdrDestOpt() / UDP(sport=1, dport=PORT) / SHOW[0]
    others = [
        Ether() / ARP(),
        Ether() / IP() / TCP(dport=PORT),
        Ether() / IP() / UDP(dport=5569) / SHOW[0],
        Ether() / IPv6() / TCP(dport=PORT),
    ]
    packets = [*(Ether() / p for p in (*pieces, *pieces6, whole)), *others]
    capture = read(written(tmp_path / "odd.pcap", packets, linktype=1))
    assert [t.datagram for t in capture] == [SHOW[0]]
    assert capture.notes() == ("odd.pcap: left out, fragments of datagrams: 5.",)


def test_frames_that_were_not_captured_to_their_end_are_said(tmp_path: Path) -> None:
    whole = written(tmp_path / "whole.pcap", [Ether() / udp(d) for d in SHOW], linktype=1)
    subprocess.run(["editcap", "-s", "96", whole, tmp_path / "short.pcap"], check=True, capture_output=True)
    capture = read(tmp_path / "short.pcap")
    assert list(capture) == []
    assert capture.notes() == (
        "short.pcap: left out, frames not captured to their end (a snapshot length of 65535 keeps them whole): 4.",
        "short.pcap holds no datagram to UDP port 5568.",
    )


def test_a_link_layer_that_is_not_known_is_said(tmp_path: Path) -> None:
    capture = read(written(tmp_path / "odd.pcap", [Ether() / udp(SHOW[0])], linktype=147))
    assert list(capture) == []
    assert capture.notes()[0] == "odd.pcap: left out, frames of a link layer that is not known here: 1."


@pytest.mark.parametrize("name", ["show.pcap", "show.pcapng"])
def test_a_file_cut_anywhere_gives_all_before_the_cut_and_a_note(tmp_path: Path, name: str) -> None:
    whole = written(tmp_path / "whole.pcap", [Ether() / udp(d) for d in SHOW], linktype=1)
    if name.endswith("ng"):
        subprocess.run(["editcap", "-F", "pcapng", whole, tmp_path / "whole.pcapng"], check=True, capture_output=True)
        whole = tmp_path / "whole.pcapng"
    octets = whole.read_bytes()
    ends = ends_of_blocks(octets) if name.endswith("ng") else ends_of_packets(octets)
    path = tmp_path / name
    found: list[Timed] = []
    for length in range(4, len(octets)):
        path.write_bytes(octets[:length])
        capture, before = read(path), len(found)
        found = list(capture)
        assert found == expected()[: len(found)]
        assert len(found) >= before
        assert capture.cut == (length not in ends)
    assert len(found) == 3 or name.endswith("ng")
    path.write_bytes(octets[: ends[-1] - 1] if name.endswith("ng") else octets[:-1])
    capture = read(path)
    used = len(list(capture))
    assert capture.notes() == (f"{name} ends in the middle of a packet. What comes before is used, datagrams: {used}.",)


def ends_of_packets(octets: bytes) -> list[int]:
    """Where the header and each packet of a pcap file of this machine's byte order end."""
    ends = [24]
    while ends[-1] < len(octets):
        (captured,) = struct.unpack_from("<I", octets, ends[-1] + 8)
        ends.append(ends[-1] + 16 + captured)
    return ends


def ends_of_blocks(octets: bytes) -> list[int]:
    """Where each block of a little-endian pcapng file ends."""
    ends = [0]
    while ends[-1] < len(octets):
        (length,) = struct.unpack_from("<I", octets, ends[-1] + 4)
        ends.append(ends[-1] + length)
    return ends


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 packed", b"display: Jetty\n"])
def test_a_file_that_is_no_capture_is_refused_in_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "odd.pcap"
    path.write_bytes(content)
    found = content[:4].hex(" ") or "nothing"
    with pytest.raises(Refusal) as caught:
        read(path)
    assert str(caught.value) == (
        f"{path} is no packet capture: found {found} at its start, expected a pcap or pcapng file. "
        "Save the capture in one of these forms."
    )
    with pytest.raises(Refusal, match=r"gone\.pcap cannot be read \(No such file or directory\)\.$"):
        read(tmp_path / "gone.pcap")


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(noise=st.binary(max_size=120), at=st.integers(0, 700), drop=st.integers(0, 20), ng=st.booleans())
def test_a_damaged_file_never_ends_in_a_traceback(tmp_path: Path, noise: bytes, at: int, drop: int, ng: bool) -> None:
    if ng:
        frame = bytes(Ether() / udp(SHOW[0]))
        octets = section("<") + described("<", 1) + packet_block("<", 0, 1, frame) + packet_block("<", 0, 2, frame)
    else:
        octets = written(tmp_path / "whole.pcap", [Ether() / udp(d) for d in SHOW], linktype=1).read_bytes()
    path = tmp_path / "damaged"
    path.write_bytes(octets[:at] + noise + octets[at + drop :])
    try:
        capture = read(path)
    except Refusal:
        return
    list(capture)
    assert all(note.startswith("damaged") for note in capture.notes())


@given(st.sampled_from([0, 1, 101, 108, 113, 276]), st.binary(max_size=120))
def test_a_frame_of_any_content_is_read_or_left(link: int, frame: bytes) -> None:
    unwrap(link, frame, PORT)
    for head in (b"\x08\0", b"\x86\xdd", b"\x81\0"):
        unwrap(1, bytes(12) + head + frame, PORT)


def test_a_compressed_capture_is_told_what_it_is(tmp_path: Path) -> None:
    path = tmp_path / "show.pcap.gz"
    path.write_bytes(gzip.compress(b"\xd4\xc3\xb2\xa1" + bytes(20)))
    with pytest.raises(Refusal, match=r"is compressed \(gzip\)\. Unpack it first"):
        read(path)


def test_what_we_write_tshark_reads_without_complaint(tmp_path: Path) -> None:
    path = tmp_path / "ours.pcapng"
    with path.open("wb") as stream:
        writer = Writer(stream, "lan0")
        for k, datagram in enumerate(SHOW):
            writer.write(START_S + k / 64, ("10.0.0.5", 50_000), ("239.255.0.1", PORT), datagram)
        writer.write(START_S + 1, ("fe80::1%lan0", 50_000), ("ff18::8300:1", PORT), SHOW[0])
    assert writer.written == 5
    checks = ("-o", "ip.check_checksum:TRUE", "-o", "udp.check_checksum:TRUE")
    done = subprocess.run(
        [str(shutil.which("tshark")), "-r", str(path), "-T", "json", "--enable-heuristic", "acn", *checks],
        capture_output=True,
        check=True,
    )
    layers = [packet["_source"]["layers"] for packet in json.loads(done.stdout)]
    assert [list(p) for p in layers] == [["frame", "raw", "ip", "udp", "acn"]] * 4 + [
        ["frame", "raw", "ipv6", "udp", "acn"]
    ]
    assert [p["ip"]["ip.src"] for p in layers[:4]] == ["10.0.0.5"] * 4
    assert [p["ip"]["ip.dst"] for p in layers[:4]] == ["239.255.0.1"] * 4
    assert layers[4]["ipv6"]["ipv6.src"] == "fe80::1"
    assert [p["udp"]["udp.checksum"] for p in layers[:4]] == ["0x0000"] * 4  # left out, as IPv4 lets a sender do
    assert layers[4]["udp"]["udp.checksum.status"] == "1"  # good
    assert [p["ip"]["ip.checksum.status"] for p in layers[:4]] == ["1"] * 4
    stamps = [float(p["frame"]["frame.time_epoch"]) for p in layers] if "." in done.stdout.decode() else []
    assert stamps == pytest.approx([START_S + k / 64 for k in range(4)] + [START_S + 1], abs=1e-6)
    assert "malformed" not in done.stdout.decode().lower()


def test_what_we_write_we_read() -> None:
    stream = io.BytesIO()
    writer = Writer(stream)
    writer.write(START_S, ("::1", 5), ("::1", PORT), b"abc")
    assert stream.getvalue()[:4] == b"\x0a\x0d\x0d\x0a"
