"""Plane geometry of a cut through a shell: its outline, its inner face, and where the light of a beam lands."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]
Loop = tuple[Point, ...]
Place = tuple[int, float]
"""Number of an edge of a loop and the share of it, 0 to 1, that lies before the place."""

_NEAR = 1e-9
_LEAP = 0.02
_HALVINGS = 10
_STEP_DEG = 3.0
_STEEPEST = 3.0


@dataclass(frozen=True, slots=True)
class Landing:
    """Where a ray ends: the point, and its place on the wall, None on a carrier."""

    point: Point
    place: Place | None


def mirrored(profile: Sequence[Point]) -> Loop:
    """Return the closed outline of a body turned from a profile of (radius, height) points, anticlockwise if z is up.

    Raises ValueError for fewer than two points, a radius below 0, numbers not finite or no area.
    """
    if len(profile) < 2 or any(not (math.isfinite(r) and math.isfinite(z)) or r < 0.0 for r, z in profile):
        raise ValueError(
            f"a profile of {len(profile)} points cannot be cut, expected two or more, finite, radius not < 0"
        )
    rising = tuple(profile) if profile[0][1] <= profile[-1][1] else tuple(reversed(profile))
    loop = [*rising, *((-r, z) for r, z in reversed(rising))]
    kept = [p for before, p in zip([loop[-1], *loop], loop, strict=False) if math.dist(before, p) > _NEAR]
    if len(kept) < 3 or abs(area(kept)) < _NEAR * _NEAR:
        raise ValueError("a profile encloses no area, expected a body with a width and a height")
    return tuple(kept) if area(kept) > 0.0 else tuple(reversed(kept))


def area(loop: Sequence[Point]) -> float:
    """Return the area inside a loop, positive if it runs anticlockwise (y upwards)."""
    return 0.5 * sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in edges(loop))


def edges(loop: Sequence[Point]) -> list[tuple[Point, Point]]:
    """Return the straight edges of a closed loop."""
    return list(pairwise([*loop, loop[0]]))


def inset(loop: Loop, depth: float) -> Loop:
    """Return an anticlockwise loop moved inwards by `depth`, one point for each of its own, sharp corners cut short."""
    normals = []
    for (x1, y1), (x2, y2) in edges(loop):
        length = math.hypot(x2 - x1, y2 - y1)
        normals.append(((y1 - y2) / length, (x2 - x1) / length))
    moved = []
    for (x, y), before, after in zip(loop, [normals[-1], *normals], normals, strict=False):
        along = 1.0 + before[0] * after[0] + before[1] * after[1]
        gain = depth / max(along, 2.0 / _STEEPEST**2)
        moved.append((x + gain * (before[0] + after[0]), y + gain * (before[1] + after[1])))
    return tuple(moved)


def holds(loop: Loop, place: Point) -> bool:
    """Return whether a place lies inside a loop (even-odd rule)."""
    x, y = place
    return (
        sum((y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1) for (x1, y1), (x2, y2) in edges(loop))
        % 2
        == 1
    )


def nearest_on(loop: Sequence[Point], place: Point) -> tuple[Point, Point]:
    """Return the point of an anticlockwise loop nearest to a place, and the unit normal there, outwards."""
    best, found = math.inf, (loop[0], (0.0, 1.0))
    for (x1, y1), (x2, y2) in edges(loop):
        length = math.hypot(x2 - x1, y2 - y1)
        way = ((x2 - x1) / length, (y2 - y1) / length)
        run = min(max((place[0] - x1) * way[0] + (place[1] - y1) * way[1], 0.0), length)
        point = (x1 + run * way[0], y1 + run * way[1])
        off = math.dist(point, place)
        if off < best - _NEAR:
            best, found = off, (point, (way[1], -way[0]))
    return found


def below(loop: Sequence[Point], level: float, height: Callable[[Point], float]) -> Loop:
    """Return the part of a loop whose `height` (linear in the point) is at most `level`; empty where none is."""
    kept: list[Point] = []
    for a, b in edges(loop):
        ha, hb = height(a) - level, height(b) - level
        if ha <= 0.0:
            kept.append(a)
        if ha * hb < 0.0:
            share = ha / (ha - hb)
            kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    return tuple(kept)


def land(start: Point, angle: float, wall: Loop, carriers: Sequence[Loop]) -> Landing | None:
    """Return where a ray from `start` at `angle` (radians, from x towards y) first meets a wall or carrier, if it does."""
    way = (math.cos(angle), math.sin(angle))
    best, at = math.inf, None
    for number, (a, b) in enumerate(edges(wall)):
        hit = _meet(start, way, a, b)
        if hit is not None and hit[0] < best:
            best, at = hit[0], (number, hit[1])
    # A light sits on the carrier, whose face there is no obstacle.
    least = 1e-6 * perimeter(wall)
    for loop in carriers:
        for a, b in edges(loop):
            hit = _meet(start, way, a, b)
            if hit is not None and least < hit[0] < best:
                best, at = hit[0], None
    if not math.isfinite(best):
        return None
    return Landing((start[0] + best * way[0], start[1] + best * way[1]), at)


def footprint(
    start: Point, axis: float, beam: float, wall: Loop, carriers: Sequence[Loop]
) -> tuple[tuple[Place, ...], ...]:
    """Return the stretches of wall that a beam lights directly.

    Args:
        start: place of the light, inside the wall.
        axis: direction of the beam, radians from x towards y.
        beam: its full width, radians, above 0.
        wall: inner face, an anticlockwise loop.
        carriers: loops that stand in the way.

    Returns:
        Lines along the wall as places, broken where the next ray lands elsewhere: behind an edge or a carrier.
    """
    count = max(2, math.ceil(math.degrees(beam) / _STEP_DEG))
    angles = [axis - 0.5 * beam + beam * k / count for k in range(count + 1)]
    around = perimeter(wall)
    stretches: list[list[Place]] = []

    def walk(one: float, first: Landing | None, two: float, last: Landing | None, left: int) -> None:
        path = None
        if first is not None and last is not None and first.place is not None and last.place is not None:
            path = _path(wall, around, first.place, last.place)
        if path is not None:
            if not stretches or stretches[-1][-1] != path[0]:
                stretches.append([path[0]])
            stretches[-1] += path[1:]
        elif left and ((first and first.place) or (last and last.place)):
            middle = 0.5 * (one + two)
            between = land(start, middle, wall, carriers)
            walk(one, first, middle, between, left - 1)
            walk(middle, between, two, last, left - 1)

    landings = [land(start, angle, wall, carriers) for angle in angles]
    for (one, first), (two, last) in pairwise(zip(angles, landings, strict=True)):
        walk(one, first, two, last, _HALVINGS)
    return tuple(tuple(stretch) for stretch in stretches)


def perimeter(loop: Loop) -> float:
    """Return the length of a loop."""
    return sum(math.dist(a, b) for a, b in edges(loop))


def point_at(loop: Loop, place: Place) -> Point:
    """Return the point at a place on a loop."""
    (x1, y1), (x2, y2) = loop[place[0]], loop[(place[0] + 1) % len(loop)]
    return x1 + place[1] * (x2 - x1), y1 + place[1] * (y2 - y1)


def run_to(loop: Loop, place: Place) -> float:
    """Return the length along a loop from its first point to a place."""
    whole = sum(math.dist(a, b) for a, b in edges(loop)[: place[0]])
    return whole + math.dist(loop[place[0]], point_at(loop, place))


def _path(wall: Loop, around: float, one: Place, two: Place) -> list[Place] | None:
    """Return the places from one to another along the wall, corners between them included, None where far apart."""
    start, count = run_to(wall, one), len(wall)
    gap = (run_to(wall, two) - start + 0.5 * around) % around - 0.5 * around
    if abs(gap) > _LEAP * around:
        return None
    corners, turn = [], 1 if gap > 0.0 else -1
    number = (one[0] + 1) % count if gap > 0.0 else one[0]
    while 0.0 < (turn * (run_to(wall, (number, 0.0)) - start)) % around < abs(gap):
        corners.append((number, 0.0))
        number = (number + turn) % count
    return [one, *corners, two]


def _meet(start: Point, way: Point, a: Point, b: Point) -> tuple[float, float] | None:
    """Return (distance along the ray, share along the edge) where they meet, if they do."""
    ex, ey = b[0] - a[0], b[1] - a[1]
    cross = way[0] * ey - way[1] * ex
    if abs(cross) < 1e-15:
        return None
    dx, dy = a[0] - start[0], a[1] - start[1]
    reach, share = (dx * ey - dy * ex) / cross, (dx * way[1] - dy * way[0]) / cross
    return (reach, share) if reach > _NEAR and -_NEAR <= share <= 1.0 + _NEAR else None
