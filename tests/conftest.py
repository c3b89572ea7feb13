"""What holds for every test: it stays on this machine, it is not skipped unseen, it leaves no process behind."""

import contextlib
import ipaddress
import os
import signal
import socket
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import hypothesis
import pytest

# No test of a rule fails because the machine was busy: neither by how long an example took nor by how long it was drawn.
UNHURRIED = {"deadline": None, "suppress_health_check": [hypothesis.HealthCheck.too_slow]}
hypothesis.settings.register_profile("default", max_examples=50, **UNHURRIED)
hypothesis.settings.register_profile("ci", max_examples=200, derandomize=True, **UNHURRIED)
hypothesis.settings.load_profile("ci" if os.environ.get("CI") == "true" else "default")

NOT_RUN = ("skipped", "xfailed")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Give each file's tests to one process, because they share a browser, a workbench or a plan; all of the book's
    to one, because they share the books."""
    from xdist.scheduler import LoadFileScheduling

    class ByWhatIsShared(LoadFileScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return "tests/book" if nodeid.startswith("tests/book/") else super()._split_scope(nodeid)

    return ByWhatIsShared(config, log)


def tests_not_run(config: pytest.Config) -> list[str]:
    """A line for each test that was skipped or expected to fail, where the run allows none of them."""
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    if os.environ.get("HOLLOWGLOW_NO_SKIPS") != "1" or reporter is None:
        return []
    return [f"{state}: {report.nodeid}" for state in NOT_RUN for report in reporter.stats.get(state, [])]


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    if tests_not_run(session.config) and session.exitstatus in (
        pytest.ExitCode.OK,
        pytest.ExitCode.NO_TESTS_COLLECTED,
    ):
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    lines = tests_not_run(config)
    if lines:
        terminalreporter.section("HOLLOWGLOW_NO_SKIPS=1, but these tests did not run", red=True)
        for line in lines:
            terminalreporter.line(line)


# In the environment of every process that a test starts, also of one whose parent is gone: whose run it belongs to.
RUN = "HOLLOWGLOW_TEST_RUN"
# Helpers of Python's own that stay for as long as the process that needs them.
HELPERS = ("multiprocessing.resource_tracker", "multiprocessing.forkserver")
# What was told to end is given this long: a browser has many processes, and the machine may be busy.
MAY_END_S = 10.0


def pytest_configure() -> None:
    os.environ[RUN] = str(os.getpid())


def left_running() -> dict[int, str]:
    """The processes that tests of this run started and that still run: number to test and command. Linux only."""
    found = {}
    for place in Path("/proc").glob("[0-9]*"):
        try:
            environment = (place / "environ").read_bytes().split(b"\0")
            command = (place / "cmdline").read_bytes().replace(b"\0", b" ").decode("utf-8", "replace").strip()
        except OSError:  # it has ended meanwhile, or it is somebody else's
            continue
        if f"{RUN}={os.getpid()}".encode() in environment and not any(name in command for name in HELPERS):
            starts = b"PYTEST_CURRENT_TEST="
            test = next((one.removeprefix(starts).decode() for one in environment if one.startswith(starts)), "no test")
            found[int(place.name)] = f"{test}: {command[:200]}"
    return {number: words for number, words in found.items() if number != os.getpid()}


@pytest.fixture(scope="module", autouse=True)
def nothing_left_running() -> Iterator[None]:
    """Ends what the tests of a module and their fixtures left running, however they ended, and says what it was.

    Not after each test: a browser or a workbench that a whole module shares may start processes during any of them.
    """
    yield
    patience = time.monotonic() + MAY_END_S
    while (left := left_running()) and time.monotonic() < patience:
        time.sleep(0.1)
    for number in left:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.kill(number, signal.SIGKILL)
    if left:
        pytest.fail("\n".join(["processes were left running, and are ended now, by", *left.values()]), pytrace=False)


def is_local(address: object) -> bool:
    """Whether a socket address stays on this machine; names other than localhost would need a look-up."""
    if not isinstance(address, tuple):
        return True
    host = str(address[0])
    if host in ("", "localhost"):
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


JOINS = {
    (socket.IPPROTO_IP, getattr(socket, "IP_ADD_MEMBERSHIP", None)),
    (socket.IPPROTO_IPV6, getattr(socket, "IPV6_JOIN_GROUP", None)),
}


@pytest.fixture(autouse=True)
def no_network_past_loopback() -> Iterator[None]:
    """Fails a test that reaches for another machine, also when the code under test swallows the error.

    It may neither send past loopback nor join a multicast group; network namespaces that a test makes are
    networks of its own, with processes of their own.
    """
    reached: list[str] = []

    def check(address: object) -> None:
        if not is_local(address):
            refuse(address)

    def refuse(address: object) -> None:
        reached.append(str(address))
        raise ConnectionRefusedError(f"a test may not reach past loopback, to {address}")

    def guarded(method: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any) -> Any:
            check(arguments[-1])
            return method(*arguments)

        return call

    send_message, set_option = socket.socket.sendmsg, socket.socket.setsockopt

    def guarded_message(opened: socket.socket, *arguments: Any) -> int:
        if len(arguments) == 4:
            check(arguments[3])
        return send_message(opened, *arguments)

    def guarded_option(opened: socket.socket, level: int, option: int, *value: Any) -> None:
        if (level, option) in JOINS:
            refuse(f"the multicast group {value[0]!r}")
        set_option(opened, level, option, *value)

    look_up = socket.getaddrinfo

    def guarded_look_up(host: Any, *arguments: Any, **options: Any) -> Any:
        check((host or "",))
        return look_up(host, *arguments, **options)

    with pytest.MonkeyPatch.context() as patch:
        for name in ("connect", "connect_ex", "sendto"):
            patch.setattr(socket.socket, name, guarded(getattr(socket.socket, name)))
        patch.setattr(socket.socket, "sendmsg", guarded_message)
        patch.setattr(socket.socket, "setsockopt", guarded_option)
        patch.setattr(socket, "getaddrinfo", guarded_look_up)
        yield
    if reached:
        pytest.fail(f"the test reached past loopback, to {', '.join(reached)}", pytrace=False)
