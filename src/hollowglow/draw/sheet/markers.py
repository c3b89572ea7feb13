"""Marks told apart by shape: a ring for a plain mark, a triangle for a warning, an octagon for a stop."""

from __future__ import annotations

import math
from typing import Literal

from hollowglow.draw.sheet.records import Circle, Line, Polyline, Record

Verdict = Literal["", "warn", "stop"]


def marker(x: float, y: float, verdict: Verdict, size_mm: float = 1.6) -> tuple[Record, ...]:
    """Return the mark for a verdict about (x, y): `size_mm` is its half height."""
    if verdict == "":
        return (Circle(x, y, 0.75 * size_mm, "mark"),)
    if verdict == "warn":
        corners = (
            (x, y - 1.1 * size_mm),
            (x + 1.15 * size_mm, y + 0.9 * size_mm),
            (x - 1.15 * size_mm, y + 0.9 * size_mm),
        )
        return (
            Polyline(corners, "warn", closed=True),
            Line(x, y - 0.35 * size_mm, x, y + 0.2 * size_mm, "warn"),
            Line(x, y + 0.58 * size_mm, x, y + 0.6 * size_mm, "warn"),
        )
    corners8 = tuple(
        (x + size_mm * math.sin(math.pi * (2 * k + 1) / 8), y - size_mm * math.cos(math.pi * (2 * k + 1) / 8))
        for k in range(8)
    )
    return (Polyline(corners8, "stop", closed=True), Line(x - 0.5 * size_mm, y, x + 0.5 * size_mm, y, "stop"))
