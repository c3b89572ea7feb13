"""Drill templates as DXF in true millimetres: outline, holes and centres on layers of their own."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.layouts.layout import Modelspace

CUT, DRILL, MARK, WORDS = "CUT", "DRILL", "MARK", "TEXT"
_COLOURS = {CUT: 7, DRILL: 1, MARK: 8, WORDS: 3}
_ARM_MM = 3.0
_WORD_MM = 2.5
_DEGREES = 15


@dataclass(frozen=True, slots=True)
class DxfFace:
    """A flat face: its size, whether it is round, and its holes as (right, up, diameter) from its middle, m."""

    title: str
    width_m: float
    height_m: float
    round: bool
    holes: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class DxfStrip:
    """A strip that is wrapped round a shell: its length and height, and its holes as (along, up, diameter), m.

    `along` counts from its left end, `up` from its lower edge.
    """

    title: str
    length_m: float
    height_m: float
    holes: tuple[tuple[float, float, float], ...]


def face_dxf(face: DxfFace) -> str:
    """Return the DXF of a face, its middle at the origin, the same text for the same face."""
    with _timeless():
        return _face(face)


def _face(face: DxfFace) -> str:
    document, space = _begin()
    half = 500.0 * face.width_m, 500.0 * face.height_m
    if face.round:
        space.add_circle((0.0, 0.0), half[0], dxfattribs={"layer": CUT})
    else:
        corners = [(-half[0], -half[1]), (half[0], -half[1]), (half[0], half[1]), (-half[0], half[1])]
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": CUT})
    _cross(space, 0.0, 0.0, _ARM_MM)
    _holes(space, face.holes)
    _words(space, face.title, -half[0], half[1] + 4.0)
    return _text(document)


def strip_dxf(strip: DxfStrip) -> str:
    """Return the DXF of a strip, its lower left corner at the origin, with a tick every 15 degrees."""
    with _timeless():
        return _strip(strip)


def _strip(strip: DxfStrip) -> str:
    document, space = _begin()
    long, high = 1e3 * strip.length_m, 1e3 * strip.height_m
    space.add_lwpolyline([(0.0, 0.0), (long, 0.0), (long, high), (0.0, high)], close=True, dxfattribs={"layer": CUT})
    for angle in range(0, 360 + _DEGREES, _DEGREES):
        x = long * angle / 360.0
        space.add_line((x, 0.0), (x, 4.0 if angle % 45 else 7.0), dxfattribs={"layer": MARK})
        if angle < 360:
            _words(space, f"{angle}", x + 0.6, 4.5)
    _holes(space, strip.holes)
    _words(space, strip.title, 0.0, high + 4.0)
    return _text(document)


def _begin() -> tuple[Drawing, Modelspace]:
    from ezdxf import units
    from ezdxf.filemanagement import new

    document = new("R2010", setup=False)
    document.units = units.MM
    document.header["$MEASUREMENT"] = 1
    for name, colour in _COLOURS.items():
        document.layers.add(name, color=colour)
    return document, document.modelspace()


def _holes(space: Modelspace, holes: Sequence[tuple[float, float, float]]) -> None:
    for number, (x_m, y_m, diameter_m) in enumerate(holes, 1):
        x, y, radius = 1e3 * x_m, 1e3 * y_m, 500.0 * diameter_m
        space.add_circle((x, y), radius, dxfattribs={"layer": DRILL})
        _cross(space, x, y, min(_ARM_MM, 0.6 * radius))
        _words(space, f"{number}", x + 0.8, y + 0.8)


def _cross(space: Modelspace, x: float, y: float, arm: float) -> None:
    space.add_line((x - arm, y), (x + arm, y), dxfattribs={"layer": MARK})
    space.add_line((x, y - arm), (x, y + arm), dxfattribs={"layer": MARK})


def _words(space: Modelspace, words: str, x: float, y: float) -> None:
    # A caret starts a control code in DXF text, and a percent sign twice does too.
    plain = words.replace("^", "").replace("%%", "% ")
    space.add_text(plain, height=_WORD_MM, dxfattribs={"layer": WORDS, "insert": (x, y)})


def _text(document: Drawing) -> str:
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


@contextmanager
def _timeless() -> Iterator[None]:
    """Keep the time and random numbers out of what is written, so that the same template gives the same text."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
