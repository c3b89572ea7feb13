"""Parts of a section: lights, bores, glands, drops, hooks, dimension lines and the key, in mm on the page."""

from __future__ import annotations

import math

from hollowglow.draw.sheet.records import Circle, Line, Polyline, Record, Role, Text

Point = tuple[float, float]

DROP_MM = 5.0
GLAND_MM = 13.5
KEY_MM = 2.4


def _frame(at: Point, way: Point, along: float, aside: float) -> Point:
    """Return the point `along` a unit direction and `aside` of it (to its right on the page)."""
    return at[0] + along * way[0] - aside * way[1], at[1] + along * way[1] + aside * way[0]


def _block(at: Point, way: Point, near: float, far: float, half: float, role: Role) -> Polyline:
    corners = ((near, -half), (far, -half), (far, half), (near, half))
    return Polyline(tuple(_frame(at, way, along, aside) for along, aside in corners), role, closed=True)


def body(at: Point, way: Point, diameter: float, length: float, *, solid: bool) -> list[Record]:
    """Return a light whose emitter is at `at` and which shines along `way`: its body behind it, its lens before it."""
    half, bulge = diameter / 2, diameter / 5
    dome = [
        _frame(at, way, bulge * math.cos(turn), half * math.sin(turn))
        for turn in (math.pi * (k / 12 - 0.5) for k in range(13))
    ]
    if not solid:
        back = [_frame(at, way, -length, half), _frame(at, way, -length, -half)]
        return [Polyline((*dome, *back, dome[0]), "ray")]
    return [_block(at, way, -length, 0.0, half, "light"), Polyline(tuple(dome), "light", closed=True)]


def bore(at: Point, out: Point, diameter: float, wall: float) -> list[Record]:
    """Return a hole through the wall at `at` on its outside, whose normal outwards is `out`."""
    half = diameter / 2
    gap = _block(at, out, -wall - 0.4, 0.4, half, "paper")
    sides = [Line(*_frame(at, out, -wall, side), *_frame(at, out, 0.0, side), "edge") for side in (-half, half)]
    return [gap, *sides]


def gland(at: Point, out: Point, diameter: float, wall: float) -> list[Record]:
    """Return a cable gland in a hole: nut inside, body and cap outside, and the cable through it."""
    half, thick = diameter / 2, min(max(0.25 * diameter, 1.0), 2.0)
    cable = max(0.3 * diameter, 0.6) / 2
    cap = min(0.8 * diameter, 6.0)
    return [
        _block(at, out, -wall - thick, -wall, 1.3 * half, "bore"),
        _block(at, out, 0.0, thick, 1.35 * half, "bore"),
        _block(at, out, thick, thick + cap, half, "bore"),
        *(
            Line(*_frame(at, out, -wall - thick - 3.0, side), *_frame(at, out, thick + cap + 4.0, side), "edge")
            for side in (-cable, cable)
        ),
    ]


def drop(at: Point) -> list[Record]:
    """Return a drop of water falling from `at`."""
    x, y = at
    tip, radius = y + 0.6, 1.15
    middle = y + DROP_MM - radius - 0.4
    round_part = [
        (x + radius * math.cos(turn), middle + radius * math.sin(turn))
        for turn in (math.pi * (k / 12 * 1.4 - 0.2) for k in range(13))
    ]
    return [Polyline(((x, tip), *round_part), "water", closed=True)]


def hook(at: Point) -> list[Record]:
    """Return a hook and its eye on top of `at`."""
    x, y = at
    arc = [
        (x + 2.2 * math.cos(turn), y - 6.6 + 2.2 * math.sin(turn)) for turn in (math.pi * k / 12 for k in range(-12, 7))
    ]
    return [Circle(x, y - 1.5, 1.5, "mark"), Line(x, y - 2.9, x, y - 4.4, "edge"), Polyline(tuple(arc), "edge")]


def dimension(start: Point, end: Point, from_start: Point, from_end: Point) -> list[Record]:
    """Return a dimension line with slanted end strokes, and the lines that lead to it from the thing."""
    ends: list[Record] = [Line(x - 0.8, y + 0.8, x + 0.8, y - 0.8, "dimension") for x, y in (start, end)]
    return [
        Line(*start, *end, "dimension"),
        Line(*from_start, *start, "dimension"),
        Line(*from_end, *end, "dimension"),
        *ends,
    ]


def key(x: float, y: float, beams: bool) -> list[Record]:
    """Return what the lines of a beam mean, one row each, or nothing where there is none."""
    if not beams:
        return []
    rows: tuple[tuple[Role, str], ...] = (
        ("aim", "axis of a light"),
        ("ray", "edge of its beam (half intensity)"),
        ("footprint", "wall that the beam lights directly"),
    )
    records: list[Record] = []
    for row, (role, words) in enumerate(rows):
        level = y + 3.6 * row
        records.append(Line(x, level, x + 9.0, level, role))
        records.append(Text(x + 11.0, level + 0.35 * KEY_MM, words, KEY_MM, "label"))
    return records
