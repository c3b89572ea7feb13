"""The fades that are left: for every value of a show the duty that comes out, one staircase for each kind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from hollowglow.draw.sheet.axes import Scale, x_axis, y_axis
from hollowglow.draw.sheet.layout import fit_text, wrapped
from hollowglow.draw.sheet.records import Drawing, Polyline, Record, Text

EDGE_MM = 6.0
TITLE_MM = 4.0
WORD_MM = 2.5
BOLD = 1.2
LEFT_MM = 18.0
RIGHT_MM = 28.0
MIDDLE_MM = 16.0
LOWEST = 32
PANEL_MM = 30.0
BETWEEN_MM = 14.0


@dataclass(frozen=True, slots=True)
class Fade:
    """One kind: its name, what is said beside it, and the duty from 0 to 1 for every value of a show from 0 on."""

    name: str
    note: str
    duties: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse what is no fade."""
        if len(self.duties) < 2 or not all(math.isfinite(d) and 0.0 <= d <= 1.0 for d in self.duties):
            raise ValueError(f"the fade of {self.name} was expected as two or more duties from 0 to 1")


def fades(kinds: Sequence[Fade], *, title: str = "Fades that are left", width_mm: float = 180.0) -> Drawing:
    """Draw the fades of several kinds one beneath the other, all on one scale.

    Raises ValueError without a kind or if `width_mm` is below 120.
    """
    if not kinds:
        raise ValueError("a plot of fades was asked for without a kind, expected at least one")
    if width_mm < 120:
        raise ValueError(f"a plot of fades {width_mm:g} mm wide was asked for, expected 120 mm or more")
    inner = width_mm - 2 * EDGE_MM
    records: list[Record] = [Text(EDGE_MM, 8.2, fit_text(title, inner, BOLD * TITLE_MM), TITLE_MM, "title")]
    wide = (width_mm - LEFT_MM - RIGHT_MM - MIDDLE_MM) / 2.0
    last = max(len(kind.duties) for kind in kinds) - 1
    low = min(LOWEST, last)
    panels = ((last, LEFT_MM, "the whole fade"), (low, LEFT_MM + wide + MIDDLE_MM, f"its lowest {low} values"))
    y = 24.0
    for number, kind in enumerate(kinds):
        records.append(
            Text(LEFT_MM, y - 6.0, fit_text(f"{kind.name}: {kind.note}", inner, BOLD * WORD_MM), WORD_MM, "box")
        )
        for end, left, words in panels:
            top = 100.0 * max(max(one.duties[: end + 1]) for one in kinds) or 1.0
            across, up = Scale(0.0, float(end), left, left + wide), Scale(0.0, top, y + PANEL_MM, y)
            records += y_axis(up, left, left + wide, "", parts=4)
            records.append(Text(left, y - 2.0, f"duty in %, {words}", WORD_MM, "tick"))
            records.append(Polyline(tuple(_stairs(kind.duties[: end + 1], across, up)), "plus"))
            if number == len(kinds) - 1:
                label = "show value" if left > LEFT_MM else ""
                records += x_axis(across, y + PANEL_MM, label, parts=4)
        y += PANEL_MM + BETWEEN_MM
    meaning = (
        "What a driver chip of 8 bits makes of every value that a show sends, under the level of the kind. Few and high steps "
        "show in slow fades."
    )
    for line in wrapped(meaning, inner, WORD_MM):
        records.append(Text(EDGE_MM, y, line, WORD_MM, "label"))
        y += 1.45 * WORD_MM
    told = " ".join(f"{kind.name}: {kind.note}." for kind in kinds)
    return Drawing(width_mm, y + 2.0, title, tuple(records), f"{title}: duty against the value of a show. {told}")


def _stairs(duties: Sequence[float], across: Scale, up: Scale) -> list[tuple[float, float]]:
    points = [(across.at(0.0), up.at(100.0 * duties[0]))]
    for value, (before, now) in enumerate(pairwise(duties), 1):
        if now != before:
            points += [(across.at(value), up.at(100.0 * before)), (across.at(value), up.at(100.0 * now))]
    points.append((across.at(float(len(duties) - 1)), up.at(100.0 * duties[-1])))
    return points
