"""Lit props side by side as the night shows them: one exposure, one scale, their figures beneath."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hollowglow.draw.scale_bars import scale_bars
from hollowglow.draw.sheet.axes import TICK_TEXT_MM, Scale, tick_label, tick_step, ticks
from hollowglow.draw.sheet.layout import fit_text, wrapped
from hollowglow.draw.sheet.records import Drawing, Image, Line, Record, Rect, Text
from hollowglow.draw.sheet.style import LIGHT
from hollowglow.draw.sheet.tone import Array, Tone, tone_for
from hollowglow.physics.colour import mix_xyz
from hollowglow.physics.srgb import srgb_bytes, srgb_decode
from hollowglow.quantity.numbers import figure
from hollowglow.quantity.quantities import distance, tell
from hollowglow.quantity.reader import METRIC, US, Reader, Units
from hollowglow.quantity.sizes import INCH_MM

EDGE_MM = 6.0
TITLE_MM = 4.0
NAME_MM = 3.0
WORD_MM = 2.5
BOLD = 1.2
CELL_MM = 32.0
TALLEST_MM = 62.0
BAND_PAD_MM = 4.0
FIGURE_STEP_MM = 3.6
STRIP_MM = 56.0
D65_XY = ((0.3127, 0.3290),)


@dataclass(frozen=True, slots=True, eq=False)
class GlowPicture:
    """One lit prop from one direction: its luminance per colour channel, and its figures.

    `luminance_cd_m2` has shape (rows, columns, channels), first row on top, 0 beside the shell; `xy` is the CIE 1931
    chromaticity of each channel and `pixel_m` the width of a pixel at the prop. `uniformity` is lowest over mean,
    `hot_spot` highest over mean less 1; NaN where not known. `seen_cd_m2`, of the same shape, is the picture as the eye
    resolves it from the viewing distance. `note` stands beneath the figures.
    """

    name: str
    luminance_cd_m2: NDArray[np.float64]
    xy: tuple[tuple[float, float], ...]
    pixel_m: float
    mean_cd_m2: float
    uniformity: float
    hot_spot: float
    seen_cd_m2: NDArray[np.float64] | None = None
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse arrays that are no pictures."""
        for values in (self.luminance_cd_m2, self.seen_cd_m2):
            if values is None:
                continue
            if values.ndim != 3 or 0 in values.shape or values.shape[2] != len(self.xy):
                raise ValueError(
                    f"the picture of {self.name} has the shape {values.shape}, expected rows, columns and "
                    f"{len(self.xy)} channels"
                )
            if not (np.isfinite(values).all() and (values >= 0.0).all()):
                raise ValueError(f"the picture of {self.name} holds luminances below 0 or not finite, expected neither")
        if self.seen_cd_m2 is not None and self.seen_cd_m2.shape != self.luminance_cd_m2.shape:
            raise ValueError(f"the two pictures of {self.name} differ in shape, expected the same")
        if not (math.isfinite(self.pixel_m) and self.pixel_m > 0):
            raise ValueError(f"a pixel of {self.name} is {self.pixel_m} m wide, expected more than 0")

    @property
    def size_mm(self) -> tuple[float, float]:
        """Return the width and height of the picture at the prop, mm."""
        rows, columns = self.luminance_cd_m2.shape[:2]
        return 1e3 * columns * self.pixel_m, 1e3 * rows * self.pixel_m


def glow_tone(pictures: Sequence[GlowPicture]) -> Tone:
    """Return the one exposure that a row of pictures is drawn with."""
    sums = [p.luminance_cd_m2.sum(axis=2) for p in pictures]
    return tone_for([values[values > 0.0] for values in sums])


def glow_row(
    pictures: Sequence[GlowPicture],
    *,
    title: str = "Lit, at night",
    viewing_m: float | None = None,
    width_mm: float = 180.0,
    units: Units = "both",
) -> Drawing:
    """Draw props side by side at one exposure and one scale, in more rows where one does not hold them.

    With `viewing_m`, each that has `seen_cd_m2` is drawn a second time as it looks from that distance. `units` are those
    that lengths are told in.

    Raises ValueError without a picture or if `width_mm` is below 150.
    """
    if not pictures:
        raise ValueError("a row of lit props was asked for without a picture, expected at least one")
    if width_mm < 150:
        raise ValueError(f"a row of lit props {width_mm:g} mm wide was asked for, expected 150 mm or more")
    tone = glow_tone(pictures)
    pictures = [_trimmed(picture) for picture in pictures]
    inner = width_mm - 2 * EDGE_MM
    rows = math.ceil(len(pictures) / math.floor(inner / CELL_MM))
    count = math.ceil(len(pictures) / rows)
    cell = inner / count
    page_per_mm = min(
        1.0,
        (cell - 3.0) / max(_drawn_mm(p)[0] for p in pictures),
        TALLEST_MM / max(_drawn_mm(p)[1] for p in pictures),
    )
    records: list[Record] = [Text(EDGE_MM, 8.2, fit_text(title, inner, BOLD * TITLE_MM), TITLE_MM, "title")]
    y = 12.0
    far = "" if viewing_m is None else f"as the eye resolves it from {_far(viewing_m, units)}"
    for start in range(0, len(pictures), count):
        found, y = _row(pictures[start : start + count], tone, y, cell, page_per_mm, far, inner)
        records += found
    found, y = _foot(tone, y, width_mm, page_per_mm, units)
    records += found
    return Drawing(width_mm, y + 3.0, title, tuple(records), _describe(pictures, tone, title, viewing_m, units))


def _row(
    pictures: Sequence[GlowPicture],
    tone: Tone,
    top: float,
    cell: float,
    page_per_mm: float,
    far: str,
    inner: float,
) -> tuple[list[Record], float]:
    records: list[Record] = []
    high = max(_drawn_mm(p)[1] for p in pictures) * page_per_mm + 2 * BAND_PAD_MM
    bands: list[tuple[str, list[Array | None]]] = [("", [p.luminance_cd_m2 for p in pictures])]
    if far and any(p.seen_cd_m2 is not None for p in pictures):
        bands[0] = ("from close by", bands[0][1])
        bands.append((far, [p.seen_cd_m2 for p in pictures]))
    for words, arrays in bands:
        if words:
            records.append(Text(EDGE_MM, top + 2.6, words, WORD_MM, "tick"))
            top += 4.0
        records.append(Rect(EDGE_MM, top, inner, high, "night"))
        for place, (picture, values) in enumerate(zip(pictures, arrays, strict=True)):
            if values is not None:
                centre = EDGE_MM + (place + 0.5) * cell
                records.append(_image(picture, values, tone, centre, top + high / 2, page_per_mm))
        top += high + 1.5
    names = [_name_lines(picture.name, cell - 2.0) for picture in pictures]
    below = top + 3.6 + 3.6 * (max(map(len, names)) - 1) + 4.2
    lines = 0
    for place, picture in enumerate(pictures):
        x = EDGE_MM + (place + 0.5) * cell
        for line, word in enumerate(names[place]):
            records.append(Text(x, top + 3.6 + 3.6 * line, word, NAME_MM, "box", "middle"))
        words_below = [*_figures(picture), *wrapped(picture.note, cell - 2.0, WORD_MM)]
        for line, text in enumerate(words_below):
            shown = fit_text(text, cell - 1.0, WORD_MM)
            records.append(Text(x, below + FIGURE_STEP_MM * line, shown, WORD_MM, "label", "middle"))
        lines = max(lines, len(words_below))
    return records, below + FIGURE_STEP_MM * lines + 1.0


def _name_lines(name: str, room: float) -> tuple[str, ...]:
    """Break a name into at most two lines, shortened where it does not fit them."""
    first, *rest = wrapped(name, room, BOLD * NAME_MM) or ("",)
    lines = (first, " ".join(rest)) if rest else (first,)
    return tuple(fit_text(line, room, BOLD * NAME_MM) for line in lines)


def _trimmed(picture: GlowPicture) -> GlowPicture:
    """Cut off the night around the shell."""
    lit: NDArray[np.bool_] = np.any(picture.luminance_cd_m2 > 0.0, axis=2)
    if not lit.any():
        return picture
    rows, columns = np.flatnonzero(lit.any(axis=1)), np.flatnonzero(lit.any(axis=0))
    window = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    seen = picture.seen_cd_m2
    return replace(
        picture,
        luminance_cd_m2=picture.luminance_cd_m2[window],
        seen_cd_m2=None if seen is None else seen[window],
    )


def _drawn_mm(picture: GlowPicture) -> tuple[float, float]:
    """Return the width and height with the pixel of night that is added all around, mm."""
    wide, high = picture.size_mm
    return wide + 2e3 * picture.pixel_m, high + 2e3 * picture.pixel_m


def _image(picture: GlowPicture, values: Array, tone: Tone, x: float, y: float, page_per_mm: float) -> Image:
    """Return the picture about (x, y), with one pixel of night around it and its outline made smooth."""
    light = np.pad(tone.light(mix_xyz(values, picture.xy)), ((1, 1), (1, 1), (0, 0)))
    pixels = srgb_bytes(_smooth_outline(light, np.pad((values > 0.0).any(axis=2), 1)))
    wide, high = (page_per_mm * size for size in _drawn_mm(picture))
    return Image(x - wide / 2, y - high / 2, wide, high, pixels.shape[1], pixels.tobytes())


def _smooth_outline(light: Array, shown: NDArray[np.bool_]) -> Array:
    """Mix light and night along the outline, which pixels cut into steps; a straight edge keeps its place."""
    night = srgb_decode([int(LIGHT["night"][at : at + 2], 16) / 255.0 for at in (1, 3, 5)])
    cover = shown.astype(np.float64)
    around, near = _of_nine(cover), _of_nine(light * cover[..., None])
    beside = np.divide(near, around[..., None], out=np.zeros_like(near), where=around[..., None] > 0.0)
    share = np.clip(1.5 * around - 0.25, 0.0, 1.0)[..., None]
    return share * np.where(shown[..., None], light, beside) + (1.0 - share) * night


def _of_nine(values: Array) -> Array:
    """Return the mean of each pixel and its eight neighbours, 0 beyond the edge."""
    rows, columns = values.shape[:2]
    wide = np.pad(values, ((1, 1), (1, 1)) + ((0, 0),) * (values.ndim - 2))
    total: Array = sum((wide[r : r + rows, c : c + columns] for r in range(3) for c in range(3)), np.zeros_like(values))
    return total / 9.0


def _figures(picture: GlowPicture) -> tuple[str, str, str]:
    spot = "hot spot not known"
    if math.isfinite(picture.hot_spot):
        spot = f"hot spot {100 * picture.hot_spot:+.0f} %".replace("-", "−")
    return f"mean {figure(picture.mean_cd_m2)} cd/m²", f"uniformity {figure(picture.uniformity)}", spot


def _far(viewing_m: float, units: Units) -> str:
    return Reader(units).told(tell(distance(viewing_m), METRIC), tell(distance(viewing_m), US))


def _foot(tone: Tone, top: float, width_mm: float, page_per_mm: float, units: Units) -> tuple[list[Record], float]:
    """Return scale bars, a strip that shows the curve with its luminances, and the words of both."""
    y = top + 4.0
    records: list[Record] = list(scale_bars(EDGE_MM, y, page_per_mm, 56.0, units))
    left = width_mm - EDGE_MM - STRIP_MM - 10.0
    scale = Scale(0.0, 1.5 * tone.white_cd_m2, left, left + STRIP_MM)
    steps = 128
    grey = (np.arange(steps) + 0.5) / steps * scale.high
    strip = tone.pixels(mix_xyz(grey[None, :, None], D65_XY))
    records.append(Image(left, y - 1.5, STRIP_MM, 3.0, steps, strip.tobytes()))
    records.append(Rect(left, y - 1.5, STRIP_MM, 3.0, "axis"))
    step = tick_step(scale.high, 4)
    for value in ticks(0.0, scale.high, 4):
        x = scale.at(value)
        records.append(Line(x, y + 1.5, x, y + 2.5, "axis"))
        records.append(Text(x, y + 5.4, tick_label(value, step), TICK_TEXT_MM, "tick", "middle"))
    records.append(Text(left + STRIP_MM + 1.5, y + 0.9, "cd/m²", WORD_MM, "label"))
    y += 9.6
    meaning = (
        "uniformity: lowest over mean; hot spot: highest over mean less 1, as the eye resolves it from the distance"
    )
    for words in (f"{tone.words}; colours beside daylight white (D65)", meaning):
        for line in wrapped(words, width_mm - 2 * EDGE_MM, WORD_MM):
            records.append(Text(EDGE_MM, y, line, WORD_MM, "label"))
            y += FIGURE_STEP_MM
    return records, y - FIGURE_STEP_MM + 1.0


def _describe(pictures: Sequence[GlowPicture], tone: Tone, title: str, viewing_m: float | None, units: Units) -> str:
    parts = [f"{title}: {len(pictures)} lit prop{'' if len(pictures) == 1 else 's'} at one exposure and one scale."]
    for picture in pictures:
        wide, high = picture.size_mm
        peak = float(picture.luminance_cd_m2.sum(axis=2).max())
        mean, even, spot = _figures(picture)
        parts.append(
            f"{picture.name}, {_by(wide, high, units)}: {mean}, brightest {figure(peak)} cd/m², {even}, {spot}."
        )
    if viewing_m is not None:
        parts.append(f"Also as the eye resolves them from {_far(viewing_m, units)}.")
    return " ".join([*parts, tone.words[0].upper() + tone.words[1:] + "."])


def _by(wide_mm: float, high_mm: float, units: Units) -> str:
    return Reader(units).told(
        f"{wide_mm:.0f} mm by {high_mm:.0f} mm", f"{wide_mm / INCH_MM:.1f} in by {high_mm / INCH_MM:.1f} in"
    )
