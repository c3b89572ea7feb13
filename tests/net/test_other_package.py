"""The sacn package sends, we hear: priorities, merging, termination, silence."""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
import sacn

from hollowglow.net.hearing.receiver import Receiver
from hollowglow.net.hearing.sources import HeardSources

HOST, PATIENCE_S = "127.0.0.1", 60.0


class Listener:
    """A receiver and what it makes of the universes 1 and 2."""

    def __init__(self, receiver: Receiver) -> None:
        self.receiver, self.sources, self.told = receiver, HeardSources((1, 2)), list[str]()

    def until(self, done: Callable[[], bool]) -> None:
        limit_s = time.monotonic() + PATIENCE_S
        while not done():
            assert time.monotonic() < limit_s, (self.told, self.shown())
            heard = self.receiver.receive(0.02)
            now_s = time.monotonic()
            events = self.sources.hear(heard.datagram, heard.sender, heard.at_s) if heard else self.sources.tick(now_s)
            self.told += [f"{e.source} {e.what} {e.universe}" for e in events]

    def shown(self, row: int = 0) -> tuple[int, ...]:
        return tuple(self.sources.frame(time.monotonic())[row, :3].tolist())


@contextmanager
def sending(name: str, priority: int, *universes: int) -> Iterator[sacn.sACNsender]:
    out = sacn.sACNsender(bind_address=HOST, bind_port=0, source_name=name, fps=30, universeDiscovery=False)
    out.start()
    try:
        for universe in universes:
            out.activate_output(universe)
            out[universe].destination, out[universe].priority = HOST, priority
        yield out
    finally:
        out.stop()


@pytest.fixture
def listener(monkeypatch: pytest.MonkeyPatch) -> Iterator[Listener]:
    with Receiver(port=0) as receiver:
        monkeypatch.setattr("sacn.sending.sender_socket_udp.DEFAULT_PORT", receiver.port)
        yield Listener(receiver)


def test_what_it_sends_is_shown_and_gone_when_it_stops(listener: Listener) -> None:
    with sending("garden", 100, 1, 2) as out:
        out[1].dmx_data, out[2].dmx_data = (1, 2, 3), (4, 5, 6)
        listener.until(lambda: listener.shown() == (1, 2, 3) and listener.shown(1) == (4, 5, 6))
        listener.until(lambda: {h.source for h in listener.sources.heard(time.monotonic())} == {"garden"})
        out.deactivate_output(1)
        listener.until(lambda: "garden terminated 1" in listener.told)
        listener.until(lambda: (listener.shown(), listener.shown(1)) == ((0, 0, 0), (4, 5, 6)))
    # Stopped without deactivating, this package falls silent.
    listener.until(lambda: "garden lost 2" in listener.told)
    assert listener.shown(1) == (0, 0, 0)
    counts = listener.sources.counts(2)
    assert (counts.lost, counts.discarded, listener.sources.totals.malformed) == (0, 0, 0)


def test_the_higher_priority_wins_until_it_stops(listener: Listener) -> None:
    with sending("low", 90, 1) as low, sending("high", 110, 1) as high:
        low[1].dmx_data, high[1].dmx_data = (200, 200, 200), (1, 0, 3)
        listener.until(lambda: listener.shown() == (1, 0, 3) and "low found 1" in listener.told)
        high.deactivate_output(1)
        listener.until(lambda: "high terminated 1" in listener.told and listener.shown() == (200, 200, 200))


def test_equals_are_merged_by_the_highest_value(listener: Listener) -> None:
    with sending("a", 100, 1) as a, sending("b", 100, 1) as b:
        a[1].dmx_data, b[1].dmx_data = (10, 0, 30), (5, 20, 255)
        listener.until(lambda: listener.shown() == (10, 20, 255))
