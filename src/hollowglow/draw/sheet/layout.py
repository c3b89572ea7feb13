"""Where words may stand: estimated text boxes, what crosses them, and how to move labels apart."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from hollowglow.draw.sheet.records import Circle, Image, Line, Polyline, Record, Rect, Text

# The spaces inside 12.0 mm / 0.47 in.
_UNITED = re.compile(r"(?<=\d) (?=(?:mm|m|in|ft)\b)|(?<=m) (?=/ \d)|(?<=m /) (?=\d)")

EM_WIDTH = 0.55
ASCENT = 0.76
DESCENT = 0.24

Segment = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class PageBox:
    """An upright box in mm, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: PageBox) -> bool:
        """Tell whether the two boxes share more than an edge."""
        return (
            self.left < other.right and other.left < self.right and self.top < other.bottom and other.top < self.bottom
        )

    def inside(self, other: PageBox, slack: float = 1e-6) -> bool:
        """Tell whether this box lies within `other`, edges included."""
        return (
            self.left >= other.left - slack
            and self.right <= other.right + slack
            and self.top >= other.top - slack
            and self.bottom <= other.bottom + slack
        )

    def crossed_by(self, segment: Segment) -> bool:
        """Tell whether a straight segment (x1, y1, x2, y2) passes through the box."""
        x1, y1, x2, y2 = segment
        enter, leave = 0.0, 1.0
        for start, delta, low, high in (
            (x1, x2 - x1, self.left, self.right),
            (y1, y2 - y1, self.top, self.bottom),
        ):
            if delta == 0.0:
                if start < low or start > high:
                    return False
                continue
            first, second = sorted(((low - start) / delta, (high - start) / delta))
            enter, leave = max(enter, first), min(leave, second)
        return enter <= leave


def text_width(text: str, size_mm: float) -> float:
    """Return the estimated width of `text` in mm, as common sans-serif faces have it on average."""
    return EM_WIDTH * size_mm * len(text)


def fit_text(text: str, width_mm: float, size_mm: float) -> str:
    """Return `text`, shortened with an ellipsis where its estimated width is more than `width_mm`.

    In words narrow and wide letters even out; what is written in capitals is wider than that.
    """
    room = width_mm / (EM_WIDTH * size_mm)
    if sum(map(_breadth, text)) <= room:
        return text
    kept = 0
    while kept < len(text) and sum(map(_breadth, text[: kept + 1])) <= room - 1.0:
        kept += 1
    return text[:kept].rstrip() + "…"


def _breadth(letter: str) -> float:
    """Return how many letters of common words one letter is as wide as, at least 1."""
    return 1.8 if letter in "WM@" else 1.25 if letter.isupper() else 1.0


def record_box(record: Record) -> PageBox:
    """Return the box that holds a record, line widths left out and text widths estimated."""
    if isinstance(record, Text):
        width = text_width(record.text, record.size_mm)
        left = record.x - {"start": 0.0, "middle": width / 2, "end": width}[record.anchor]
        return PageBox(left, record.y - ASCENT * record.size_mm, left + width, record.y + DESCENT * record.size_mm)
    if isinstance(record, Rect | Image):
        return PageBox(record.x, record.y, record.x + record.width, record.y + record.height)
    if isinstance(record, Circle):
        return PageBox(
            record.x - record.radius,
            record.y - record.radius,
            record.x + record.radius,
            record.y + record.radius,
        )
    points = ((record.x1, record.y1), (record.x2, record.y2)) if isinstance(record, Line) else record.points
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return PageBox(min(xs), min(ys), max(xs), max(ys))


def segments(record: Line | Polyline) -> list[Segment]:
    """Return the straight segments of a line or polyline."""
    if isinstance(record, Line):
        return [(record.x1, record.y1, record.x2, record.y2)]
    points = record.points + record.points[:1] if record.closed else record.points
    return [(x1, y1, x2, y2) for (x1, y1), (x2, y2) in pairwise(points)]


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move positions apart as little as possible (least squares) until all are `gap` or more from each other.

    Order is kept and ties keep their sequence. The result lies within `low` to `high` where there is room for
    all; where there is not, it starts at `low` and runs over `high`.
    """
    order = sorted(range(len(wanted)), key=lambda index: (wanted[index], index))
    blocks: list[tuple[float, int]] = []
    for rank, index in enumerate(order):
        mean, count = wanted[index] - rank * gap, 1
        while blocks and blocks[-1][0] > mean:
            other_mean, other_count = blocks.pop()
            mean = (mean * count + other_mean * other_count) / (count + other_count)
            count += other_count
        blocks.append((mean, count))
    bases = [mean for mean, count in blocks for _ in range(count)]
    ceiling = max(low, high - (len(wanted) - 1) * gap)
    placed = [0.0] * len(wanted)
    for rank, index in enumerate(order):
        placed[index] = min(max(bases[rank], low), ceiling) + rank * gap
    return placed


def stack_rows(spans: Sequence[tuple[float, float]]) -> list[int]:
    """Give flag labels rows (0 nearest the picture) so that no label covers another or another's flagpole.

    Each span is (pole, right end) in mm: the label stands to the right of its own pole and the pole runs down
    from the label's row, so whatever a label would cover to its right has to stand lower.
    """
    order = sorted(range(len(spans)), key=lambda index: (-spans[index][0], index))
    rows = [0] * len(spans)
    done: list[int] = []
    for index in order:
        _, right = spans[index]
        rows[index] = max((rows[other] + 1 for other in done if spans[other][0] <= right), default=0)
        done.append(index)
    return rows


def wrapped(text: str, width_mm: float, size_mm: float) -> tuple[str, ...]:
    """Return `text` broken at spaces into lines whose estimated width is at most `width_mm`, where words allow it.

    A number stays with its unit, and a measure with the same one in other units.
    """
    lines: list[str] = []
    for word in _UNITED.sub("\u00a0", " ".join(text.split())).split(" "):
        if lines and text_width(f"{lines[-1]} {word}", size_mm) <= width_mm:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return tuple(line.replace("\u00a0", " ") for line in lines)
