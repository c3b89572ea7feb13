"""Each rule of hearing several sources, one at a time."""

import pytest

from hollowglow.net.hearing.sources import HeardSources
from tests.net.senders import cid, data, sync

HOST = "127.0.0.1"


def hear(sources: HeardSources, datagram: bytes, at_s: float = 0.0) -> list[str]:
    return [event.what for event in sources.hear(datagram, HOST, at_s)]


def first(sources: HeardSources, at_s: float = 0.0, row: int = 0, count: int = 3) -> list[int]:
    shown: list[int] = sources.frame(at_s)[row, :count].tolist()
    return shown


def test_what_nobody_sends_is_zero_and_short_packets_fill_with_zero() -> None:
    sources = HeardSources((1, 7))
    assert sources.frame(0.0).shape == (2, 512)
    assert not sources.frame(0.0).any()
    assert hear(sources, data(1, 0, bytes([9, 8, 7]), universe=7)) == ["found"]
    assert hear(sources, data(1, 1, bytes([5]), universe=7)) == []
    assert first(sources, row=1) == [5, 0, 0]
    assert first(sources, row=0) == [0, 0, 0]


def test_the_highest_priority_wins_whatever_the_values() -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, bytes([200, 200, 200]), priority=100))
    hear(sources, data(2, 0, bytes([1, 0, 3]), priority=101))
    assert first(sources) == [1, 0, 3]
    assert [(h.cid, h.priority, h.wins) for h in sources.heard(0.0)] == [(cid(2), 101, True), (cid(1), 100, False)]
    hear(sources, data(2, 1, bytes([1, 0, 3]), priority=0))
    assert first(sources) == [200, 200, 200]


def test_sources_of_one_priority_are_merged_by_the_highest_value_of_each_slot() -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, bytes([10, 0, 255])))
    hear(sources, data(2, 0, bytes([5, 20])))
    assert first(sources) == [10, 20, 255]


def test_a_source_is_gone_after_two_and_a_half_seconds_and_says_so_once() -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, bytes([9])), 10.0)
    assert sources.tick(12.499) == ()
    assert first(sources, 12.499) == [9, 0, 0]
    assert first(sources, 12.5) == [0, 0, 0]
    (event,) = sources.tick(12.6)
    assert event.text() == 'universe 1: "sender 1" (127.0.0.1) fell silent'
    assert sources.tick(13.0) == ()
    # Any number may follow: the stream begins anew.
    assert hear(sources, data(1, 0, bytes([4])), 13.0) == ["found"]
    assert first(sources, 13.0) == [4, 0, 0]


def test_when_the_more_important_one_falls_silent_the_other_takes_over() -> None:
    sources = HeardSources((1,))
    hear(sources, data(2, 0, bytes([7]), priority=150), 0.0)
    hear(sources, data(1, 0, bytes([9])), 1.0)
    assert first(sources, 2.0) == [7, 0, 0]
    assert first(sources, 2.5) == [9, 0, 0]


def test_a_source_that_says_that_it_stops_is_gone_at_once_and_its_values_are_not_heeded() -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, bytes([9])))
    assert hear(sources, data(1, 1, bytes([255]), terminated=True)) == ["terminated"]
    assert hear(sources, data(1, 2, bytes([255]), terminated=True)) == []
    assert hear(sources, data(1, 3, bytes([255]), terminated=True)) == []
    assert first(sources) == [0, 0, 0]
    assert sources.counts(1).terminated == 3


def test_preview_data_is_not_shown_and_keeps_nobody_alive() -> None:
    sources = HeardSources((1,))
    assert hear(sources, data(1, 0, bytes([9]), preview=True)) == []
    assert first(sources) == [0, 0, 0]
    hear(sources, data(1, 1, bytes([3])), 0.0)
    hear(sources, data(1, 2, bytes([9]), preview=True), 2.0)
    assert first(sources, 2.0) == [3, 0, 0]
    assert first(sources, 2.5) == [0, 0, 0]
    assert sources.counts(1).preview == 2


def test_another_start_code_is_counted_not_shown_and_keeps_a_known_source_alive() -> None:
    sources = HeardSources((1,))
    assert hear(sources, data(1, 0, bytes([9]), start_code=0xDD)) == []
    hear(sources, data(1, 1, bytes([3])), 0.0)
    hear(sources, data(1, 2, bytes([9]), start_code=0xDD), 2.0)
    assert first(sources, 4.4) == [3, 0, 0]
    assert first(sources, 4.5) == [0, 0, 0]
    assert (sources.counts(1).alternate, sources.counts(1).frames, sources.counts(1).lost) == (2, 1, 0)


def test_lost_late_repeated_and_restarted_are_counted() -> None:
    sources = HeardSources((1,))
    for sequence in (250, 251, 254, 253, 254, 2, 1, 200):
        hear(sources, data(1, sequence, bytes([sequence])))
    counts = sources.counts(1)
    # 252 and 253 are missing after 251, 255 to 1 after 254; 253 and 1 come late, 254 twice; 2 -> 200 leaps back by 58.
    assert (counts.frames, counts.lost, counts.late, counts.discarded, counts.restarted) == (5, 5, 2, 3, 1)
    assert first(sources) == [200, 0, 0]


def test_what_is_not_for_us_is_counted() -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, b"\1", universe=2))
    hear(sources, b"hello")
    hear(sources, sync(9))
    assert (sources.totals.elsewhere, sources.totals.malformed, sources.totals.synchronizations) == (1, 1, 1)


def test_slots_are_held_for_the_synchronization_packet_once_there_was_one() -> None:
    sources = HeardSources((1, 2))
    for universe in (1, 2):
        hear(sources, data(1, 0, bytes([1]), universe=universe, sync=9))
    assert [first(sources, row=r)[0] for r in (0, 1)] == [1, 1]  # at once: none was heard yet (11.1)
    hear(sources, sync(9, 0))
    for universe in (1, 2):
        hear(sources, data(1, 1, bytes([2]), universe=universe, sync=9))
        hear(sources, data(1, 2, bytes([3]), universe=universe, sync=9))
    assert [first(sources, row=r)[0] for r in (0, 1)] == [1, 1]
    hear(sources, sync(8, 1))  # another address
    hear(sources, sync(9, 0))  # an old one
    assert [first(sources, row=r)[0] for r in (0, 1)] == [1, 1]
    hear(sources, sync(9, 1))
    assert [first(sources, row=r)[0] for r in (0, 1)] == [3, 3]
    hear(sources, data(1, 3, bytes([4]), universe=1, sync=0))
    assert [first(sources, row=r)[0] for r in (0, 1)] == [4, 3]


@pytest.mark.parametrize(("force", "shown"), [(True, 3), (False, 1)])
def test_when_synchronization_is_lost_the_packet_says_whether_to_go_on(force: bool, shown: int) -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, bytes([1]), sync=9, force=force), 0.0)
    hear(sources, sync(9, 0), 0.1)
    hear(sources, data(1, 1, bytes([2]), sync=9, force=force), 2.0)
    assert first(sources, 2.0) == [1, 0, 0]
    hear(sources, data(1, 2, bytes([3]), sync=9, force=force), 2.7)
    assert first(sources, 2.7) == [shown, 0, 0]
    hear(sources, data(1, 3, bytes([5]), sync=9, force=force), 2.8)
    hear(sources, sync(9, 1), 2.9)
    assert first(sources, 2.9) == [5, 0, 0]


def test_more_sources_than_there_is_room_for_are_refused_unless_they_matter_more() -> None:
    sources = HeardSources((1,), most=2)
    hear(sources, data(1, 0, bytes([1])), 0.0)
    hear(sources, data(2, 0, bytes([2])), 0.1)
    assert hear(sources, data(3, 0, bytes([3])), 0.2) == ["refused"]
    assert hear(sources, data(4, 0, bytes([4])), 0.2) == []  # said once
    assert first(sources, 0.2) == [2, 0, 0]
    assert hear(sources, data(5, 0, bytes([5]), priority=101), 0.3) == ["refused", "found"]
    assert [h.cid for h in sources.heard(0.3)] == [cid(5), cid(2)]
    assert sources.counts(1).refused == 2


def test_a_clock_that_goes_back_counts_as_no_time_passed() -> None:
    sources = HeardSources((1,))
    hear(sources, data(1, 0, bytes([9])), 100.0)
    hear(sources, data(1, 1, bytes([8])), 5.0)
    assert first(sources, 50.0) == [8, 0, 0]
    assert first(sources, 102.5) == [0, 0, 0]


def test_a_frame_is_the_callers_own() -> None:
    sources = HeardSources((1,))
    sources.frame(0.0)[:] = 255
    assert not sources.frame(0.0).any()
