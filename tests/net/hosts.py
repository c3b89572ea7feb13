"""Three IP hosts on one cable: network namespaces of this machine, joined by a bridge, made and taken away by the test."""

import secrets
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import IO

from tests.cli.running import PATIENCE_S, environment
from tests.net.listening import SOURCE

NAMES = ("post", "jetty", "shed")


def run(*words: str) -> None:
    subprocess.run(words, check=True, capture_output=True, timeout=60)


def _heed_interrupts() -> None:
    signal.signal(signal.SIGINT, signal.default_int_handler)


class Hosts:
    """The hosts by name; each has the address 10.77.0.N on its interface lan0, and nothing leads out of them."""

    def __init__(self) -> None:
        self._prefix = f"sw{secrets.token_hex(4)}"
        self._started: list[subprocess.Popen[str]] = []

    def space(self, name: str) -> str:
        return f"{self._prefix}{name}"

    def address(self, name: str) -> str:
        return f"10.77.0.{NAMES.index(name) + 1}"

    def up(self) -> None:
        run("ip", "netns", "add", self.space("bridge"))
        run("ip", "-n", self.space("bridge"), "link", "add", "br0", "type", "bridge", "mcast_snooping", "0")
        run("ip", "-n", self.space("bridge"), "link", "set", "br0", "up")
        for name in NAMES:
            run("ip", "netns", "add", self.space(name))
            run("ip", "-n", self.space(name), "link", "set", "lo", "up")
            self.plug_in(name)

    def plug_in(self, name: str) -> None:
        here, bridge = self.space(name), self.space("bridge")
        run("ip", "-n", bridge, "link", "add", name, "type", "veth", "peer", "name", "lan0", "netns", here)
        run("ip", "-n", bridge, "link", "set", name, "master", "br0", "up")
        # Its own for good, as a card's is: the others remember where they found it.
        run("ip", "-n", here, "link", "set", "lan0", "address", f"02:00:0a:4d:00:0{NAMES.index(name) + 1}")
        run("ip", "-n", here, "addr", "add", f"{self.address(name)}/24", "dev", "lan0")
        run("ip", "-n", here, "link", "set", "lan0", "up")
        run("ip", "-n", here, "route", "add", "default", "dev", "lan0")

    def pull_out(self, name: str) -> None:
        run("ip", "-n", self.space(name), "link", "delete", "lan0")

    def start(self, name: str, *words: str) -> subprocess.Popen[str]:
        """Start Python with these arguments on a host; what it prints comes line by line."""
        process = subprocess.Popen(
            ["ip", "netns", "exec", self.space(name), sys.executable, "-u", *words],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            preexec_fn=_heed_interrupts,
            text=True,
            bufsize=1,
        )
        self._started.append(process)
        return process

    def stop(self) -> None:
        """Kill all that was started on the hosts."""
        for process in self._started:
            process.kill()
            process.wait()
            for pipe in (process.stdin, process.stdout):
                if pipe is not None:
                    pipe.close()
        self._started.clear()

    def down(self) -> None:
        self.stop()
        for name in (*NAMES, "bridge"):
            subprocess.run(["ip", "netns", "delete", self.space(name)], capture_output=True, timeout=60, check=False)


@contextmanager
def hosts() -> Iterator[Hosts]:
    made = Hosts()
    try:
        made.up()
        yield made
    finally:
        made.down()


def on_its_own(*words: str) -> subprocess.CompletedProcess[str]:
    """Run Python with these arguments on a host of its own that has loopback only: nobody else uses its ports."""
    return subprocess.run(
        [
            "unshare",
            "--map-root-user",
            "--net",
            "sh",
            "-c",
            'ip link set lo up && exec "$@"',
            "sh",
            sys.executable,
            *words,
        ],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        env=environment(PYTHONPATH=str(SOURCE)),
        timeout=PATIENCE_S,
        check=False,
    )


def line(stream: IO[str] | None) -> str:
    assert stream is not None
    return stream.readline().strip()


def tell(process: subprocess.Popen[str], words: Sequence[str] | str) -> None:
    assert process.stdin is not None
    process.stdin.write((words if isinstance(words, str) else " ".join(words)) + "\n")
    process.stdin.flush()
