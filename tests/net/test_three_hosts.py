"""On a network of three hosts multicast reaches the members only, and a network that comes back is heard again."""

import re
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from hollowglow.jobs.start.demo import write_demo
from hollowglow.net.hearing.capture import read
from hollowglow.net.hearing.groups import group_of
from tests.net.hosts import Hosts, hosts, line, tell
from tests.net.senders import data

PAUSE_S = 0.02
# Joins the groups of some universes and prints, for each line on its input, what came: "until N" up to the datagram of
# universe N, which is left out, "for S" within so many seconds.
LAST = 60_000
LISTEN = """
import sys, time
from hollowglow.net.packets.packet import decode
from hollowglow.net.hearing.receiver import Receiver
universes = [int(u) for u in sys.argv[2:]]
with Receiver(universes, multicast=True, interface=sys.argv[1], say=lambda words: print("said", words)) as receiver:
    print("ready", len(receiver._sockets))
    for line in sys.stdin:
        how, number = line.split()
        last, seen = int(number) if how == "until" else None, []
        end_s = time.monotonic() + (60.0 if last else float(number))
        while (left_s := end_s - time.monotonic()) > 0:
            heard = receiver.receive(left_s)
            if heard is None:
                continue
            universe = decode(heard.datagram).universe
            if universe == last:
                last, end_s = None, time.monotonic()  # datagrams stay in their order on the way, not between sockets
                while (heard := receiver.receive(0.0)) is not None:
                    seen.append(f"{decode(heard.datagram).universe}:{heard.sender}>{heard.to[0]}")
            else:
                seen.append(f"{universe}:{heard.sender}>{heard.to[0]}")
        print("heard" if last is None else "missed", *seen)
"""
# Sends the datagram of each line, "ADDRESS HEX", to UDP port 5568.
SEND = """
import socket, sys
out = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
print("ready")
for line in sys.stdin:
    address, datagram = line.split()
    out.sendto(bytes.fromhex(datagram), (address, 5568))
    print("sent")
"""


@pytest.fixture(scope="module")
def cable() -> Iterator[Hosts]:
    with hosts() as made:
        yield made


@pytest.fixture
def network(cable: Hosts) -> Iterator[Hosts]:
    yield cable
    cable.stop()


def started(network: Hosts, name: str, *words: str) -> tuple[subprocess.Popen[str], list[str]]:
    process = network.start(name, "-c", *words)
    return process, line(process.stdout).split()


def send(process: subprocess.Popen[str], address: str, universe: int) -> None:
    tell(process, f"{address} {data(universe=universe, slots=b'abc').hex()}")
    assert line(process.stdout) == "sent"


def heard(process: subprocess.Popen[str], out: subprocess.Popen[str], address: str) -> list[str]:
    """What a listener at an address has heard of what was sent before."""
    send(out, address, LAST)
    tell(process, f"until {LAST}")
    words = line(process.stdout).split()
    assert words[0] == "heard", words
    return words[1:]


def test_multicast_reaches_the_members_only(network: Hosts) -> None:
    out, _ = started(network, "post", SEND)
    jetty, _ = started(network, "jetty", LISTEN, "lan0", "1", "2")
    shed, _ = started(network, "shed", LISTEN, network.address("shed"), "2", "3")
    for universe in (1, 2, 3, 4):
        send(out, group_of(universe), universe)
    post = network.address("post")
    at_jetty, at_shed = network.address("jetty"), network.address("shed")
    assert heard(jetty, out, at_jetty) == [f"1:{post}>239.255.0.1", f"2:{post}>239.255.0.2"]
    assert heard(shed, out, at_shed) == [f"2:{post}>239.255.0.2", f"3:{post}>239.255.0.3"]
    send(out, at_shed, 9)  # unicast is heard too, by that host alone
    assert heard(jetty, out, at_jetty) == []
    assert heard(shed, out, at_shed) == [f"9:{post}>{at_shed}"]


def test_more_groups_than_one_socket_takes_are_joined_and_each_datagram_comes_once(network: Hosts) -> None:
    """Linux lets a socket join 20 groups unless told otherwise (net.ipv4.igmp_max_memberships)."""
    out, _ = started(network, "post", SEND)
    universes = range(1, 102)
    jetty, (_, sockets) = started(network, "jetty", LISTEN, "lan0", *map(str, universes))
    assert int(sockets) > 1
    for universe in (1, 20, 21, 101, 102):
        send(out, group_of(universe), universe)
    words = heard(jetty, out, network.address("jetty"))
    assert sorted(int(one.split(":")[0]) for one in words) == [1, 20, 21, 101]


def test_a_network_that_goes_away_and_comes_back_is_said_and_heard_again(network: Hosts) -> None:
    out, _ = started(network, "post", SEND)
    jetty, _ = started(network, "jetty", LISTEN, "lan0", "1")
    send(out, group_of(1), 1)
    assert len(heard(jetty, out, network.address("jetty"))) == 1
    network.pull_out("jetty")
    said = wait_for_words(jetty)
    assert said.startswith("said The network is gone (There is no network interface 'lan0' on this computer.")
    network.plug_in("jetty")
    assert wait_for_words(jetty) == "said The network is back."
    send(out, group_of(1), 1)
    assert len(heard(jetty, out, network.address("jetty"))) == 1


def wait_for_words(process: subprocess.Popen[str]) -> str:
    """Let a listener listen on until it says something of its own."""
    for _ in range(120):
        tell(process, "for 0.5")
        words = line(process.stdout)
        if words != "heard":
            assert line(process.stdout) == "heard"
            return words
    raise AssertionError("nothing was said")


@pytest.fixture(scope="module")
def display(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("work") / "demo"
    write_demo(folder)
    return folder / "landing.yaml"


def capture_command(network: Hosts, display: Path, to: Path, seconds: int, *more: str) -> subprocess.Popen[str]:
    options = ("--seconds", str(seconds), "-o", str(to), *more)
    return network.start("jetty", "-m", "hollowglow", "capture", str(display), *options)


def test_the_command_captures_multicast(network: Hosts, display: Path, tmp_path: Path) -> None:
    out, _ = started(network, "post", SEND)
    to = tmp_path / "show.pcapng"
    # Long enough to hear something even where this machine stands still for a while.
    capture = capture_command(network, display, to, 4, "--from", "multicast", "--interface", "lan0")
    while capture.poll() is None:
        send(out, group_of(1), 1)
        send(out, group_of(2), 2)  # the display has universe 1 alone
        time.sleep(PAUSE_S)
    words = capture.communicate()[0].splitlines()
    assert capture.returncode == 0, words
    assert words[0] == f'heard "sender 1" ({network.address("post")})'
    assert re.fullmatch(rf"wrote {re.escape(str(to))}: [\d,]+ datagrams in [\d.]+ s, [\d.]+ kB", words[-2]), words
    assert words[-1] == f"Next: hollowglow analyse {display} {to}"
    kept = list(read(to))
    assert {(timed.source, timed.datagram) for timed in kept} == {
        (network.address("post"), data(universe=1, slots=b"abc"))
    }
    # The file states where each came from and went to.
    fields = ("-T", "fields", "-e", "ip.src", "-e", "ip.dst", "-e", "udp.dstport")
    shown = subprocess.run(["tshark", "-r", to, *fields], capture_output=True, text=True, check=True).stdout
    assert set(shown.splitlines()) == {f"{network.address('post')}\t239.255.0.1\t5568"}


def test_ctrl_c_ends_the_command_and_keeps_what_was_heard_by_unicast(
    network: Hosts, display: Path, tmp_path: Path
) -> None:
    out, _ = started(network, "post", SEND)
    to = tmp_path / "show.pcapng"
    capture = capture_command(network, display, to, 600, "--from", network.address("post"))
    while not (to.exists() and to.stat().st_size > 2000):
        assert capture.poll() is None
        send(out, network.address("jetty"), 1)
        time.sleep(PAUSE_S)
    capture.send_signal(signal.SIGINT)
    words = capture.communicate(timeout=60)[0].splitlines()
    assert capture.returncode == 0, words
    assert words[-2].startswith(f"wrote {to}: ")
    assert {timed.datagram for timed in read(to)} == {data(universe=1, slots=b"abc")}


def test_a_capture_that_is_killed_is_read_up_to_there(network: Hosts, display: Path, tmp_path: Path) -> None:
    out, _ = started(network, "post", SEND)
    to = tmp_path / "show.pcapng"
    capture = capture_command(network, display, to, 600, "--from", network.address("post"))
    while not (to.exists() and to.stat().st_size > 2000):
        send(out, network.address("jetty"), 1)
        time.sleep(PAUSE_S)
    capture.kill()
    capture.wait()
    assert {timed.datagram for timed in read(to)} == {data(universe=1, slots=b"abc")}
