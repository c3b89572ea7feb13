"""A cut through one prop as it hangs: shell, carrier, lights with their beams, holes, drain and hook."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from hollowglow.draw.prop.cut import (
    Loop,
    Place,
    Point,
    area,
    below,
    edges,
    footprint,
    holds,
    inset,
    land,
    mirrored,
    nearest_on,
    perimeter,
    point_at,
    run_to,
)
from hollowglow.draw.prop.section_parts import DROP_MM, GLAND_MM, body, bore, dimension, drop, gland, hook, key
from hollowglow.draw.scale_bars import scale_bars
from hollowglow.draw.sheet.layout import fit_text, spread, wrapped
from hollowglow.draw.sheet.markers import marker
from hollowglow.draw.sheet.records import Circle, Drawing, Line, Polyline, Record, Role, Text
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import METRIC, US, Reader, Units
from hollowglow.quantity.sizes import INCH_M

Hanging = Literal["tip down", "tip up", "on its side"]
HoleSort = Literal["hole", "gland", "drain"]

EDGE_MM = 6.0
TITLE_MM = 4.0
WORD_MM = 2.6
BOLD = 1.2
LEFT_MM = 34.0
TOP_MM = 30.0
ROOM_MM = (76.0, 96.0)
WORDS_X_MM = 126.0
LANE_MM = 1.5
MOST_LANES = 4
SCALES = (5.0, 2.0, 1.0, 1 / 1.5, 0.5, 0.4, 1 / 3, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01)


@dataclass(frozen=True, slots=True)
class CutLight:
    """A light: place of its emitter and its axis in the plane of the cut as (across, along the shell's axis), m.

    The body reaches back from the place; `beam_deg` is the full width at half intensity. With `in_cut` false it stands
    before or behind the cut and is drawn without its beam.
    """

    at_m: Point
    axis: Point
    body_diameter_m: float
    body_length_m: float
    beam_deg: float
    in_cut: bool = True


@dataclass(frozen=True, slots=True)
class CutHole:
    """A hole in the shell: its place, moved to the nearest point of the outline, its diameter, what it is for."""

    at_m: Point
    diameter_m: float
    label: str
    sort: HoleSort = "hole"


@dataclass(frozen=True, slots=True)
class Section:
    """What the picture of one cut needs, in m, heights along the shell's axis from base to tip.

    `profile_m` holds (half width, height) points of the outside from base to tip: of a turned body its radius, of a box
    half its width. `carriers_m` holds closed loops of (across, height) points. `units` are those that sizes are told in.
    """

    title: str
    profile_m: tuple[Point, ...]
    wall_m: float
    hangs: Hanging = "tip down"
    lights: tuple[CutLight, ...] = ()
    carriers_m: tuple[Loop, ...] = ()
    carrier_label: str = ""
    holes: tuple[CutHole, ...] = ()
    hook_label: str = ""
    notes: tuple[str, ...] = ()
    units: Units = "both"

    def __post_init__(self) -> None:
        """Refuse walls and lights that cannot be drawn."""
        if not (math.isfinite(self.wall_m) and self.wall_m > 0):
            raise ValueError(f"a wall is {self.wall_m} m thick, expected more than 0")
        for light in self.lights:
            if not any(light.axis) or not all(map(math.isfinite, (*light.axis, *light.at_m))):
                raise ValueError(f"a light has the axis {light.axis}, expected a direction")
            if not 0.0 < light.beam_deg < 360.0:
                raise ValueError(
                    f"a light has a beam of {light.beam_deg:g} degrees, expected more than 0, less than 360"
                )


@dataclass(frozen=True, slots=True)
class _Page:
    """How places of the cut come onto the page: page = origin + scale * (turned place)."""

    hangs: Hanging
    x: float
    y: float
    per_m: float

    def at(self, place: Point) -> Point:
        right, down = _turn(place, self.hangs)
        return self.x + self.per_m * right, self.y + self.per_m * down

    def loop(self, places: Sequence[Point]) -> Loop:
        return tuple(map(self.at, places))

    def way(self, direction: Point) -> Point:
        right, down = _turn(direction, self.hangs)
        length = math.hypot(right, down)
        return right / length, down / length


def _turn(place: Point, hangs: Hanging) -> Point:
    across, along = place
    if hangs == "tip down":
        return across, along
    return (across, -along) if hangs == "tip up" else (along, across)


def room_in(profile_m: Sequence[Point], wall_m: float) -> Loop | None:
    """Return the outline of the room inside a wall, m, None where the wall or the profile leaves none.

    Args:
        profile_m: (half width, height) points of the outside from base to tip, m.
        wall_m: thickness of the wall.
    """
    try:
        outer = mirrored(profile_m)
    except ValueError:
        return None
    inner = inset(outer, wall_m)
    least = min(max(p[axis] for p in outer) - min(p[axis] for p in outer) for axis in (0, 1))
    return inner if 2.0 * wall_m < least and 0.0 < area(inner) < area(outer) else None


def section(cut: Section, *, width_mm: float = 180.0) -> Drawing:
    """Draw the cut as the prop hangs, the ground towards the foot of the page.

    Raises ValueError for an outline that encloses nothing, a wall too thick for it, a light outside, or `width_mm` below
    170.
    """
    if width_mm < 170:
        raise ValueError(f"a section {width_mm:g} mm wide was asked for, expected 170 mm or more")
    outer = mirrored(cut.profile_m)
    inner = room_in(cut.profile_m, cut.wall_m)
    page, size = _place(outer, cut.hangs)
    if inner is None:
        raise ValueError(
            f"a wall {tell(extent(cut.wall_m), METRIC)} thick leaves no room inside, expected a thinner one"
        )
    right, bottom = LEFT_MM + size[0] * page.per_m, TOP_MM + size[1] * page.per_m
    records: list[Record] = [
        Text(EDGE_MM, 8.2, fit_text(cut.title, width_mm - 2 * EDGE_MM, BOLD * TITLE_MM), TITLE_MM, "title"),
        Text(EDGE_MM, 13.0, f"cut through the middle, hanging {cut.hangs}", WORD_MM, "label"),
    ]
    records += [Polyline(page.loop(outer), "wall", closed=True), Polyline(page.loop(inner), "bore", closed=True)]
    flags: list[tuple[Point, str, Role]] = []
    found, wet = _water(cut, page, inner)
    records += found
    records += [Polyline(page.loop(loop), "carrier", closed=True) for loop in cut.carriers_m]
    records += _beams(cut, page, outer, inner)
    records += [
        part
        for light in sorted(cut.lights, key=lambda light: light.in_cut)
        for part in body(
            page.at(light.at_m),
            page.way(light.axis),
            light.body_diameter_m * page.per_m,
            light.body_length_m * page.per_m,
            solid=light.in_cut,
        )
    ]
    for hole in cut.holes:
        spot, normal = nearest_on(outer, hole.at_m)
        at, out = page.at(spot), page.way(normal)
        records += bore(at, out, hole.diameter_m * page.per_m, cut.wall_m * page.per_m)
        if hole.sort == "gland":
            records += gland(at, out, hole.diameter_m * page.per_m, cut.wall_m * page.per_m)
        elif hole.sort == "drain":
            records += drop((at[0], at[1] + 0.6))
        flags.append((at, f"{hole.label}, {tell(extent(hole.diameter_m), Reader(cut.units))}", "label"))
    if cut.hook_label:
        crown = _middle([p for p in page.loop(outer) if p[1] < TOP_MM + 1e-6])
        records += hook(crown)
        flags.append(((crown[0], crown[1] - 3.0), cut.hook_label, "label"))
    if not any(hole.sort == "drain" for hole in cut.holes):
        low = _middle([p for p in page.loop(outer) if p[1] > bottom - 1e-6])
        if any(hole.sort == "gland" for hole in cut.holes):
            low = (low[0] + 9.0, low[1])
        records += marker(low[0], low[1] + 3.4, "warn", 1.5)
        flags.append(((low[0] + 2.4, low[1] + 4.2), "no drain at the lowest point", "warn"))
    elif wet:
        flags.append((wet, "water stands below the drain", "warn"))
    flags += _body_flags(cut, page, outer)
    words, low_words = _words(flags, width_mm)
    records += words
    outward = [page.way(nearest_on(outer, hole.at_m)[1]) for hole in cut.holes if hole.sort == "gland"]
    aside = GLAND_MM if any(x < -0.3 for x, _ in outward) else 4.5
    under = GLAND_MM if any(y > 0.3 for _, y in outward) else DROP_MM + 4.0
    records += _dimensions(size, (right, bottom), aside, under, cut.units)
    foot = max(bottom + 26.0, low_words + 6.0)
    records += scale_bars(EDGE_MM, foot, page.per_m / 1e3, 60.0, cut.units)
    records.append(Text(78.0, foot + 0.9, f"scale {_ratio(page.per_m / 1e3)}", WORD_MM, "label"))
    records += key(WORDS_X_MM - 16.0, foot, any(light.in_cut for light in cut.lights))
    y = foot + 10.0
    for note in cut.notes:
        for line in wrapped(note, width_mm - 2 * EDGE_MM, WORD_MM):
            records.append(Text(EDGE_MM, y, fit_text(line, width_mm - 2 * EDGE_MM, WORD_MM), WORD_MM, "label"))
            y += 3.8
    return Drawing(width_mm, y, cut.title, tuple(records), _describe(cut, size))


def _place(outer: Loop, hangs: Hanging) -> tuple[_Page, Point]:
    turned = [_turn(p, hangs) for p in outer]
    left, top = min(x for x, _ in turned), min(y for _, y in turned)
    size = (max(x for x, _ in turned) - left, max(y for _, y in turned) - top)
    fit = min(ROOM_MM[0] / size[0], ROOM_MM[1] / size[1])
    per_m = next((1e3 * s for s in SCALES if 1e3 * s <= fit * (1 + 1e-9)), fit)
    return _Page(hangs, LEFT_MM - left * per_m, TOP_MM - top * per_m, per_m), size


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _ratio(per_mm: float) -> str:
    return f"{per_mm:.3g}:1" if per_mm > 1.0 else f"1:{1.0 / per_mm:.3g}"


def _beams(cut: Section, page: _Page, outer: Loop, inner: Loop) -> list[Record]:
    """Return each beam's axis, its two edges and its footprint, footprints that overlap in lanes side by side."""
    records: list[Record] = []
    lanes: list[list[tuple[float, float]]] = [[] for _ in range(MOST_LANES)]
    for light in cut.lights:
        if not light.in_cut:
            continue
        angle, beam = math.atan2(light.axis[1], light.axis[0]), math.radians(light.beam_deg)
        ends = [land(light.at_m, angle + side * beam / 2, inner, cut.carriers_m) for side in (-1, 1)]
        ahead = land(light.at_m, angle, inner, cut.carriers_m)
        if ahead is None or not holds(inner, light.at_m):
            raise ValueError(f"a light stands at {_mm(light.at_m)}, expected a place inside the shell")
        start = page.at(light.at_m)
        records.append(Line(*start, *page.at(ahead.point), "aim"))
        records += [Line(*start, *page.at(end.point), "ray") for end in ends if end is not None]
        stretches = footprint(light.at_m, angle, beam, inner, cut.carriers_m)
        spans = _covered(stretches, inner)
        free = [k for k, lane in enumerate(lanes) if not any(a < d and c < b for a, b in lane for c, d in spans)]
        number = free[0] if free else MOST_LANES - 1
        lanes[number] += spans
        face = inset(outer, cut.wall_m + (1.1 + LANE_MM * number) / page.per_m)
        for stretch in stretches:
            records.append(Polyline(page.loop([point_at(face, place) for place in stretch]), "footprint"))
    return records


def _covered(stretches: Sequence[Sequence[Place]], wall: Loop) -> list[tuple[float, float]]:
    """Return the stretches as lengths along the wall, repeated before and after it so that they go on past its start."""
    around, spans = perimeter(wall), []
    for stretch in stretches:
        low = high = at = run_to(wall, stretch[0])
        for place in stretch[1:]:
            at += (run_to(wall, place) - at + around / 2) % around - around / 2
            low, high = min(low, at), max(high, at)
        spans += [(low + turn * around, high + turn * around) for turn in (-1, 0, 1)]
    return spans


def _water(cut: Section, page: _Page, inner: Loop) -> tuple[list[Record], Point | None]:
    """Return the water that stays below the lowest drain, and a point of its surface."""

    def height(place: Point) -> float:
        return -page.at(place)[1]

    drains = [nearest_on(inner, hole.at_m)[0] for hole in cut.holes if hole.sort == "drain"]
    if not drains:
        return [], None
    level, floor = min(map(height, drains)), min(map(height, inner))
    if level - floor < max(1.0, 0.02 * (max(map(height, inner)) - floor)):
        return [], None
    pool = page.loop(below(inner, level, height))
    return [Polyline(pool, "pool", closed=True)], (sum(x for x, _ in pool) / len(pool), -level + 0.5)


def _body_flags(cut: Section, page: _Page, outer: Loop) -> list[tuple[Point, str, Role]]:
    flags: list[tuple[Point, str, Role]] = []
    loop = page.loop(outer)
    aim = (max(x for x, _ in loop), TOP_MM + 0.72 * (max(y for _, y in loop) - TOP_MM))
    edge = min((_middle(pair) for pair in edges(loop)), key=lambda p: math.dist(p, aim))
    flags.append((edge, f"wall {tell(extent(cut.wall_m), Reader(cut.units))}", "label"))
    if cut.carriers_m and cut.carrier_label:
        corner = max(page.loop([p for loop in cut.carriers_m for p in loop]), key=lambda p: p[0])
        flags.append((corner, cut.carrier_label, "label"))
    sorts = dict.fromkeys((light.body_diameter_m, light.beam_deg) for light in cut.lights)
    for sort in sorts:
        alike = [light for light in cut.lights if (light.body_diameter_m, light.beam_deg) == sort]
        count = f"{len(alike)} lights" if len(alike) > 1 else "light"
        at = max((page.at(light.at_m) for light in alike), key=lambda p: p[0])
        flags.append((at, f"{count}, body {tell(extent(sort[0]), Reader(cut.units))}, beam {sort[1]:g}°", "label"))
    return flags


def _words(flags: Sequence[tuple[Point, str, Role]], width_mm: float) -> tuple[list[Record], float]:
    """Return the labels in a column on the right with lines to what they name, and the lowest place they take."""
    lines = [wrapped(text, width_mm - EDGE_MM - WORDS_X_MM, WORD_MM) for _, text, _ in flags]
    step = 3.5
    gap = step * max(map(len, lines), default=1) + 1.6
    tops = spread([at[1] for at, _, _ in flags], gap, TOP_MM - 6.0, TOP_MM + ROOM_MM[1])
    records: list[Record] = []
    for (at, _, role), words, top in zip(flags, lines, tops, strict=True):
        records.append(Line(WORDS_X_MM - 1.2, top - 0.9, WORDS_X_MM - 5.0, top - 0.9, "leader"))
        records.append(Line(WORDS_X_MM - 5.0, top - 0.9, *at, "leader"))
        records.append(Circle(*at, 0.45, "joint"))
        for row, word in enumerate(words):
            shown = fit_text(word, width_mm - EDGE_MM - WORDS_X_MM, WORD_MM)
            records.append(Text(WORDS_X_MM, top + row * step, shown, WORD_MM, role))
    return records, max(tops, default=0.0) + gap


def _dimensions(size: Point, corner: Point, aside: float, under: float, units: Units) -> list[Record]:
    """Return the overall width below and the overall height on the left."""
    right, bottom = corner
    level, x = bottom + under, LEFT_MM - aside
    wide = dimension((LEFT_MM, level), (right, level), (LEFT_MM, bottom + 1.0), (right, bottom + 1.0))
    middle = (LEFT_MM + right) / 2
    wide.append(Text(middle, level + 3.6, tell(extent(size[0]), Reader(units)), WORD_MM, "label", "middle"))
    high = dimension((x, TOP_MM), (x, bottom), (LEFT_MM - 1.0, TOP_MM), (LEFT_MM - 1.0, bottom))
    y = (TOP_MM + bottom) / 2
    words = Reader(units).pick(tell(extent(size[1]), METRIC), tell(extent(size[1]), US))
    top = y + 1.1 - 1.7 * (len(words) - 1)
    high += [Text(x - 1.5, top + 3.4 * row, word, WORD_MM, "label", "end") for row, word in enumerate(words)]
    return [*wide, *high]


def _mm(place: Point) -> str:
    return f"({1e3 * place[0]:.1f}, {1e3 * place[1]:.1f}) mm"


def _at(place: Point, units: Units) -> str:
    return f"({place[0] / INCH_M:.2f}, {place[1] / INCH_M:.2f}) in" if units == "us" else _mm(place)


def _describe(cut: Section, size: Point) -> str:
    holes = "; ".join(f"{hole.label} {tell(extent(hole.diameter_m), Reader(cut.units))}" for hole in cut.holes)
    wide, high, wall = (tell(extent(length_m), Reader(cut.units)) for length_m in (*size, cut.wall_m))
    parts = [
        f"{cut.title}: cut through the middle, hanging {cut.hangs}, {wide} wide and {high} high, wall {wall}, "
        f"{len(cut.lights)} light{'' if len(cut.lights) == 1 else 's'}."
    ]
    for light in cut.lights:
        parts.append(f"Light at {_at(light.at_m, cut.units)} across and along the axis, beam {light.beam_deg:g}°.")
    return " ".join([*parts, *([f"Holes: {holes}."] if holes else []), *cut.notes])
