"""Sockets on loopback: what is sent is heard, and what goes wrong is said in words."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.groups import NoInterfaceError, group_of, membership
from hollowglow.net.hearing.receiver import Receiver


@contextmanager
def sender(host: str = "127.0.0.1") -> Iterator[socket.socket]:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET, socket.SOCK_DGRAM) as opened:
        opened.bind((host, 0))
        yield opened


class Clocks:
    """A clock that never goes back and one of the day, set by hand."""

    def __init__(self) -> None:
        self.now_s, self.day_s = 100.0, 1_764_000_000.0

    def clock(self) -> float:
        return self.now_s

    def wall(self) -> float:
        return self.day_s

    def pass_time(self, seconds: float, of_day: float | None = None) -> None:
        self.now_s += seconds
        self.day_s += seconds if of_day is None else of_day


@pytest.mark.parametrize("host", ["127.0.0.1", "::1"])
def test_what_is_sent_is_heard_with_both_addresses_and_the_time(host: str) -> None:
    clocks = Clocks()
    with Receiver(bind=host, port=0, clock=clocks.clock, wall=clocks.wall) as receiver, sender(host) as out:
        out.sendto(b"one", (host, receiver.port))
        out.sendto(b"two", (host, receiver.port))
        heard = [receiver.receive(1.0), receiver.receive(1.0), receiver.receive(0.0)]
        assert [h and h.datagram for h in heard] == [b"one", b"two", None]
        assert heard[0] is not None
        assert (heard[0].sender, heard[0].source) == (host, out.getsockname()[:2])
        assert heard[0].to == (host, receiver.port)
        assert heard[0].at_s == 100.0
        assert receiver.time_of_day_s(heard[0].at_s) == 1_764_000_000.0


def test_without_being_told_it_listens_on_this_computer_alone() -> None:
    with Receiver(port=0) as receiver:
        assert receiver._sockets[0].getsockname()[0] == "127.0.0.1"


def test_a_port_in_use_is_said() -> None:
    with Receiver(port=0) as first:
        with pytest.raises(Refusal) as caught:
            Receiver(port=first.port)
        assert str(caught.value) == (
            f"UDP port {first.port} at 127.0.0.1 is in use by another program, so nothing can be heard there. "
            "Stop that program first, perhaps another hollowglow watch or capture."
        )
    with Receiver(port=first._port):  # and free again afterwards
        pass


def test_an_address_of_another_computer_is_said() -> None:
    with pytest.raises(Refusal) as caught:
        Receiver(bind="192.0.2.1", port=0)
    assert str(caught.value) == "192.0.2.1 is no address of this computer, so nothing can be heard there."


def test_an_interface_that_is_not_there_is_said() -> None:
    with pytest.raises(
        NoInterfaceError, match=r"^There is no network interface 'lan9' on this computer. There are: .*lo"
    ):
        membership("239.255.0.1", "lan9")


@pytest.mark.parametrize(("universe", "group"), [(1, "239.255.0.1"), (256, "239.255.1.0"), (63999, "239.255.249.255")])
def test_groups_are_those_of_the_standard(universe: int, group: str) -> None:
    assert group_of(universe) == group  # ANSI E1.31-2018 clause 9.3.1


def test_a_clock_set_back_is_said_and_times_go_on() -> None:
    clocks, said = Clocks(), list[str]()
    with Receiver(port=0, clock=clocks.clock, wall=clocks.wall, say=said.append) as receiver, sender() as out:
        clocks.pass_time(10.0, of_day=-3590.0)
        out.sendto(b"x", ("127.0.0.1", receiver.port))
        heard = receiver.receive(1.0)
        assert heard is not None
        assert receiver.time_of_day_s(heard.at_s) == 1_764_000_010.0
        assert receiver.receive(0.0) is None
    assert said == ["The clock was set back by 3600 s; times go on from before."]


def test_a_computer_that_slept_says_so_and_its_times_are_those_of_the_day() -> None:
    clocks, said = Clocks(), list[str]()
    with Receiver(port=0, clock=clocks.clock, wall=clocks.wall, say=said.append) as receiver, sender() as out:
        clocks.pass_time(1.0, of_day=601.0)
        out.sendto(b"x", ("127.0.0.1", receiver.port))
        heard = receiver.receive(1.0)
        assert heard is not None
        assert receiver.time_of_day_s(heard.at_s) == 1_764_000_601.0
    assert said == ["The clock went forward by 600 s: this computer slept, or its clock was set."]
