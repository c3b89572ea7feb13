"""The voltage profile of one string: what reaches every light along it, and how far V− has risen."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hollowglow.draw.sheet.axes import Scale, distance_axes, domain, tick_step, y_axis
from hollowglow.draw.sheet.curves import broken_at, curve, dark_runs, place_words
from hollowglow.draw.sheet.layout import Segment, fit_text, segments, spread, stack_rows, text_width
from hollowglow.draw.sheet.markers import Verdict, marker
from hollowglow.draw.sheet.records import Circle, Drawing, Line, Polyline, Record, Rect, Role, Text
from hollowglow.quantity.reader import Units

WORD_MM = 2.8
TITLE_MM = 4.0
BOLD = 1.2
ROOM_BELOW_MM = 13.0
LEFT_MM = 17.0
RIGHT_MM = 41.0
KEY_MM = 6.5
MOST_DOTS = 60
EVEN_V = 0.005


@dataclass(frozen=True, slots=True)
class Profile:
    """What the picture of one string needs, in SI units; one entry per prop, in order from the supply end.

    `v_plus`, `v_minus` (both above the common V− terminal) and `v_across` hold the mean point, `v_coincident` the
    voltage across when all pulses coincide; NaN where there is none to show, which `gap_words` explains.
    `limit_v` is the lowest allowed voltage across, `feeds` holds (distance in m, words) and `cuts_m` the
    distances at which V+ is broken. `units` are those that distances are told in.
    """

    title: str
    distance_m: tuple[float, ...]
    v_plus: tuple[float, ...]
    v_minus: tuple[float, ...]
    v_across: tuple[float, ...]
    v_coincident: tuple[float, ...]
    supply_v: float
    limit_v: float | None = None
    labels: tuple[str, ...] = ()
    feeds: tuple[tuple[float, str], ...] = ()
    cuts_m: tuple[float, ...] = ()
    gap_words: str = "no V+ here"
    units: Units = "both"

    def __post_init__(self) -> None:
        """Refuse columns of unequal length, no prop at all, and distances not finite or out of order."""
        count = len(self.distance_m)
        columns = {
            "v_plus": self.v_plus,
            "v_minus": self.v_minus,
            "v_across": self.v_across,
            "v_coincident": self.v_coincident,
        }
        for name, column in columns.items():
            if len(column) != count:
                raise ValueError(f"profile has {len(column)} values in {name}, expected {count}, one for each prop")
        if count == 0:
            raise ValueError("profile has no props, expected at least one")
        if self.labels and len(self.labels) != count:
            raise ValueError(f"profile has {len(self.labels)} labels, expected none or {count}, one for each prop")
        if not math.isfinite(self.supply_v) or (self.limit_v is not None and not math.isfinite(self.limit_v)):
            raise ValueError("profile has a supply or limit voltage that is not a number, expected volts")
        places = [*self.distance_m, *self.marks_m]
        if not all(math.isfinite(place) and place >= 0 for place in places):
            raise ValueError(
                "profile has a distance that is not a number from 0 up, expected metres from the supply end"
            )
        if any(second < first for first, second in zip(self.distance_m, self.distance_m[1:], strict=False)):
            raise ValueError("profile has distances that fall, expected props in order from the supply end")

    @property
    def names(self) -> tuple[str, ...]:
        """The labels of the props; their numbers from 1 where none were given."""
        return self.labels or tuple(str(number) for number in range(1, len(self.distance_m) + 1))

    @property
    def marks_m(self) -> tuple[float, ...]:
        """The distances of feeds and cuts."""
        return (*(place for place, _ in self.feeds), *self.cuts_m)

    def where(self, index: int) -> str:
        """Return the words for one prop (index from 0) in a sentence."""
        return self.labels[index] if self.labels else f"prop {index + 1}"


@dataclass(frozen=True, slots=True)
class PagePanel:
    """Where a panel lies on the page, mm."""

    left: float
    right: float
    top: float
    bottom: float


def string_profile(profile: Profile, *, width_mm: float = 180.0, panel_mm: float = 62.0) -> Drawing:
    """Draw the voltage profile of one string.

    The upper panel (`panel_mm` high) shows the voltage across each light at both operating points, V+ and
    the limit against the distance from the supply end; the lower one the rise of V−. Raises ValueError if
    `width_mm` is below 100 or `panel_mm` below 30.
    """
    if width_mm < 100:
        raise ValueError(f"a profile {width_mm:g} mm wide was asked for, expected 100 mm or more")
    if panel_mm < 30:
        raise ValueError(f"a panel {panel_mm:g} mm high was asked for, expected 30 mm or more")
    right = width_mm - RIGHT_MM
    reach = max(*profile.distance_m, *profile.marks_m, 0.5)
    along = Scale(0.0, 1.015 * reach, LEFT_MM, right)
    poles = flags(profile, along, width_mm)
    flag_rows = 1 + max((row for *_, row in poles), default=-1)
    top = 18.5 + flag_rows * 1.35 * WORD_MM
    upper = PagePanel(LEFT_MM, right, top, top + panel_mm)
    lower = PagePanel(LEFT_MM, right, upper.bottom + 19.0, upper.bottom + 19.0 + 0.36 * panel_mm)
    title = fit_text(profile.title, width_mm - LEFT_MM - 4.0, BOLD * TITLE_MM)
    records: list[Record] = [Text(LEFT_MM, 8.2, title, TITLE_MM, "title")]
    records.append(Text(LEFT_MM, 15.0, "Voltage across each light, V", 3.0, "label"))
    records += _dark_bands(profile, along, upper)
    records += flag_records(poles, upper, lower)
    records += _cut_bars(profile, along, upper)
    records += _upper(profile, along, upper)
    records += _prop_ticks(profile, along, upper.bottom)
    records += _lower(profile, along, lower)
    axes, foot = distance_axes(along, lower.bottom, profile.units)
    return Drawing(width_mm, foot, profile.title, (*records, *axes), _describe(profile))


def _upper(profile: Profile, along: Scale, panel: PagePanel) -> list[Record]:
    limit = [] if profile.limit_v is None else [profile.limit_v]
    values = [*profile.v_across, *profile.v_coincident, *profile.v_plus, profile.supply_v, *limit]
    low, high = domain(values, max(0.02 * abs(profile.supply_v), 0.1))
    _, worst, _ = lowest(profile)
    if math.isfinite(worst):
        share = ROOM_BELOW_MM / (panel.bottom - panel.top)
        low = min(low, worst - share / (1 - share) * (high - worst))
    volts = Scale(low, high, panel.bottom, panel.top)
    records: list[Record] = list(y_axis(volts, panel.left, panel.right, ""))
    supply_y = volts.at(profile.supply_v)
    records.append(Line(panel.left, supply_y, panel.right, supply_y, "supply"))
    words: list[tuple[float, str, Role]] = [(supply_y, f"supply {profile.supply_v:.2f} V", "supply")]
    if profile.limit_v is not None:
        limit_y = volts.at(profile.limit_v)
        records.append(Line(panel.left, limit_y, panel.right, limit_y, "limit"))
        words.append((limit_y, f"limit {profile.limit_v:.2f} V", "limit"))
    series: list[tuple[str, Role, Sequence[float]]] = [("V+", "plus", profile.v_plus)]
    if look_alike(profile.v_across, profile.v_coincident, volts):
        series.append(("mean and together", "across", profile.v_across))
    else:
        series.append(("all pulses together", "coincident", profile.v_coincident))
        series.append(("mean", "across", profile.v_across))
    for word, role, column in series:
        runs = broken_at(profile.distance_m, column, profile.cuts_m)
        records += curve(runs, along, volts, role)
        if runs:
            words.append((volts.at(runs[-1][-1][1]), word, role))
    if len(profile.distance_m) <= MOST_DOTS:
        dots = zip(profile.distance_m, profile.v_across, strict=True)
        records += [Circle(along.at(x), volts.at(v), 0.55, "joint") for x, v in dots if math.isfinite(v)]
    records += _worst(profile, along, volts, panel, records)
    records += _dark_words(profile, along, panel, records)
    return records + end_words(words, panel)


def _lower(profile: Profile, along: Scale, panel: PagePanel) -> list[Record]:
    finite = [value for value in profile.v_minus if math.isfinite(value)]
    highest = max((abs(value) for value in finite), default=0.0)
    unit, factor = ("V", 1.0) if highest >= 1 else ("mV", 1e3)
    low, high = domain([0.0, *(factor * value for value in finite)], 5e-3 * factor, pad=0.12)
    if min(finite, default=0.0) >= 0:
        low = 0.0
    rise = Scale(low, high, panel.bottom, panel.top)
    records: list[Record] = list(
        y_axis(rise, panel.left, panel.right, f"Rise of V− above the common terminal, {unit}", parts=5)
    )
    runs = broken_at(profile.distance_m, [factor * value for value in profile.v_minus], ())
    records += curve(runs, along, rise, "minus")
    if runs:
        digits = 2 if unit == "V" else 0 if highest >= 0.1 else 1
        words = f"V−, highest {factor * max(finite):.{digits}f} {unit}"
        records += end_words([(rise.at(runs[-1][-1][1]), words, "minus")], panel)
    return records


def _worst(profile: Profile, along: Scale, volts: Scale, panel: PagePanel, drawn: list[Record]) -> list[Record]:
    index, worst, coincident = lowest(profile)
    if index is None:
        return []
    below = profile.limit_v is not None and worst < profile.limit_v
    verdict: Verdict = "warn" if below else ""
    point = (
        "" if look_alike(profile.v_across, profile.v_coincident, volts) else ", together" if coincident else ", mean"
    )
    if not point and len(profile.v_across) > 1 and all(v - worst < EVEN_V for v in profile.v_across):
        lines = [f"{worst:.2f} V at every light" + (", below the limit" if below else "")]
    else:
        lines = [
            f"lowest {worst:.2f} V{point}",
            f"at {profile.where(index)}" + (", below the limit" if below else ""),
        ]
    x, y = along.at(profile.distance_m[index]), volts.at(worst)
    poles = [(along.at(place), panel.top, along.at(place), panel.bottom) for place in profile.marks_m]
    frame = (panel.left, panel.top, panel.right, panel.bottom)
    words = place_words(lines, x, y, frame, curve_segments(drawn), poles, WORD_MM)
    role: Role = "warn" if below else "label"
    return [
        *words.backing,
        *marker(x, y, verdict),
        *(Text(tx, ty, t, WORD_MM, role, a) for tx, ty, t, a in words.lines),
    ]


def curve_segments(drawn: list[Record]) -> list[Segment]:
    """Return the pieces of the curves among some records, for words to keep clear of."""
    found: list[Segment] = []
    for record in drawn:
        if isinstance(record, Line | Polyline) and record.role not in ("grid", "axis"):
            found += segments(record)
    return found


def lowest(profile: Profile) -> tuple[int | None, float, bool]:
    """Return the prop (index from 0) with the lowest voltage across, the voltage, and if it is `coincident`.

    The index is None and the voltage NaN where no prop gets V+.
    """
    found = [(v, k, False) for k, v in enumerate(profile.v_across) if math.isfinite(v)]
    found += [(v, k, True) for k, v in enumerate(profile.v_coincident) if math.isfinite(v)]
    if not found:
        return None, math.nan, False
    value, index, coincident = min(found)
    return index, value, coincident


def look_alike(first: Sequence[float], second: Sequence[float], volts: Scale) -> bool:
    """Return whether two curves lie so near each other that they would be drawn as one."""
    same_mm = 0.4
    for one, other in zip(first, second, strict=True):
        if math.isfinite(one) != math.isfinite(other):
            return False
        if math.isfinite(one) and abs(volts.at(one) - volts.at(other)) > same_mm:
            return False
    return True


def end_words(words: list[tuple[float, str, Role]], panel: PagePanel) -> list[Record]:
    """Return words at the right of a panel, one for each curve, that keep clear of each other."""
    places = spread([y for y, _, _ in words], 1.3 * WORD_MM, panel.top, panel.bottom - 1.0)
    records: list[Record] = []
    for (y, word, role), place in zip(words, places, strict=True):
        start = panel.right + 0.8
        records.append(Line(start, min(max(y, panel.top), panel.bottom), start + KEY_MM, place, role))
        room = RIGHT_MM - KEY_MM - 2.6
        records.append(Text(start + KEY_MM + 1.2, place + 0.35 * WORD_MM, fit_text(word, room, WORD_MM), WORD_MM, role))
    return records


def flags(profile: Profile, along: Scale, width_mm: float) -> list[tuple[float, str, int]]:
    """Return (x in mm, words, row) of what stands over the feeds and cuts."""
    marks: dict[float, str] = {}
    for place, word in sorted(profile.feeds):
        marks[place] = f"{marks[place]}, {word}" if place in marks else word
    for cut in sorted(profile.cuts_m):
        near = min(marks, key=lambda place: abs(place - cut), default=None)
        if near is not None and abs(along.at(near) - along.at(cut)) < 0.8:
            marks[near] += ", V+ cut"
        else:
            marks[cut] = "V+ cut"
    poles = [(along.at(place), word) for place, word in sorted(marks.items())]
    poles = [(x, fit_text(word, width_mm - x - 3.0, WORD_MM)) for x, word in poles]
    rows = stack_rows([(x, x + 1.0 + text_width(word, WORD_MM) + 1.5) for x, word in poles])
    return [(x, word, row) for (x, word), row in zip(poles, rows, strict=True)]


def flag_records(poles: list[tuple[float, str, int]], upper: PagePanel, lower: PagePanel) -> list[Record]:
    """Return the poles and words of feeds and cuts through two panels."""
    records: list[Record] = []
    for x, word, row in poles:
        base = upper.top - 1.2 - row * 1.35 * WORD_MM
        records.append(Line(x, base - 0.75 * WORD_MM, x, upper.bottom, "feed"))
        records.append(Line(x, lower.top, x, lower.bottom, "feed"))
        records.append(Text(x + 1.0, base, word, WORD_MM, "label"))
    return records


def _dark_spans(profile: Profile, along: Scale) -> list[tuple[float, float]]:
    spans: list[tuple[float, float]] = []
    places = [along.at(place) for place in profile.distance_m]
    for first, last in dark_runs(profile.v_across):
        start = (places[first - 1] + places[first]) / 2 if first > 0 else along.start
        end = (places[last] + places[last + 1]) / 2 if last + 1 < len(places) else along.end
        spans.append((start, end))
    return spans


def _dark_bands(profile: Profile, along: Scale, panel: PagePanel) -> list[Record]:
    height = panel.bottom - panel.top
    return [Rect(start, panel.top, end - start, height, "dark") for start, end in _dark_spans(profile, along)]


def _dark_words(profile: Profile, along: Scale, panel: PagePanel, drawn: list[Record]) -> list[Record]:
    obstacles = curve_segments(drawn)
    poles = [(along.at(place), panel.top, along.at(place), panel.bottom) for place in profile.marks_m]
    frame = (panel.left, panel.top, panel.right, panel.bottom)
    records: list[Record] = []
    for start, end in _dark_spans(profile, along):
        middle = (panel.top + panel.bottom) / 2
        words = place_words([profile.gap_words], (start + end) / 2, middle, frame, obstacles, poles, WORD_MM)
        records += words.backing
        for x, y, text, anchor in words.lines:
            records.append(Text(x, y, text, WORD_MM, "label", anchor))
            obstacles += [(x - 20, y - 1, x + 20, y - 1)]
    return records


def _cut_bars(profile: Profile, along: Scale, panel: PagePanel) -> list[Record]:
    records: list[Record] = []
    for place in profile.cuts_m:
        for x in (along.at(place) - 1.7, along.at(place) - 0.8):
            records.append(Line(x, panel.bottom - 1.6, x, panel.bottom + 1.6, "cut"))
    return records


def _prop_ticks(profile: Profile, along: Scale, y: float) -> list[Record]:
    count = len(profile.distance_m)
    room = (along.end - along.start) / count
    each = next(step for step in (1, 2, 5, 10, 20, 50, 100, 200, 500, 10**9) if room * step >= 0.9 or step >= 500)
    shown = [k for k in range(count) if each == 1 or (k + 1) % each == 0 or k in (0, count - 1)]
    records: list[Record] = [Line(along.start, y, along.end, y, "axis")]
    records += [
        Line(along.at(profile.distance_m[k]), y, along.at(profile.distance_m[k]), y + 1.3, "axis") for k in shown
    ]
    word = "prop" if each == 1 else f"every {each}th prop"
    text_y = y + 1.3 + 1.15 * 2.7
    records.append(Text(along.end + 8.5, text_y, word, 2.7, "label"))
    taken: list[tuple[float, float]] = []
    widest = max(text_width(name, 2.7) for name in profile.names)
    stride = tick_step(count * (widest + 2.0) / (along.end - along.start), 1) if count > 1 else 1.0
    wanted = [0, count - 1, *(k for k in range(count) if stride <= 1 or (k + 1) % round(stride) == 0)]
    for k in wanted:
        half = text_width(profile.names[k], 2.7) / 2
        x = min(along.at(profile.distance_m[k]), along.end + 5.0 - half)
        if all(x + half + 1.2 < low or x - half - 1.2 > high for low, high in taken) and x - half > 1:
            taken.append((x - half, x + half))
            records.append(Text(x, text_y, profile.names[k], 2.7, "tick", "middle"))
    return records


def _describe(profile: Profile) -> str:
    index, worst, coincident = lowest(profile)
    props = f"{len(profile.distance_m)} prop" + ("" if len(profile.distance_m) == 1 else "s")
    if index is None:
        return f"Voltage across each light against distance: {props}, none of which gets V+."
    point = "all pulses together" if coincident else "mean"
    limit = "" if profile.limit_v is None else f" The limit is {profile.limit_v:.2f} V."
    return (
        f"Voltage across each light against distance from the supply end: {props}, "
        f"supply {profile.supply_v:.2f} V, lowest {worst:.2f} V at {profile.where(index)} ({point}).{limit}"
    )
