"""A socket on loopback that keeps every datagram it gets, and a program that sends to it in a process of its own."""

import itertools
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from hollowglow.net.packets.packet import Data, Discovery, Malformed, Sync, decode

SOURCE = Path(__file__).parents[2] / "src"
PATIENCE_S = 60.0


MARK = b"what was sent before this has been heard "


class Ear:
    """What arrived so far, with the time of each.

    Whoever asks for datagrams gets all that were sent before, however late this machine lets the listener have its turn.
    """

    def __init__(self) -> None:
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        for option in (
            getattr(socket, "SO_RCVBUFFORCE", 33),
            socket.SO_RCVBUF,
        ):  # the first one passes the system's limit
            with suppress(OSError):
                self.socket.setsockopt(socket.SOL_SOCKET, option, 1 << 24)
                break
        self.socket.bind(("127.0.0.1", 0))
        self.port: int = self.socket.getsockname()[1]
        self.at = f"127.0.0.1:{self.port}"
        self.times_s: list[float] = []
        self._datagrams: list[bytes] = []
        self._asked, self._answered = 0, 0
        self._turn = threading.Condition()
        self._open = True
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def _listen(self) -> None:
        while self._open:
            datagram = self.socket.recv(2048)
            if datagram.startswith(MARK):
                with self._turn:
                    self._answered = int(datagram.removeprefix(MARK))
                    self._turn.notify_all()
                continue
            self.times_s.append(time.monotonic())
            self._datagrams.append(datagram)

    def _settle(self) -> None:
        """Wait until all that lay in the socket is heard: a mark is put behind it, and datagrams stay in their order."""
        if not self._open:
            return
        end = time.monotonic() + PATIENCE_S
        with self._turn:
            self._asked += 1
            while self._answered < self._asked:
                assert time.monotonic() < end, "the listener hears nothing any more"
                self.socket.sendto(MARK + str(self._asked).encode(), ("127.0.0.1", self.port))
                self._turn.wait(1.0)  # a socket that was full took no mark

    @property
    def datagrams(self) -> list[bytes]:
        """Every datagram that was sent until now."""
        self._settle()
        return list(self._datagrams)

    def close(self) -> None:
        self._settle()
        self._open = False
        self.socket.sendto(MARK + b"0", ("127.0.0.1", self.port))
        self._thread.join()
        self.socket.close()

    def packets(self) -> list[Data | Sync | Discovery]:
        """Every packet so far; none may be malformed."""
        found = [decode(d) for d in self.datagrams]
        assert not [p for p in found if isinstance(p, Malformed)]
        return [p for p in found if not isinstance(p, Malformed)]

    def data(self, universe: int = 1) -> list[Data]:
        return [p for p in self.packets() if isinstance(p, Data) and p.universe == universe]

    def ended(self, universe: int = 1) -> bool:
        """Whether the stream has been ended, once or again: three packets with the bit for it."""
        terminated = sum(p.terminated for p in self.data(universe))
        return terminated > 0 and terminated % 3 == 0

    def wait_for(self, holds: Callable[["Ear"], bool]) -> None:
        end = time.monotonic() + PATIENCE_S
        while not holds(self):
            assert time.monotonic() < end, f"only {len(self._datagrams)} datagrams came"
            time.sleep(0.01)


@contextmanager
def listening() -> Iterator[Ear]:
    ear = Ear()
    try:
        yield ear
    finally:
        ear.close()


def ends_well(packets: list[Data]) -> None:
    """ANSI E1.31-2018 clause 6.2.6: three packets with the stream-terminated bit; ours come after darkness."""
    assert [p.terminated for p in packets[-4:]] == [False, True, True, True]
    assert not any(any(p.slots) for p in packets[-4:])
    assert not any(p.terminated for p in packets[:-3])
    assert [(b.sequence - a.sequence) % 256 for a, b in itertools.pairwise(packets)] == [1] * (len(packets) - 1)


def but_busy(said: str) -> list[str]:
    """Return the lines that were said, but for those by which a sender tells that this machine stood still."""
    return [line for line in said.splitlines() if not line.startswith("Nothing was sent for ")]


def heeding() -> None:
    """Heed signals wherever the tests were started: some shells start what runs in the background without."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for number in (signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT):
        signal.signal(number, signal.SIG_DFL)


def program(text: str, *arguments: str) -> subprocess.Popen[str]:
    """Start a Python program that can import hollowglow."""
    return subprocess.Popen(
        [sys.executable, "-c", text, *arguments],
        env=os.environ | {"PYTHONPATH": str(SOURCE)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        preexec_fn=heeding,
    )
