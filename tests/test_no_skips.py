"""The rules of tests/conftest.py hold: proved by running pytest on small test files beside a copy of it."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

CONFTEST = Path(__file__).with_name("conftest.py")


def run_pytest(folder: Path, test_file: str, *options: str, **environment: str) -> subprocess.CompletedProcess[str]:
    (folder / "conftest.py").write_text(CONFTEST.read_text(encoding="utf-8"), encoding="utf-8")
    (folder / "test_small.py").write_text(test_file, encoding="utf-8")
    (folder / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    inherited = {
        name: value for name, value in os.environ.items() if name not in ("CI", "HOLLOWGLOW_NO_SKIPS", "PYTEST_ADDOPTS")
    }
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *options, "test_small.py"],
        cwd=folder,
        env=inherited | environment,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )


SKIPS = """
import pytest

def test_runs():
    pass

def test_skips():
    pytest.skip("no such program")
"""

EXPECTED_FAILURE = """
import pytest

@pytest.mark.xfail
def test_known_to_fail():
    assert False
"""

MODULE_SKIPS = """
import pytest

pytest.skip("not here", allow_module_level=True)
"""


def test_a_skip_is_let_pass_by_default(tmp_path: Path) -> None:
    done = run_pytest(tmp_path, SKIPS)
    assert done.returncode == pytest.ExitCode.OK, done.stdout
    assert "1 passed, 1 skipped" in done.stdout


@pytest.mark.parametrize(
    ("test_file", "named"),
    [
        (SKIPS, "skipped: test_small.py::test_skips"),
        (EXPECTED_FAILURE, "xfailed: test_small.py::test_known_to_fail"),
        (MODULE_SKIPS, "skipped: test_small.py"),
    ],
    ids=["skip", "expected failure", "module skip"],
)
@pytest.mark.parametrize("options", [(), ("-n", "2")], ids=["one process", "two processes"])
def test_a_test_that_did_not_run_fails_a_run_that_allows_none(
    tmp_path: Path, test_file: str, named: str, options: tuple[str, ...]
) -> None:
    done = run_pytest(tmp_path, test_file, *options, HOLLOWGLOW_NO_SKIPS="1")
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout
    assert named in done.stdout.splitlines()


REACHES = """
import contextlib
import socket

import pytest

@pytest.fixture
def server():
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()

def test_stream_to_another_machine():
    socket.create_connection(("192.0.2.1", 9), timeout=1)

def test_error_swallowed():
    with contextlib.suppress(OSError), socket.socket() as stream:
        stream.connect(("192.0.2.1", 9))

def test_error_as_a_number():
    with contextlib.suppress(OSError), socket.socket() as stream:
        stream.connect_ex(("192.0.2.1", 9))

def test_datagram_to_a_multicast_group():
    with socket.socket(type=socket.SOCK_DGRAM) as datagrams:
        datagrams.sendto(b"x", ("239.255.0.1", 5568))

def test_name_of_another_machine():
    socket.create_connection(("host.invalid", 9), timeout=1)

def test_loopback(server):
    socket.create_connection(server, timeout=5).close()

def test_loopback_by_name(server):
    socket.create_connection(("localhost", server[1]), timeout=5).close()
"""


def test_only_loopback_can_be_reached(tmp_path: Path) -> None:
    done = run_pytest(tmp_path, REACHES)
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout
    closing = done.stdout.splitlines()[-1]
    assert "3 failed, 4 passed, 5 errors" in closing, done.stdout
    assert "the test reached past loopback, to ('192.0.2.1', 9)" in done.stdout


LEAVES = """
import pathlib
import subprocess
import sys

import pytest

SLEEP = "import time; time.sleep(600)"
# Its child goes on when it has ended.
DETACH = f'''
from subprocess import DEVNULL, Popen
from sys import executable
print(Popen([executable, "-c", "{SLEEP}"], stdout=DEVNULL, stderr=DEVNULL).pid)
'''

def note(number):
    with pathlib.Path("started.txt").open("a") as out:
        print(number, file=out)

@pytest.fixture(scope="module")
def shared():
    process = subprocess.Popen([sys.executable, "-c", SLEEP])
    yield
    process.kill()
    process.wait()

def test_fails_and_leaves_one():
    note(subprocess.Popen([sys.executable, "-c", SLEEP]).pid)
    assert False

def test_leaves_one_without_a_parent():
    note(int(subprocess.run([sys.executable, "-c", DETACH], capture_output=True, text=True, check=True).stdout))

def test_tidies_up(shared):
    subprocess.run([sys.executable, "-c", "pass"], check=True)
"""


def is_running(number: str) -> bool:
    """Whether a process runs: one that ended and that nobody asked for its status is only a line in a table."""
    try:
        return Path(f"/proc/{number}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.parametrize("options", [(), ("-n", "2")], ids=["one process", "two processes"])
def test_what_tests_left_running_is_ended_and_named(tmp_path: Path, options: tuple[str, ...]) -> None:
    done = run_pytest(tmp_path, LEAVES, "-p", "no:randomly", *options)
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout
    assert "1 failed, 2 passed, 1 error" in done.stdout.splitlines()[-1], done.stdout
    told = done.stdout.split("processes were left running, and are ended now, by\n")[1].splitlines()[:3]
    assert {line.partition(" (call): ")[0] for line in told[:2]} == {
        "test_small.py::test_fails_and_leaves_one",
        "test_small.py::test_leaves_one_without_a_parent",
    }
    assert "test_small.py" not in told[2]
    started = (tmp_path / "started.txt").read_text(encoding="utf-8").split()
    assert len(started) == 2
    assert not any(map(is_running, started))
