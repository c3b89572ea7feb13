"""What the network says of packets that nobody takes, on loopback and on two hosts of their own."""

import errno
import os
import socket
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from hollowglow.net.packets.packet import Data, decode
from hollowglow.net.sending.refusals import failing_words, refused_words
from hollowglow.net.sending.sender import Sender
from tests.net.listening import PATIENCE_S, SOURCE, but_busy

linux = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux tells")


def closed_port() -> int:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def until(true: object, seconds: float = PATIENCE_S) -> None:
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:  # type: ignore[operator]
        time.sleep(0.01)
    assert true()  # type: ignore[operator]


@linux
def test_where_nothing_listens_it_is_said_once_and_sending_goes_on() -> None:
    port, said = closed_port(), []
    at = f"127.0.0.1:{port}"
    with Sender([1, 2], at, cid=bytes(16), source="x", say=said.append) as sender:
        sender.show(np.full((2, 512), 7, np.uint8))
        until(lambda: said)
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ear:
            ear.bind(("127.0.0.1", port))
            ear.settimeout(PATIENCE_S)
            heard = decode(ear.recv(2048))
            assert isinstance(heard, Data)
            assert heard.slots[0] == 7
        told = sender.statistics()
    assert said == [refused_words(at, errno.ECONNREFUSED)]
    assert said[0].startswith(f"{at} is there, but nothing listens for E1.31 at it. Sending goes on;")
    assert told.failed == 0


def test_every_reason_names_a_way_out() -> None:
    assert "name the controller's own address" in failing_words(
        "10.0.0.255", OSError(errno.EACCES, "Permission denied")
    )
    assert "check the cable" in failing_words("10.0.0.2", OSError(errno.ENETUNREACH, "Network is unreachable"))
    assert refused_words("10.0.0.9", errno.EHOSTUNREACH).startswith("No device answers at 10.0.0.9 (No route to host).")


def in_a_space_of_its_own(words: str, seconds: float = PATIENCE_S) -> "subprocess.CompletedProcess[str]":
    """Run a shell in a network namespace with one cable to a host that is not there."""
    script = (
        "ip link set lo up; ip link add a0 type veth peer name b0; ip addr add 10.77.0.1/24 broadcast 10.77.0.255 dev a0;"
        f"ip link set a0 up; ip link set b0 up; {words}"
    )
    return subprocess.run(
        ["unshare", "--map-root-user", "--net", "sh", "-c", script],
        env=os.environ | {"PYTHONPATH": str(SOURCE)},
        capture_output=True,
        encoding="utf-8",
        timeout=seconds,
        check=False,
    )


@linux
def test_a_host_that_is_not_there_is_told() -> None:
    program = (
        "import time, numpy as np; from hollowglow.net.sending.sender import Sender; said = []\n"
        "with Sender([1], '10.77.0.9', cid=bytes(16), source='x', say=said.append) as s:\n"
        "    s.show(np.zeros((1, 512), np.uint8)); end = time.monotonic() + 15\n"
        "    while not said and time.monotonic() < end: time.sleep(0.05)\n"
        "print(*said, sep='\\n')"
    )
    done = in_a_space_of_its_own(f'{sys.executable} -c "{program}"')
    assert but_busy(done.stdout) == [refused_words("10.77.0.9", errno.EHOSTUNREACH)]


@linux
@pytest.mark.parametrize(
    ("to", "why"), [("10.77.0.255", "name the controller's own address."), ("10.99.0.1", "check the cable")]
)
def test_where_nothing_ever_left_nothing_is_called_lit(tmp_path: Path, to: str, why: str) -> None:
    display = tmp_path / "yard.yaml"
    display.write_text(
        "display: Yard\nsupplies: {shed: {voltage: 12 V, rating: 100 W}}\ncontrollers: {box: {outputs: 1}}\n"
        "parts: {dot: {light: {emitters: 1, load: {class: constant-current, current: [9 mA, 9 mA, 9 mA], "
        "turn_on: [2 V, 3 V, 3 V], saturation: 1 V}}}}\nkinds: {ball: {fill: {light: dot}}}\n"
        "strings: {rail: {output: box/1, supply: shed, props: 2 * ball, fuse: 5 A, lead: {length: 1 m}, span: {length: 1 m}}}\n"
    )
    done = in_a_space_of_its_own(f"{sys.executable} -m hollowglow light {display} rail --to {to} --seconds 0.3")
    assert done.returncode == 2
    assert done.stdout.startswith("rail is lit as soon as packets leave (2 props,")
    first, last = but_busy(done.stderr)
    assert first.startswith(f"Sending to {to} fails (")
    assert why in first
    assert last == f"Nothing could be sent to {to}, so nothing was lit."
    assert not (tmp_path / ".hollowglow" / "yard.yaml" / "sending.json").read_bytes()
