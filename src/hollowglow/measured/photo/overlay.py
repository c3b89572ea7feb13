"""The numbered picture: the photograph with the outline and number of every lit prop, for telling which is which."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hollowglow.measured.photo.measure import MeasuredProp
from hollowglow.measured.photo.scene import Scene
from hollowglow.physics.srgb import srgb_bytes

WIDEST = 2000
_OUTLINE = (255, 200, 0)
_BAD = (255, 70, 70)


@dataclass(frozen=True, slots=True)
class OverlayMark:
    """Where a prop is on the numbered picture: its number, and its box in shares of the picture's width and height."""

    number: int
    left: float
    top: float
    width: float
    height: float


def marks(scenes: Sequence[tuple[Scene, Sequence[MeasuredProp]]]) -> tuple[OverlayMark, ...]:
    """Return where each prop is on the picture that `overlay` makes of the same scenes."""
    sheets = [_layout(scene) for scene, _ in scenes]
    wide, high = max(s.columns for s in sheets), sum(s.rows + s.head for s in sheets)
    made, above = [], 0
    for sheet, (_, props) in zip(sheets, scenes, strict=True):
        for prop in props:
            y, x = np.nonzero(prop.outline)
            top = (prop.corner[0] + int(y.min())) / sheet.step + sheet.head + above
            left = (prop.corner[1] + int(x.min())) / sheet.step
            height, width = (int(np.ptp(v)) + 1 for v in (y, x))
            made.append(
                OverlayMark(prop.number, left / wide, top / high, width / sheet.step / wide, height / sheet.step / high)
            )
        above += sheet.rows + sheet.head
    return tuple(made)


@dataclass(frozen=True, slots=True)
class _Layout:
    """Size of one sheet in pixels without its head, how many of the photograph's make one, size of words, head."""

    rows: int
    columns: int
    step: int
    size: int
    head: int


def _layout(scene: Scene) -> _Layout:
    shape = scene.frames[-1].photograph.shape
    step = max(1, -(-shape[1] // WIDEST))
    rows, columns = (n // step for n in shape)
    size = max(12, columns // 60)
    return _Layout(rows, columns, step, size, 3 * size)


def overlay(scenes: Sequence[tuple[Scene, Sequence[MeasuredProp]]]) -> bytes:
    """Return a PNG file of scenes one below the other, each lit prop outlined and numbered.

    Props that cannot be measured (clipped, or nearly black) are outlined in red with a cross beside the number.

    Args:
        scenes: each with its props.
    """
    from PIL import Image, PngImagePlugin

    sheets = [_sheet(scene, props) for scene, props in scenes]
    whole = Image.new("RGB", (max(s.width for s in sheets), sum(s.height for s in sheets)), (20, 20, 20))
    top = 0
    for sheet in sheets:
        whole.paste(sheet, (0, top))
        top += sheet.height
    note = PngImagePlugin.PngInfo()
    note.add_text("Title", "Lit props, numbered")
    note.add_text("Description", "; ".join(f"{p.number}: {p.column:.0f}, {p.row:.0f}" for _, ps in scenes for p in ps))
    out = io.BytesIO()
    whole.save(out, "PNG", pnginfo=note, compress_level=1)
    return out.getvalue()


def _sheet(scene: Scene, props: Sequence[MeasuredProp]) -> Any:
    from PIL import Image, ImageDraw

    laid = _layout(scene)
    rows, columns, step, size, head = laid.rows, laid.columns, laid.step, laid.size, laid.head
    picture = _picture(scene, step)
    font = _font(size)
    sheet = Image.new("RGB", (columns, rows + head), (20, 20, 20))
    sheet.paste(Image.fromarray(picture), (0, head))
    draw = ImageDraw.Draw(sheet)
    title = (
        f"{scene.name}: {len(props)} lit prop{'' if len(props) == 1 else 's'}; outline: the area measured"
        + ("; red, !: not measured" if any(p.trouble for p in props) else "")
        + (f"; {step} pixels of the photograph to one here" if step > 1 else "")
    )
    draw.text((size // 2, size // 2), title, fill=(230, 230, 230), font=_fitting(draw, title, columns - size, size))
    for prop in props:
        bad = bool(prop.trouble)
        for y, x in _edge(prop, step).tolist():
            if 0 <= y < rows and 0 <= x < columns:
                draw.point((x, y + head), fill=_BAD if bad else _OUTLINE)
    for prop in props:
        words = f"{prop.number}{' !' if prop.trouble else ''}"
        top = int((prop.corner[0] + np.nonzero(prop.outline)[0].min()) / step) + head
        left, above, right, below = draw.textbbox((0, 0), words, font=font)
        width, height = right - left + 6, below - above + 6
        x = int(min(max(prop.column / step - width / 2, 0), columns - width))
        y = int(max(top - height - 3, head))
        draw.rectangle((x, y, x + width, y + height), fill=(0, 0, 0), outline=_BAD if prop.trouble else _OUTLINE)
        draw.text((x + 3 - left, y + 3 - above), words, fill=(255, 255, 255), font=font)
    return sheet


def _picture(scene: Scene, step: int) -> NDArray[np.uint8]:
    """Return the brightest photograph small enough to look at, so many of its pixels to one."""
    frame = scene.frames[-1]
    photograph = frame.photograph
    rows, columns = ((n // step) * step for n in photograph.shape)
    # Stretched along the longest exposure's own grid; props are marked where the first exposure has them.
    y = np.clip(np.arange(0, rows, step) + frame.shift[0], 0, photograph.shape[0] - 1)
    x = np.clip(np.arange(0, columns, step) + frame.shift[1], 0, photograph.shape[1] - 1)
    codes = photograph.codes[np.ix_(y, x)]
    bright = float(photograph.table[int(np.quantile(codes, 0.999))])
    shown = srgb_bytes(photograph.table * (0.9 / bright if 0.0 < bright < 0.3 else 1.0))
    picture: NDArray[np.uint8] = shown[codes]
    return picture


def _edge(prop: MeasuredProp, step: int) -> NDArray[np.int64]:
    """Return where the outline of a prop runs on the small picture, rows and columns, shape (n, 2)."""
    own_y, own_x = np.nonzero(prop.outline)
    y, x = (own_y + prop.corner[0]) // step, (own_x + prop.corner[1]) // step
    top, left = int(y.min()) - 2, int(x.min()) - 2
    small = np.zeros((int(y.max()) - top + 3, int(x.max()) - left + 3), np.bool_)
    small[y - top, x - left] = True
    wide = small.copy()
    for axis in (0, 1):
        for way in (-1, 1):
            wide |= np.roll(small, way, axis)
    edge_y, edge_x = np.nonzero(wide & ~small)
    return np.column_stack([edge_y + top, edge_x + left]).astype(np.int64)


def _font(size: int) -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _fitting(draw: Any, words: str, width: int, size: int) -> Any:
    """Return a font in which words fit into a width, as large as `size` at most."""
    while size > 8 and draw.textlength(words, font=_font(size)) > width:
        size -= 1
    return _font(size)
