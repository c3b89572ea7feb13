"""Five hundred universes at 40 Hz on loopback from one core, and the sacn package's sender with three hundred."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass

from benchmarks.rows import Row, at_least, at_most, plain

TITLE = "Live: 40 frames a second on loopback, every slot changing in every frame, one core"
OURS, THEIRS = 500, 300
SECONDS, SHORT_S = 30.0, 10.0
IN_TIME_S = 0.002
IN_TIME_SHARE = 0.99

_COMMON = """
import json, os, socket, sys, time
import numpy as np
if hasattr(os, "sched_setaffinity"):
    os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})
universes, seconds, busy = int(sys.argv[1]), float(sys.argv[2]), sys.argv[3] == "busy"
receiver = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
receiver.bind(("127.0.0.1", 0))
port = receiver.getsockname()[1]
frames = np.random.default_rng(1).integers(0, 256, (4, universes, 512), dtype=np.uint8)
"""

_OURS = (
    _COMMON
    + """
from hollowglow.net.sending.sender import Sender
begin, spent, k, until = time.monotonic(), time.process_time(), 0, time.monotonic()
with Sender(range(1, universes + 1), f"127.0.0.1:{port}", cid=bytes(16), source="benchmark") as sender:
    while time.monotonic() - begin < seconds:
        sender.show(frames[k % 4])
        k += 1
        until += 0.025
        while busy and time.monotonic() < until:
            sum(range(1000))
        time.sleep(max(0.0, until - time.monotonic()))
    spent = time.process_time() - spent
    told = sender.statistics()
print(json.dumps({
    "cpu": spent / seconds, "frames": told.frames, "missed": told.missed, "packets": told.packets,
    "failed": told.failed, "begun": told.begun_late_s.tolist(), "gone": told.gone_late_s.tolist(),
}))
"""
)

_THEIRS = (
    _COMMON
    + """
import sacn
from sacn.sending.sender_socket_udp import SenderSocketUDP
# Its port is always 5568; this loopback address is nobody else's.
theirs = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
theirs.bind(("127.77.0.1", 5568))
count, plain = 0, SenderSocketUDP.send_packet
def counting(self, data, destination):
    global count
    count += 1
    plain(self, data, destination)
SenderSocketUDP.send_packet = counting
sender = sacn.sACNsender(bind_address="127.0.0.1", bind_port=0, fps=40, universeDiscovery=False)
for u in range(1, universes + 1):
    sender.activate_output(u)
    sender[u].destination = "127.77.0.1"
sender.start()
tuples = [[tuple(row) for row in frame.tolist()] for frame in frames]
begin, spent, k, until = time.monotonic(), time.process_time(), 0, time.monotonic()
while time.monotonic() - begin < seconds:
    for u in range(1, universes + 1):
        sender[u].dmx_data = tuples[k % 4][u - 1]
    k += 1
    until += 0.025
    time.sleep(max(0.0, until - time.monotonic()))
spent = time.process_time() - spent
print(json.dumps({"cpu": spent / seconds, "packets": count}))
sys.stdout.flush()
os._exit(0)
"""
)

_SLEEPER = (
    _COMMON
    + """
begin, late = time.monotonic(), []
for k in range(1, int(seconds / 0.025)):
    time.sleep(max(0.0, begin + 0.025 * k - time.monotonic()))
    late.append(time.monotonic() - begin - 0.025 * k)
print(json.dumps({"cpu": 0.0, "packets": 0, "gone": late}))
"""
)


@dataclass(frozen=True)
class Run:
    """What one sender took: its share of the processor, its packets, and for ours how late each frame was (s)."""

    cpu: float
    packets: int
    frames: int = 0
    missed: int = 0
    failed: int = 0
    begun: tuple[float, ...] = ()
    gone: tuple[float, ...] = ()


def run(program: str, universes: int, seconds: float, busy: bool = False) -> Run:
    """Return what a sender takes in a process of its own."""
    command = [sys.executable, "-c", program, str(universes), str(seconds), "busy" if busy else "idle"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=dict(os.environ))
    if done.returncode:
        raise RuntimeError(f"a sender ended with status {done.returncode} and said: {done.stderr[-2000:]}")
    told = json.loads(done.stdout)
    return Run(**{k: tuple(v) if isinstance(v, list) else v for k, v in told.items()})


def share_in_time(begun_s: tuple[float, ...], gone_s: tuple[float, ...]) -> float:
    """Return the share of frames that left from first to last packet within 2 ms of the deadline, before or after, %."""
    both = zip(begun_s, gone_s, strict=True)
    return 100.0 * sum(first >= -IN_TIME_S and last <= IN_TIME_S for first, last in both) / len(gone_s)


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    ours = run(_OURS, OURS, SECONDS)
    yield at_least(
        f"{OURS} universes, {SECONDS:g} s: frames that left whole within 2 ms of their deadline",
        share_in_time(ours.begun, ours.gone),
        100.0 * IN_TIME_SHARE,
        "%",
    )
    yield plain("the earliest first packet, before the deadline", -1e3 * min(ours.begun), "ms")
    yield plain("the latest last packet, after it", 1e3 * max(ours.gone), "ms")
    yield at_most("frames left out", ours.missed, 0, "frames")
    yield at_most("packets that could not be sent", ours.frames * OURS - ours.packets + ours.failed, 0, "packets")
    yield plain("data packets", ours.packets, "packets")
    theirs = run(_THEIRS, THEIRS, SHORT_S)
    yield plain(f"sacn package, {THEIRS} universes, {SHORT_S:g} s: packets a second", theirs.packets / SHORT_S, "1/s")
    yield plain("share of the core that the sacn package takes", 100.0 * theirs.cpu, "%")
    yield at_most(f"share of the core for our {OURS} universes", 100.0 * ours.cpu, 100.0 * theirs.cpu, "%")
    busy = run(_OURS, OURS, SHORT_S, busy=True)
    bare = run(_SLEEPER, 1, SHORT_S)
    yield plain(
        "a program that only sleeps, on the same core: woken within 2 ms", share_in_time(bare.gone, bare.gone), "%"
    )
    yield plain(
        f"{OURS} universes while the caller computes without pause: within 2 ms",
        share_in_time(busy.begun, busy.gone),
        "%",
    )
