"""The single-line diagram of one supply: its fuses, leads, strings and feeds, one line for each cable."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from hollowglow.draw.circuit.line_parts import SMALL_MM, WORD_MM, Slot, fuse_symbol, length_words, string_rows
from hollowglow.draw.sheet.layout import fit_text, text_width
from hollowglow.draw.sheet.markers import Verdict, marker
from hollowglow.draw.sheet.records import Circle, Drawing, Line, Record, Rect, Role, Text
from hollowglow.quantity.reader import Reader, Units
from hollowglow.quantity.sizes import FOOT_M

LEFT_MM = 6.0
BOX_MM = 33.0
FUSE_X_MM = 53.0
LEAD_X_MM = 61.0
PROPS_X_MM = 91.0
EDGE_MM = 6.0
TITLE_MM = 4.0
BOLD = 1.2
FEED_MM = 12.0
FOREIGN_MM = 15.0
HALF, FULL = 0.5, 0.8
KEY_MM = 9.0


def load_role(share: float) -> Role:
    """Return the look of a cable by its current over what it may carry: plain, over a half, over four fifths."""
    if not share > HALF:
        return "cable"
    return "cable_full" if share > FULL else "cable_half"


@dataclass(frozen=True, slots=True)
class DiagramFuse:
    """A fuse: its rating and the current through it, in A (NaN: not known), and what was found about it."""

    rating_a: float
    current_a: float = math.nan
    verdict: Verdict = ""


@dataclass(frozen=True, slots=True)
class DiagramCable:
    """A length of cable, in m, what it is called, and its current over what it may carry (NaN: not known)."""

    length_m: float
    cable: str
    share: float = math.nan


@dataclass(frozen=True, slots=True)
class DiagramFeed:
    """Power brought in where prop `before` (from 1) begins; `cut` breaks V+ just before that point.

    `supply` names another supply than the diagram's own; "" means this one.
    """

    before: int
    run: DiagramCable
    fuse: DiagramFuse | None = None
    cut: bool = False
    supply: str = ""


@dataclass(frozen=True, slots=True)
class StringLine:
    """One string: its lead, the lengths of its spans in m (one fewer than its props), and its feeds.

    `note` stands beside the count of props, `span_share` is the most loaded span's current over what it may carry.
    `supply` names another supply than the diagram's own that the lead starts at, "" means this one; a lead without
    `powered` brings data and V- only.
    """

    name: str
    props: int
    lead: DiagramCable
    spans_m: tuple[float, ...]
    span_cable: str
    fuse: DiagramFuse | None = None
    feeds: tuple[DiagramFeed, ...] = ()
    note: str = ""
    span_share: float = math.nan
    supply: str = ""
    powered: bool = True

    def __post_init__(self) -> None:
        """Refuse counts that do not fit together."""
        if self.props < 1:
            raise ValueError(f"string {self.name} has {self.props} props, expected at least one")
        if len(self.spans_m) != self.props - 1:
            raise ValueError(
                f"string {self.name} has {len(self.spans_m)} spans, expected {self.props - 1}, one fewer than its props"
            )
        for feed in self.feeds:
            if not 1 <= feed.before <= self.props:
                raise ValueError(f"string {self.name} is fed before prop {feed.before}, expected 1 to {self.props}")


@dataclass(frozen=True, slots=True)
class LineDiagram:
    """One supply and all that hangs on it; `load_fraction` 1.0 means that all of its rating is drawn.

    `units` are those that lengths are told in.
    """

    title: str
    supply: str
    voltage_v: float
    rating_w: float
    load_fraction: float
    strings: tuple[StringLine, ...]
    verdict: Verdict = ""
    units: Units = "both"


def single_line(diagram: LineDiagram, *, width_mm: float = 180.0) -> Drawing:
    """Draw the single-line diagram of one supply; the page grows in height with its strings and feeds.

    Raises ValueError if `width_mm` is below 150.
    """
    if width_mm < 150:
        raise ValueError(f"a single-line diagram {width_mm:g} mm wide was asked for, expected 150 mm or more")
    title = fit_text(diagram.title, width_mm - LEFT_MM - EDGE_MM, BOLD * TITLE_MM)
    head: list[Record] = [Text(LEFT_MM, 8.2, title, TITLE_MM, "title")]
    records: list[Record] = []
    top = y = 15.0
    for string in diagram.strings:
        found, y = _string(string, y, width_mm, diagram.units)
        records += found
    bottom = max(y, top + 38.0)
    key = _key(diagram, bottom + KEY_MM - 2.5)
    return Drawing(
        width_mm,
        bottom + (KEY_MM + 1.0 if key else 4.0),
        diagram.title,
        (*head, *records, *_supply(diagram, top, bottom), *key),
        _describe(diagram),
    )


def _supply(diagram: LineDiagram, top: float, bottom: float) -> list[Record]:
    centre = LEFT_MM + BOX_MM / 2
    records: list[Record] = [Rect(LEFT_MM, top, BOX_MM, bottom - top, "box", 1.5)]
    for word in _two_lines(diagram.supply, BOX_MM - 3.0, 3.2):
        records.append(Text(centre, top + 5.5, word, 3.2, "box", "middle"))
        top += 4.2
    top -= 4.2
    records.append(Text(centre, top + 12.0, f"{diagram.voltage_v:g} V", 3.0, "label", "middle"))
    records.append(Text(centre, top + 16.4, f"{diagram.rating_w:g} W", 3.0, "label", "middle"))
    bar_left, bar_width, bar_top = LEFT_MM + 4.0, BOX_MM - 8.0, top + 20.0
    role: Role = diagram.verdict or "label"
    if math.isfinite(diagram.load_fraction):
        full = min(max(diagram.load_fraction, 0.0), 1.0)
        records.append(Rect(bar_left, bar_top, bar_width, 2.2, "fuse", 0.4))
        if full > 0:
            records.append(Rect(bar_left, bar_top, full * bar_width, 2.2, "joint", 0.4))
        records.append(Text(centre, bar_top + 6.0, f"load {100 * diagram.load_fraction:.0f} %", 3.0, role, "middle"))
    else:
        records.append(Text(centre, bar_top + 6.0, "load not known", 3.0, role, "middle"))
    if diagram.verdict:
        records += marker(LEFT_MM + BOX_MM - 4.2, top + 12.6, diagram.verdict, 1.8)
    return records


def _two_lines(words: str, width_mm: float, size_mm: float) -> list[str]:
    """Break bold words at a space into at most two lines, the second shortened to fit."""
    whole = fit_text(words, width_mm, BOLD * size_mm)
    spaces = [at for at, char in enumerate(words) if char == " " and text_width(words[:at], BOLD * size_mm) <= width_mm]
    if whole == words or not spaces:
        return [whole]
    return [words[: spaces[-1]], fit_text(words[spaces[-1] + 1 :], width_mm, BOLD * size_mm)]


def _string(string: StringLine, top: float, width_mm: float, units: Units) -> tuple[list[Record], float]:
    rows = string_rows(string.props, [feed.before for feed in string.feeds], width_mm - EDGE_MM - PROPS_X_MM)
    feeds = sorted(string.feeds, key=lambda feed: feed.before)
    records: list[Record] = []
    note = ", " + string.note if string.note else ""
    count = f"{string.props} prop" + ("" if string.props == 1 else "s")
    name = fit_text(string.name, 38.0, BOLD * 3.0)
    records.append(Text(LEFT_MM + BOX_MM + 3.0, top + 3.4, name, 3.0, "box"))
    records.append(
        Text(
            PROPS_X_MM,
            top + 3.4,
            fit_text(count + note, width_mm - EDGE_MM - PROPS_X_MM, WORD_MM),
            WORD_MM,
            "label",
        )
    )
    y = top + 13.5
    for number, row in enumerate(rows):
        if number == 0:
            records += _lead(string, y, units)
        else:
            records.append(Line(PROPS_X_MM - 6.0, y, PROPS_X_MM, y, load_role(string.span_share)))
            records += _carried_on(y, number, PROPS_X_MM - 6.0)
        if number == 0 and string.spans_m:
            records.append(_span_text(string, y, width_mm - EDGE_MM - PROPS_X_MM, units))
        records += _row(row, y, string, units)
        if number + 1 < len(rows):
            last = PROPS_X_MM + row[-1].x
            records.append(Line(last + 2.6, y, last + 8.0, y, load_role(string.span_share)))
            records += _carried_on(y, number + 1, last + 8.0)
        joins = {slot.prop: PROPS_X_MM + slot.joint_x for slot in row if slot.joint_x is not None}
        drawn = [feed for feed in feeds if feed.before in joins]
        lane = y
        for place, feed in enumerate(drawn):
            lane += FOREIGN_MM if feed.supply else FEED_MM
            twins = sum(other.before == feed.before for other in drawn)
            behind = sum(other.before == feed.before for other in drawn[place + 1 :])
            shift = behind * min(0.9, 1.2 / max(twins - 1, 1))
            records += _feed(feed, joins[feed.before] - shift, y, lane, units)
        y = lane + (13.0 if number + 1 < len(rows) else 8.0)
    return records, y


def _lead(string: StringLine, y: float, units: Units) -> list[Record]:
    own = string.powered and not string.supply
    words = f"from supply {string.supply}" if string.powered else "data and V− only"
    start, records = (LEFT_MM + BOX_MM, []) if own else _elsewhere(words, y)
    records.append(Line(start, y, PROPS_X_MM, y, load_role(string.lead.share)))
    if string.fuse is not None:
        records += fuse_symbol(FUSE_X_MM, y, string.fuse.rating_a, string.fuse.current_a, string.fuse.verdict)
    return records + _run_words(string.lead, y, "lead ", units)


def _elsewhere(words: str, y: float) -> tuple[float, list[Record]]:
    """Return where a cable starts that does not start at the diagram's supply, mm, and the mark and words there."""
    start = LEFT_MM + BOX_MM + 3.0
    told_there = fit_text(words, PROPS_X_MM - start - 3.0, SMALL_MM)
    return start, [Text(start, y - 6.0, told_there, SMALL_MM, "label"), Rect(start - 0.9, y - 0.9, 1.8, 1.8, "joint")]


def _run_words(run: DiagramCable, y: float, word: str, units: Units) -> list[Record]:
    room, length = PROPS_X_MM - LEAD_X_MM - 1.0, length_words(run.length_m, units)
    return [
        Text(LEAD_X_MM, y - 1.5, fit_text(word + length, room, SMALL_MM), SMALL_MM, "label"),
        Text(LEAD_X_MM, y + 3.4, fit_text(run.cable + _share_words(run.share), room, SMALL_MM), SMALL_MM, "tick"),
    ]


def _share_words(share: float) -> str:
    return f", {100.0 * share:.0f} %" if math.isfinite(share) else ""


def _key(diagram: LineDiagram, y: float) -> list[Record]:
    """Return the key of how loaded cables are, where their load is known."""
    shares = [
        s for line in diagram.strings for s in (line.lead.share, line.span_share, *(f.run.share for f in line.feeds))
    ]
    if not any(math.isfinite(share) for share in shares):
        return []
    records: list[Record] = []
    x = LEFT_MM
    for role, words in _LOADS:
        records.append(Line(x, y - 0.9, x + 8.0, y - 0.9, role))
        records.append(Text(x + 9.5, y, words, SMALL_MM, "tick"))
        x += 12.0 + text_width(words, SMALL_MM)
    return records


_LOADS: tuple[tuple[Role, str], ...] = (
    ("cable", "cable at up to 50 % of what it may carry"),
    ("cable_half", "over 50 %"),
    ("cable_full", "over 80 %"),
)


def _row(row: list[Slot], y: float, string: StringLine, units: Units) -> list[Record]:
    records: list[Record] = []
    role = load_role(string.span_share)
    cuts = {feed.before for feed in string.feeds if feed.cut}
    at = PROPS_X_MM
    for slot in row:
        x = PROPS_X_MM + slot.x
        if slot.hidden:
            records.append(Line(at, y, x - 2.6, y, role))
            records += [Circle(x + step, y, 0.3, "joint") for step in (-1.4, 0.0, 1.4)]
            records.append(Text(x, y - 3.2, f"{slot.hidden} more", SMALL_MM, "tick", "middle"))
            at = x + 2.6
            continue
        if slot.joint_x is not None and slot.prop in cuts:
            gap = PROPS_X_MM + slot.joint_x - 2.4
            records.append(Line(at, y, gap - 0.7, y, role))
            records += [Line(gap + side, y - 1.9, gap + side, y + 1.9, "cut") for side in (-0.7, 0.7)]
            at = gap + 0.7
        records.append(Line(at, y, x, y, role))
        at = x
    for slot in row:
        if not slot.hidden:
            x = PROPS_X_MM + slot.x
            records.append(Circle(x, y, 1.55, "prop"))
            records.append(Text(x, y - 3.2, str(slot.prop), SMALL_MM, "label", "middle"))
            if slot.joint_x is not None:
                records.append(Circle(PROPS_X_MM + slot.joint_x, y, 0.65, "joint"))
    if _spans_differ(string.spans_m) and not string.feeds and not any(slot.hidden for slot in row):
        for left, right in pairwise(row):
            x = PROPS_X_MM + (left.x + right.x) / 2
            span_m = string.spans_m[left.prop - 1]
            words = f"{span_m / FOOT_M:.1f}" if units == "us" else f"{span_m:.2f}"
            records.append(Text(x, y + 4.2, words, SMALL_MM, "tick", "middle"))
    return records


def _spans_differ(spans_m: tuple[float, ...]) -> bool:
    return bool(spans_m) and max(spans_m) - min(spans_m) >= 0.005


def _span_text(string: StringLine, y: float, room: float, units: Units) -> Text:
    """Return how long the spans of a string are, above the first row of its props."""
    low, high, total = min(string.spans_m), max(string.spans_m), sum(string.spans_m)
    words = f"span {length_words(high, units)}"
    if _spans_differ(string.spans_m):
        # Both side by side leave no room for their sum.
        in_all = units != "both"
        metric = f"{low:.2f} to {high:.2f} m" + (f", {total:.1f} m in all" if in_all else "")
        us = f"{low / FOOT_M:.1f} to {high / FOOT_M:.1f} ft" + (f", {total / FOOT_M:.1f} ft in all" if in_all else "")
        words = f"spans {Reader(units).told(metric, us)}"
    return Text(PROPS_X_MM, y - 6.5, fit_text(f"{words}, {string.span_cable}", room, SMALL_MM), SMALL_MM, "tick")


def _carried_on(y: float, number: int, x: float) -> list[Record]:
    """Return the lettered mark at which one row goes on in the next."""
    letter = chr(ord("A") + (number - 1) % 26)
    return [Circle(x, y, 1.9, "mark"), Text(x, y + 0.85, letter, SMALL_MM, "label", "middle")]


def _feed(feed: DiagramFeed, x: float, string_y: float, y: float, units: Units) -> list[Record]:
    start, records = _elsewhere(f"from supply {feed.supply}", y) if feed.supply else (LEFT_MM + BOX_MM, [])
    role = load_role(feed.run.share)
    records += [Line(start, y, x, y, role), Line(x, y, x, string_y, role)]
    if feed.fuse is not None:
        records += fuse_symbol(FUSE_X_MM, y, feed.fuse.rating_a, feed.fuse.current_a, feed.fuse.verdict)
    return records + _run_words(feed.run, y, "feed ", units)


def _describe(diagram: LineDiagram) -> str:
    parts = [f"Single-line diagram of supply {diagram.supply}, {diagram.voltage_v:g} V, {diagram.rating_w:g} W."]
    for string in diagram.strings:
        feeds = ", ".join(f"prop {feed.before}" for feed in string.feeds)
        lead = length_words(string.lead.length_m, diagram.units)
        parts.append(
            f"String {string.name}: {string.props} props, lead {lead}" + (f", feeds before {feeds}." if feeds else ".")
        )
    return " ".join(parts)
