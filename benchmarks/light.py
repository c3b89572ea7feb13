"""Light inside shells: 2,000 patches, a comparison of fills, and the time that a path tracer takes for the same accuracy."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
from tests.analysis.prop.optics import tracing

from benchmarks.rows import Row, at_least, at_most, plain
from hollowglow.analysis.prop.inside.hollow import Floats
from hollowglow.analysis.prop.optics import (
    Block,
    BoxShell,
    Carrier,
    Disc,
    Plate,
    PointLight,
    Shell,
    Sphere,
    Wall,
    cylinder,
    enclosure,
    interior,
)
from hollowglow.analysis.prop.optics.beams import at_points
from hollowglow.file import load
from hollowglow.search.fill import candidates, compare, rank

TITLE = "Light inside shells"
PATCHES_S = 1.5
FILL_S = 15.0
LEAST_FILLS = 20
_DEMO = Path(__file__).parents[1] / "src" / "hollowglow" / "file" / "demo" / "landing.yaml"
_UP = np.array([0.0, 0.0, 1.0])
_WALL = Wall((0.4,) * 3, (0.5,) * 3)
_SHELLS: list[tuple[str, Shell, Carrier | None]] = [
    ("sphere", Sphere(0.15), None),
    ("drum with a disc inside", cylinder(0.12, 0.15), Disc(np.array([0.0, 0.0, 0.02]), _UP, 0.04)),
    (
        "sphere with a plate off its axis",
        Sphere(0.15),
        Plate(np.array([0.01, 0.0, 0.05]), np.array([0.03, 0.0, 0.0]), np.array([0.0, 0.02, 0.0])),
    ),
    (
        "box with a block inside",
        BoxShell(0.1, 0.15, 0.12),
        Block(np.array([-0.02, -0.05, 0.01]), np.array([0.03, 0.05, 0.03])),
    ),
]
_SPOTS = 60
_TIMES = 3
_SAMPLES = (256, 1024, 4096, 16384, 65536)
_ACCURACY = 0.01


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    lamp = PointLight(np.array([0.0, 0.0, 0.08]), _UP, 120.0, (1.0, 2.0, 0.5))
    for name, shell, carrier in _SHELLS:
        taken = []
        for _ in range(_TIMES):
            begin = time.perf_counter()
            room = enclosure(shell, carrier, 2000)
            interior(room, _WALL).glow([lamp] * 6)
            taken.append(time.perf_counter() - begin)
        words = f"{name}: {len(room.area):,} patches, three colours, six lights"
        yield at_most(words, min(taken), PATCHES_S, "s")
    display = load(_DEMO)
    for kind in display.kinds:
        begin = time.perf_counter()
        found = candidates(display, kind)
        rank(compare(display, kind, found))
        took = time.perf_counter() - begin
        yield at_least(f"fills compared for the demo's {kind}", len(found), LEAST_FILLS, "candidates")
        yield at_most(f"comparing them, the demo's {kind}", took, FILL_S, "s")
    yield from _against_the_tracer()


def _against_the_tracer() -> Iterator[Row]:
    """Compare with the closed form of the sphere: what comes straight, and the even rest rho phi / (4 pi R² (1 - rho))."""
    import mitsuba

    mitsuba.set_variant("scalar_rgb")
    radius, reflectance, flux = 0.075, 0.8, 1.0
    ball = Sphere(2.0 * radius)
    lamp = PointLight(np.array([0.02, 0.0, 0.06]), np.array([1.0, 0.0, 0.5]), 120.0, (flux,))
    rng = np.random.default_rng(3)
    away = rng.normal(size=(_SPOTS, 3))
    away /= np.linalg.norm(away, axis=1)[:, None]
    spots = ball.middle + radius * away
    even = reflectance * flux / (4.0 * np.pi * radius**2 * (1.0 - reflectance))
    exact = _straight(lamp, spots, -away) + even

    begin = time.perf_counter()
    room = enclosure(ball, None, 600)
    glow = interior(room, Wall((0.1,), (reflectance,))).glow([lamp])
    thrown = float(((glow.irradiance_lx - glow.direct_lx)[:, 0] @ room.wall.area) / room.wall.area.sum())
    ours = at_points(room, [lamp], spots, -away)[:, 0] * flux + thrown
    mine = time.perf_counter() - begin
    yield plain("ours, sphere: time to the illuminance of 60 points", mine, "s")
    yield plain("ours, sphere: root mean square error", 100.0 * _error(ours, exact), "%")
    scene = {
        "wall": {
            "type": "sphere",
            "center": (tracing.SCALE * ball.middle).tolist(),
            "radius": tracing.SCALE * radius,
            "flip_normals": True,
            "bsdf": tracing.diffuse(reflectance),
        },
        "light": tracing.square_light(lamp.position_m, lamp.axis / np.linalg.norm(lamp.axis), flux, 1e-3),
    }
    for samples in _SAMPLES:
        begin = time.perf_counter()
        traced = tracing.traced(scene, spots[:, None, :], -away, reflectance, samples)
        took = time.perf_counter() - begin
        error = _error(traced.total, exact)
        if error <= _ACCURACY:
            yield plain(f"Mitsuba, sphere: time with {samples:,} paths from each point and seed", took, "s")
            yield plain("Mitsuba, sphere: root mean square error", 100.0 * error, "%")
            yield plain("Mitsuba's time over ours, to 1 % or better", took / mine, "times")
            return
    yield Row("Mitsuba, sphere", f"{100.0 * error:.2g} % with {samples:,} paths", "")


def _straight(lamp: PointLight, spots: Floats, normals: Floats) -> Floats:
    """Return the illuminance of a small Lambert emitter by the inverse square law, lx."""
    way = spots - lamp.position_m
    square = np.einsum("nk,nk->n", way, way)
    leave = np.maximum(way @ (lamp.axis / np.linalg.norm(lamp.axis)), 0.0)
    arrive = np.maximum(-np.einsum("nk,nk->n", way, normals), 0.0)
    straight: Floats = lamp.flux_lm[0] / np.pi * leave * arrive / square**2
    return straight


def _error(found: Floats, exact: Floats) -> float:
    return float(np.sqrt(np.mean((found / exact - 1.0) ** 2)))
