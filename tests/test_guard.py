"""The guard of the tests stops whatever would leave this machine, also where the error is swallowed."""

from pathlib import Path

import pytest

from tests.test_no_skips import run_pytest

WAYS = """
import socket
from contextlib import suppress

import pytest

WAYS = {
    "connect": lambda opened: opened.connect(("192.0.2.1", 9)),
    "send": lambda opened: opened.sendto(b"x", ("192.0.2.1", 9)),
    "send to a group": lambda opened: opened.sendto(b"x", ("239.255.0.1", 5568)),
    "send a message": lambda opened: opened.sendmsg([b"x"], [], 0, ("192.0.2.1", 9)),
    "look up a name": lambda opened: socket.getaddrinfo("host.invalid", 80),
    "join a group": lambda opened: opened.setsockopt(
        socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, bytes([239, 255, 0, 1, 0, 0, 0, 0])
    ),
}

@pytest.fixture
def opened():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as made:
        yield made

@pytest.mark.parametrize("way", WAYS)
def test_leaves(opened, way):
    with suppress(OSError):
        WAYS[way](opened)

def test_stays(opened):
    opened.bind(("127.0.0.1", 0))
    opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    opened.sendmsg([b"x"], [], 0, opened.getsockname())
    opened.sendto(b"x", opened.getsockname())
"""


def test_nothing_leaves_this_machine_by_any_way(tmp_path: Path) -> None:
    done = run_pytest(tmp_path, WAYS)
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout
    assert done.stdout.count("the test reached past loopback, to ") >= 6
    assert "7 passed, 6 errors" in done.stdout.splitlines()[-1], done.stdout
