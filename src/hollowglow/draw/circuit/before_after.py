"""One string before and after a change: what reaches every light, and both rails, each pair in one panel.

What was has a pattern of its own, thinner and wider spaced; what is now looks as in the profile of one plan.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from hollowglow.draw.circuit.profile import (
    BOLD,
    LEFT_MM,
    RIGHT_MM,
    ROOM_BELOW_MM,
    TITLE_MM,
    WORD_MM,
    PagePanel,
    Profile,
    curve_segments,
    end_words,
    flag_records,
    flags,
    look_alike,
    lowest,
)
from hollowglow.draw.sheet.axes import Scale, distance_axes, domain, y_axis
from hollowglow.draw.sheet.curves import broken_at, curve, place_words
from hollowglow.draw.sheet.layout import fit_text
from hollowglow.draw.sheet.markers import Verdict, marker
from hollowglow.draw.sheet.records import Drawing, Line, Record, Role, Text

GAP_MM = 11.0
RAIL_SHARE = 0.45
Series = tuple[str, Role, Profile, Sequence[float]]


def before_after(
    before: Profile, after: Profile, *, title: str = "", width_mm: float = 180.0, panel_mm: float = 62.0
) -> Drawing:
    """Draw the voltages of one string before and after a change of its plan.

    Args:
        before, after: profiles of the same string; the limit, the supply's line and the feeds are those of `after`.
        title: of the picture; that of `after` where empty.
        width_mm: 100 or more.
        panel_mm: height of the upper panel, 30 or more.

    Returns:
        The drawing: voltage across each light at both operating points, V+, and the rise of V−.

    Raises:
        ValueError: when the sizes are too small or the strings have not the same number of props.
    """
    if width_mm < 100 or panel_mm < 30:
        raise ValueError(f"{width_mm:g} mm by {panel_mm:g} mm was asked for, expected at least 100 mm by 30 mm")
    if len(before.distance_m) != len(after.distance_m):
        raise ValueError(
            f"{len(before.distance_m)} props before and {len(after.distance_m)} after, expected the same string"
        )
    title = title or after.title
    right = width_mm - RIGHT_MM
    reach = max(*before.distance_m, *after.distance_m, *after.marks_m, 0.5)
    along = Scale(0.0, 1.015 * reach, LEFT_MM, right)
    poles = flags(after, along, width_mm)
    top = 18.5 + (1 + max((row for *_, row in poles), default=-1)) * 1.35 * WORD_MM
    across = PagePanel(LEFT_MM, right, top, top + panel_mm)
    plus = PagePanel(LEFT_MM, right, across.bottom + GAP_MM, across.bottom + GAP_MM + RAIL_SHARE * panel_mm)
    minus = PagePanel(LEFT_MM, right, plus.bottom + GAP_MM, plus.bottom + GAP_MM + RAIL_SHARE * panel_mm)
    records: list[Record] = [
        Text(LEFT_MM, 8.2, fit_text(title, width_mm - LEFT_MM - 4.0, BOLD * TITLE_MM), TITLE_MM, "title"),
        Text(LEFT_MM, 15.0, "Voltage across each light, V", 3.0, "label"),
    ]
    records += flag_records(poles, across, minus)
    records += _across(before, after, along, across)
    records += _rail(before, after, along, plus, above=True)
    records += _rail(before, after, along, minus, above=False)
    axes, foot = distance_axes(along, minus.bottom, after.units)
    return Drawing(width_mm, foot, title, (*records, *axes), _describe(before, after))


def _across(before: Profile, after: Profile, along: Scale, panel: PagePanel) -> list[Record]:
    limit = [] if after.limit_v is None else [after.limit_v]
    columns = [*before.v_across, *before.v_coincident, *after.v_across, *after.v_coincident]
    low, high = domain([*columns, after.supply_v, *limit], max(0.02 * abs(after.supply_v), 0.1))
    worst = min((lowest(p)[1] for p in (before, after) if math.isfinite(lowest(p)[1])), default=math.nan)
    if math.isfinite(worst):
        share = ROOM_BELOW_MM / (panel.bottom - panel.top)
        low = min(low, worst - share / (1 - share) * (high - worst))
    volts = Scale(low, high, panel.bottom, panel.top)
    series: list[Series] = []
    for when, one, mean, coincident in (
        ("before", before, "was_across", "was_coincident"),
        ("after", after, "across", "coincident"),
    ):
        roles: tuple[Role, Role] = (mean, coincident)  # type: ignore[assignment]
        if look_alike(one.v_across, one.v_coincident, volts):
            series.append((f"{when}, both points", roles[0], one, one.v_across))
        else:
            series.append((f"{when}, all together", roles[1], one, one.v_coincident))
            series.append((f"{when}, mean", roles[0], one, one.v_across))
    lines: list[tuple[float, str, Role]] = [(after.supply_v, f"supply {after.supply_v:.2f} V", "supply")]
    if after.limit_v is not None:
        lines.append((after.limit_v, f"limit {after.limit_v:.2f} V", "limit"))
    records = _panel(series, lines, along, volts, panel, "")
    for when, one in (("before", before), ("after", after)):
        records += _lowest(when, one, after.limit_v, along, volts, panel, records)
    return records


def _rail(before: Profile, after: Profile, along: Scale, panel: PagePanel, *, above: bool) -> list[Record]:
    """Return the panel of one rail: V+ where `above`, else the rise of V−."""
    columns = [(one.v_plus if above else one.v_minus) for one in (before, after)]
    finite = [value for column in columns for value in column if math.isfinite(value)]
    wanted = [*finite, after.supply_v] if above else [0.0, *finite]
    low, high = domain(wanted, max(0.02 * abs(after.supply_v), 0.1) if above else 5e-3, pad=0.12)
    scale = Scale(low if above or min(finite, default=0.0) < 0 else 0.0, high, panel.bottom, panel.top)
    roles: tuple[Role, Role] = ("was_plus", "plus") if above else ("was_minus", "minus")
    label = "V+ above the common terminal, V" if above else "Rise of V− above the common terminal, V"
    name = "V+" if above else "V−"
    series: list[Series] = [
        (f"{name} {when}", role, one, column)
        for when, role, one, column in zip(("before", "after"), roles, (before, after), columns, strict=True)
    ]
    return _panel(series, [], along, scale, panel, label)


def _panel(
    series: Sequence[Series],
    lines: Sequence[tuple[float, str, Role]],
    along: Scale,
    volts: Scale,
    panel: PagePanel,
    label: str,
) -> list[Record]:
    """Return one panel: its axes, level lines and curves, with words at their ends."""
    records: list[Record] = [
        *y_axis(volts, panel.left, panel.right, label, parts=5),
        Line(panel.left, panel.bottom, panel.right, panel.bottom, "axis"),
    ]
    words: list[tuple[float, str, Role]] = []
    for value, word, role in lines:
        records.append(Line(panel.left, volts.at(value), panel.right, volts.at(value), role))
        words.append((volts.at(value), word, role))
    for word, role, one, column in series:
        cuts = () if role in ("minus", "was_minus") else one.cuts_m
        runs = broken_at(one.distance_m, column, cuts)
        records += curve(runs, along, volts, role)
        if runs:
            words.append((volts.at(runs[-1][-1][1]), word, role))
    return records + end_words(words, panel)


def _lowest(
    when: str,
    one: Profile,
    limit_v: float | None,
    along: Scale,
    volts: Scale,
    panel: PagePanel,
    drawn: list[Record],
) -> list[Record]:
    index, worst, _ = lowest(one)
    if index is None:
        return []
    below = limit_v is not None and worst < limit_v
    verdict: Verdict = "warn" if below else ""
    x, y = along.at(one.distance_m[index]), volts.at(worst)
    lines = [f"{when}: lowest {worst:.2f} V", f"at {one.where(index)}" + (", below the limit" if below else "")]
    poles = [(along.at(place), panel.top, along.at(place), panel.bottom) for place in one.marks_m]
    frame = (panel.left, panel.top, panel.right, panel.bottom)
    # Words already there are obstacles too, as the line under them.
    taken = [(r.x - 24.0, r.y - 1.0, r.x + 24.0, r.y - 1.0) for r in drawn if isinstance(r, Text) and r.x < panel.right]
    words = place_words(lines, x, y, frame, [*curve_segments(drawn), *taken], poles, WORD_MM)
    role: Role = "warn" if below else "label"
    return [
        *words.backing,
        *marker(x, y, verdict),
        *(Text(tx, ty, text, WORD_MM, role, anchor) for tx, ty, text, anchor in words.lines),
    ]


def _describe(before: Profile, after: Profile) -> str:
    told = []
    for when, one in (("before", before), ("after", after)):
        index, worst, _ = lowest(one)
        told.append(f"{when} no light gets V+" if index is None else f"{when} {worst:.2f} V at {one.where(index)}")
    limit = "" if after.limit_v is None else f" The limit is {after.limit_v:.2f} V."
    return (
        f"Voltages of one string against distance from the supply end; lowest across a light: {'; '.join(told)}.{limit}"
    )
