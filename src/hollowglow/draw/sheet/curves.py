"""Curves with gaps: where they break, the lines through the rest, a free spot for words beside a point."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from hollowglow.draw.sheet.axes import Scale
from hollowglow.draw.sheet.layout import PageBox, Segment, text_width
from hollowglow.draw.sheet.records import Anchor, Polyline, Record, Rect, Role

Run = list[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class PlacedWords:
    """Lines of text as (x, baseline y, text, anchor), and paper to lay beneath where nothing was free."""

    lines: tuple[tuple[float, float, str, Anchor], ...]
    backing: tuple[Rect, ...]


def broken_at(places: Sequence[float], values: Sequence[float], cuts: Iterable[float]) -> list[Run]:
    """Return the runs of finite points, broken at NaN and before the first place at or past each cut."""
    starts = set()
    for cut in cuts:
        starts.add(next((k for k, place in enumerate(places) if place >= cut - 1e-9), len(places)))
    runs: list[Run] = []
    joined = False
    for k, (place, value) in enumerate(zip(places, values, strict=True)):
        if not math.isfinite(value):
            joined = False
            continue
        if not joined or k in starts:
            runs.append([])
        runs[-1].append((place, value))
        joined = True
    return runs


def dark_runs(values: Sequence[float]) -> list[tuple[int, int]]:
    """Return (first, last) index of every run of values that are not finite."""
    runs: list[tuple[int, int]] = []
    for k, value in enumerate(values):
        if math.isfinite(value):
            continue
        if runs and runs[-1][1] == k - 1:
            runs[-1] = (runs[-1][0], k)
        else:
            runs.append((k, k))
    return runs


def curve(runs: Iterable[Run], across: Scale, up: Scale, role: Role) -> list[Record]:
    """Return one line per run; a single point becomes a short level stroke so that it stays visible."""
    records: list[Record] = []
    for run in runs:
        points = [(across.at(x), up.at(y)) for x, y in run]
        if points[0][0] == points[-1][0]:
            x, y = points[0]
            points = [(max(x - 2.5, across.start), y), *points, (min(x + 2.5, across.end), y)]
        records.append(Polyline(tuple(points), role))
    return records


def place_words(
    lines: Sequence[str],
    x: float,
    y: float,
    panel: tuple[float, float, float, float],
    obstacles: Sequence[Segment],
    poles: Sequence[Segment],
    size_mm: float,
) -> PlacedWords:
    """Find a spot for lines of text near (x, y), inside `panel`, that no obstacle crosses.

    The panel is (left, top, right, bottom). `poles` are avoided too where possible. Where they are not, or
    nothing is free at all (then the nearest spot inside the panel is taken), paper is laid beneath the words.
    """
    left, top, right, bottom = panel
    width = max(text_width(line, size_mm) for line in lines) + 1.2
    height = 1.25 * size_mm * len(lines) + 0.6
    inner = PageBox(left + 0.6, top + 0.4, right - 0.6, bottom - 0.4)
    boxes: list[PageBox] = []
    for away in (2.6, 4.0, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0):
        for box_top, lefts in (
            (y + away, (x - width / 2, x - width, x)),
            (y - away - height, (x - width / 2, x - width, x)),
            (y - height / 2, (x - width - away, x + away)),
        ):
            boxes += [PageBox(at, box_top, at + width, box_top + height) for at in lefts]
    boxes = [box for box in boxes if box.inside(inner)]
    free = [box for box in boxes if not any(box.crossed_by(segment) for segment in obstacles)]
    clear = [box for box in free if not any(box.crossed_by(pole) for pole in poles)]
    if clear:
        return PlacedWords(_baselines(clear[0], lines, x, size_mm), ())
    start = min(max(x - width / 2, inner.left), max(inner.left, inner.right - width))
    beside = PageBox(start, inner.top, start + width, inner.top + height)
    box = (free or boxes or [beside])[0]
    paper = Rect(box.left, box.top, box.right - box.left, box.bottom - box.top, "paper")
    return PlacedWords(_baselines(box, lines, x, size_mm), (paper,))


def _baselines(
    box: PageBox, lines: Sequence[str], x: float, size_mm: float
) -> tuple[tuple[float, float, str, Anchor], ...]:
    middle = (box.left + box.right) / 2
    anchor: Anchor = "middle" if abs(middle - x) < 0.1 else "end" if middle < x else "start"
    at = {"middle": middle, "end": box.right - 0.6, "start": box.left + 0.6}[anchor]
    first = box.top + 0.3 + 0.95 * size_mm
    return tuple((at, first + 1.25 * size_mm * k, line, anchor) for k, line in enumerate(lines))
