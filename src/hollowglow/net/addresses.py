"""Where packets go: the multicast group of a universe or one named host, and what counts as outside of one's own network."""

from __future__ import annotations

import ipaddress
import re
import socket
from dataclasses import dataclass

from hollowglow.messages.refusal import Input, Refusal
from hollowglow.net.packets.packet import PORT

MULTICAST = "multicast"
# Private, link-local and loopback: RFC 1918, 3927, 4193, 4291 and 6890. Whatever lies outside may be somebody else's.
_OWN = tuple(
    ipaddress.ip_network(n)
    for n in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "127.0.0.0/8",
        "::1/128",
        "fe80::/10",
        "fc00::/7",
    )
)
_HOST_PORT = re.compile(r"(?:\[(?P<six>[^\]]+)\]|(?P<host>[^:]+))(?::(?P<port>\d+))?")

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
SocketAddress = tuple[str, int] | tuple[str, int, int, int]


@dataclass(frozen=True, slots=True)
class Destination:
    """Where the packets of a display go.

    Attributes:
        named: as the person named it.
        host: the one host's socket address; None for multicast.
        port: UDP port.
        family: socket.AF_INET or socket.AF_INET6.
    """

    named: str
    host: SocketAddress | None
    port: int
    family: int

    def of(self, universe: int) -> SocketAddress:
        """Return where the packets of a universe go (or of discovery, or of a synchronization address)."""
        return self.host if self.host is not None else (group(universe), self.port)


def group(universe: int) -> str:
    """Return the IPv4 multicast group of a universe: 239.255.high.low (ANSI E1.31-2018 clause 9.3.1).

    >>> group(1), group(256), group(63999), group(64214)
    ('239.255.0.1', '239.255.1.0', '239.255.249.255', '239.255.250.214')
    """
    return f"239.255.{universe >> 8}.{universe & 0xFF}"


def is_public(address: str) -> bool:
    """Return whether an address may lie outside of one's own network.

    >>> is_public("192.168.1.20"), is_public("127.0.0.1"), is_public("fe80::1%2"), is_public("::ffff:10.0.0.1")
    (False, False, False, False)
    >>> is_public("100.64.0.1"), is_public("172.32.0.1"), is_public("2001:4860::1"), is_public("239.255.0.1")
    (True, True, True, False)
    """
    at = _plain(ipaddress.ip_address(address))
    if at.is_multicast and isinstance(at, ipaddress.IPv4Address):
        return at not in ipaddress.ip_network("239.0.0.0/8")  # administratively scoped, RFC 2365
    return not any(at.version == own.version and at in own for own in _OWN)


def target(to: str, yes_public: bool = False) -> Destination:
    """Return where to send: "multicast", or a host with or without a port.

    Args:
        to: what the person typed: multicast, 192.168.1.20, controller.local:5568, [fd00::5]:5568.
        yes_public: whether an address outside of one's own network is meant.

    Raises:
        Refusal: nothing that can be sent to, or a public address without the person's yes.
    """
    named = to.strip()
    port_of_group = re.fullmatch(rf"{MULTICAST}(?::(\d+))?", named)
    if port_of_group:
        return Destination(named, None, _port(port_of_group.group(1), named), socket.AF_INET)
    match = _HOST_PORT.fullmatch(named)
    if match is None and named.count(":") > 1:
        host, port = named, PORT  # a bare IPv6 address
    elif match is None:
        raise Refusal(
            f'found "{named}", expected {MULTICAST}, a host or host:port. Example: ',
            Input("to", "192.168.1.20"),
            field="to",
        )
    else:
        host, port = match["six"] or match["host"], _port(match["port"], named)
    family, where = _resolve(host, port, named)
    at = _plain(ipaddress.ip_address(where[0]))
    if at.is_multicast:
        raise Refusal(
            f"found the multicast group {at}, expected one host. ",
            Input("to", MULTICAST),
            " sends every universe to its own group.",
            field="to",
        )
    if at.is_unspecified or str(at) == "255.255.255.255":
        raise Refusal(f"{at} is no host. Name the controller's address, or {MULTICAST}.", field="to")
    if is_public(str(at)) and not yes_public:
        shown = str(at) if str(at) in named else f"{named} ({at})"
        raise Refusal(
            f"{shown} is a public address, so nothing was sent. Lights are reached at private addresses such as "
            "192.168.1.20; if this one is meant all the same, ",
            Input("yes_public", way="add"),
            ".",
        )
    return Destination(named, where, port, family)


def check_interface(interface: str) -> str:
    """Return an interface's own address as it was given; Refusal where it is not an IP address."""
    try:
        ipaddress.ip_address(interface)
    except ValueError:
        raise Refusal(
            f'found "{interface}", expected the address of a network interface of this computer, such as 192.168.1.9.',
            field="interface",
        ) from None
    return interface


def _plain(address: Address) -> Address:
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return mapped or address


def _port(text: str | None, named: str) -> int:
    port = PORT if text is None else int(text)
    if not 1 <= port <= 65535:
        raise Refusal(
            f'found port {port} in "{named}", expected 1 to 65535. E1.31 receivers listen on {PORT}.', field="to"
        )
    return port


def _resolve(host: str, port: int, named: str) -> tuple[int, SocketAddress]:
    try:
        found = socket.getaddrinfo(host, port, type=socket.SOCK_DGRAM, proto=socket.IPPROTO_UDP)
    except (OSError, UnicodeError):
        raise Refusal(
            f'no address is known for "{named}". Name the IP address that the controller shows, '
            "such as 192.168.1.20, and check that this computer is on its network.",
            field="to",
        ) from None
    for family, _, _, _, where in sorted(found, key=lambda f: f[0] != socket.AF_INET):
        if family in (socket.AF_INET, socket.AF_INET6):
            return family, where  # type: ignore[return-value]
    raise Refusal(f'"{named}" has no IP address.', field="to")
