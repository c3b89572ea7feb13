"""Cutting a drawing that is larger than a sheet into tiles at its true size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet's share of a large drawing: its place in the grid of sheets and what it covers, in mm."""

    column: int
    row: int
    left: float
    top: float
    width: float
    height: float

    def holds(self, place: Point) -> bool:
        """Return whether a place lies on the sheet, its edges included."""
        x, y = place
        return (
            self.left - 1e-9 <= x <= self.left + self.width + 1e-9
            and self.top - 1e-9 <= y <= self.top + self.height + 1e-9
        )


def tiles(width: float, height: float, sheet_width: float, sheet_height: float, overlap: float) -> tuple[Tile, ...]:
    """Return the fewest sheets that cover `width` by `height`, all mm, row by row; neighbours share `overlap` or more.

    Raises ValueError if a sheet is not larger than the overlap.
    """
    if not 0.0 <= overlap < min(sheet_width, sheet_height):
        raise ValueError(f"sheets that overlap by {overlap:g} mm were asked for, expected less than a sheet")
    across, down = _starts(width, sheet_width, overlap), _starts(height, sheet_height, overlap)
    return tuple(
        Tile(column, row, left, top, min(sheet_width, width), min(sheet_height, height))
        for row, top in enumerate(down)
        for column, left in enumerate(across)
    )


def _starts(length: float, sheet: float, overlap: float) -> list[float]:
    if length <= sheet + 1e-9:
        return [0.0]
    count = math.ceil((length - overlap) / (sheet - overlap) - 1e-9)
    return [(length - sheet) * k / (count - 1) for k in range(count)]


def clipped(points: Sequence[Point], tile: Tile) -> list[list[Point]]:
    """Return the parts of a line of points that lie on a sheet."""
    runs: list[list[Point]] = []
    for a, b in pairwise(points):
        part = _inside(a, b, tile)
        if part is None:
            continue
        if not runs or math.dist(runs[-1][-1], part[0]) > 1e-9:
            runs.append([part[0]])
        runs[-1].append(part[1])
    return runs


def _inside(a: Point, b: Point, tile: Tile) -> tuple[Point, Point] | None:
    enter, leave = 0.0, 1.0
    for start, way, low, size in (
        (a[0], b[0] - a[0], tile.left, tile.width),
        (a[1], b[1] - a[1], tile.top, tile.height),
    ):
        if way == 0.0:
            if not low <= start <= low + size:
                return None
            continue
        first, second = sorted(((low - start) / way, (low + size - start) / way))
        enter, leave = max(enter, first), min(leave, second)
    if enter >= leave:
        return None
    wide, high = b[0] - a[0], b[1] - a[1]
    return (a[0] + enter * wide, a[1] + enter * high), (a[0] + leave * wide, a[1] + leave * high)
