"""Sequence numbers, suppression, keep-alive, discovery and schedule, on a clock that the test moves."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.net.packets.packet import Data, Discovery, Sync, decode
from hollowglow.net.packets.stream import SentStream
from hollowglow.net.sending.outlet import Outlet
from hollowglow.net.sending.schedule import Clock, Schedule
from hollowglow.net.sending.sender import Sender
from tests.net.test_sender import until

CID = bytes(range(16))
PERIOD_S = 0.025


def stream(*universes: int, sync_address: int = 0) -> SentStream:
    return SentStream(universes, cid=CID, source="x", priority=100, sync_address=sync_address)


def frame(*values: int) -> np.ndarray[tuple[int, int], np.dtype[np.uint8]]:
    return np.repeat(np.array(values, dtype=np.uint8)[:, None], 512, axis=1)


def read(made: SentStream, row: int) -> Data:
    packet = decode(made.table[row].tobytes())
    assert isinstance(packet, Data)
    return packet


def test_three_alike_then_one_in_eight_hundred_to_a_thousand_milliseconds() -> None:
    """ANSI E1.31-2018 clause 6.6.2."""
    made, shown = stream(1), frame(9)
    sent = [k * PERIOD_S for k in range(400) if len(made.due(shown, k * PERIOD_S))]
    assert sent[:3] == [0.0, PERIOD_S, 2 * PERIOD_S]
    gaps = np.diff(sent[2:])
    assert len(gaps) >= 9
    assert gaps.min() >= 0.8
    assert gaps.max() <= 1.0


@given(st.floats(10.0, 1000.0))
def test_keep_alive_holds_at_every_rate(rate_hz: float) -> None:
    """ANSI E1.31-2018 clause 6.6.2."""
    made, shown = stream(1), frame(9)
    sent = [k / rate_hz for k in range(int(4 * rate_hz)) if len(made.due(shown, k / rate_hz))]
    gaps = np.diff(sent[2:])
    assert gaps.min() >= 0.8
    assert gaps.max() <= 1.0 + 1e-9


def test_only_the_universe_that_changed_is_sent_again() -> None:
    made = stream(3, 5)
    for k in range(3):
        assert made.due(frame(1, 1), k * PERIOD_S).tolist() == [0, 1]
    assert made.due(frame(1, 1), 3 * PERIOD_S).tolist() == []
    assert made.due(frame(1, 2), 4 * PERIOD_S).tolist() == [1]
    assert (read(made, 1).universe, read(made, 1).slots) == (5, bytes([2]) * 512)


def test_sequence_numbers_rise_by_one_in_each_universe_and_wrap() -> None:
    """ANSI E1.31-2018 clause 6.2.5 and 6.7.2: 8 bits, one more with each packet of a universe."""
    made = stream(1, 2)
    seen: list[int] = []
    for k in range(300):
        made.due(frame(k % 251, 7), k * PERIOD_S)
        seen.append(read(made, 0).sequence)
    assert [(b - a) % 256 for a, b in itertools.pairwise(seen)] == [1] * 299
    assert read(made, 1).sequence != read(made, 0).sequence


def test_the_end_is_dark_and_says_so() -> None:
    """ANSI E1.31-2018 clause 6.2.6."""
    made = stream(1)
    made.due(frame(200), 0.0)
    before = read(made, 0).sequence
    made.last(terminated=True)
    packet = read(made, 0)
    assert (packet.terminated, packet.slots, packet.sequence) == (True, bytes(512), (before + 1) % 256)


def test_synchronization_packets_count_for_themselves() -> None:
    """ANSI E1.31-2018 clause 6.3."""
    made = stream(1, sync_address=7962)
    made.due(frame(1), 0.0)
    assert read(made, 0).sync_address == 7962
    assert [decode(made.sync()) for _ in range(2)] == [Sync(CID, 0, 7962), Sync(CID, 1, 7962)]
    assert stream(1).sync() == b""


def test_discovery_comes_every_ten_seconds_in_pages_of_512() -> None:
    """ANSI E1.31-2018 clause 8 and appendix A, E131_UNIVERSE_DISCOVERY_INTERVAL."""
    made = stream(*range(1, 1101))
    pages = [decode(p) for p in made.discovery]
    assert [(p.page, p.last_page, len(p.universes)) for p in pages if isinstance(p, Discovery)] == [
        (0, 2, 512),
        (1, 2, 512),
        (2, 2, 76),
    ]
    times = [k * PERIOD_S for k in range(1300) if made.discovery_due(k * PERIOD_S)]
    assert times == [0.0, 10.0, 20.0, 30.0]


@pytest.mark.parametrize("universes", [(), (2, 1), (1, 1), (0,), (64000,)])
def test_universes_that_cannot_be(universes: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="universe"):
        stream(*universes)


class Moved:
    """A clock that goes only where a test moves it, and late by what the test says."""

    def __init__(self) -> None:
        self.now_s = 100.0
        self.asleep_s = 0.0
        self.late_s = 0.0

    def sleep(self, seconds: float) -> None:
        self.now_s += seconds + self.late_s

    def clock(self) -> Clock:
        return Clock(lambda: self.now_s, lambda: self.now_s + self.asleep_s, self.sleep)


def test_deadlines_do_not_drift() -> None:
    time = Moved()
    schedule = Schedule(time.clock(), PERIOD_S)
    time.late_s = 0.001
    ticks = [schedule.wait() for _ in range(4000)]
    assert ticks[-1].deadline_s == pytest.approx(100.0 + 3999 * PERIOD_S, abs=1e-9)
    assert max(t.late_s for t in ticks) == pytest.approx(0.001, abs=1e-9)
    assert sum(t.missed for t in ticks) == 0


def test_missed_deadlines_are_left_out_and_counted() -> None:
    time = Moved()
    schedule = Schedule(time.clock(), PERIOD_S)
    schedule.wait()
    time.now_s += 0.110
    tick = schedule.wait()
    assert (tick.missed, tick.gap_s) == (3, 0.0)
    assert tick.late_s == pytest.approx(0.010)
    assert schedule.wait().deadline_s == pytest.approx(100.0 + 5 * PERIOD_S)


@pytest.mark.parametrize("counted", [True, False])
def test_a_sleep_of_the_machine_is_noticed(counted: bool) -> None:
    """Whether the monotonic clock stood still meanwhile (Linux, macOS) or not."""
    time = Moved()
    schedule = Schedule(time.clock(), PERIOD_S)
    schedule.wait()
    if counted:
        time.now_s += 3600.0
    else:
        time.asleep_s += 3600.0
    assert schedule.wait().gap_s == pytest.approx(3600.0, abs=0.1)
    assert schedule.wait().gap_s == 0.0


@given(st.lists(st.tuples(st.integers(1, 40), st.lists(st.integers(0, 2), min_size=3, max_size=3)), max_size=12))
def test_what_is_due_is_what_the_rules_say_one_by_one(shows: list[tuple[int, list[int]]]) -> None:
    """A second way to it: each universe by itself, each frame by itself, in the words of clause 6.6.2."""
    made = stream(4, 5, 6)
    held, alike, sent_s, sequence = [0, 0, 0], [0, 0, 0], [-9.0] * 3, [0, 0, 0]
    tick = 0
    for frames, values in shows:
        shown = frame(*values)
        for _ in range(frames):
            now_s = tick * PERIOD_S
            tick += 1
            rows = []
            for u in range(3):
                if values[u] != held[u]:
                    held[u], alike[u] = values[u], 0
                if alike[u] < 3 or now_s - sent_s[u] > 0.9 - PERIOD_S / 2:
                    rows.append(u)
                    alike[u] += 1
                    sent_s[u] = now_s
                    sequence[u] = (sequence[u] + 1) % 256
            assert made.due(shown, now_s).tolist() == rows
            for u in rows:
                packet = read(made, u)
                assert (packet.sequence, packet.slots) == (sequence[u], bytes([values[u]]) * 512)


def test_a_frame_may_begin_before_its_deadline() -> None:
    time = Moved()
    schedule = Schedule(time.clock(), PERIOD_S)
    schedule.wait()
    ticks = [schedule.wait(0.003) for _ in range(40)]
    assert [t.late_s for t in ticks] == pytest.approx([-0.003] * 40)
    assert ticks[-1].deadline_s == pytest.approx(100.0 + 40 * PERIOD_S)
    assert sum(t.missed for t in ticks) == 0


@pytest.mark.parametrize(("lasts_s", "lead_s"), [(0.004, 0.002), (0.020, 0.00625)])
def test_packets_that_take_a_while_lie_around_their_deadline(
    lasts_s: float, lead_s: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Half of what sending takes before it, half after, but never more than a quarter of the time between frames."""
    time = Moved()

    def send(self: Outlet, rows: np.ndarray) -> tuple[int, None]:
        time.now_s += lasts_s
        return len(rows), None

    monkeypatch.setattr(Outlet, "send_rows", send)
    made = Sender([1], "127.0.0.1", cid=bytes(16), source="x", rate_hz=40.0, clock=time.clock())
    made.show(np.full((1, 512), 7, np.uint8))
    until(lambda: made.statistics().frames >= 100)
    made.stop()
    told = made.statistics()
    assert told.begun_late_s[2:] == pytest.approx(np.full(len(told.begun_late_s) - 2, -lead_s), abs=1e-9)
    assert told.gone_late_s[2:] == pytest.approx(np.full(len(told.gone_late_s) - 2, lasts_s - lead_s), abs=1e-9)
    assert told.missed == 0
