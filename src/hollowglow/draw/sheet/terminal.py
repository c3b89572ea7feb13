"""A drawing as terminal text: lines become braille dots, two by four to a cell, and words stay words."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from itertools import pairwise

from hollowglow.draw.sheet.layout import record_box
from hollowglow.draw.sheet.plain import cell_width, plain_text, sketch
from hollowglow.draw.sheet.records import Circle, Drawing, Image, Line, Polyline, Rect, Role, Text
from hollowglow.draw.sheet.style import STYLES

_BRAILLE = 0x2800
_DOT_BITS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
_HALFTONE = ((0, 8, 2, 10), (12, 4, 14, 6), (3, 11, 1, 9), (15, 7, 13, 5))
_WORDS_FIRST: tuple[Role, ...] = ("stop", "warn")
_WORDS_LAST: tuple[Role, ...] = ("label", "tick")


@dataclass(frozen=True, slots=True)
class Cell:
    """One terminal cell: its character ("" behind a double-width one) and the role it stands for, if any."""

    char: str
    role: Role | None


def to_text(drawing: Drawing, columns: int, rows: int, *, unicode: bool = True) -> str:
    """Return the drawing as `rows` lines of `columns` cells, the title on the first, without colour.

    With `unicode` false only ASCII characters are used. Raises ValueError if `columns` or `rows` is below 1.
    """
    cells = to_cells(drawing, columns, rows, unicode=unicode)
    return "\n".join("".join(cell.char for cell in row) for row in cells)


def to_cells(drawing: Drawing, columns: int, rows: int, *, unicode: bool = True) -> tuple[tuple[Cell, ...], ...]:
    """Return the drawing as rows of cells with their roles, for a caller that colours them.

    The page is stretched to the cells in both directions. Words win over dots, are moved inside the border
    and cut off where they are longer than the row; a word that finds its place taken moves by up to two
    rows, tick labels do not move and are left out instead. Raises ValueError if `columns` or `rows` is
    below 1.
    """
    if columns < 1 or rows < 1:
        raise ValueError(
            f"a terminal picture of {columns} columns and {rows} rows was asked for, expected at least 1 each"
        )
    canvas = _Canvas(drawing, columns, rows - 1)
    words = [record for record in drawing.records if isinstance(record, Text) and record.role != "title"]
    for record in drawing.records:
        if not isinstance(record, Text) and STYLES[record.role].on_terminal and rows > 1:
            canvas.draw(record)
    head = _Words(columns, 1, unicode)
    head.put(0, 0, drawing.title, "title")
    body = _Words(columns, rows - 1, unicode)
    for word in sorted(words, key=_urgency):
        if rows > 1:
            body.place(word, *canvas.cell_of(word.x, word.y - 0.3 * word.size_mm))
    lines = [head.line(0, None)]
    lines += [
        body.line(row, [canvas.cell(column, row, unicode) for column in range(columns)]) for row in range(rows - 1)
    ]
    return tuple(lines)


def _urgency(word: Text) -> int:
    return 0 if word.role in _WORDS_FIRST else 2 + _WORDS_LAST.index(word.role) if word.role in _WORDS_LAST else 1


class _Canvas:
    """The dots of one picture while it is being drawn."""

    def __init__(self, drawing: Drawing, columns: int, rows: int) -> None:
        boxes = [record_box(record) for record in drawing.records if record.role != "title"]
        self._top = max(0.0, min((box.top for box in boxes), default=0.0))
        bottom = min(drawing.height_mm, max((box.bottom for box in boxes), default=drawing.height_mm))
        self._wide, self._high = 2 * columns, 4 * max(rows, 1)
        self._x_scale = (self._wide - 1) / drawing.width_mm
        self._y_scale = (self._high - 1) / max(bottom - self._top, 1e-9)
        self._dots: dict[tuple[int, int], Role] = {}

    def draw(self, record: Line | Polyline | Rect | Circle | Image) -> None:
        if isinstance(record, Image):
            self._halftone(record)
        elif isinstance(record, Line):
            self._stroke([(record.x1, record.y1), (record.x2, record.y2)], record.role)
        elif isinstance(record, Polyline):
            if record.closed:
                self._fill(record)
            self._stroke(list(record.points) + (list(record.points[:1]) if record.closed else []), record.role)
        elif isinstance(record, Rect):
            self._fill(record)
            right, bottom = record.x + record.width, record.y + record.height
            corners = [
                (record.x, record.y),
                (right, record.y),
                (right, bottom),
                (record.x, bottom),
                (record.x, record.y),
            ]
            self._stroke(corners, record.role)
        else:
            self._fill(record)
            self._ring(record)

    def cell_of(self, x: float, y: float) -> tuple[int, int]:
        dot_x, dot_y = self._dot(x, y)
        return dot_x // 2, dot_y // 4

    def cell(self, column: int, row: int, unicode: bool) -> Cell:
        bits, role = 0, None
        for down in range(4):
            for right in range(2):
                found = self._dots.get((2 * column + right, 4 * row + down))
                if found is not None:
                    bits |= _DOT_BITS[down][right]
                    role = found
        if not bits:
            return Cell(" ", None)
        return Cell(chr(_BRAILLE + bits) if unicode else sketch(bits), role)

    def _dot(self, x: float, y: float) -> tuple[int, int]:
        return round(x * self._x_scale), round((y - self._top) * self._y_scale)

    def _set(self, dot: tuple[int, int], role: Role) -> None:
        if 0 <= dot[0] < self._wide and 0 <= dot[1] < self._high:
            self._dots[dot] = role

    def _stroke(self, points: list[tuple[float, float]], role: Role) -> None:
        if STYLES[role].width_mm == 0 or not points:
            return
        pattern = [on for place, count in enumerate(STYLES[role].dash_dots) for on in [place % 2 == 0] * count] or [
            True
        ]
        dots = [self._dot(x, y) for x, y in points]
        trail = dots[:1]
        for (x1, y1), (x2, y2) in pairwise(dots):
            steps = max(abs(x2 - x1), abs(y2 - y1))
            trail += [
                (round(x1 + (x2 - x1) * k / steps), round(y1 + (y2 - y1) * k / steps)) for k in range(1, steps + 1)
            ]
        for place, dot in enumerate(trail):
            if pattern[place % len(pattern)]:
                self._set(dot, role)

    def _ring(self, circle: Circle) -> None:
        x, y = self._dot(circle.x, circle.y)
        across, down = circle.radius * self._x_scale, circle.radius * self._y_scale
        for dot_x in range(int(x - across) - 1, int(x + across) + 2):
            for dot_y in range(int(y - down) - 1, int(y + down) + 2):
                distance = (((dot_x - x) / max(across, 0.5)) ** 2 + ((dot_y - y) / max(down, 0.5)) ** 2) ** 0.5
                if abs(distance - 1) * min(across, down) <= 0.5 or (min(across, down) < 1 and distance <= 1):
                    self._set((dot_x, dot_y), circle.role)

    def _halftone(self, image: Image) -> None:
        """Set the more dots the brighter the picture is: a dot is light."""
        left, top = self._dot(image.x, image.y)
        right, bottom = self._dot(image.x + image.width, image.y + image.height)
        for dot_y in range(top, bottom):
            row = (2 * (dot_y - top) + 1) * image.rows // (2 * (bottom - top))
            for dot_x in range(left, right):
                column = (2 * (dot_x - left) + 1) * image.columns // (2 * (right - left))
                at = 3 * (row * image.columns + column)
                red, green, blue = image.pixels[at : at + 3]
                if 0.2126 * red + 0.7152 * green + 0.0722 * blue > 16 * _HALFTONE[dot_y % 4][dot_x % 4] + 12:
                    self._set((dot_x, dot_y), image.role)

    def _fill(self, shape: Polyline | Rect | Circle) -> None:
        fill = STYLES[shape.role].fill
        if fill is None or (fill != "paper" and not isinstance(shape, Rect)):
            return
        box = record_box(shape)
        left, top = self._dot(box.left, box.top)
        right, bottom = self._dot(box.right, box.bottom)
        for dot_x in range(left, right + 1):
            for dot_y in range(top, bottom + 1):
                if fill == "paper":
                    self._dots.pop((dot_x, dot_y), None)
                else:
                    self._set((dot_x, dot_y), shape.role)


class _Words:
    """The words of one picture while they are being placed."""

    def __init__(self, columns: int, rows: int, unicode: bool) -> None:
        self._columns, self._rows, self._unicode = columns, rows, unicode
        self._cells: dict[tuple[int, int], Cell] = {}

    def place(self, word: Text, column: int, row: int) -> None:
        width = sum(map(cell_width, self._shown(word.text)))
        column -= {"start": 0, "middle": width // 2, "end": width - 1}[word.anchor]
        column = max(0, min(column, self._columns - width))
        for shift in (0,) if word.role == "tick" else (0, 1, -1, 2, -2):
            if 0 <= row + shift < self._rows and self._free(column, row + shift, width):
                self.put(column, row + shift, word.text, word.role)
                return

    def put(self, column: int, row: int, text: str, role: Role) -> None:
        for char in self._shown(text):
            wide = cell_width(char)
            if column + wide > self._columns:
                return
            if wide == 0:
                continue
            self._cells[column, row] = Cell(char, role)
            if wide == 2:
                self._cells[column + 1, row] = Cell("", role)
            column += wide

    def line(self, row: int, behind: list[Cell] | None) -> tuple[Cell, ...]:
        blank = Cell(" ", None)
        return tuple(
            self._cells.get((column, row), behind[column] if behind else blank) for column in range(self._columns)
        )

    def _shown(self, text: str) -> str:
        text = unicodedata.normalize("NFC", text)
        return text if self._unicode else plain_text(text)

    def _free(self, column: int, row: int, width: int) -> bool:
        return all((place, row) not in self._cells for place in range(column - 1, column + width + 1))
