"""What the sending thread sends on loopback, how every stop ends, and what it says of trouble."""

import errno
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
import pytest
import sacn

from hollowglow.cli.terminal.words import of_error
from hollowglow.messages.refusal import Refusal
from hollowglow.net.packets.packet import Data, Discovery, Sync
from hollowglow.net.packets.stream import Frame, SentStream
from hollowglow.net.sending import outlet
from hollowglow.net.sending.outlet import Outlet
from hollowglow.net.sending.schedule import Clock
from hollowglow.net.sending.sender import Sender
from tests.net.listening import PATIENCE_S, SOURCE, Ear, ends_well, listening, program

CID = bytes(range(16))


def frame(*values: int) -> Frame:
    return np.repeat(np.array(values, dtype=np.uint8)[:, None], 512, axis=1)


def sender(ear: Ear, *universes: int, **more: object) -> Sender:
    return Sender(universes or (1,), ear.at, cid=CID, source="Ferry landing", **more)  # type: ignore[arg-type]


def test_nothing_is_sent_before_a_frame_is_shown() -> None:
    with listening() as ear:
        with sender(ear):
            time.sleep(0.1)
        assert ear.datagrams == []


@pytest.mark.parametrize("many", [True, False])
def test_a_frame_arrives_and_the_stream_ends(many: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """With many packets in a system call and with one, where the system has no such call."""
    if not many:
        monkeypatch.setattr(outlet, "_SENDMMSG", None)
    with listening() as ear:
        with sender(ear, 1, 7, priority=120) as made:
            made.show(frame(10, 20))
            ear.wait_for(lambda e: len(e.datagrams) >= 7)
        for universe, value in ((1, 10), (7, 20)):
            packets = ear.data(universe)
            assert [p.slots for p in packets[:3]] == [bytes([value]) * 512] * 3
            assert {(p.cid, p.source, p.priority, p.start_code) for p in packets} == {(CID, "Ferry landing", 120, 0)}
            ends_well(packets)
        assert [p for p in ear.packets() if isinstance(p, Discovery)] == [Discovery(CID, "Ferry landing", 0, 0, (1, 7))]


def test_many_universes_all_arrive_in_pieces_of_what_one_call_takes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(outlet, "_MOST_AT_ONCE", 7)
    universes = range(1, 31)
    with listening() as ear:
        with Sender(universes, ear.at, cid=CID, source="x") as made:
            for k in range(1, 9):
                made.show(np.full((30, 512), k, np.uint8))
                ear.wait_for(lambda e, k=k: any(p.slots[0] == k for p in e.data(30)))  # type: ignore[misc]
        told = made.statistics()
        arrived = [p for p in ear.packets() if isinstance(p, Data)]
        assert len(arrived) == told.packets + 4 * 30
        for universe in universes:
            ends_well([p for p in arrived if p.universe == universe])


def test_a_changed_frame_goes_out_at_the_rate() -> None:
    """Never oftener; what a busy machine gives no turn is left out and counted."""
    begun, value = time.monotonic(), 0
    with listening() as ear, sender(ear, rate_hz=100.0) as made:
        while made.statistics().packets < 30:
            value += 1
            made.show(frame(value % 251))
            time.sleep(0.002)
        told, lasted = made.statistics(), time.monotonic() - begun
    assert told.failed == 0
    assert len(told.begun_late_s) == len(told.gone_late_s) == told.frames
    assert 30 <= told.frames + told.missed <= lasted * 100.0 + 1


def test_no_frame_passes_by_the_limit() -> None:
    with listening() as ear:
        with sender(ear, limit=lambda f: f // 2) as made:
            assert int(made.show(frame(200)).max()) == 100
            ear.wait_for(lambda e: len(e.data()) >= 2)
        assert max(max(p.slots) for p in ear.data()) == 100


def test_the_frame_is_copied() -> None:
    with listening() as ear:
        shown = frame(50)
        with sender(ear) as made:
            made.show(shown)
            shown[:] = 255
            ear.wait_for(lambda e: len(e.data()) >= 3)
        assert {max(p.slots) for p in ear.data()} == {50, 0}


def test_synchronization_follows_the_data_of_a_frame() -> None:
    """ANSI E1.31-2018 clause 11.2."""
    with listening() as ear:
        with sender(ear, 1, 2, sync_address=7962) as made:
            made.show(frame(1, 2))
            ear.wait_for(lambda e: sum(isinstance(p, Sync) for p in e.packets()) >= 3)
        packets = [p for p in ear.packets() if not isinstance(p, Discovery)]
        assert [type(p) for p in packets[:6]] == [Data, Data, Sync, Data, Data, Sync]
        assert {p.sync_address for p in packets} == {7962}


def test_stopping_twice_and_showing_afterwards() -> None:
    with listening() as ear:
        made = sender(ear)
        made.show(frame(1))
        made.stop()
        made.stop()
        with pytest.raises(Refusal, match=r"^Sending has stopped\. Start it again\.$"):
            made.show(frame(1))


@pytest.mark.parametrize("shown", [np.zeros((2, 512), np.uint8), np.zeros((1, 512), np.int64)])
def test_a_frame_of_another_shape_is_refused(shown: Frame) -> None:
    with (
        listening() as ear,
        sender(ear) as made,
        pytest.raises(ValueError, match=r"a frame is uint8 of shape \(1, 512\)"),
    ):
        made.show(shown)


def test_the_sacn_package_receives_it_and_hears_the_end() -> None:
    """The package is an implementation of its own; priorities: the higher of two sources is what it shows."""
    got: list[sacn.DataPacket] = []
    gone: list[str] = []
    receiver = sacn.sACNreceiver(bind_address="127.0.0.1", bind_port=0)
    port = receiver._handler.socket._socket.getsockname()[1]
    receiver.register_listener("universe", got.append, universe=5)
    receiver.register_listener("availability", lambda universe, changed: gone.append(changed))
    receiver.start()
    try:
        with (
            Sender([5], f"127.0.0.1:{port}", cid=CID, source="above", priority=150) as above,
            Sender([5], f"127.0.0.1:{port}", cid=bytes(16), source="below", priority=50) as below,
        ):
            above.show(frame(150))
            until(lambda: bool(got))
            below.show(frame(50))
            time.sleep(0.3)
        until(lambda: "timeout" in gone)
    finally:
        receiver.stop()
    lit = [p for p in got if max(p.dmxData)]
    assert {(p.sourceName, p.priority, p.universe, set(p.dmxData).pop(), bytes(p.cid)) for p in lit} == {
        ("above", 150, 5, 150, CID)
    }


def until(holds: Callable[[], bool]) -> None:
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end
        time.sleep(0.01)


_PROGRAM = """
import sys, time, numpy as np
from hollowglow.net.sending.sender import Sender
frame = np.full((1, 512), 200, np.uint8)
with Sender([1], sys.argv[1], cid=bytes(16), source="x") as sender:
    sender.show(frame)
    {then}
"""
_BARE = """
import sys, time, numpy as np
from hollowglow.net.sending.sender import Sender
sender = Sender([1], sys.argv[1], cid=bytes(16), source="x")
sender.show(np.full((1, 512), 200, np.uint8))
time.sleep(0.2)
{then}
"""


@pytest.mark.parametrize(
    ("number", "status"), [(signal.SIGINT, -signal.SIGINT), (signal.SIGTERM, 128 + 15), (signal.SIGHUP, 128 + 1)]
)
def test_a_signal_ends_the_stream(number: signal.Signals, status: int) -> None:
    with listening() as ear:
        process = program(_PROGRAM.format(then="time.sleep(60)"), ear.at)
        ear.wait_for(lambda e: len(e.data()) >= 3)
        process.send_signal(number)
        process.communicate(timeout=60)
        assert process.returncode == status
        ends_well(ear.data())


@pytest.mark.parametrize("text", [_PROGRAM, _BARE])
@pytest.mark.parametrize("then", ["raise RuntimeError('the caller falls over')", "sys.exit(3)", "pass"])
def test_the_end_of_the_caller_ends_the_stream(text: str, then: str) -> None:
    """With and without a `with` block: what the process leaves open is ended as it exits."""
    with listening() as ear:
        process = program(text.format(then=then), ear.at)
        process.communicate(timeout=60)
        ends_well(ear.data())


def test_a_killed_sender_is_silent_at_once() -> None:
    with listening() as ear:
        process = program(_PROGRAM.format(then="time.sleep(60)"), ear.at)
        ear.wait_for(lambda e: len(e.data()) >= 3)
        process.kill()
        process.communicate(timeout=60)
        count = len(ear.datagrams)
        time.sleep(1.2)
        assert len(ear.datagrams) == count
        assert not any(p.terminated for p in ear.data())


def test_trouble_with_the_network_is_said_once_and_recovered_from(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []
    down = [False]
    usual = Outlet.send_rows

    def send_rows(self: Outlet, rows: object) -> object:
        if down[0]:
            raise OSError(errno.ENETUNREACH, "Network is unreachable")
        return usual(self, rows)  # type: ignore[arg-type]

    monkeypatch.setattr(Outlet, "send_rows", send_rows)
    with listening() as ear, sender(ear, say=said.append) as made:
        made.show(frame(1))
        ear.wait_for(lambda e: len(e.data()) >= 3)
        down[0] = True
        until(lambda: made.show(frame(made.statistics().failed)) is not None and made.statistics().failed > 5)
        down[0] = False
        made.show(frame(99))
        ear.wait_for(lambda e: any(p.slots[0] == 99 for p in e.data()))
        until(lambda: any("works again" in words for words in said))
    first, *_, last = (words for words in said if words.startswith("Sending to"))
    assert len([words for words in said if words.startswith("Sending to")]) == 2
    assert first == (
        f"Sending to {ear.at} fails (Network is unreachable). It is tried again with every frame; "
        "check the cable or the wireless network."
    )
    assert re.fullmatch(rf"Sending to {re.escape(ear.at)} works again after \d+\.\d s\.", last)


def test_an_end_that_could_not_leave_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    usual = Outlet.send_rows
    down = [False]

    def send_rows(self: Outlet, rows: object) -> object:
        if down[0]:
            raise OSError(errno.ENETDOWN, "Network is down")
        return usual(self, rows)  # type: ignore[arg-type]

    monkeypatch.setattr(Outlet, "send_rows", send_rows)
    with listening() as ear:
        for gone in (False, True):
            down[0] = False
            made = sender(ear)
            assert made.left_dark
            made.show(frame(1))
            ear.wait_for(lambda e: len(e.data()) >= 3)
            assert not made.left_dark
            down[0] = gone
            made.stop()
            assert made.left_dark is not gone


_DOWN_AND_UP = """
import subprocess, time, numpy as np
from hollowglow.net.sending.sender import Sender
with Sender([1, 2], "127.0.0.1", cid=bytes(16), source="x", say=lambda w: print(w, flush=True)) as sender:
    for k in range(80):
        if k == 40:
            subprocess.run(["ip", "link", "set", "lo", "up"], check=True)
        sender.show(np.full((2, 512), k, np.uint8))
        time.sleep(0.02)
"""


def test_a_machine_without_a_network_gets_one() -> None:
    """In a network namespace of its own whose only interface is down at first: no route is the system's own answer."""
    done = subprocess.run(
        ["unshare", "--map-root-user", "--net", sys.executable, "-c", _DOWN_AND_UP],
        env=os.environ | {"PYTHONPATH": str(SOURCE)},
        capture_output=True,
        encoding="utf-8",
        timeout=PATIENCE_S,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    # A busy machine may have more to say: that it was.
    first, second = (words for words in done.stdout.splitlines() if words.startswith("Sending to"))
    assert first.startswith("Sending to 127.0.0.1 fails (Network is unreachable).")
    assert second.startswith("Sending to 127.0.0.1 works again after ")


def test_a_laptop_that_slept_says_so_and_sends_on() -> None:
    said: list[str] = []
    stands, slept = [0.0], [0.0]

    def sleep(seconds: float) -> None:
        time.sleep(0.001)
        stands[0] += seconds

    # Its own clock, so that a machine too busy for a while does not add to what it slept.
    clock = Clock(lambda: stands[0], lambda: stands[0] + slept[0], sleep)
    with listening() as ear, sender(ear, say=said.append, clock=clock) as made:
        made.show(frame(1))
        ear.wait_for(lambda e: len(e.data()) >= 3)
        slept[0] = 7200.0
        until(lambda: bool(said))
        made.show(frame(2))
        ear.wait_for(lambda e: any(p.slots[0] == 2 for p in e.data()))
    assert said == ["Nothing was sent for 7200.0 s: this computer slept or was too busy. Sending again."]


def test_a_clock_that_is_set_back_does_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    with listening() as ear, sender(ear) as made:
        made.show(frame(1))
        ear.wait_for(lambda e: len(e.data()) >= 3)
        monkeypatch.setattr(time, "time", lambda: 0.0)
        made.show(frame(2))
        ear.wait_for(lambda e: sum(p.slots[0] == 2 for p in e.data()) >= 3)
        assert made.statistics().events == ()


def test_a_fault_in_the_thread_still_ends_the_stream(monkeypatch: pytest.MonkeyPatch) -> None:
    usual = SentStream.due

    def due(self: SentStream, shown: Frame, now_s: float) -> object:
        if shown[0, 0] == 13:
            raise RuntimeError("thirteen")
        return usual(self, shown, now_s)

    monkeypatch.setattr(SentStream, "due", due)
    with listening() as ear:
        made = sender(ear)
        made.show(frame(1))
        ear.wait_for(lambda e: len(e.data()) >= 3)
        made.show(frame(13))
        ear.wait_for(lambda e: sum(p.terminated for p in e.data()) == 3)
        until(lambda: bool(made.statistics().events))
        with pytest.raises(Refusal, match=r"^Sending has stopped \(thirteen\)\. Start it again\.$"):
            made.show(frame(1))
        made.stop()


def test_an_address_of_no_interface_here_is_told() -> None:
    with pytest.raises(Refusal) as refused:
        Sender([1], "127.0.0.1", cid=CID, source="x", interface="203.0.113.9")
    assert of_error(refused.value) == (
        "Nothing can be sent from 203.0.113.9 (Cannot assign requested address); expected the address of one of its "
        "network interfaces. Leave --interface out to let the system choose."
    )


_MULTICAST = """
import socket, struct, time, numpy as np
from hollowglow.net.packets.packet import decode
from hollowglow.net.sending.sender import Sender
def member(universe):
    ear = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    ear.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    group = f"239.255.{universe >> 8}.{universe & 255}"
    ear.bind((group, 0))
    return ear, group
first, group = member(258)
port = first.getsockname()[1]
first.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, socket.inet_aton(group) + socket.inet_aton("127.0.0.1"))
first.settimeout(30)
with Sender([1, 258], f"multicast:{port}", cid=bytes(16), source="x", interface="127.0.0.1") as sender:
    sender.show(np.full((2, 512), 7, np.uint8))
    print({decode(first.recv(2000)).universe for _ in range(3)})
"""


def test_multicast_takes_a_universe_to_its_group() -> None:
    """ANSI E1.31-2018 clause 9.3.1. On the loopback interface, in a process that no guard watches."""
    process = program(_MULTICAST)
    out, err = process.communicate(timeout=PATIENCE_S)
    assert (out, err) == ("{258}\n", "")
