"""What a show draws: ten minutes of frames solved, and the limiter on a large display."""

from __future__ import annotations

import resource
import statistics
import time
from collections.abc import Iterator

import numpy as np

from benchmarks.displays import display_text
from benchmarks.rows import Row, at_most, plain
from hollowglow.analysis.circuit.power import solve_network
from hollowglow.assembly import expand
from hollowglow.file import load_text
from hollowglow.show.demand import AddressMap, Demand
from hollowglow.show.demand.addresses import DARK, Bytes
from hollowglow.show.limiter import Limiter

TITLE = "Shows: ten minutes at 40 Hz on 2,000 nodes, and the limiter on 5,000"
NODES = 2_000
FRAMES = 24_000
LIMIT_S = 60.0
LIMIT_MIB = 2_048.0
SAMPLE = 40
LIMITED_NODES = 5_000
LIMITED_FRAMES = 200
LIMIT_MS = 3.0
CONSTANT_CURRENT = (
    "load: {class: constant-current, current: [5 mA, 5 mA, 5 mA], turn_on: [6.0 V, 8.0 V, 8.1 V], saturation: 0.6 V, "
    "idle: 1 mA}"
)
DRIVER = "load: {class: constant-power, power: [60 mW, 60 mW, 60 mW], efficiency: 0.9, cutoff: 7 V, idle: 1 mA}"


def waves(addresses: AddressMap, frames: int, top: float = 255.0) -> Bytes:
    """A show of colours that run along the strings, no frame like another, shape (F, U, 512)."""
    made = np.zeros((frames, len(addresses.universes) * 512), dtype=np.uint8)
    cell = np.arange(addresses.cells)
    for frame in range(frames):
        for colour, shift in enumerate((0.0, 2.1, 4.2)):
            wave = 1.0 + np.sin(0.11 * cell + shift + 0.0317 * frame)
            made[frame, addresses.cell_slot[:, colour]] = (0.5 * top * wave).astype(np.uint8)
    return made.reshape(frames, -1, 512)


def cuts(addresses: AddressMap, frames: int) -> Bytes:
    """A show in which every frame is a cut: all white, noise, one colour, every other light, half of it, shape (F, U, 512)."""
    rng = np.random.default_rng(5)
    used = addresses.cell_slot[addresses.cell_slot != DARK]
    made = np.zeros((frames, len(addresses.universes) * 512), dtype=np.uint8)
    for frame in range(frames):
        if frame % 5 == 0:
            made[frame, used] = 255
        elif frame % 5 == 1:
            made[frame, used] = rng.integers(0, 256, len(used))
        elif frame % 5 == 2:
            made[frame, addresses.cell_slot[:, frame % 3]] = 255
        elif frame % 5 == 3:
            made[frame, used] = np.where(rng.random(len(used)) < 0.5, 255, 0)
        else:
            made[frame, addresses.cell_slot[: addresses.cells // 2, :3]] = 255
    return made.reshape(frames, -1, 512)


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    for form, name in (("props", "lights at their full voltage"), ("knees", "lights that sag below their knees")):
        assembly = expand(load_text(display_text(form, NODES)))
        demand = Demand.of(assembly)
        frames = waves(demand.addresses, FRAMES if form == "props" else FRAMES // 10)
        begin = time.perf_counter()
        drawn = demand.solve(frames)
        took = time.perf_counter() - begin
        if form == "props":
            yield at_most(f"{len(frames):,} frames, {name}", took, LIMIT_S, "s")
        else:
            yield plain(f"{len(frames):,} frames, {name}", took, "s")
        yield plain("of these left to the full solver", int(drawn.alone.sum()), "")
        picked = np.linspace(0, len(frames) - 1, SAMPLE).astype(int)
        begin = time.perf_counter()
        apart = 0.0
        for k in picked.tolist():
            duty = demand.addresses.load_nodes @ demand.addresses.duties(frames[k])
            point = solve_network(demand.spread, duty, demand.circuit).point
            apart = max(apart, float(np.abs(point.supply_a - drawn.supply_a[k]).max()))
        one_by_one = (time.perf_counter() - begin) / SAMPLE * len(frames)
        yield plain(f"one by one with the plan's solver (from {SAMPLE})", one_by_one, "s")
        yield plain("that over ours", one_by_one / took, "times")
        yield plain("largest difference of a supply's current in these", apart, "A")
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    yield at_most("peak memory", peak_mib, LIMIT_MIB, "MiB")

    for form, name, rating, made in (
        ("props", "far from its limits", "200 W", waves),
        ("props", "over its limits", "60 W", waves),
        ("props", "over its limits, hard cuts", "60 W", cuts),
        ("knees", "sagging lights, over their limits", "40 W", waves),
        ("knees", "sagging lights, over their limits, hard cuts", "40 W", cuts),
        ("bare", "switching drivers, over their limits", "60 W", waves),
        ("bare", "switching drivers, over their limits, hard cuts", "60 W", cuts),
    ):
        text = display_text(form, LIMITED_NODES).replace("200 W", rating)
        limiter = Limiter.of(expand(load_text(text.replace(CONSTANT_CURRENT, DRIVER) if form == "bare" else text)))
        show = made(limiter.demand.addresses, LIMITED_FRAMES)
        times, telling, scaled, solved = [], [], 0, 0
        for frame in show:
            begin = time.perf_counter()
            limiter(frame)
            limited = time.perf_counter()
            told = limiter.last
            telling.append(1e3 * (time.perf_counter() - limited))
            times.append(1e3 * (limited - begin))
            scaled += told.scale < 1.0
            solved += told.solved
        yield at_most(f"limiter, {name}: mean of a frame", statistics.fmean(times), LIMIT_MS, "ms")
        yield plain("its slowest frame", max(times), "ms")
        yield plain("telling, where that is asked for, what a frame would have drawn", statistics.fmean(telling), "ms")
        yield plain(f"frames scaled, of {LIMITED_FRAMES}", scaled, "")
        yield plain("frames for which the bound was not enough", solved, "")
