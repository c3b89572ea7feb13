"""From a captured frame to the UDP datagram inside it: link layer, VLAN tags, IPv4 or IPv6, UDP.

Sources: link types as listed by tcpdump.org; IEEE 802.1Q (tags), RFC 791 (IPv4), RFC 8200 (IPv6), RFC 768 (UDP).
"""

from __future__ import annotations

import socket
from functools import lru_cache
from typing import Literal, NamedTuple

ETHERNET, RAW, COOKED, COOKED_2 = 1, 101, 113, 276
# Loopback links state the address family in four octets, in an order that depends on the system that wrote the file;
# the version in the IP header says the same.
_IP_STARTS_AT = {0: 4, 108: 4, RAW: 0, 12: 0, 14: 0, 228: 0, 229: 0}
_ETHER_TYPE_AT = {ETHERNET: (12, 14), COOKED: (14, 16), COOKED_2: (0, 20)}
_TAGS = (0x8100, 0x88A8, 0x9100)
_IPV4, _IPV6 = 0x0800, 0x86DD
_UDP, _FRAGMENT = 17, 44
_EXTENSIONS = (0, 43, 60)  # hop-by-hop options, routing, destination options

Left = Literal["link", "fragment", "cut", "other"]


class Udp(NamedTuple):
    """A UDP datagram: where from, where to, what."""

    source: str
    to: str
    port: int
    datagram: bytes


def unwrap(link: int, frame: bytes, port: int) -> Udp | Left:
    """Return the datagram to a UDP port that a frame holds, or why there is none.

    Args:
        link: type of the link layer, as capture files number them.
        frame: what was captured.
        port: UDP destination port that matters.

    Returns:
        "link": of a link layer that is not known here. "fragment": a piece of a datagram to some port. "cut": the frame
        was not captured to its end. "other": anything else that is not for the port.
    """
    start = _IP_STARTS_AT.get(link)
    if start is None:
        place = _ETHER_TYPE_AT.get(link)
        if place is None:
            return "link"
        at, start = place
        kind = int.from_bytes(frame[at : at + 2], "big")
        while kind in _TAGS:
            kind = int.from_bytes(frame[start + 2 : start + 4], "big")
            start += 4
        if kind not in (_IPV4, _IPV6):
            return "other"
    if len(frame) <= start:
        return "cut"
    version = frame[start] >> 4
    if version == 4:
        return _from_ipv4(frame, start, port)
    return _from_ipv6(frame, start, port) if version == 6 else "other"


def _from_ipv4(frame: bytes, start: int, port: int) -> Udp | Left:
    if len(frame) < start + 20:
        return "cut"
    if frame[start + 9] != _UDP:
        return "other"
    if int.from_bytes(frame[start + 6 : start + 8], "big") & 0x3FFF:  # more to come, or not the first piece
        return "fragment"
    udp = start + 4 * (frame[start] & 15)
    return _from_udp(frame, udp, port, frame[start + 12 : start + 16], frame[start + 16 : start + 20])


def _from_ipv6(frame: bytes, start: int, port: int) -> Udp | Left:
    if len(frame) < start + 40:
        return "cut"
    kind, at = frame[start + 6], start + 40
    while kind in _EXTENSIONS or kind == _FRAGMENT:
        if len(frame) < at + 8:
            return "cut"
        if kind == _FRAGMENT:
            if int.from_bytes(frame[at + 2 : at + 4], "big") & 0xFFF9:
                return "fragment"
            kind, at = frame[at], at + 8
        else:
            kind, at = frame[at], at + 8 * (frame[at + 1] + 1)
    if kind != _UDP:
        return "other"
    return _from_udp(frame, at, port, frame[start + 8 : start + 24], frame[start + 24 : start + 40])


def _from_udp(frame: bytes, at: int, port: int, source: bytes, to: bytes) -> Udp | Left:
    if len(frame) < at + 8:
        return "cut"
    if int.from_bytes(frame[at + 2 : at + 4], "big") != port:
        return "other"
    length = int.from_bytes(frame[at + 4 : at + 6], "big")
    if length < 8:
        return "other"
    if len(frame) < at + length:
        return "cut"
    return Udp(_address(source), _address(to), port, frame[at + 8 : at + length])


@lru_cache(maxsize=1024)
def _address(octets: bytes) -> str:
    return socket.inet_ntop(socket.AF_INET if len(octets) == 4 else socket.AF_INET6, octets)
