"""The addresses of this machine on its local networks, and sockets that listen on them."""

from __future__ import annotations

import ipaddress
import socket
from typing import TYPE_CHECKING

from hollowglow.messages.refusal import Input, Refusal

if TYPE_CHECKING:
    from collections.abc import Iterable

# One address in each range that local networks use, and one outside: asking which way leads there sends nothing.
_PROBES = ("10.255.255.254", "172.31.255.254", "192.168.255.254", "169.254.255.254", "192.0.2.1")
_LOCAL = tuple(map(ipaddress.IPv4Network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16")))


def is_local(address: str) -> bool:
    """Return whether an IPv4 address is one of a local network (RFC 1918, RFC 3927).

    >>> is_local("192.168.1.20"), is_local("172.32.0.1"), is_local("203.0.113.9"), is_local("127.0.0.1")
    (True, False, False, False)
    """
    try:
        read = ipaddress.IPv4Address(address)
    except ValueError:
        return False
    return any(read in network for network in _LOCAL)


def local_addresses() -> tuple[str, ...]:
    """Return the IPv4 addresses under which other machines of the local networks find this one."""
    found: dict[str, None] = {}
    for probe in _PROBES:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
            try:
                asking.connect((probe, 9))
                found[asking.getsockname()[0]] = None
            except OSError:
                continue
    try:
        named = socket.gethostbyname_ex(socket.gethostname())[2]
    except OSError:
        named = []
    return tuple(address for address in dict.fromkeys([*found, *named]) if is_local(address))


def listen_at(addresses: Iterable[str], port: int) -> tuple[socket.socket, ...]:
    """Return sockets that listen on these addresses of this machine, all on one port.

    Args:
        addresses: one or more IPv4 addresses.
        port: to listen on; 0 takes a free one.

    Raises:
        Refusal: when an address or the port cannot be used.
    """
    made: list[socket.socket] = []
    for address in addresses:
        one = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        made.append(one)
        try:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            one.bind((address, port))
            one.listen(64)
        except (OSError, OverflowError) as error:
            for each in made:
                each.close()
            why = getattr(error, "strerror", None) or str(error)
            raise Refusal(
                f"Phones cannot be listened for at {address}, port {port} ({why}). Name another address ",
                Input("phone_at", way="with"),
                ", or another port ",
                Input("phone_port", way="with"),
                ".",
            ) from None
        port = one.getsockname()[1]
    return tuple(made)
