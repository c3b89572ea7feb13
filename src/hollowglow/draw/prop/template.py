"""A drill template of one face at its true size, on sheets that A4 and Letter both hold."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

from hollowglow.draw.prop.hole_list import ROW_MM, Listed, hole_list, hole_lists, list_height
from hollowglow.draw.sheet.layout import PageBox, Segment, fit_text, record_box, text_width
from hollowglow.draw.sheet.records import Circle, Drawing, Line, Polyline, Record, Rect, Role, Text
from hollowglow.draw.sheet.tiles import Point, Tile, clipped, tiles
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import Reader, Units
from hollowglow.quantity.sizes import INCH_MM

PAGE_MM = (190.0, 240.0)
EDGE_MM = 5.0
TITLE_MM = 4.0
WORD_MM = 2.6
BOLD = 1.2
HEAD_MM = 27.0
FOOT_MM = 24.0
OVERLAP_MM = 12.0
FACE_MM = (PAGE_MM[0] - 2 * EDGE_MM, PAGE_MM[1] - HEAD_MM - FOOT_MM)
LOUD = "TRUE SIZE: print at 100 %, not fitted to the page, then measure the bars at the foot before you drill"


@dataclass(frozen=True, slots=True)
class FaceOutline:
    """The outline of a face, its middle at (0, 0): round with a diameter, or upright with a width and a height, m."""

    width_m: float
    height_m: float
    round: bool = False

    def __post_init__(self) -> None:
        """Refuse a face without a size, and a round one with two."""
        if not (math.isfinite(self.width_m) and math.isfinite(self.height_m) and min(self.width_m, self.height_m) > 0):
            raise ValueError(f"a face is {self.width_m} m by {self.height_m} m, expected both above 0")
        if self.round and self.width_m != self.height_m:
            raise ValueError(f"a round face is {self.width_m} m by {self.height_m} m, expected one diameter")

    def web_m(self, hole: DrillHole) -> float:
        """Return the material between a hole and the edge of the face, m, below 0 where it breaks out."""
        x, y = hole.at_m
        flat = min(self.width_m / 2 - abs(x), self.height_m / 2 - abs(y))
        away = self.width_m / 2 - math.hypot(x, y) if self.round else flat
        return away - hole.diameter_m / 2


@dataclass(frozen=True, slots=True)
class DrillHole:
    """A hole: its centre from the middle of the face as (right, up) and its diameter, m."""

    at_m: tuple[float, float]
    diameter_m: float

    def __post_init__(self) -> None:
        """Refuse a hole that is none."""
        if not (all(map(math.isfinite, (*self.at_m, self.diameter_m))) and self.diameter_m > 0):
            raise ValueError(f"a hole at {self.at_m} m is {self.diameter_m} m wide, expected finite and above 0")

    def web_m(self, other: DrillHole) -> float:
        """Return the material between two holes, m, below 0 where they run into each other."""
        return math.dist(self.at_m, other.at_m) - (self.diameter_m + other.diameter_m) / 2


@dataclass(frozen=True, slots=True)
class FaceTemplate:
    """What one face's template needs; `least_web_m`, where given, marks thinner webs; `units` are those of its words."""

    title: str
    face: FaceOutline
    holes: tuple[DrillHole, ...]
    least_web_m: float | None = None
    notes: tuple[str, ...] = ()
    units: Units = "both"


def drill_template(template: FaceTemplate) -> tuple[Drawing, ...]:
    """Return the sheets of one face: its holes at true size, then a list of them.

    A face too large for one sheet goes on over several that overlap, each at true size too; none is ever scaled.
    """
    size = (1e3 * template.face.width_m, 1e3 * template.face.height_m)
    parts = tiles(*size, *FACE_MM, OVERLAP_MM)
    webs = _webs(template)
    lists = hole_lists(_listed(template, webs), math.floor((PAGE_MM[1] - HEAD_MM - 10.0) / ROW_MM) - 1)
    total = len(parts) + len(lists)
    first = parts[0]
    room = PAGE_MM[1] - HEAD_MM - FOOT_MM - first.height - 6.0
    short = len(parts) == len(lists) == 1 and list_height(lists[0]) <= room
    sheets: list[Drawing] = []
    for number, tile in enumerate(parts, 1):
        records = _head(template, number, 1 if short else total, tile if len(parts) > 1 else None, parts)
        records += _face(template, tile, webs, parts)
        y = HEAD_MM + tile.height + 6.0
        if short:
            records += hole_list(lists[0], EDGE_MM, y, template.units)
            y += list_height(lists[0])
        records += _check_bars(y + 6.0, template.units)
        sheets.append(
            Drawing(PAGE_MM[0], y + 18.0, template.title, tuple(records), _describe(template, number, len(parts), webs))
        )
    if not short:
        for number, rows in enumerate(lists, len(parts) + 1):
            records = _head(template, number, total, None, parts, listed=True)
            records += hole_list(rows, EDGE_MM, HEAD_MM, template.units)
            sheets.append(
                Drawing(
                    PAGE_MM[0],
                    HEAD_MM + list_height(rows) + 4.0,
                    template.title,
                    tuple(records),
                    f"{template.title}: list of holes, sheet {number} of {total}.",
                )
            )
    return tuple(sheets)


def _webs(template: FaceTemplate) -> list[tuple[float, int | None]]:
    """Return for each hole its thinnest web, m, and the hole beyond it, None for the edge of the face."""
    found = []
    for k, hole in enumerate(template.holes):
        options: list[tuple[float, int | None]] = [(template.face.web_m(hole), None)]
        options += [(hole.web_m(other), j) for j, other in enumerate(template.holes) if j != k]
        found.append(min(options, key=lambda option: option[0]))
    return found


def _listed(template: FaceTemplate, webs: Sequence[tuple[float, int | None]]) -> list[Listed]:
    """Return the holes as the list under a face tells them."""
    least_m = 0.0 if template.least_web_m is None else template.least_web_m - 1e-9
    return [
        Listed(hole.at_m, hole.diameter_m, web, beyond, thin=web <= 0.0 or web < least_m)
        for hole, (web, beyond) in zip(template.holes, webs, strict=True)
    ]


def _head(
    template: FaceTemplate, number: int, total: int, tile: Tile | None, parts: Sequence[Tile], *, listed: bool = False
) -> list[Record]:
    inner = PAGE_MM[0] - 2 * EDGE_MM
    sheet = "" if total == 1 else f"sheet {number} of {total}"
    title = fit_text(template.title, inner - text_width(sheet, WORD_MM) - 4.0, BOLD * TITLE_MM)
    face = template.face
    wide = tell(extent(face.width_m), Reader(template.units))
    size = (
        f"round, {wide}" if face.round else f"{wide} wide, {tell(extent(face.height_m), Reader(template.units))} high"
    )
    count = f"{len(template.holes)} hole{'' if len(template.holes) == 1 else 's'}"
    words = [f"{size}, {count}, seen from the side that you drill"]
    if tile is not None:
        columns, rows = parts[-1].column + 1, parts[-1].row + 1
        words.append(
            f"column {tile.column + 1} of {columns}, row {tile.row + 1} of {rows}: too large for one sheet, so lay "
            "crosses of the same letter on each other"
        )
    if template.notes:
        words.append("; ".join(template.notes))
    records: list[Record] = [Text(EDGE_MM, 7.2, title, TITLE_MM, "title")]
    if not listed:
        records.append(Text(EDGE_MM, 12.0, fit_text(LOUD, inner, BOLD * WORD_MM), WORD_MM, "stop"))
    records += [
        Text(EDGE_MM, 16.0 + 4.0 * row, fit_text(line, inner, WORD_MM), WORD_MM, "label")
        for row, line in enumerate(words)
    ]
    if sheet:
        records.append(Text(PAGE_MM[0] - EDGE_MM, 7.2, sheet, WORD_MM, "label", "end"))
    return records


def _face(
    template: FaceTemplate, tile: Tile, webs: Sequence[tuple[float, int | None]], parts: Sequence[Tile]
) -> list[Record]:
    """Return what of the face lies on one sheet: outline, middle, holes with crosses and numbers, webs, crosses to join."""
    face = template.face
    half = (500.0 * face.width_m, 500.0 * face.height_m)
    dx, dy = (PAGE_MM[0] - tile.width) / 2 - tile.left, HEAD_MM - tile.top

    def put(points: Sequence[Point], role: Role) -> list[Record]:
        return [Polyline(tuple((x + dx, y + dy) for x, y in run), role) for run in clipped(points, tile)]

    records: list[Record] = []
    if face.round:
        records += put(_ring(half, half[0]), "edge")
    else:
        wide, high = 2 * half[0], 2 * half[1]
        records += put([(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0)], "edge")
    for a, b in (((half[0], 0.0), (half[0], 2 * half[1])), ((0.0, half[1]), (2 * half[0], half[1]))):
        records += put([a, b], "aim")
    labels: list[Text] = []
    middles = [(half[0] + 1e3 * hole.at_m[0], half[1] - 1e3 * hole.at_m[1]) for hole in template.holes]
    for number, (hole, (x, y)) in enumerate(zip(template.holes, middles, strict=True), 1):
        radius = 500.0 * hole.diameter_m
        if tile.holds((x - radius, y - radius)) and tile.holds((x + radius, y + radius)):
            records.append(Circle(x + dx, y + dy, radius, "bore"))
        else:
            records += put(_ring((x, y), radius), "bore")
        arm = max(min(0.6 * radius, 4.0), 1.0)
        records += put([(x - arm, y), (x + arm, y)], "tick")
        records += put([(x, y - arm), (x, y + arm)], "tick")
        if tile.holds((x, y)):
            aside = 0.7 if radius >= 5.0 else radius + 0.7
            labels.append(Text(x + dx + aside, y + dy - 0.9, str(number), WORD_MM, "label"))
    sheet = PageBox(EDGE_MM, HEAD_MM, PAGE_MM[0] - EDGE_MM, HEAD_MM + tile.height)
    kept: list[Text] = []
    for label in labels:
        if record_box(label).inside(sheet) and not _covers(label, kept):
            kept.append(label)
    for place, name in _joins(parts):
        if tile.holds(place):
            x, y = place[0] + dx, place[1] + dy
            records += [Line(x - 3.0, y, x + 3.0, y, "stop"), Line(x, y - 3.0, x, y + 3.0, "stop")]
            sign = Text(x + 0.8, y - 1.0, name, WORD_MM, "stop")
            kept += [] if _covers(sign, kept) else [sign]
    return [*records, *_web_lines(template, webs, middles, tile, (dx, dy), kept), *kept]


def _covers(word: Text, others: Sequence[Text]) -> bool:
    return any(record_box(word).overlaps(record_box(other)) for other in others)


def _web_lines(
    template: FaceTemplate,
    webs: Sequence[tuple[float, int | None]],
    middles: Sequence[Point],
    tile: Tile,
    shift: Point,
    words: list[Text],
) -> list[Record]:
    """Draw the thinnest web between two holes and the thinnest one to the edge, with their widths, where they fit."""
    records: list[Record] = []
    sheet = PageBox(EDGE_MM, HEAD_MM, PAGE_MM[0] - EDGE_MM, HEAD_MM + tile.height)
    holes = template.holes
    taken = [
        PageBox(x + shift[0] - r, y + shift[1] - r, x + shift[0] + r, y + shift[1] + r)
        for (x, y), r in ((at, 500.0 * hole.diameter_m + 0.5) for at, hole in zip(middles, holes, strict=True))
    ]
    pairs = [(holes[i].web_m(holes[j]), i, j) for i, j in combinations(range(len(holes)), 2)]
    edges = [(template.face.web_m(hole), i) for i, hole in enumerate(holes)]
    ends: list[tuple[float, Point, Point]] = []
    if pairs:
        web, i, j = min(pairs)
        ends.append((web, *_gap(middles[i], middles[j], 500.0 * holes[i].diameter_m, 500.0 * holes[j].diameter_m)))
    if edges:
        web, i = min(edges)
        ends.append((web, *_gap(middles[i], _edge_point(template.face, middles[i]), 500.0 * holes[i].diameter_m, 0.0)))
    lines = _outline(template.face, shift)
    lines += [(a[0] + shift[0], a[1] + shift[1], b[0] + shift[0], b[1] + shift[1]) for _, a, b in ends]
    for web, a, b in ends:
        if web <= 0.0 or not (tile.holds(a) and tile.holds(b)):
            continue
        (x1, y1), (x2, y2) = ((x + shift[0], y + shift[1]) for x, y in (a, b))
        records += [Line(x1, y1, x2, y2, "limit"), Circle(x1, y1, 0.4, "joint"), Circle(x2, y2, 0.4, "joint")]
        word = _beside(
            tell(extent(web), Reader(template.units)), ((x1 + x2) / 2, (y1 + y2) / 2), taken, lines, sheet, words
        )
        if word is not None:
            box = record_box(word)
            x = min(max((x1 + x2) / 2, box.left), box.right)
            records.append(Rect(box.left, box.top, box.right - box.left, box.bottom - box.top, "paper"))
            records.append(Line((x1 + x2) / 2, (y1 + y2) / 2, x, word.y + (0.6 if word.y < y1 else -2.2), "leader"))
            words.append(word)
    return records


def _outline(face: FaceOutline, shift: Point) -> list[Segment]:
    """Return the edge of the face on the sheet as straight pieces."""
    wide, high = 1e3 * face.width_m, 1e3 * face.height_m
    corners = [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high), (0.0, 0.0)]
    loop = _ring((wide / 2, high / 2), wide / 2) if face.round else corners
    return [(x1 + shift[0], y1 + shift[1], x2 + shift[0], y2 + shift[1]) for (x1, y1), (x2, y2) in pairwise(loop)]


def _beside(
    text: str, at: Point, taken: Sequence[PageBox], lines: Sequence[Segment], sheet: PageBox, words: Sequence[Text]
) -> Text | None:
    """Return words near a place that cover neither holes, lines nor other words, None where there is no room."""
    for away in (4.0, 7.0, 10.0, 14.0, 18.0, 24.0, 30.0):
        for turn in (90, 270, 45, 135, 225, 315, 0, 180):
            x = at[0] + 1.6 * away * math.cos(math.radians(turn))
            word = Text(x, at[1] + away * math.sin(math.radians(turn)) + 0.9, text, WORD_MM, "limit", "middle")
            box = record_box(word)
            free = not any(box.overlaps(other) for other in taken) and not any(map(box.crossed_by, lines))
            if free and box.inside(sheet) and not _covers(word, words):
                return word
    return None


def _gap(a: Point, b: Point, near: float, far: float) -> tuple[Point, Point]:
    """Return the ends of the material between two round edges about a and b."""
    length = math.dist(a, b) or 1.0
    way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    return (a[0] + near * way[0], a[1] + near * way[1]), (b[0] - far * way[0], b[1] - far * way[1])


def _edge_point(face: FaceOutline, place: Point) -> Point:
    """Return the point of the edge nearest to a place, both mm from the top left corner of the face."""
    wide, high = 1e3 * face.width_m, 1e3 * face.height_m
    x, y = place
    if face.round:
        radius = wide / 2
        off = math.dist(place, (radius, radius))
        way = ((x - radius) / off, (y - radius) / off) if off > 0 else (1.0, 0.0)
        return radius + radius * way[0], radius + radius * way[1]
    options = ((x, (0.0, y)), (wide - x, (wide, y)), (y, (x, 0.0)), (high - y, (x, high)))
    return min(options, key=lambda option: option[0])[1]


def _joins(parts: Sequence[Tile]) -> list[tuple[Point, str]]:
    """Return the crosses that lie on two neighbouring sheets each, and their letters."""
    places: list[Point] = []
    for one, other in combinations(parts, 2):
        if one.row == other.row and other.column == one.column + 1:
            x = (other.left + one.left + one.width) / 2
            places += [(x, one.top + share * one.height) for share in (0.2, 0.8)]
        elif one.column == other.column and other.row == one.row + 1:
            y = (other.top + one.top + one.height) / 2
            places += [(one.left + share * one.width, y) for share in (0.2, 0.8)]
    return [(place, _letters(number)) for number, place in enumerate(places)]


def _letters(number: int) -> str:
    return ("" if number < 26 else chr(ord("A") + number // 26 - 1)) + chr(ord("A") + number % 26)


def _ring(at: Point, radius: float) -> list[Point]:
    count = max(48, math.ceil(4 * radius))
    turns = [2.0 * math.pi * k / count for k in range(count + 1)]
    return [(at[0] + radius * math.cos(t), at[1] + radius * math.sin(t)) for t in turns]


def _check_bars(y: float, units: Units) -> list[Record]:
    """Return a bar of 50 mm and one of 2 in, or one of them, to measure the print by."""
    metric, us = (50.0, 5, "50 mm"), (2 * INCH_MM, 8, "2 in")
    bars = Reader(units).pick(metric, us)
    records: list[Record] = []
    for row, (length, steps, words) in enumerate(bars):
        level = y + 6.0 * row
        records.append(Line(EDGE_MM, level, EDGE_MM + length, level, "edge"))
        for step in range(steps + 1):
            x, tall = EDGE_MM + length * step / steps, 1.6 if step in (0, steps) else 0.9
            records.append(Line(x, level - tall, x, level + tall, "edge"))
        records.append(Text(EDGE_MM + length + 2.0, level + 0.9, words, WORD_MM, "label"))
    what = "these bars must measure so" if len(bars) > 1 else "this bar must measure so"
    words = f"{what} on the print; if not, do not drill from it"
    records.append(Text(EDGE_MM + 72.0, y + 0.9 + 3.0 * (len(bars) - 1), words, WORD_MM, "label"))
    return records


def _describe(template: FaceTemplate, number: int, parts: int, webs: Sequence[tuple[float, int | None]]) -> str:
    face = template.face
    wide = tell(extent(face.width_m), Reader(template.units))
    size = f"round, {wide}" if face.round else f"{wide} by {tell(extent(face.height_m), Reader(template.units))}"
    thinnest = min((web for web, _ in webs), default=math.nan)
    web = f", thinnest web {tell(extent(thinnest), Reader(template.units))}" if math.isfinite(thinnest) else ""
    sheets = "" if parts == 1 else f", sheet {number} of {parts} of the face"
    return f"{template.title}: drill template at true size, {size}, {len(template.holes)} holes{web}{sheets}."
