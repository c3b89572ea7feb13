"""Hearing: a million random and mutated datagrams, and a ten-minute show of twelve universes read from a capture."""

from __future__ import annotations

import random
import tempfile
import time
import tracemalloc
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from benchmarks.rows import Row, at_most, plain
from hollowglow.net.hearing.capture import Writer, read
from hollowglow.net.hearing.sources import HeardSources
from hollowglow.net.packets.packet import Data, Discovery, Sync, encode

TITLE = "Hearing: a million datagrams of any content; a ten-minute show of 12 universes at 40 Hz as a capture"
UNIVERSES = tuple(range(1, 5))
MILLION = 1_000_000
GROWTH_OCTETS = 50_000
SHOW = (24_000, 12)  # frames, universes
READ_S = 10.0


@dataclass(frozen=True, slots=True)
class Storm:
    """What a storm of datagrams did; of the second half, how much memory was held in its middle and at its end."""

    datagrams: int
    seconds: float
    middle_octets: int
    end_octets: int
    malformed: int
    taken: int


def seeds(chance: random.Random) -> list[bytes]:
    """Return well-formed packets of every type to start from."""
    made = []
    for _ in range(200):
        cid = chance.randbytes(16)
        options = [chance.random() < 0.1 for _ in range(3)]
        data = Data(
            cid, "sender", chance.randint(0, 200), chance.choice([0, 0, 7, 9]), chance.randrange(256), *options,
            chance.choice((*UNIVERSES, 99)), chance.choice([0, 0, 0, 0xDD]), chance.randbytes(chance.choice([0, 3, 512])),
        )  # fmt: skip
        made.append(encode(data))
        made.append(encode(Sync(cid, chance.randrange(256), chance.choice([7, 9]))))
        made.append(encode(Discovery(cid, "sender", 0, 0, tuple(sorted(chance.sample(range(1, 60_000), 20))))))
    return made


def datagram(chance: random.Random, known: list[bytes]) -> bytes:
    """Return a datagram that is random, whole, or whole but for octets changed, taken away, or put in."""
    what = chance.random()
    if what < 0.1:
        return chance.randbytes(chance.randrange(700))
    made = bytearray(chance.choice(known))
    if what < 0.4:  # whole, of a sender not heard before, or with its number gone on
        made[22:38] = chance.randbytes(16) if what < 0.25 else made[22:38]
        made[111 if len(made) > 111 else 44] = chance.randrange(256)
        return bytes(made)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(made))
        if what < 0.8:
            made[at] = chance.randrange(256)
        elif what < 0.9:
            del made[at:]
        else:
            made[at:at] = chance.randbytes(chance.randrange(40))
        if not made:
            break
    return bytes(made)


def storm(count: int, seed: int = 1) -> Storm:
    """Let datagrams rain on four universes, 2,000 a second by the state machine's clock, and return what came of it."""
    chance = random.Random(seed)
    known = seeds(chance)
    sources = HeardSources(UNIVERSES)
    start_s = time.perf_counter()
    held = []
    try:
        for k in range(count):
            if k == count // 2:
                tracemalloc.start()
            if k in (count * 3 // 4, count - 1):
                sources.frame(k / 2000)
                held.append(tracemalloc.get_traced_memory()[0])
            sources.hear(datagram(chance, known), "127.0.0.1", k / 2000)
            if k % 100 == 0:
                sources.frame(k / 2000)
    finally:
        tracemalloc.stop()
    taken = sum(sources.counts(u).frames for u in UNIVERSES)
    return Storm(count, time.perf_counter() - start_s, held[0], held[1], sources.totals.malformed, taken)


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    done = storm(MILLION)
    yield plain("datagrams of any content", done.datagrams / done.seconds, "/s")
    yield plain("of them malformed", done.malformed, "")
    grown = done.end_octets - done.middle_octets
    yield at_most("memory that the last quarter of them added", max(grown, 0) / 1e3, GROWTH_OCTETS / 1e3, "kB")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "show.pcapng"
        write_show(path)
        begin = time.perf_counter()
        count = sum(1 for _ in read(path))
        yield at_most(f"capture of {count:,} packets, read", time.perf_counter() - begin, READ_S, "s")
        sources = HeardSources(range(1, SHOW[1] + 1))
        begin = time.perf_counter()
        for timed in read(path):
            sources.hear(timed.datagram, timed.source, timed.time_s)
        yield plain("the same, read and heard", time.perf_counter() - begin, "s")


def write_show(path: Path) -> None:
    """Write a show that changes all slots with every frame."""
    frames, universes = SHOW
    cid = bytes(range(16))
    with path.open("wb") as stream:
        writer = Writer(stream)
        for frame in range(frames):
            slots = bytes([frame % 256]) * 512
            for universe in range(1, universes + 1):
                packet = Data(cid, "show", 100, 0, frame % 256, False, False, False, universe, 0, slots)
                writer.write(1e9 + frame / 40, ("10.0.0.1", 5568), ("239.255.0.1", 5568), encode(packet))
