"""The socket that packets leave by: many in one call where the system can, one by one where not."""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import socket
import struct
import sys
from collections.abc import Sequence

import numpy as np

from hollowglow.messages.refusal import Input, Refusal
from hollowglow.net.addresses import Destination, SocketAddress
from hollowglow.net.packets.stream import Frame, Rows

_ROOM_OCTETS = 1 << 22
_STUCK_S = 0.02  # a send that waits longer than this for room is given up, so that the next frame is on time
_MOST_AT_ONCE = 1024  # UIO_MAXIOV of Linux
# Linux reports what the network says of a packet, with these; Python has no names for them.
_ASK_FOR_ERRORS = {
    socket.AF_INET: (socket.IPPROTO_IP, 11),  # IP_RECVERR
    socket.AF_INET6: (socket.IPPROTO_IPV6, 25),  # IPV6_RECVERR
}
_ERROR_QUEUE = 0x2000  # MSG_ERRQUEUE
_MOST_ERRORS = 64
_SAID_OF_EARLIER_ONES = (errno.ECONNREFUSED, errno.EHOSTUNREACH)


class _Vector(ctypes.Structure):
    _fields_ = (("base", ctypes.c_void_p), ("length", ctypes.c_size_t))


class _Header(ctypes.Structure):
    """struct msghdr of Linux."""

    _fields_ = (
        ("name", ctypes.c_void_p),
        ("name_length", ctypes.c_uint32),
        ("vectors", ctypes.c_void_p),
        ("vector_count", ctypes.c_size_t),
        ("control", ctypes.c_void_p),
        ("control_length", ctypes.c_size_t),
        ("flags", ctypes.c_int),
    )


class _Message(ctypes.Structure):
    """struct mmsghdr of Linux."""

    _fields_ = (("header", _Header), ("sent", ctypes.c_uint))


class Outlet:
    """A UDP socket towards a target.

    Args:
        target: where packets go.
        universes: of the rows of the table.
        table: one packet a row; its memory is read when it is sent.
        interface: own address to send from; the system chooses where None.

    Raises:
        Refusal: no socket can be had.
    """

    def __init__(
        self, target: Destination, universes: Sequence[int], table: Frame, interface: str | None = None
    ) -> None:
        self.target = target
        self._table = table
        self._to = [target.of(u) for u in universes]
        self._rows = [memoryview(row) for row in table]
        self._interface = interface
        self._socket = self._opened()
        self._asking = self._opened() if target.host is not None and sys.platform.startswith("linux") else None
        self._said = 0
        if self._asking is not None:
            with contextlib.suppress(OSError):
                self._asking.setsockopt(*_ASK_FOR_ERRORS[socket.AddressFamily(target.family)], 1)
        self._many = _Many(table, self._to) if _SENDMMSG is not None and target.family == socket.AF_INET else None

    def send_rows(self, rows: Rows) -> tuple[int, OSError | None]:
        """Send packets of the table; return how many left, and why the first that did not could not."""
        if self._many is not None:
            return self._many.send(self._socket.fileno(), rows)
        failed: OSError | None = None
        left = 0
        for row in rows.tolist():
            try:
                self._socket.sendto(self._rows[row], self._to[row])
                left += 1
            except OSError as error:
                failed = failed or error
        return left, failed

    def send(self, packet: bytes, universe: int) -> None:
        """Send one packet to where those of a universe go."""
        self._socket.sendto(packet, self.target.of(universe))

    def ask(self, packet: bytes, universe: int) -> None:
        """Send one packet as `send` does, so that `refused` tells what the network says of it."""
        try:
            (self._asking or self._socket).sendto(packet, self.target.of(universe))
        except OSError as error:
            if self._asking is None or error.errno not in _SAID_OF_EARLIER_ONES:
                raise
            self._said = error.errno

    def refused(self) -> int:
        """Return an error number that the network or the host reported of a packet since the last time; 0 for none."""
        found, self._said = self._said, 0
        if self._asking is None:
            return found
        for _ in range(_MOST_ERRORS):
            try:
                _, extra, _, _ = self._asking.recvmsg(1, 512, _ERROR_QUEUE | socket.MSG_DONTWAIT)
            except OSError:
                break
            for _, _, octets in extra:
                if len(octets) >= 4:
                    found = int.from_bytes(octets[:4], sys.byteorder)  # ee_errno of struct sock_extended_err
        return found

    def reopen(self) -> None:
        """Take a new socket, since an interface that went and came back may have a new number."""
        fresh = self._opened()
        self._socket.close()
        self._socket = fresh

    def close(self) -> None:
        """Close its sockets."""
        self._socket.close()
        if self._asking is not None:
            self._asking.close()

    def _opened(self) -> socket.socket:
        out = socket.socket(self.target.family, socket.SOCK_DGRAM)
        try:
            with contextlib.suppress(OSError):
                out.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _ROOM_OCTETS)
            if hasattr(socket, "SO_SNDTIMEO") and sys.platform != "win32":
                out.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, struct.pack("ll", 0, int(_STUCK_S * 1e6)))
            if self._interface is not None:
                out.bind((self._interface, 0))
                if self.target.host is None:
                    own = socket.inet_aton(self._interface)
                    out.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_IF, own)
        except OSError as error:
            out.close()
            raise Refusal(
                f"Nothing can be sent from {self._interface or 'this computer'} ({error.strerror or error}); expected "
                "the address of one of its network interfaces. Leave ",
                Input("interface"),
                " out to let the system choose.",
            ) from None
        return out


def _sendmmsg() -> ctypes._CFuncPtr | None:  # type: ignore[name-defined]
    if not sys.platform.startswith("linux"):
        return None
    try:
        function = ctypes.CDLL(None, use_errno=True).sendmmsg
    except (OSError, AttributeError):
        return None
    function.argtypes = (ctypes.c_int, ctypes.c_void_p, ctypes.c_uint, ctypes.c_int)
    function.restype = ctypes.c_int
    return function


_SENDMMSG = _sendmmsg()


class _Many:
    """sendmmsg with everything laid out beforehand.

    One call for a frame matters less for the processor than for time: each call from Python gives other threads a
    turn, and a busy one would hold up five hundred of them one after the other.
    """

    def __init__(self, table: Frame, to: Sequence[SocketAddress]) -> None:
        count, octets = table.shape
        size = 16  # struct sockaddr_in
        packed = [
            struct.pack("=H", socket.AF_INET) + struct.pack(">H", t[1]) + socket.inet_aton(t[0]) + bytes(8) for t in to
        ]
        self._names = ctypes.create_string_buffer(b"".join(packed), count * size)
        self._vectors = (_Vector * count)()
        self._messages = (_Message * count)()
        self._kept = table
        for row in range(count):
            self._vectors[row] = _Vector(table.ctypes.data + row * octets, octets)
            vector = ctypes.addressof(self._vectors) + row * ctypes.sizeof(_Vector)
            self._messages[row].header = _Header(ctypes.addressof(self._names) + row * size, size, vector, 1)
        self._headers = np.frombuffer(self._messages, dtype=np.uint8).reshape(count, ctypes.sizeof(_Message))

    def send(self, file: int, rows: Rows) -> tuple[int, OSError | None]:
        assert _SENDMMSG is not None
        headers = np.ascontiguousarray(self._headers[rows])
        start, left, failed = 0, 0, 0
        while start < len(rows):
            at = headers.ctypes.data + start * headers.shape[1]
            sent = _SENDMMSG(file, at, min(len(rows) - start, _MOST_AT_ONCE), 0)
            if sent > 0:
                start += sent
                left += sent
                continue
            code = ctypes.get_errno()
            if code == errno.EINTR:
                continue
            failed = failed or code
            if code in (errno.EAGAIN, errno.EBADF):  # no room for any of the rest, or no socket any more
                break
            start += 1
        return left, OSError(failed, os.strerror(failed)) if failed else None
