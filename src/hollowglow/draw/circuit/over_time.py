"""What a show drew over its time: one panel for each supply or fuse, and how the time was spread over the power."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hollowglow.draw.sheet.axes import Scale, x_axis, y_axis
from hollowglow.draw.sheet.curves import broken_at, curve
from hollowglow.draw.sheet.layout import fit_text, wrapped
from hollowglow.draw.sheet.records import Drawing, Line, Record, Rect, Text

EDGE_MM = 6.0
TITLE_MM = 4.0
WORD_MM = 2.5
BOLD = 1.2
LEFT_MM = 18.0
RIGHT_MM = 24.0
PANEL_MM = 28.0
BETWEEN_MM = 18.0


@dataclass(frozen=True, slots=True)
class TimePanel:
    """One thing: its name, a note, its unit, mean and highest value of each stretch of time, its limit if any.

    `marks` are moments to be told apart: when, in s, and what stands there.
    """

    name: str
    note: str
    unit: str
    mean: tuple[float, ...]
    highest: tuple[float, ...]
    limit: float | None
    marks: tuple[tuple[float, str], ...] = ()


def over_time(panels: Sequence[TimePanel], seconds: float, *, title: str, width_mm: float = 180.0) -> Drawing:
    """Draw what several things carried over a show, one beneath the other on one time scale.

    Raises ValueError without a panel, or where a panel has no stretch of time.
    """
    if not panels or not all(len(p.mean) == len(p.highest) > 0 for p in panels) or not seconds > 0.0:
        raise ValueError("a plot over time was asked for without a value, expected at least one panel with some")
    inner = width_mm - 2 * EDGE_MM
    minutes = seconds >= 180.0
    across = Scale(0.0, seconds / 60.0 if minutes else seconds, LEFT_MM, width_mm - RIGHT_MM)
    records: list[Record] = [Text(EDGE_MM, 8.2, fit_text(title, inner, BOLD * TITLE_MM), TITLE_MM, "title")]
    y = 22.0
    for number, panel in enumerate(panels):
        lines = wrapped(f"{panel.name}: {panel.note}", inner - LEFT_MM, BOLD * WORD_MM)[:2]
        for line, up_mm in zip(reversed(lines), (4.5, 8.0), strict=False):
            records.append(Text(LEFT_MM, y - up_mm, line, WORD_MM, "box"))
        finite = [v for v in panel.highest if math.isfinite(v)]
        top = 1.1 * max([panel.limit or 0.0, *finite]) or 1.0
        up = Scale(0.0, top, y + PANEL_MM, y)
        records += y_axis(up, LEFT_MM, width_mm - RIGHT_MM, "", parts=4)
        records.append(Text(LEFT_MM, y - 1.2, panel.unit, WORD_MM, "tick"))
        step = across.high / len(panel.mean)
        places = [(k + 0.5) * step for k in range(len(panel.mean))]
        for values, role in ((panel.highest, "plus"), (panel.mean, "coincident")):
            records += curve(broken_at(places, values, ()), across, up, role)  # type: ignore[arg-type]  # both are roles
        for at_s, words in panel.marks:
            records.append(Text(across.at(at_s / 60.0 if minutes else at_s), y + 1.0, words, WORD_MM, "box"))
        if panel.limit is not None:
            records.append(Line(LEFT_MM, up.at(panel.limit), width_mm - RIGHT_MM, up.at(panel.limit), "limit"))
            records.append(Text(width_mm - RIGHT_MM + 1.5, up.at(panel.limit) + 0.9, "limit", WORD_MM, "label"))
        label = ("min" if minutes else "s") if number == len(panels) - 1 else ""
        records += x_axis(across, y + PANEL_MM, label)
        y += PANEL_MM + BETWEEN_MM
    meaning = (
        "Highest (full line) and mean (dotted line) of each stretch of time, at currents averaged over the drivers' pulses; "
        "gaps have no steady state."
    )
    if any(p.limit is not None for p in panels):
        meaning += " The limit is what the file allows of the rating."
    if any(p.marks for p in panels):
        meaning += " Numbers stand at the worst moments of the show, 1 at the worst."
    for line in wrapped(meaning, inner, WORD_MM):
        records.append(Text(EDGE_MM, y - 2.0, line, WORD_MM, "label"))
        y += 1.45 * WORD_MM
    told = " ".join(f"{p.name}: {p.note}." for p in panels)
    return Drawing(width_mm, y + 1.0, title, tuple(records), f"{title}. {told}")


def time_spread(edges: Sequence[float], shares: Sequence[float], *, title: str, width_mm: float = 180.0) -> Drawing:
    """Draw which share of the time was spent at which power, in W; raises ValueError without a bin."""
    if not shares or len(edges) != len(shares) + 1:
        raise ValueError(f"{len(shares)} bars with {len(edges)} edges were asked for, expected one edge more than bars")
    inner = width_mm - 2 * EDGE_MM
    across = Scale(0.0, max(edges), LEFT_MM, width_mm - RIGHT_MM)
    up = Scale(0.0, 110.0 * max([*shares, 1e-3]), 22.0 + 50.0, 22.0)
    records: list[Record] = [Text(EDGE_MM, 8.2, fit_text(title, inner, BOLD * TITLE_MM), TITLE_MM, "title")]
    records += y_axis(up, LEFT_MM, width_mm - RIGHT_MM, "share of the time in %", parts=5)
    for low, high, share in zip(edges, edges[1:], shares, strict=False):
        left, right, top = across.at(low), across.at(high), up.at(100.0 * share)
        if share > 0.0:
            records.append(Rect(left + 0.3, top, right - left - 0.6, up.start - top, "box"))
    records += x_axis(across, up.start, "W")
    return Drawing(
        width_mm, 84.0, title, tuple(records), f"{title}: share of the time against the power of all supplies."
    )
