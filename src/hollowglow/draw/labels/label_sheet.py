"""Sheets of labels: each with its id, a few lines and a square code, laid out by the sheet's dimensions."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from hollowglow.draw.sheet.layout import fit_text, text_width
from hollowglow.draw.sheet.records import Drawing, Image, Record, Rect, Text

QUIET = 4
_PIXELS = 6
_PAD_MM = 2.0
_BOLD = 1.15
_LEAST_MM = 1.6
_MOST_MM = 4.2
_SMALL_MM = 2.8
# A stamp of the sheet stands above what printers leave white.
_EDGE_MM = 9.0
_MARGIN_MM = 14.0
_STAMP_MM = 2.4


@dataclass(frozen=True, slots=True)
class SheetSize:
    """How labels lie on a sheet, all in mm: its page, the label, how many, and where the first begins."""

    page: tuple[float, float]
    label: tuple[float, float]
    columns: int
    rows: int
    first: tuple[float, float]
    pitch: tuple[float, float]

    @property
    def count(self) -> int:
        """Return how many labels a sheet has."""
        return self.columns * self.rows


@dataclass(frozen=True, slots=True)
class Label:
    """What one label says: its id, lines beneath, and the dark modules of its code row by row (none: no code)."""

    id: str
    lines: tuple[str, ...]
    code: tuple[tuple[bool, ...], ...] = ()


def label_sheets(
    title: str, labels: Sequence[Label], size: SheetSize, *, stamp: Sequence[str] = (), outline: bool = True
) -> Iterator[Drawing]:
    """Yield the sheets of labels, row by row.

    Args:
        title: of the sheets.
        labels: in their order.
        size: of the sheet.
        stamp: what every sheet says of itself beside its number: on its lower edge, or on its last label where the sheet
            has no edge to write on.
        outline: whether each label's edge is drawn, to cut along or to check the printer against the sheet.
    """
    edge = size.page[1] - (size.first[1] + (size.rows - 1) * size.pitch[1] + size.label[1])
    on_label = bool(stamp) and edge < _EDGE_MM
    each = max(1, size.count - on_label)
    total = -(-len(labels) // each)
    for number in range(total):
        records: list[Record] = []
        which = f"sheet {number + 1} of {total}"
        placed = dict(enumerate(labels[number * each : (number + 1) * each]))
        if on_label and size.count > 1:
            placed[size.count - 1] = Label(f"labels, {which}", tuple(stamp))
        for place, label in placed.items():
            row, column = divmod(place, size.columns)
            x, y = size.first[0] + column * size.pitch[0], size.first[1] + row * size.pitch[1]
            if outline:
                records.append(Rect(x, y, *size.label, "grid", 1.0))
            records += _label(label, x, y, size.label)
        if stamp and not on_label:
            ends = " · ".join([*stamp[1:], which])
            room = size.page[0] - 2.0 * _MARGIN_MM
            name = fit_text(stamp[0], room - text_width(ends, _STAMP_MM) - 4.0, _STAMP_MM)
            level = size.page[1] - _EDGE_MM + 0.2
            records.append(Text(_MARGIN_MM, level, name, _STAMP_MM, "label"))
            records.append(Text(size.page[0] - _MARGIN_MM, level, ends, _STAMP_MM, "label", "end"))
        words = f"{title}: labels, sheet {number + 1} of {total}"
        yield Drawing(*size.page, words, tuple(records), f"{words}, print at 100 %.")


def _label(label: Label, x: float, y: float, size: tuple[float, float]) -> list[Record]:
    width, height = size
    bottom = y + height - _PAD_MM / 2.0
    records: list[Record] = []
    side = 0.0
    if label.code:
        side = min(height - 1.0, 0.42 * width)
        records.append(_code(label.code, x + width - side - 0.5, y + (height - side) / 2.0, side))
    room = width - side - 2.0 * _PAD_MM
    big, ids, small, lines = _laid(label, room, height - 1.5 * _PAD_MM)
    for line in ids:
        y += 1.25 * big
        records.append(Text(x + _PAD_MM, y + _PAD_MM / 2.0, line, big, "title"))
    y += 0.3 * small
    for line in lines:
        y += 1.25 * small
        if y + 0.3 * small <= bottom:
            records.append(Text(x + _PAD_MM, y + _PAD_MM / 2.0, line, small, "label"))
    return records


def _laid(label: Label, room: float, height: float) -> tuple[float, list[str], float, list[str]]:
    """Return the size and lines of a label's id, and of what stands beneath: the largest at which all of it fits."""
    big = _MOST_MM
    while True:
        small = max(_LEAST_MM, min(0.7 * big, _SMALL_MM))
        ids = wrapped(label.id, room / _BOLD, big)
        lines = [part for words in label.lines for part in wrapped(words, room, small)]
        high = 1.25 * big * len(ids) + small * (0.3 + 1.25 * len(lines))
        # An id of many lines reads worse than a smaller one.
        if (high <= height and len(ids) <= 2) or big <= _LEAST_MM:
            return big, ids, small, lines
        big = max(_LEAST_MM, 0.94 * big)


def wrapped(words: str, room: float, size_mm: float, breaks: str = " /-") -> list[str]:
    """Return a line broken into as many as it needs.

    Args:
        words: the line.
        room: how wide a line may be, mm.
        size_mm: of the letters.
        breaks: behind which letters a line may break, the best first; what is too long all the same breaks anywhere.
    """
    lines = [""]
    for piece in re.findall(rf"[^{breaks[0]}]*{breaks[0]}+|[^{breaks[0]}]+$", words) if breaks else words:
        if text_width((lines[-1] + piece).rstrip(), size_mm) <= room:
            lines[-1] += piece
        elif breaks and text_width(piece.rstrip(), size_mm) > room:
            lines += wrapped(piece, room, size_mm, breaks[1:])
        else:
            lines.append(piece)
    return [line.strip() for line in lines if line.strip()]


def _code(code: Sequence[Sequence[bool]], x: float, y: float, side: float) -> Image:
    """Return a code with its quiet zone as a picture: black on white also where the page is shown dark."""
    modules = len(code) + 2 * QUIET
    light, dark = b"\xff\xff\xff" * _PIXELS, b"\x00\x00\x00" * _PIXELS
    blank = light * modules * _PIXELS
    rows = [blank] * QUIET
    rows += [(light * QUIET + b"".join(dark if m else light for m in row) + light * QUIET) * _PIXELS for row in code]
    rows += [blank] * QUIET
    return Image(x, y, side, side, modules * _PIXELS, b"".join(rows))
