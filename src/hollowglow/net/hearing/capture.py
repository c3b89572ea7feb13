"""Packet captures: datagrams with their times read from pcap and pcapng files, and what is heard written as pcapng.

The layouts of headers, blocks and options are dpkt's; going from one to the next is done here, because a file that ends
in the middle, has several interfaces or several sections must be read as far as it goes.
"""

from __future__ import annotations

import errno
import ipaddress
import os
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from types import TracebackType
from typing import IO, Any, NamedTuple

import dpkt
from dpkt import pcap, pcapng
from dpkt.ip import IP, IP_PROTO_UDP
from dpkt.ip6 import IP6
from dpkt.udp import UDP

from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.frames import RAW, unwrap
from hollowglow.net.packets.packet import PORT

_MOST_OCTETS = 1 << 24  # of one record; no link carries as much in one frame
_SECTION = struct.pack(">I", pcapng.PCAPNG_BT_SHB)
_ORDERS = {struct.pack("<I", pcapng.BYTE_ORDER_MAGIC): "<", struct.pack(">I", pcapng.BYTE_ORDER_MAGIC): ">"}
_NANO = (pcap.TCPDUMP_MAGIC_NANO, pcap.PMUDPCT_MAGIC_NANO)
_HOPS = 64
_GZIP = b"\x1f\x8b"


class Timed(NamedTuple):
    """A datagram of a capture: seconds since 1970 (UTC), address of the sender, what it holds."""

    time_s: float
    source: str
    datagram: bytes


class _Record(NamedTuple):
    time_s: float
    link: int
    frame: bytes


class _Interface(NamedTuple):
    link: int
    ticks_per_s: int
    offset_s: int


class _BrokenError(Exception):
    """The file goes no further: it ends here, or what follows is no record."""


class CaptureReader:
    """The datagrams of a capture file, in the order of the file; iterate once, then ask for the notes.

    Args:
        path: of the file.
        port: UDP destination port of the datagrams that matter.
    """

    def __init__(self, path: Path, port: int = PORT) -> None:
        self._path, self._port = path, port
        self._left = {"link": 0, "fragment": 0, "cut": 0, "other": 0}
        self._broken = ""
        self._untimed = 0
        self._taken = 0
        try:
            self._stream: IO[bytes] = path.open("rb")
            self._magic = self._stream.read(4)
            self._stream.seek(0)
        except OSError as error:
            raise Refusal(f"{path} cannot be read ({error.strerror or error}).") from None
        if self._magic != _SECTION and int.from_bytes(self._magic, "big") not in pcap.MAGIC_TO_PKT_HDR:
            self._stream.close()
            if self._magic[:2] == _GZIP:
                raise Refusal(f"{path} is compressed (gzip). Unpack it first: gunzip keeps the capture that is in it.")
            raise Refusal(
                f"{path} is no packet capture: found {self._magic.hex(' ') or 'nothing'} at its start, "
                "expected a pcap or pcapng file. Save the capture in one of these forms."
            )

    def __enter__(self) -> CaptureReader:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._stream.close()

    def __iter__(self) -> Iterator[Timed]:
        records = self._of_pcapng() if self._magic == _SECTION else self._of_pcap()
        port, left = self._port, self._left
        try:
            for time_s, link, frame in records:
                found = unwrap(link, frame, port)
                if isinstance(found, str):
                    left[found] += 1
                else:
                    self._taken += 1
                    yield Timed(time_s, found.source, found.datagram)
        except _BrokenError as broken:
            self._broken = str(broken)
        except OSError as error:
            self._broken = f"cannot be read further ({error.strerror or error})"
        finally:
            self._stream.close()

    @property
    def cut(self) -> bool:
        """Whether the file ended before its last record did."""
        return bool(self._broken)

    def notes(self) -> tuple[str, ...]:
        """Return what a person should know about the file, in sentences; complete once it is read to its end."""
        said = []
        if self._broken:
            said.append(f"{self._path.name} {self._broken}. What comes before is used, datagrams: {self._taken:,}.")
        for key, what in (
            ("fragment", "fragments of datagrams"),
            ("cut", "frames not captured to their end (a snapshot length of 65535 keeps them whole)"),
            ("link", "frames of a link layer that is not known here"),
        ):
            if self._left[key]:
                said.append(f"{self._path.name}: left out, {what}: {self._left[key]:,}.")
        if self._untimed:
            said.append(f"{self._path.name}: left out, packets without a time: {self._untimed:,}.")
        if not self._taken:
            said.append(f"{self._path.name} holds no datagram to UDP port {self._port}.")
        return tuple(said)

    def _read(self, count: int) -> bytes:
        octets = self._stream.read(count)
        if len(octets) < count:
            raise _BrokenError("ends in the middle of a packet")
        return octets

    def _of_pcap(self) -> Iterator[_Record]:
        magic = int.from_bytes(self._magic, "big")
        packet_header = pcap.MAGIC_TO_PKT_HDR[magic]
        little = magic in (pcap.PMUDPCT_MAGIC, pcap.PMUDPCT_MAGIC_NANO, pcap.PACPDOM_MAGIC)
        header = (pcap.LEFileHdr if little else pcap.FileHdr)(self._read(pcap.FileHdr.__hdr_len__))
        link = header.linktype & 0xFFFF  # the higher bits tell of check sums
        ticks_per_s = 10**9 if magic in _NANO else 10**6
        size = packet_header.__hdr_len__
        while (start := self._stream.read(size)) != b"":
            if len(start) < size:
                raise _BrokenError("ends in the middle of a packet")
            packet = packet_header(start)
            if packet.caplen > _MOST_OCTETS:
                raise _BrokenError(f"is damaged {self._stream.tell() - size:,} octets after its start")
            yield _Record(packet.tv_sec + packet.tv_usec / ticks_per_s, link, self._read(packet.caplen))

    def _of_pcapng(self) -> Iterator[_Record]:
        interfaces: list[_Interface] = []
        order = ""
        while (start := self._stream.read(12)) != b"":
            if len(start) < 12:
                raise _BrokenError("ends in the middle of a block")
            at = self._stream.tell() - 12
            if start[:4] == _SECTION:
                order, interfaces = _ORDERS.get(start[8:], ""), []
            if not order:
                raise _BrokenError(f"is damaged {at:,} octets after its start")
            kind, length = struct.unpack_from(f"{order}II", start)
            if not 12 <= length <= _MOST_OCTETS or length % 4:
                raise _BrokenError(f"is damaged {at:,} octets after its start")
            block = start + self._read(length - 12)
            try:
                if kind == pcapng.PCAPNG_BT_IDB:
                    interfaces.append(_interface(block, order))
                elif kind == pcapng.PCAPNG_BT_EPB or kind == pcapng.PCAPNG_BT_PB:
                    yield _packet(block, order, kind, interfaces)
                elif kind == pcapng.PCAPNG_BT_SPB:
                    self._untimed += 1
            except (dpkt.Error, struct.error, ValueError, IndexError, ArithmeticError):
                raise _BrokenError(f"is damaged {at:,} octets after its start") from None


def read(path: Path | str, port: int = PORT) -> CaptureReader:
    """Return the datagrams of a capture; raises Refusal for a file that is not there or is no capture."""
    return CaptureReader(Path(path), port)


def _interface(block: bytes, order: str) -> _Interface:
    read_block = pcapng.InterfaceDescriptionBlockLE if order == "<" else pcapng.InterfaceDescriptionBlock
    description = read_block(block)
    ticks_per_s, offset_s = 10**6, 0
    for option in description.opts:
        if option.code == pcapng.PCAPNG_OPT_IF_TSRESOL:
            power = option.data[0] & 0x7F
            ticks_per_s = (2 if option.data[0] & 0x80 else 10) ** power
        elif option.code == pcapng.PCAPNG_OPT_IF_TSOFFSET:
            (offset_s,) = struct.unpack(f"{order}q", option.data)
    return _Interface(description.linktype, ticks_per_s, offset_s)


def _packet(block: bytes, order: str, kind: int, interfaces: list[_Interface]) -> _Record:
    if kind == pcapng.PCAPNG_BT_EPB:
        layout = pcapng.EnhancedPacketBlockLE if order == "<" else pcapng.EnhancedPacketBlock
    else:
        layout = pcapng.PacketBlockLE if order == "<" else pcapng.PacketBlock
    packet = layout()
    packet.unpack_hdr(block)  # the header alone: options, such as a comment in a strange alphabet, are of no use here
    begin = packet.__hdr_len__ - 4
    if packet.caplen > len(block) - begin - 4:
        raise ValueError("the packet is longer than its block")
    link, ticks_per_s, offset_s = interfaces[packet.iface_id]
    time_s = offset_s + ((packet.ts_high << 32) | packet.ts_low) / ticks_per_s
    return _Record(time_s, link, block[begin : begin + packet.caplen])


@dataclass(slots=True)
class Writer:
    """Writes datagrams as a pcapng file, each in the IP and UDP headers that carried it as far as a socket tells.

    Args:
        stream: of bytes, at its start.
        interface: name of the interface listened on, for the record.
    """

    stream: IO[bytes]
    interface: str = ""
    written: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        end = _option(pcapng.PCAPNG_OPT_ENDOFOPT, b"")
        program = _option(pcapng.PCAPNG_OPT_SHB_USERAPPL, b"Hollowglow")
        resolution = _option(pcapng.PCAPNG_OPT_IF_TSRESOL, b"\x06")
        name = [_option(pcapng.PCAPNG_OPT_IF_NAME, self.interface.encode())] if self.interface else []
        self.stream.write(bytes(pcapng.SectionHeaderBlockLE(opts=[program, end])))
        described = pcapng.InterfaceDescriptionBlockLE(linktype=RAW, snaplen=0, opts=[*name, resolution, end])
        self.stream.write(bytes(described))

    def write(self, time_s: float, source: tuple[str, int], to: tuple[str, int], datagram: bytes) -> None:
        """Add a datagram.

        Args:
            time_s: when it came, seconds since 1970 (UTC).
            source, to: address and UDP port of sender and receiver; both IPv4 or both IPv6.
            datagram: what follows the UDP header.

        Raises:
            OSError: it cannot be written, or not whole.
        """
        packet = _wrapped(source, to, datagram)
        ticks = round(time_s * 1e6)
        block = pcapng.EnhancedPacketBlockLE(
            ts_high=ticks >> 32, ts_low=ticks & 0xFFFFFFFF, caplen=len(packet), pkt_len=len(packet), pkt_data=packet
        )
        octets = bytes(block)
        if self.stream.write(octets) < len(octets):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        self.written += 1


def _option(code: int, octets: bytes) -> Any:
    return pcapng.PcapngOptionLE(code=code, data=octets)


def _wrapped(source: tuple[str, int], to: tuple[str, int], datagram: bytes) -> bytes:
    length = 8 + len(datagram)
    if "." in source[0]:
        return _ipv4_headers(source, to, length) + datagram
    udp = UDP(sport=source[1], dport=to[1], ulen=length, data=datagram)
    ends = {"src": _octets(source[0]), "dst": _octets(to[0])}
    return bytes(IP6(**ends, nxt=IP_PROTO_UDP, hlim=_HOPS, plen=length, data=udp))


@lru_cache(maxsize=1024)
def _ipv4_headers(source: tuple[str, int], to: tuple[str, int], length: int) -> bytes:
    """Return IPv4 and UDP headers without the check sum over the data, which IPv4 lets a sender leave out (RFC 768)."""
    ends = {"src": _octets(source[0]), "dst": _octets(to[0])}
    ip = bytes(IP(**ends, p=IP_PROTO_UDP, ttl=_HOPS, len=20 + length, data=bytes(length)))
    return ip[:20] + bytes(UDP(sport=source[1], dport=to[1], ulen=length))


def _octets(address: str) -> bytes:
    return ipaddress.ip_address(address.partition("%")[0]).packed
