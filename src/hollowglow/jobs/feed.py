"""The feeding job: the cheapest feed plan of every string, what it promises, and writing it into the display file."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np

from hollowglow.assembly.ids import owner
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.file import Display, load_text
from hollowglow.file.history import save
from hollowglow.file.model.display import Feed, FuseRef, String
from hollowglow.file.model.site import DrawnMetres
from hollowglow.file.reading.assumptions import feeding_assumptions
from hollowglow.file.store.files import read_text
from hollowglow.file.store.writing import file_stem, folder, whole
from hollowglow.file.text.edit import Edit, Put, Remove, edited
from hollowglow.file.text.source import parse_text
from hollowglow.jobs.matching.measured import kept_readings
from hollowglow.messages import Finding
from hollowglow.messages.errors import DisplayError
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan, make_plan
from hollowglow.quantity import written
from hollowglow.quantity.measures import LENGTH
from hollowglow.quantity.shown import visible
from hollowglow.quantity.units import parse
from hollowglow.quantity.words import several
from hollowglow.search.feed import FeedPlan, StringPlan, plan_feeds
from hollowglow.search.trials.choice import feed_price
from hollowglow.view.pictures.circuit import before_after, line_diagrams

Row = dict[str, Any]
Counted = Callable[[int, int, str], None]


@dataclass(frozen=True)
class FeedReport:
    """What feeding a display file came to.

    Attributes:
        feeds: the plans.
        before, after: the whole plan of the file as it is, and of the file with the edits carried out.
        edits: what makes the one out of the other.
        text, edited: the two texts.
        written: whether the file was written.
    """

    feeds: FeedPlan
    before: Plan
    after: Plan
    edits: tuple[Edit, ...]
    text: str
    edited: str
    written: bool

    @property
    def meets(self) -> bool:
        """Return whether every string is within its limits and every supply has room."""
        return all(s.meets for s in self.feeds.strings) and all(s.needed_w is None for s in self.feeds.shared.loads)


def feed_file(path: Path | str, apply: bool = False, progress: Counted = lambda _done, _all, _what: None) -> FeedReport:
    """Return the feed plans of a display file, and write them into it where asked.

    Args:
        path: of the display file.
        apply: whether to write.
        progress: called with (strings done, strings in all, name of the next).

    Raises:
        DisplayError: when the file cannot be read.
        Refusal: when it has no supply, or cannot be written.
    """
    path = Path(path)
    name = visible(str(path))
    text = read_text(path)
    display = load_text(text, name)
    count = len(display.strings)
    done = iter(range(count))
    feeds = plan_feeds(display, lambda string: progress(next(done), count, string), units=written.spoken(text))
    progress(count, count, "plan")
    edits, new, after = _edits(text, name, display, feeds.planned())
    plans = [make_plan(d, readings=kept_readings(path, d)) for d in (display, after)]
    report = FeedReport(feeds, plans[0], plans[1], edits, text, new, apply and bool(edits))
    if report.written:
        changed = ", ".join(dict.fromkeys(str(e.path[1]) for e in edits))
        save(path, text, new, edits, f"feeds of {changed}")
    return report


def _edits(text: str, file: str, display: Display, planned: Display) -> tuple[tuple[Edit, ...], str, Display]:
    """Return the edits that turn a text into one that states the planned strings, that text and what it states.

    What the edited text states is read back; where it is not what was planned, nothing can be promised.
    """
    units = written.spoken(text)
    edits = [
        e for name in display.strings for e in _of_string(name, display.strings[name], planned.strings[name], units)
    ]
    edits += _of_heirs(parse_text(text, file).data.get("strings"), edits, planned, units)
    new = edited(text, edits, file)
    try:
        stated = load_text(new, file)
    except DisplayError:
        stated = None
    strings = {} if stated is None else stated.strings
    wrong = [name for name, string in planned.strings.items() if strings.get(name) != string]
    if stated is None or wrong:
        raise Refusal(
            f"{file} cannot be edited so that {several(wrong)} {'is' if len(wrong) == 1 else 'are'} fed as planned, "
            "because of what its entries share. Let each of these strings state its own supply, lead, fuse and feeds first."
        )
    return tuple(edits), new, stated


def _of_heirs(entries: Any, edits: list[Edit], planned: Display, units: written.Units) -> list[Edit]:
    """Return the edits that keep strings from taking over what is put into the string that they extend."""
    made: list[Edit] = []
    for name, entry in entries.items() if isinstance(entries, dict) else ():
        between = [entry]
        while (above := between[-1].get("extends")) in entries and entries[above] not in between:
            for edit in [e for e in edits if e.path[1] == above]:
                here = ("strings", name, *edit.path[2:])
                stated = any(_states(one, edit.path[2:]) for one in between)
                if not stated and all(e.path != here for e in (*edits, *made)):
                    made.append(_put(here, _value(planned.strings[name], edit.path[2:], units)))
            between.append(entries[above])
    return made


def _states(entry: Any, path: tuple[str | int, ...]) -> bool:
    for key in path:
        if not isinstance(entry, dict) or key not in entry:
            return False
        entry = entry[key]
    return True


def _value(string: String, path: tuple[str | int, ...], units: written.Units) -> Any:
    """Return what a string states at one of the keys that feeding changes, as plain data."""
    match path:
        case ("supply",):
            return string.supply
        case ("lead", "cable"):
            return string.lead.cable
        case ("fuse",):
            return _fuse(string.fuse)
    return [_feed(f, units) for f in string.feeds]


def _put(path: tuple[str | int, ...], value: Any) -> Edit:
    return Remove(path) if value is None else Put(path, value)


def _of_string(name: str, old: String, new: String, units: written.Units) -> Iterator[Edit]:
    here = ("strings", name)
    if new.supply != old.supply:
        yield _put((*here, "supply"), _value(new, ("supply",), units))
    if new.lead != old.lead:
        yield _put((*here, "lead", "cable"), _value(new, ("lead", "cable"), units))
    if new.fuse != old.fuse:
        yield _put((*here, "fuse"), _value(new, ("fuse",), units))
    if new.feeds != old.feeds:
        yield _put((*here, "feeds"), _value(new, ("feeds",), units))


def _fuse(fuse: FuseRef | None) -> str | None:
    if fuse is None:
        return None
    return fuse.part if fuse.part is not None else f"{fuse.rating_a!r} A"


def _length(metres: float, units: written.Units) -> str:
    if isinstance(metres, DrawnMetres):
        return metres.word
    told = written.length(metres, units)
    return told if parse(told, LENGTH) == metres else f"{metres!r} m"


def _feed(feed: Feed, units: written.Units) -> Row:
    made: Row = {
        "before": feed.before,
        "supply": feed.supply,
        "cable": feed.cable,
        "length": _length(feed.length, units),
    }
    if feed.joint is not None:
        made["joint"] = feed.joint
    if feed.fuse is not None:
        made["fuse"] = _fuse(feed.fuse)
    return made | {"cut": feed.cut}


def standing(plan: Plan, string: str) -> Row:
    """Return the worst voltage, light and chromaticity shift of a string in a plan, and what is wrong with it."""
    assembly, power = plan.assembly, plan.power
    rows = assembly.load_string == assembly.strings.names.index(string)
    return {
        "voltage": _least(power.coincident_v[rows]),
        "light": _least(power.light[rows]),
        "shift": _most(power.chromaticity_shift[rows]),
        "findings": [
            _finding(f) for f in plan.findings if f.severity != "note" and any(owner(w) == string for w in f.where)
        ],
    }


def _least(values: Any) -> float | None:
    return None if np.isnan(values).any() or not len(values) else float(np.min(values))


def _most(values: Any) -> float | None:
    return None if np.isnan(values).all() or not len(values) else float(np.nanmax(values))


def _finding(finding: Finding) -> Row:
    return {"code": finding.code, "severity": finding.severity, "message": finding.message}


def assumptions(report: FeedReport) -> list[Row]:
    """Return what is assumed beyond what the plan assumes."""
    made = [{"where": a.where, "value": a.value, "reason": a.reason} for a in feeding_assumptions(report.feeds.display)]
    display = report.feeds.display
    by_way = [n for n, s in display.strings.items() if not isinstance(s.lead.length, DrawnMetres)]
    if by_way:
        made.append(
            {
                "where": "supplies",
                "value": "where the strings begin",
                "reason": "places are not stated, so a feed runs along its lead and spans from there",
            }
        )
    unpriced = list(dict.fromkeys(n for m in report.feeds.markets.values() for n in m.unpriced))
    if unpriced:
        made.append(
            {
                "where": "parts",
                "value": ", ".join(unpriced),
                "reason": "state no price: as cables and fuses they were left out, otherwise they count as free",
            }
        )
    return made


def string_row(report: FeedReport, plan: StringPlan) -> Row:
    """Return everything about one string as plain data."""
    display, found = report.feeds.display, report.feeds.markets[plan.string]
    choice = report.feeds.shared.choices[plan.string]
    stated = report.feeds.planned().strings[plan.string]
    feeds = []
    for made in stated.feeds:
        row = _feed(made, found.units) | {"length": made.length, "price": None, "minutes": None}
        point = next((f for f in choice.feeds if f.prop == made.before), None)
        if point is not None:
            price = feed_price(display, point.cable, point.fuse, made.length, found)
            row |= {"price": round(price.parts, 2), "minutes": round(price.minutes, 1)}
        feeds.append({"joint": None, "fuse": None} | row)
    return {
        "string": plan.string,
        "meets": plan.meets,
        "as_stated": plan.choice.kept,
        "proven": plan.proven,
        "price": round(plan.price.parts, 2),
        "minutes": round(plan.price.minutes, 1),
        "total": round(plan.price.total, 2),
        "bound": None if plan.bound is None else round(min(plan.bound, plan.price.total), 2),
        "cut_bound": None if plan.cut_bound is None else round(plan.cut_bound, 2),
        "short": None if np.isinf(plan.short_v) else round(plan.short_v, 3),
        "lead": {"supply": stated.supply, "cable": stated.lead.cable, "fuse": _fuse(stated.fuse)},
        "feeds": feeds,
        "before": standing(report.before, plan.string),
        "after": standing(report.after, plan.string),
        "alternatives": [
            {
                "way": a.way,
                "what": a.what,
                "price": None if a.price is None else round(a.price.parts, 2),
                "minutes": None if a.price is None else round(a.price.minutes, 1),
                "meets": a.meets,
                "findings": [_finding(f) for f in a.outcome.findings] if a.outcome is not None else [],
            }
            for a in report.feeds.alternatives.get(plan.string, ())
        ],
    }


def document(report: FeedReport) -> Row:
    """Return the whole report as plain data for JSON."""
    return {
        "display": report.feeds.display.display,
        "currency": report.feeds.display.currency,
        "meets": report.meets,
        "written": report.written,
        "assumptions": assumptions(report),
        "strings": [string_row(report, plan) for plan in report.feeds.strings],
        "supplies": [
            {"supply": s.supply, "power": s.power_w, "rating": s.rating_w, "needed": s.needed_w}
            for s in report.feeds.shared.loads
        ],
        "findings": [_finding(f) for f in report.after.findings if f.severity != "note"],
        "edits": [e.to_json() for e in report.edits],
    }


def pictures(report: FeedReport) -> list[tuple[str, Drawing]]:
    """Return every string that a plan changes before and after, and each supply's single-line diagram after, by name."""
    changed = {edit.path[1] for edit in report.edits if edit.path[0] == "strings"}
    names = report.after.assembly.strings.names
    drawings = [(f"feed-{n}", before_after(report.before, report.after, names.index(n))) for n in names if n in changed]
    drawings += line_diagrams(report.after)
    return drawings


def write_pictures(report: FeedReport, place: Path) -> list[Path]:
    """Write the pictures of a report as SVG files into a folder, and return where.

    Raises:
        Refusal: when a picture cannot be written.
    """
    folder(place)
    written: list[Path] = []
    taken: set[str] = set()
    for name, drawing in pictures(report):
        written.append(place / f"{file_stem(name, taken)}.svg")
        with whole(written[-1]) as stream:
            stream.write(to_svg(drawing))
    return written


def write(report: FeedReport, stream: IO[str]) -> None:
    """Write the report as one JSON document."""
    json.dump(document(report), stream, indent=1, ensure_ascii=False, allow_nan=False)
    stream.write("\n")
