"""The whole display at its places: a plan of it on paper, or as the night shows it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from hollowglow.draw.sheet.layout import PageBox, fit_text, record_box, text_width, wrapped
from hollowglow.draw.sheet.records import Circle, Drawing, Image, Line, Polyline, Record, Rect, Text
from hollowglow.draw.sheet.style import LIGHT
from hollowglow.draw.sheet.tone import Array, Tone, tone_for
from hollowglow.physics.srgb import linear_srgb, srgb_bytes, srgb_decode
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import US, Reader, Units
from hollowglow.quantity.sizes import FOOT_M

EDGE_MM = 6.0
WORD_MM = 2.6
LEAST_DOT_MM = 0.8
_MARK_MM = 2.0
# A name farther from its point than this gets a line to it.
_AWAY_MM = 2.4
TALLEST_MM = 200.0
LOWEST_MM = 36.0
PIXELS_A_MM = 8.0
# What a lens and damp air spread around a light: shares of its light, and how many times its radius wide.
BLOOM = ((0.10, 3.0), (0.05, 9.0))
DIMMED = 0.05
FADED = 0.55
IN_ROWS = "No prop has a place yet, so they are set out along rows, string after string; distances mean nothing."


@dataclass(frozen=True, slots=True)
class YardProp:
    """One prop: where its middle is, its radius, its colour and luminance as X, Y, Z (None where not known)."""

    x_m: float
    y_m: float
    radius_m: float
    xyz_cd_m2: tuple[float, float, float] | None


@dataclass(frozen=True, slots=True)
class Strand:
    """One string: its name and the places that its cable passes, in order."""

    name: str
    points_m: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class YardMark:
    """A supply or a controller: its name and place."""

    name: str
    x_m: float
    y_m: float
    supply: bool


@dataclass(frozen=True, slots=True, eq=False)
class YardBackdrop:
    """A picture made true: sRGB bytes of shape (rows, columns, 3), the first row on top, and the places of its edges."""

    pixels: NDArray[np.uint8]
    left_m: float
    right_m: float
    bottom_m: float
    top_m: float


@dataclass(frozen=True, slots=True)
class YardPicture:
    """Everything that has a place.

    `plan` where it is seen from above instead of from the front; `rows` where nothing has a place, so that props are set
    out along rows and distances mean nothing. `units` are those of the scale.
    """

    title: str
    spots: tuple[YardProp, ...]
    strands: tuple[Strand, ...]
    marks: tuple[YardMark, ...] = ()
    behind: YardBackdrop | None = None
    plan: bool = False
    viewing_m: float | None = None
    rows: bool = False
    units: Units = "both"


@dataclass(frozen=True, slots=True)
class _Frame:
    """How places become mm of the page."""

    left_m: float
    top_m: float
    mm_a_m: float
    x: float
    y: float
    width: float
    height: float
    pixels_a_mm: float

    def at(self, x_m: float, y_m: float) -> tuple[float, float]:
        return self.x + (x_m - self.left_m) * self.mm_a_m, self.y + (self.top_m - y_m) * self.mm_a_m


def yard(
    picture: YardPicture, *, night: bool = False, width_mm: float = 180.0, pixels_a_mm: float = PIXELS_A_MM
) -> Drawing:
    """Draw a display at its places.

    On paper: the cables as lines, every prop as a disc in the colour of its light, supplies and controllers as boxes, the
    picture behind them faded. At night: every prop with its computed luminance at one exposure, with the spread that a
    lens gives it (drawn, not computed), the picture behind them dark.

    Args:
        picture: what has places, at least one prop.
        night: which of the two.
        width_mm: of the page.
        pixels_a_mm: how fine the night is drawn.

    Raises:
        ValueError: without a prop.
    """
    if not picture.spots:
        raise ValueError("a yard without a prop that has a place was to be drawn, expected at least one")
    frame = _frame(picture, width_mm, pixels_a_mm)
    title = f"{picture.title}: {'at night' if night else 'seen from above' if picture.plan else 'seen from the front'}"
    records: list[Record] = [Text(EDGE_MM, 8.2, fit_text(title, width_mm - 2 * EDGE_MM, 4.8), 4.0, "title")]
    tone = tone_for([np.array([s.xyz_cd_m2[1] for s in picture.spots if s.xyz_cd_m2 is not None])])
    if night:
        records.append(_night(picture, frame, tone))
    else:
        records += _day(picture, frame)
    y = frame.y + frame.height + 5.0
    words, left = _words(picture, night, tone), 72.0
    if picture.rows:
        words, left = f"{IN_ROWS} {words}", EDGE_MM
    else:
        records += _bars(frame, y, picture.units)
    room = width_mm - EDGE_MM - (left + 6.0)
    for row, line in enumerate(wrapped(words, room, WORD_MM)):
        records.append(Text(left, y + 0.9 + 3.6 * row, line, WORD_MM, "label"))
    high = y + max(8.0, 3.6 * len(wrapped(words, room, WORD_MM)) + 2.0)
    lit = sum(s.xyz_cd_m2 is not None for s in picture.spots)
    alt = f"{title}. {len(picture.spots)} props, {lit} of them with known light, on {len(picture.strands)} strings."
    return Drawing(width_mm, high, title, tuple(records), alt)


def _frame(picture: YardPicture, width_mm: float, pixels_a_mm: float) -> _Frame:
    xs = [s.x_m for s in picture.spots] + [m.x_m for m in picture.marks]
    ys = [s.y_m for s in picture.spots] + [m.y_m for m in picture.marks]
    for strand in picture.strands:
        xs += [p[0] for p in strand.points_m]
        ys += [p[1] for p in strand.points_m]
    if picture.behind is not None:
        xs += [picture.behind.left_m, picture.behind.right_m]
        ys += [picture.behind.bottom_m, picture.behind.top_m]
    widest = max(s.radius_m for s in picture.spots)
    pad = max(0.06 * max(max(xs) - min(xs), max(ys) - min(ys)), 2.0 * widest, 0.3)
    if picture.behind is not None:
        pad = 0.0
    wide, high = max(xs) - min(xs) + 2 * pad, max(ys) - min(ys) + 2 * pad
    inner = width_mm - 2 * EDGE_MM
    mm_a_m = min(inner / wide, TALLEST_MM / high)
    height = max(high * mm_a_m, LOWEST_MM)
    left = min(xs) - pad - (inner / mm_a_m - wide) / 2.0
    top = max(ys) + pad + (height / mm_a_m - high) / 2.0
    return _Frame(left, top, mm_a_m, EDGE_MM, 12.0, inner, height, pixels_a_mm)


def _shown(spot: YardProp) -> str:
    """Return the colour of a prop on paper, as bright as the screen has it; empty where it is not known or dark."""
    if spot.xyz_cd_m2 is None or spot.xyz_cd_m2[1] <= 0.0:
        return ""
    linear = np.clip(linear_srgb(spot.xyz_cd_m2), 0.0, None)
    pixel = srgb_bytes(linear / linear.max())
    return "#" + "".join(f"{int(v):02x}" for v in pixel)


def _day(picture: YardPicture, frame: _Frame) -> list[Record]:
    records: list[Record] = []
    if picture.behind is not None:
        paper = np.array([int(LIGHT["paper"][at : at + 2], 16) for at in (1, 3, 5)])
        faded = np.rint((1.0 - FADED) * picture.behind.pixels + FADED * paper).astype(np.uint8)
        records.append(_image(faded, picture.behind, frame))
    for strand in picture.strands:
        records.append(Polyline(tuple(frame.at(*p) for p in strand.points_m), "cable"))
    for spot in picture.spots:
        x, y = frame.at(spot.x_m, spot.y_m)
        radius = max(LEAST_DOT_MM, spot.radius_m * frame.mm_a_m)
        records.append(Circle(x, y, radius, "prop", _shown(spot)))
    records += _names(picture, frame)
    return records


def _names(picture: YardPicture, frame: _Frame) -> list[Record]:
    """Return supplies and controllers as small boxes, and every name where it covers nothing, as near as that can be."""
    records: list[Record] = []
    taken: list[PageBox] = []
    for spot in picture.spots:
        x, y = frame.at(spot.x_m, spot.y_m)
        radius = max(LEAST_DOT_MM, spot.radius_m * frame.mm_a_m)
        taken.append(PageBox(x - radius, y - radius, x + radius, y + radius))
    wanted: list[tuple[str, float, float]] = []
    for mark in picture.marks:
        x, y = frame.at(mark.x_m, mark.y_m)
        half = _MARK_MM / 2.0
        records.append(Rect(x - half, y - half, _MARK_MM, _MARK_MM, "box", 0.0 if mark.supply else 0.35 * _MARK_MM))
        taken.append(PageBox(x - half, y - half, x + half, y + half))
        wanted.append((mark.name, x, y))
    wanted += [(strand.name, *frame.at(*strand.points_m[0])) for strand in picture.strands]
    edge = PageBox(frame.x, frame.y, frame.x + frame.width, frame.y + frame.height)
    ways = [[frame.at(*p) for p in strand.points_m] for strand in picture.strands]
    lines = [(*one, *other) for way in ways for one, other in pairwise(way)]
    for name, x, y in wanted:
        shown = fit_text(name, 40.0, WORD_MM)
        made = _beside(shown, x, y, edge, taken, lines)
        taken.append(record_box(made))
        records += [*_leader(record_box(made), x, y), made]
    return records


def _leader(name: PageBox, x: float, y: float) -> list[Line]:
    """Return a thin line from a name to its point where it had to be put away from it, so that nobody takes another's."""
    near_x, near_y = min(max(x, name.left), name.right), min(max(y, name.top), name.bottom)
    away = math.hypot(near_x - x, near_y - y)
    if away <= _AWAY_MM:
        return []
    reach = 1.0 - _MARK_MM / 2.0 / away
    return [Line(near_x, near_y, near_x + (x - near_x) * reach, near_y + (y - near_y) * reach, "leader")]


def _beside(
    name: str,
    x: float,
    y: float,
    edge: PageBox,
    taken: Sequence[PageBox],
    lines: Sequence[tuple[float, float, float, float]],
) -> Text:
    """Return a name near a point: the nearest place that is free, free of cables too and led across nothing if there is one."""
    wide = text_width(name, WORD_MM)
    tries = [
        Text(x + across * (1.2 + away) - (wide if across < 0 else wide / 2.0 if across == 0 else 0.0),
             y + down * (1.6 + away) + 0.35 * WORD_MM + (0.5 * down * WORD_MM), name, WORD_MM, "label")
        for away in (0.0, 1.5, 3.0, 5.0, 7.5, 10.5, 14.0)
        for across, down in ((1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (0, 1), (1, 0), (-1, 0))
    ]  # fmt: skip
    free = [t for t in tries if record_box(t).inside(edge) and not any(record_box(t).overlaps(b) for b in taken)]
    clear = [t for t in free if not any(record_box(t).crossed_by(line) for line in lines)]
    others = [box for box in taken if not (box.left <= x <= box.right and box.top <= y <= box.bottom)]
    led = [t for t in clear or free if not any(box.crossed_by(way) for way in _way(t, x, y) for box in others)]
    return (led or clear or free or tries)[0]


def _way(name: Text, x: float, y: float) -> list[tuple[float, float, float, float]]:
    """Return the way of the line from a name to its point, none where it needs none."""
    return [(line.x1, line.y1, line.x2, line.y2) for line in _leader(record_box(name), x, y)]


def _image(pixels: NDArray[np.uint8], behind: YardBackdrop, frame: _Frame) -> Image:
    x, y = frame.at(behind.left_m, behind.top_m)
    wide = (behind.right_m - behind.left_m) * frame.mm_a_m
    high = (behind.top_m - behind.bottom_m) * frame.mm_a_m
    return Image(x, y, wide, high, pixels.shape[1], np.ascontiguousarray(pixels).tobytes())


def _night(picture: YardPicture, frame: _Frame, tone: Tone) -> Image:
    columns, rows = round(frame.width * frame.pixels_a_mm), round(frame.height * frame.pixels_a_mm)
    night = srgb_decode([int(LIGHT["night"][at : at + 2], 16) / 255.0 for at in (1, 3, 5)])
    ground = np.broadcast_to(night, (rows, columns, 3)).copy()
    if picture.behind is not None:
        _lay(ground, picture.behind, frame)
    for strand in picture.strands:
        _thread(ground, [frame.at(*p) for p in strand.points_m], frame)
    glow = np.zeros((rows, columns, 3))
    for spot in picture.spots:
        x, y = frame.at(spot.x_m, spot.y_m)
        centre = (x - frame.x) * frame.pixels_a_mm, (y - frame.y) * frame.pixels_a_mm
        radius = max(LEAST_DOT_MM, spot.radius_m * frame.mm_a_m) * frame.pixels_a_mm
        if spot.xyz_cd_m2 is None:
            _ring(ground, centre, radius)
        elif spot.xyz_cd_m2[1] > 0.0:
            _shine(glow, centre, radius, np.array(spot.xyz_cd_m2))
    shown = tone.light(glow)
    pixels = srgb_bytes(1.0 - (1.0 - np.clip(ground, 0.0, 1.0)) * (1.0 - shown))
    return Image(frame.x, frame.y, frame.width, frame.height, columns, pixels.tobytes())


def _window(shape: Sequence[int], centre: tuple[float, float], reach: float) -> tuple[slice, slice, Array, Array]:
    """Return the rows and columns within reach of a centre, and how far their pixels are from it, down and across."""
    (x, y), (high, wide) = centre, shape[:2]
    rows = slice(max(0, math.floor(y - reach)), max(0, min(high, math.ceil(y + reach) + 1)))
    columns = slice(max(0, math.floor(x - reach)), max(0, min(wide, math.ceil(x + reach) + 1)))
    down = np.arange(rows.start, rows.stop, dtype=np.float64)[:, None] + (0.5 - y)
    across = np.arange(columns.start, columns.stop, dtype=np.float64)[None, :] + (0.5 - x)
    return rows, columns, down, across


def _shine(glow: Array, centre: tuple[float, float], radius: float, xyz: Array) -> None:
    """Add a disc of even luminance and the light that is spread around it."""
    # Beyond four times its standard deviation a Gaussian is darker than any screen shows.
    reach = 4.0 * max(times for _, times in BLOOM) * radius / 2.0
    rows, columns, down, across = _window(glow.shape, centre, reach)
    light = np.clip(radius + 0.5 - np.hypot(down, across), 0.0, 1.0)
    for share, times in BLOOM:
        sigma = times * radius / 2.0
        # As much light as the disc sends, times the share, under a Gaussian.
        most = share * times * radius**2 / (2.0 * sigma**2)
        light += most * np.exp(-0.5 * (down / sigma) ** 2) * np.exp(-0.5 * (across / sigma) ** 2)
    glow[rows, columns] += light[..., None] * xyz


def _ring(ground: Array, centre: tuple[float, float], radius: float) -> None:
    rows, columns, down, across = _window(ground.shape, centre, radius + 2.0)
    ring = np.clip(1.0 - np.abs(np.hypot(down, across) - radius), 0.0, 1.0)[..., None]
    ground[rows, columns] += 0.08 * ring


def _thread(ground: Array, points: Sequence[tuple[float, float]], frame: _Frame) -> None:
    """Draw a cable as a faint line, pixel by pixel."""
    high, wide = ground.shape[:2]
    for (x1, y1), (x2, y2) in pairwise(points):
        steps = max(2, math.ceil(math.hypot(x2 - x1, y2 - y1) * frame.pixels_a_mm))
        share = np.linspace(0.0, 1.0, steps)
        columns = ((x1 + share * (x2 - x1) - frame.x) * frame.pixels_a_mm).astype(int)
        rows = ((y1 + share * (y2 - y1) - frame.y) * frame.pixels_a_mm).astype(int)
        inside = (columns >= 0) & (columns < wide) & (rows >= 0) & (rows < high)
        ground[rows[inside], columns[inside]] = np.maximum(ground[rows[inside], columns[inside]], 0.012)


def _lay(ground: Array, behind: YardBackdrop, frame: _Frame) -> None:
    """Lay the picture behind into the ground, as dark as a moonless evening."""
    high, wide = ground.shape[:2]
    x_m = frame.left_m + (np.arange(wide) + 0.5) / frame.pixels_a_mm / frame.mm_a_m
    y_m = frame.top_m - (np.arange(high) + 0.5) / frame.pixels_a_mm / frame.mm_a_m
    rows, columns = behind.pixels.shape[:2]
    across = np.floor((x_m - behind.left_m) / (behind.right_m - behind.left_m) * columns).astype(int)
    down = np.floor((behind.top_m - y_m) / (behind.top_m - behind.bottom_m) * rows).astype(int)
    seen = ((down >= 0) & (down < rows))[:, None] & ((across >= 0) & (across < columns))[None, :]
    taken = behind.pixels[np.clip(down, 0, rows - 1)[:, None], np.clip(across, 0, columns - 1)[None, :]]
    ground[seen] += DIMMED * srgb_decode(taken[seen] / 255.0)


def _bars(frame: _Frame, y: float, units: Units) -> list[Record]:
    """Return scale bars of a round number of metres and of feet."""
    records: list[Record] = []
    for row, (unit_m, word) in enumerate(Reader(units).pick((1.0, "m"), (FOOT_M, "ft"))):
        most = 44.0 / frame.mm_a_m / unit_m
        unit = 10.0 ** math.floor(math.log10(most))
        size = max(f * unit for f in (1.0, 2.0, 5.0) if f * unit <= most * (1.0 + 1e-9))
        level, end = y + 4.0 * row, EDGE_MM + size * unit_m * frame.mm_a_m
        records.append(Line(EDGE_MM, level, end, level, "edge"))
        records += [Line(at, level - 0.9, at, level + 0.9, "edge") for at in (EDGE_MM, end)]
        records.append(Text(end + 1.4, level + 0.9, f"{size:g} {word}", WORD_MM, "label"))
    return records


def _words(picture: YardPicture, night: bool, tone: Tone) -> str:
    if not night:
        boxes = "square boxes are supplies, round ones controllers; " if picture.marks else ""
        begin = "a string's name stands where it begins; " if picture.strands else ""
        least = Reader(picture.units).told(f"{2 * LEAST_DOT_MM:g} mm", tell(extent(2e-3 * LEAST_DOT_MM), US))
        return f"{boxes}{begin}discs show the colour of each prop's light, props at least {least} wide here"
    unknown = sum(s.xyz_cd_m2 is None for s in picture.spots)
    rings = f" Rings: light not known ({unknown} props)." if unknown else ""
    return f"Computed luminance, full white; {tone.words}. The spread around each light is drawn, not computed.{rings}"
