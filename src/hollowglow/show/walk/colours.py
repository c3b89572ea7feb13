"""The colours of every cell in a step as a function of time: only what the step is about is ever lit."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from hollowglow.show.walk.counting import blinking, coded, digits_for

if TYPE_CHECKING:
    from hollowglow.show.walk.layout import Layout
    from hollowglow.show.walk.steps import WalkStep

Colours = NDArray[np.uint8]

COLUMNS = 4
RAMP_S = 8.0
ORDER_S = 2.0
CHASE_S = 0.5
GANG_S = 2.0
_ENDS_S = 2.4
# Red, green, blue, and the white LED of lights that have one: it belongs to white.
_SLOTS = {
    "r": (255, 0, 0, 0),
    "g": (0, 255, 0, 0),
    "b": (0, 0, 255, 0),
    "w": (255, 255, 255, 255),
    "y": (255, 255, 0, 0),
    "c": (0, 255, 255, 0),
    "m": (255, 0, 255, 0),
}
# Colour of a prop and of its neighbours. Blue against yellow comes first: everybody can tell them apart.
GANG_PAIRS = (("b", "y"), ("y", "b"), ("r", "c"), ("c", "r"), ("g", "m"), ("m", "g"), ("w", "-"), ("-", "w"))


def look(layout: Layout, step: WalkStep, at_s: float, percent: float = 100.0) -> Colours:
    """Return the colours of all cells: red, green, blue and white, shape (cells, 4).

    Args:
        layout: of the display.
        step: what is shown.
        at_s: time since it began.
        percent: brightness, 0 to 100; a full-load trial ramps up to 100 whatever this is.
    """
    colours = np.zeros((layout.cells, COLUMNS), np.uint8)
    rows = step.props
    if step.sort == "load":
        level = round(255 * min(1.0, max(0.0, at_s / RAMP_S)))
        for row in rows:
            _paint(colours, layout, row, "w")
        dimmed: Colours = np.minimum(colours, np.uint8(level))
        return dimmed
    for row, letter in _letters(layout, step, at_s).items():
        _paint(colours, layout, row, letter)
    # Halves go up, so that the lowest percentage still lights.
    scaled: Colours = np.floor(colours * (percent / 100.0) + 0.5).astype(np.uint8)
    return scaled


def _paint(colours: Colours, layout: Layout, row: int, letter: str) -> None:
    cells = layout.props[row].cells
    colours[cells.start : cells.stop] = _SLOTS[letter]


def _letters(layout: Layout, step: WalkStep, at_s: float) -> dict[int, str]:
    """Return the colour of each prop that is lit."""
    rows = step.props
    if step.sort in ("prop", "string", "output"):
        return dict.fromkeys(rows, "w")
    if step.sort == "order":
        at = int(at_s // ORDER_S) % 5
        return {} if at == 4 else dict.fromkeys(rows, "rgbw"[at])
    if step.sort == "ends":
        return _ends(rows, at_s % _ENDS_S)
    if step.sort == "direction":
        # One pause at the end of each run tells where it starts.
        at = int(at_s // CHASE_S) % (len(rows) + 2)
        return {rows[at]: "w"} if at < len(rows) else {}
    if step.sort == "gang":
        return _gang(layout, rows, at_s)
    shown: dict[int, str] = {}
    for row in rows:
        number = layout.props[row].number
        width = digits_for(len(rows))
        letter = blinking(number, len(rows), at_s) if step.sort == "count" else coded(number, width, at_s)
        if letter is not None:
            shown[row] = letter
    return shown


def _ends(rows: tuple[int, ...], at_s: float) -> dict[int, str]:
    shown = {}
    if len(rows) > 1 and (at_s < 0.4 or 0.8 <= at_s < 1.2):
        shown[rows[-1]] = "y"
    if at_s < 1.6:
        shown[rows[0]] = "b"
    return shown


def _gang(layout: Layout, rows: tuple[int, ...], at_s: float) -> dict[int, str]:
    mine, theirs = GANG_PAIRS[int(at_s // GANG_S) % len(GANG_PAIRS)]
    if len(rows) == 1:
        string = layout.strings[layout.props[rows[0]].string]
        near = [row for row in (rows[0] - 1, rows[0] + 1) if row in string.props]
        shown = dict.fromkeys(near, theirs) | {rows[0]: mine}
    else:
        shown = {row: mine if i % 2 == 0 else theirs for i, row in enumerate(rows)}
    return {row: letter for row, letter in shown.items() if letter != "-"}
