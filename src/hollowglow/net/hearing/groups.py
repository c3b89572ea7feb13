"""Multicast groups of universes, and how the system is asked to join one on an interface."""

from __future__ import annotations

import ipaddress
import socket
import struct
import sys


class NoInterfaceError(Exception):
    """There is no network interface of that name."""


def group_of(universe: int) -> str:
    """Return the IPv4 multicast group of a universe: 239.255 and its two octets (ANSI E1.31-2018 clause 9.3.1).

    >>> group_of(1), group_of(256), group_of(63999)
    ('239.255.0.1', '239.255.1.0', '239.255.249.255')
    """
    return f"239.255.{universe >> 8}.{universe & 0xFF}"


def membership(group: str, interface: str | None) -> bytes:
    """Return what IP_ADD_MEMBERSHIP takes for a group on an interface.

    Args:
        group: IPv4 address of the group.
        interface: its name, its own IPv4 address, or None for the system's choice.

    Raises:
        NoInterfaceError: when there is none of that name.
    """
    packed = socket.inet_aton(group)
    if interface is None:
        return packed + bytes(4)
    try:
        return packed + ipaddress.IPv4Address(interface).packed
    except ValueError:
        pass
    try:
        index = socket.if_nametoindex(interface)
    except (OSError, ValueError):
        known = ", ".join(name for _, name in socket.if_nameindex())
        raise NoInterfaceError(
            f"There is no network interface {interface!a} on this computer. There are: {known}."
        ) from None
    if sys.platform == "win32":
        return packed + struct.pack("!I", index)
    return packed + bytes(4) + struct.pack("@i", index)
