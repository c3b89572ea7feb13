"""Sheets of labels: each with its id, a few lines and a square code, laid out by the sheet's dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strandwright.draw.layout import fit_text, text_width
from strandwright.draw.records import Drawing, Image, Record, Rect, Text

QUIET = 4
_PIXELS = 6
_PAD_MM = 2.0
_BOLD = 1.15
_LEAST_MM = 1.6
_MOST_MM = 4.2


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


def label_sheets(title: str, labels: Sequence[Label], size: SheetSize, *, outline: bool = True) -> Iterator[Drawing]:
    """Yield the sheets of labels, row by row.

    Args:
        title: of the sheets.
        labels: in their order.
        size: of the sheet.
        outline: whether each label's edge is drawn, to cut along or to check the printer against the sheet.
    """
    total = -(-len(labels) // size.count)
    for number in range(total):
        records: list[Record] = []
        for place, label in enumerate(labels[number * size.count : (number + 1) * size.count]):
            row, column = divmod(place, size.columns)
            x, y = size.first[0] + column * size.pitch[0], size.first[1] + row * size.pitch[1]
            if outline:
                records.append(Rect(x, y, *size.label, "grid", 1.0))
            records += _label(label, x, y, size.label)
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
    big = min(_MOST_MM, height / (2.0 + 1.3 * len(label.lines)), room / max(1.0, text_width(label.id, _BOLD)))
    big = max(big, _LEAST_MM)
    small = max(min(0.75 * big, 2.8), _LEAST_MM)
    # A long id goes on in a second line, broken where it has a slash.
    for line in _broken(label.id, room, _BOLD * big):
        y += 1.25 * big
        records.append(Text(x + _PAD_MM, y + _PAD_MM / 2.0, line, big, "title"))
    y += 0.3 * small
    for line in (part for words in label.lines for part in _wrapped(words, room, small)):
        y += 1.25 * small
        if y + 0.3 * small <= bottom:
            records.append(Text(x + _PAD_MM, y + _PAD_MM / 2.0, line, small, "label"))
    return records


def _wrapped(words: str, room: float, size_mm: float) -> list[str]:
    """Return a line broken between words into as many as it needs; a word that is too long is shortened."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size_mm) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return [fit_text(line, room, size_mm) for line in lines if line]


def _broken(words: str, room: float, size_mm: float) -> list[str]:
    if text_width(words, size_mm) <= room or "/" not in words:
        return [fit_text(words, room, size_mm)]
    head, _, tail = words.rpartition("/")
    return [fit_text(head + "/", room, size_mm), fit_text(tail, room, size_mm)]


def _code(code: Sequence[Sequence[bool]], x: float, y: float, side: float) -> Image:
    """Return a code with its quiet zone as a picture: black on white also where the page is shown dark."""
    modules = len(code) + 2 * QUIET
    light, dark = b"\xff\xff\xff" * _PIXELS, b"\x00\x00\x00" * _PIXELS
    blank = light * modules * _PIXELS
    rows = [blank] * QUIET
    rows += [(light * QUIET + b"".join(dark if m else light for m in row) + light * QUIET) * _PIXELS for row in code]
    rows += [blank] * QUIET
    return Image(x, y, side, side, modules * _PIXELS, b"".join(rows))
