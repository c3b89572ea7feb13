"""A feed plan of one string as it is chosen: what stands at the lead and before which props power comes in again."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hollowglow.assembly.lengths import run_length
from hollowglow.file import Display
from hollowglow.file.model.display import Feed, FuseRef, Lead, String
from hollowglow.search.trials.distance import distance_m
from hollowglow.search.trials.market import CableChoice, FuseChoice, Market


@dataclass(frozen=True, slots=True)
class FeedPoint:
    """Power brought in before a prop: cut or joined, through which cable and fuse, from which supply."""

    prop: int
    cut: bool
    cable: CableChoice
    fuse: FuseChoice
    supply: str


@dataclass(frozen=True, slots=True)
class LeadPoint:
    """What becomes of the lead: another cable or another fuse, each None where it stays as stated."""

    cable: CableChoice | None = None
    fuse: FuseChoice | None = None
    supply: str | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """A whole plan of one string; `kept` says that the file stays as it is."""

    lead: LeadPoint = LeadPoint()
    feeds: tuple[FeedPoint, ...] = ()
    kept: bool = False


@dataclass(frozen=True, slots=True)
class Price:
    """What feeds cost: parts in the display's currency, minutes of work, and both together at the stated hour."""

    parts: float
    minutes: float
    total: float


def stated_feeds(display: Display, name: str, choice: Choice, found: Market) -> tuple[Feed, ...]:
    """Return the feeds of a choice as a display file states them."""
    return tuple(
        Feed.model_construct(
            before=f.prop,
            supply=f.supply,
            cable=f.cable.name,
            length=distance_m(display, f.supply, name, f.prop, found.units),
            joint=found.joint.name,
            fuse=FuseRef(part=f.fuse.name),
            cut=f.cut,
        )
        for f in sorted(choice.feeds, key=lambda f: f.prop)
    )


def stated_string(display: Display, name: str, choice: Choice, found: Market) -> String:
    """Return a string as it stands in the file when a choice is carried out."""
    string = display.strings[name]
    if choice.kept:
        return string
    update: dict[str, object] = {"feeds": stated_feeds(display, name, choice, found)}
    lead = choice.lead
    if lead.cable is not None:
        update["lead"] = Lead.model_construct(cable=lead.cable.name, length=string.lead.length, joint=string.lead.joint)
    if lead.fuse is not None:
        update["fuse"] = FuseRef(part=lead.fuse.name)
    if lead.supply is not None:
        update["supply"] = lead.supply
    return string.model_copy(update=update)


def display_with(display: Display, strings: dict[str, String], found: Market) -> Display:
    """Return a display with some strings replaced, and with the parts that they may name."""
    return display.model_copy(
        update={"strings": {**display.strings, **strings}, "parts": {**found.parts, **display.parts}}
    )


def feed_price(display: Display, cable: CableChoice, fuse: FuseChoice, length_m: float, found: Market) -> Price:
    """Return what one feed costs: cable with its drip loop, fuse, joint, and the work of it.

    Args:
        display: what the person stated.
        cable, fuse: what it is made of.
        length_m: of its cable as stated, m.
        found: the market, for the joint.
    """
    labour = display.labour
    parts = run_length(display, length_m).whole_m * cable.price + fuse.price + found.joint.price
    seconds = labour.run_feed + labour.cut_piece + labour.fit_fuse + found.joint.seconds
    return priced(display, parts, seconds / 60.0)


def priced(display: Display, parts: float, minutes: float) -> Price:
    """Return a price with its work at the display's hour."""
    return Price(parts, minutes, parts + minutes / 60.0 * display.labour.hour)


def lead_price(display: Display, name: str, lead: LeadPoint) -> Price:
    """Return what a changed lead costs more than the stated one; stated parts of unknown price count as nothing."""
    string = display.strings[name]
    parts = minutes = 0.0
    if lead.cable is not None:
        length = run_length(display, string.lead.length).whole_m
        parts += length * (lead.cable.price - (display.parts[string.lead.cable].price or 0.0))
    if lead.fuse is not None:
        parts += lead.fuse.price
        if string.fuse is None:
            minutes += display.labour.fit_fuse / 60.0
        elif string.fuse.part is not None:
            parts -= display.parts[string.fuse.part].price or 0.0
    return priced(display, parts, minutes)


def kept_price(display: Display, name: str) -> Price:
    """Return what the feeds of the file cost; parts of unknown price count as nothing."""
    labour = display.labour
    parts = minutes = 0.0
    for feed in display.strings[name].feeds:
        joint = display.parts[feed.joint] if feed.joint is not None else None
        fuse = display.parts[feed.fuse.part] if feed.fuse is not None and feed.fuse.part is not None else None
        parts += run_length(display, feed.length).whole_m * (display.parts[feed.cable].price or 0.0)
        parts += sum(part.price or 0.0 for part in (joint, fuse) if part is not None)
        seconds = labour.run_feed + labour.cut_piece + (labour.fit_fuse if feed.fuse is not None else 0.0)
        if joint is not None and joint.joint is not None:
            seconds += getattr(labour, joint.joint.sort) + (
                2.0 * labour.fit_plug if joint.joint.sort == "plug" else 0.0
            )
        minutes += seconds / 60.0
    return priced(display, parts, minutes)


def price_of(display: Display, name: str, choice: Choice, found: Market) -> Price:
    """Return what a choice costs beyond the string without feeds."""
    if choice.kept:
        return kept_price(display, name)
    prices = [lead_price(display, name, choice.lead)]
    for f in choice.feeds:
        length_m = distance_m(display, f.supply, name, f.prop, found.units)
        prices.append(feed_price(display, f.cable, f.fuse, length_m, found))
    return priced(display, sum(p.parts for p in prices), sum(p.minutes for p in prices))


def moved(choice: Choice, lead: str | None, feeds: dict[int, str]) -> Choice:
    """Return a choice fed from other supplies: the lead's, and those of feeds by their prop."""
    at = tuple(replace(f, supply=feeds.get(f.prop, f.supply)) for f in choice.feeds)
    return replace(choice, lead=replace(choice.lead, supply=lead) if lead is not None else choice.lead, feeds=at)
