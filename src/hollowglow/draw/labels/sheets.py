"""Sheets of labels by their dimensions: the common die-cut ones, and any size that is cut by hand."""

from __future__ import annotations

import re

from hollowglow.draw.labels.label_sheet import SheetSize
from hollowglow.messages.refusal import Refusal

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
SHEETS = {
    "a4-70x37": SheetSize(PAGES["a4"], (70.0, 37.0), 3, 8, (0.0, 0.5), (70.0, 37.0)),
    "a4-63.5x38.1": SheetSize(PAGES["a4"], (63.5, 38.1), 3, 7, (7.25, 15.15), (66.0, 38.1)),
    "a4-48.5x25.4": SheetSize(PAGES["a4"], (48.5, 25.4), 4, 11, (8.0, 8.8), (48.5, 25.4)),
    "a4-99.1x67.7": SheetSize(PAGES["a4"], (99.1, 67.7), 2, 4, (4.65, 13.1), (101.6, 67.7)),
    "letter-66.7x25.4": SheetSize(PAGES["letter"], (66.675, 25.4), 3, 10, (4.7625, 12.7), (69.85, 25.4)),
    "letter-101.6x50.8": SheetSize(PAGES["letter"], (101.6, 50.8), 2, 5, (3.96875, 12.7), (106.3625, 50.8)),
}
LEAST_MM = (30.0, 16.0)
_FREE = re.compile(r"(a4|letter)-(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)")
_EDGE_MM = 5.0


def sheet_size(name: str) -> SheetSize:
    """Return a sheet by its name, such as a4-70x37; a size that is not listed is laid out to be cut by hand.

    Raises:
        Refusal: for a name that is none, or labels too small to hold a code or larger than the page.
    """
    if name in SHEETS:
        return SHEETS[name]
    match = _FREE.fullmatch(name)
    if match is not None:
        page, wide, high = PAGES[match[1]], float(match[2]), float(match[3])
        columns, rows = (
            int((side - 2.0 * _EDGE_MM) / own) if own > 0 else 0 for side, own in zip(page, (wide, high), strict=True)
        )
        if columns >= 1 and rows >= 1 and wide >= LEAST_MM[0] and high >= LEAST_MM[1]:
            first = ((page[0] - columns * wide) / 2.0, (page[1] - rows * high) / 2.0)
            return SheetSize(page, (wide, high), columns, rows, first, (wide, high))
    raise Refusal(
        f'found "{name}", expected one of {", ".join(SHEETS)}, or a page (a4 or letter) and a label\'s width and '
        f"height in mm like a4-60x30 (at least {LEAST_MM[0]:g} by {LEAST_MM[1]:g}, and no larger than the page).",
        field="labels",
    )
