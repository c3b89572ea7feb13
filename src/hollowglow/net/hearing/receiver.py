"""Listening on the network: sockets that hear one address, or join the multicast groups of universes, and recover.

Times are taken from a clock that is never set back. On this machine's loopback address alone unless told otherwise.
IPv6 is heard by unicast; multicast groups are those of IPv4 (ANSI E1.31-2018 clause 9.3.1).
"""

from __future__ import annotations

import errno
import selectors
import socket
import time
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from types import TracebackType
from typing import NamedTuple

from hollowglow.messages.refusal import Input, Job, Refusal, Token
from hollowglow.net.hearing.groups import NoInterfaceError, group_of, membership
from hollowglow.net.packets.packet import PORT

ANYWHERE, HERE = "0.0.0.0", "127.0.0.1"
SILENCE_S = 2.5  # after so long without a datagram the groups are joined again, in case the network was away
CLOCK_JUMP_S = 1.0
_ROOM_OCTETS = 1 << 22
_MOST_OCTETS = 65_536
_AT_ONCE = 256
_FULL = {errno.ENOBUFS, getattr(errno, "ETOOMANYREFS", errno.ENOBUFS)}
_IP_MULTICAST_ALL = 49 if hasattr(socket, "SO_BINDTODEVICE") else None  # Linux; Python has no name for it
_IP_PKTINFO = getattr(socket, "IP_PKTINFO", 8) if hasattr(socket, "SO_BINDTODEVICE") else None


class Datagram(NamedTuple):
    """A datagram: what it holds, the address it came from, when on a clock that is never set back, both ends' ports."""

    datagram: bytes
    sender: str
    at_s: float
    source: tuple[str, int]
    to: tuple[str, int]


class Receiver:
    """Open sockets that hear E1.31; close it, or use it in a `with`.

    Args:
        universes: whose groups are joined, with `multicast`.
        multicast: hear the groups; what is sent to this machine alone is heard as well.
        interface: name or own address of the network interface on which the groups are joined; the system's choice if None.
        bind: own address to listen at; loopback, or with `multicast` all of them, if None.
        port: UDP port.
        say: is told in a sentence when the network goes or comes back, or the clock jumps.
        clock, wall: the time that never goes back, and the time of day, both in seconds.

    Raises:
        Refusal: when the port is in use, or the address or the interface is not this machine's.
    """

    def __init__(
        self,
        universes: Sequence[int] = (),
        *,
        multicast: bool = False,
        interface: str | None = None,
        bind: str | None = None,
        port: int = PORT,
        say: Callable[[str], None] | None = None,
        clock: Callable[[], float] = time.monotonic,
        wall: Callable[[], float] = time.time,
    ) -> None:
        self._multicast, self._interface = multicast, interface
        self._bind, self._port = bind or (ANYWHERE if multicast else HERE), port
        self._say = say or (lambda words: None)
        self._clock, self._wall = clock, wall
        self._selector = selectors.DefaultSelector()
        self._sockets: list[socket.socket] = []
        self._joined: list[tuple[socket.socket, bytes]] = []
        self._groups = [group_of(universe) for universe in universes] if multicast else []
        self._waiting: deque[Datagram] = deque()
        self._heard_s = self._tried_s = clock()
        self._offset_s = self._told_offset_s = wall() - self._heard_s
        self._away = False
        try:
            self._open()
            self._join()
        except (OSError, NoInterfaceError) as error:
            self.close()
            raise Refusal(*_in_words(error, self._bind, port, interface)) from None

    def __enter__(self) -> Receiver:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    @property
    def port(self) -> int:
        """UDP port that is listened at."""
        return int(self._sockets[0].getsockname()[1])

    def close(self) -> None:
        """Leave the groups and close every socket."""
        self._selector.close()
        for opened in self._sockets:
            opened.close()
        self._sockets.clear()
        self._joined.clear()

    def receive(self, wait_s: float) -> Datagram | None:
        """Return the next datagram, or None where none comes within a time."""
        if not self._waiting:
            self._gather(wait_s)
        return self._waiting.popleft() if self._waiting else None

    def time_of_day_s(self, at_s: float) -> float:
        """Return seconds since 1970 (UTC) for a time of `Heard`; it does not go back where the clock is set back."""
        return at_s + self._offset_s

    def _gather(self, wait_s: float) -> None:
        ready = self._selector.select(max(0.0, wait_s))
        now_s = self._clock()
        self._watch_clock(now_s)
        for key, _ in ready:
            if isinstance(key.fileobj, socket.socket):
                self._drain(key.fileobj, now_s)
        if self._waiting:
            self._heard_s = now_s
            self._come_back()
        elif self._groups and now_s - max(self._heard_s, self._tried_s) >= SILENCE_S:
            self._tried_s = now_s
            self._join_again()

    def _drain(self, opened: socket.socket, now_s: float) -> None:
        for _ in range(_AT_ONCE):
            try:
                if _IP_PKTINFO is None or opened.family != socket.AF_INET:
                    datagram, source = opened.recvfrom(_MOST_OCTETS)
                    to = self._bind
                else:
                    datagram, extra, _, source = opened.recvmsg(_MOST_OCTETS, socket.CMSG_SPACE(12))
                    to = socket.inet_ntoa(extra[0][2][8:12]) if extra else self._bind
            except BlockingIOError:
                return
            except OSError as error:  # the network went away under the socket
                self._go_away(error)
                return
            self._waiting.append(Datagram(datagram, source[0], now_s, (source[0], source[1]), (to, self._port)))

    def _open(self) -> socket.socket:
        family = socket.AF_INET6 if ":" in self._bind else socket.AF_INET
        opened = socket.socket(family, socket.SOCK_DGRAM)
        self._sockets.append(opened)
        if self._multicast:
            opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            if _IP_MULTICAST_ALL is None and hasattr(socket, "SO_REUSEPORT"):
                opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        elif hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            opened.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        with suppress(OSError):
            opened.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, _ROOM_OCTETS)
        if family == socket.AF_INET:
            with suppress(OSError):
                if _IP_MULTICAST_ALL is not None:  # else every socket hears the groups of all the others too
                    opened.setsockopt(socket.IPPROTO_IP, _IP_MULTICAST_ALL, 0)
                if _IP_PKTINFO is not None:
                    opened.setsockopt(socket.IPPROTO_IP, _IP_PKTINFO, 1)
        opened.bind((self._bind, self._port))
        self._port = int(opened.getsockname()[1])
        opened.setblocking(False)
        self._selector.register(opened, selectors.EVENT_READ)
        return opened

    def _join(self) -> None:
        """Join every group; a socket takes only so many (20 on Linux unless told otherwise), so more are opened."""
        sockets = iter(self._sockets.copy())
        opened = next(sockets)
        for group in self._groups:
            asked = membership(group, self._interface)
            try:
                opened.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, asked)
            except OSError as error:
                if error.errno not in _FULL:
                    raise
                opened = next(sockets, None) or self._open()
                opened.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, asked)
            self._joined.append((opened, asked))

    def _join_again(self) -> None:
        for opened, asked in self._joined:
            with suppress(OSError):
                opened.setsockopt(socket.IPPROTO_IP, socket.IP_DROP_MEMBERSHIP, asked)
        self._joined.clear()
        try:
            self._join()
        except (OSError, NoInterfaceError) as error:
            self._go_away(error)
        else:
            self._come_back()

    def _go_away(self, error: Exception) -> None:
        if not self._away:
            self._away = True
            why = (error.strerror or str(error)) if isinstance(error, OSError) else str(error)
            self._say(f"The network is gone ({why}). Trying again every {SILENCE_S} s.")

    def _come_back(self) -> None:
        if self._away:
            self._away = False
            self._say("The network is back.")

    def _watch_clock(self, now_s: float) -> None:
        offset_s = self._wall() - now_s
        jump_s = offset_s - self._told_offset_s
        if abs(jump_s) < CLOCK_JUMP_S:
            return
        self._told_offset_s = offset_s
        if jump_s > 0:
            self._offset_s = max(self._offset_s, offset_s)
            self._say(f"The clock went forward by {jump_s:.0f} s: this computer slept, or its clock was set.")
        else:
            self._say(f"The clock was set back by {-jump_s:.0f} s; times go on from before.")


def _in_words(error: Exception, bind: str, port: int, interface: str | None) -> tuple[str | Token, ...]:
    if isinstance(error, NoInterfaceError):
        return (str(error),)
    assert isinstance(error, OSError)
    match error.errno:
        case errno.EADDRINUSE:
            return (
                f"UDP port {port} at {bind} is in use by another program, so nothing can be heard there. "
                "Stop that program first, perhaps another ",
                Job("watch"),
                " or capture.",
            )
        case errno.EADDRNOTAVAIL:
            return (f"{interface or bind} is no address of this computer, so nothing can be heard there.",)
        case errno.ENODEV | errno.ENETUNREACH:
            what = f"Interface {interface}" if interface else "This computer"
            return (
                f"{what} has no network on which multicast can be heard. Name one ",
                Input("interface", way="with"),
                ".",
            )
        case errno.EACCES | errno.EPERM:
            return (f"This computer does not let you listen at {bind}, UDP port {port} ({error.strerror}).",)
        case _:
            return (f"Nothing can be heard at {bind}, UDP port {port} ({error.strerror or error}).",)
