"""What the sender sends, the receiving side hears: frames, the end of a stream, and the silence of a killed one."""

import numpy as np

from hollowglow.net import Sender
from hollowglow.net.hearing.sources import HeardSources
from hollowglow.net.packets.stream import Frame
from tests.net.listening import Ear, listening, program

LOSS_S = 2.5  # E131_NETWORK_DATA_LOSS_TIMEOUT, ANSI E1.31-2018 appendix A


def heard(ear: Ear, sources: HeardSources, start: int = 0) -> int:
    """Hand over what arrived since, each at its time, and return how much that is by now."""
    came = ear.datagrams
    for at_s, datagram in zip(ear.times_s[start:], came[start:], strict=False):
        sources.hear(datagram, "127.0.0.1", at_s)
    return len(came)


def frame(*values: int) -> Frame:
    return np.repeat(np.array(values, dtype=np.uint8)[:, None], 512, axis=1)


def test_frames_and_their_end() -> None:
    sources = HeardSources([2, 9])
    with listening() as ear:
        with Sender([2, 9], ear.at, cid=bytes(16), source="x") as made:
            made.show(frame(20, 90))
            ear.wait_for(lambda e: len(e.data(9)) >= 3)
            count = heard(ear, sources)
            at_s = ear.times_s[count - 1]
            assert sources.frame(at_s).tolist() == frame(20, 90).tolist()
            assert [len(h.cid) for h in sources.heard(at_s)] == [16, 16]
        now = ear.times_s[heard(ear, sources, count) - 1]
        assert sources.heard(now) == ()
        assert not sources.frame(now).any()
        for universe in (2, 9):
            counts = sources.counts(universe)
            assert (counts.lost, counts.late, counts.discarded) == (0, 0, 0)


_PROGRAM = """
import sys, time, numpy as np
from hollowglow.net import Sender
with Sender([1], sys.argv[1], cid=bytes(16), source="x") as sender:
    sender.show(np.full((1, 512), 200, np.uint8))
    time.sleep(60)
"""


def test_a_killed_sender_leaves_the_receiver_dark_within_its_timeout() -> None:
    sources = HeardSources([1])
    with listening() as ear:
        process = program(_PROGRAM, ear.at)
        ear.wait_for(lambda e: len(e.data()) >= 3)
        process.kill()
        process.communicate(timeout=60)
        heard(ear, sources)
    last = ear.times_s[-1]
    assert sources.frame(last + LOSS_S - 0.1).max() == 200
    assert sources.frame(last + LOSS_S + 0.1).max() == 0
