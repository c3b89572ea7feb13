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
from contextlib import contextmanager
from pathlib import Path

from strandwright.live.packet import Data, Discovery, Malformed, Sync, decode

SOURCE = Path(__file__).parents[2] / "src"
PATIENCE_S = 60.0


class Ear:
    """What arrived so far, with the time of each."""

    def __init__(self) -> None:
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 22)
        self.socket.bind(("127.0.0.1", 0))
        self.socket.settimeout(0.05)
        self.port: int = self.socket.getsockname()[1]
        self.at = f"127.0.0.1:{self.port}"
        self.datagrams: list[bytes] = []
        self.times_s: list[float] = []
        self._open = True
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def _listen(self) -> None:
        while self._open:
            try:
                datagram = self.socket.recv(2048)
            except TimeoutError:
                continue
            self.times_s.append(time.monotonic())
            self.datagrams.append(datagram)

    def close(self) -> None:
        time.sleep(0.1)
        self._open = False
        self._thread.join()
        self.socket.close()

    def packets(self) -> list[Data | Sync | Discovery]:
        """Every packet so far; none may be malformed."""
        found = [decode(d) for d in list(self.datagrams)]
        assert not [p for p in found if isinstance(p, Malformed)]
        return [p for p in found if not isinstance(p, Malformed)]

    def data(self, universe: int = 1) -> list[Data]:
        return [p for p in self.packets() if isinstance(p, Data) and p.universe == universe]

    def wait_for(self, holds: Callable[["Ear"], bool]) -> None:
        end = time.monotonic() + PATIENCE_S
        while not holds(self):
            assert time.monotonic() < end, f"only {len(self.datagrams)} datagrams came"
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


def _heeding() -> None:
    """Heed signals wherever the tests were started: some shells start what runs in the background without."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGHUP, signal.SIG_DFL)


def program(text: str, *arguments: str) -> subprocess.Popen[str]:
    """Start a Python program that can import strandwright."""
    return subprocess.Popen(
        [sys.executable, "-c", text, *arguments],
        env=os.environ | {"PYTHONPATH": str(SOURCE)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
        preexec_fn=_heeding,
    )
