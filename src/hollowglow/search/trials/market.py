"""What a feed can be made of: cables, fuses and the joint, each with what it loses, may carry and costs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

from hollowglow.analysis.circuit.power.ratings import cable_ampacity
from hollowglow.analysis.money.cost.joining import DEFAULT_SPLICE
from hollowglow.assembly.resistances import cable_ohm_per_m
from hollowglow.file import Display
from hollowglow.file.model.display import String
from hollowglow.file.model.parts import Part
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.load import load_part
from hollowglow.quantity.written import Units

# A fuse for a fuse block needs the block; these bring a watertight holder of their own.
_IN_LINE = "holder-"
LEAD_CORES, FEED_CORES = 3, 2


@dataclass(frozen=True, slots=True)
class CableChoice:
    """A cable by the metre: resistance of one conductor (ohm/m), what it may carry (A), price of a metre."""

    name: str
    cores: int
    ohm_per_m: float
    ampacity_a: float
    price: float


@dataclass(frozen=True, slots=True)
class FuseChoice:
    """A fuse: rating (A), cold resistance (ohm), price."""

    name: str
    rating_a: float
    ohm: float
    price: float


@dataclass(frozen=True, slots=True)
class JointChoice:
    """The joint of a feed at its prop: resistance in each conductor (ohm), rating (A), price, seconds to make it."""

    name: str
    ohm: float
    rating_a: float
    price: float
    seconds: float


@dataclass(frozen=True)
class Market:
    """Everything that a feed plan may be made of.

    Attributes:
        cables: for feeds, none of them beaten by another in price, resistance and ampacity at once.
        leads: for leads, which carry data too.
        fuses: by rating.
        joint: how a feed is joined to its string.
        parts: the parts behind all names, for a display that uses them.
        unpriced: parts that state no price: cables and fuses are left out, a joint counts as free.
        units: those that lengths of feeds are written in.
    """

    cables: tuple[CableChoice, ...]
    leads: tuple[CableChoice, ...]
    fuses: tuple[FuseChoice, ...]
    joint: JointChoice
    parts: dict[str, Part]
    unpriced: tuple[str, ...]
    units: Units = "metric"


def known_parts(display: Display, role: str, wanted: Callable[[str], bool] = lambda _: True) -> dict[str, Part]:
    """Return every part of a role: the display's own, and those of the catalogue whose names are wanted."""
    found = {n: _built_in(n) for n in raw_catalogue().with_role(role) if wanted(n) and n not in display.parts}
    return {n: p for n, p in display.parts.items() if p.role == role} | found


@cache
def _built_in(name: str) -> Part:
    return load_part(name)


def market(display: Display, string: String, units: Units = "metric") -> Market:
    """Return what feeds of a string may be made of, their lengths written in `units`.

    Cables and fuses are the display's own parts and the catalogue's; fuses for a fuse block only where the display has
    such fuses. The joint is that of the string's feeds, or of its spans where that is no plug, else a soldered splice.
    """
    cables = known_parts(display, "cable")
    fuses = known_parts(display, "fuse", lambda name: name.startswith(_IN_LINE))
    if any(name.startswith("blade-") for name in display.parts):
        fuses |= known_parts(display, "fuse")
    priced = [c for c in (_cable(display, n, p) for n, p in cables.items()) if c is not None]
    joint_name, joint = _joint(display, string)
    rated = [
        FuseChoice(n, p.fuse.rating, p.fuse.resistance, p.price)
        for n, p in fuses.items()
        if p.fuse is not None and p.price is not None
    ]
    unpriced = tuple(n for n, p in (cables | fuses | {joint_name: joint}).items() if p.price is None)
    assert joint.joint is not None
    seconds = getattr(display.labour, joint.joint.sort)
    if joint.joint.sort == "plug":
        seconds += 2.0 * display.labour.fit_plug
    rating = joint.joint.rating if joint.joint.rating is not None else float("inf")
    return Market(
        cables=_unbeaten(c for c in priced if c.cores >= FEED_CORES),
        leads=_unbeaten(c for c in priced if c.cores >= LEAD_CORES),
        fuses=tuple(sorted(rated, key=lambda f: (f.rating_a, f.price))),
        joint=JointChoice(joint_name, joint.joint.resistance, rating, joint.price or 0.0, seconds),
        parts={**cables, **fuses, joint_name: joint},
        unpriced=unpriced,
        units=units,
    )


def _cable(display: Display, name: str, part: Part) -> CableChoice | None:
    if part.cable is None or part.price is None:
        return None
    ohm = cable_ohm_per_m(part.cable, display.ambient)
    return CableChoice(name, part.cable.cores, ohm, cable_ampacity(part.cable)[0], part.price)


def _joint(display: Display, string: String) -> tuple[str, Part]:
    names = [feed.joint for feed in string.feeds]
    if string.span is not None:
        names.append(string.span.joint)
    for name in names:
        part = display.parts[name] if name is not None else None
        if name is not None and part is not None and part.joint is not None and part.joint.sort != "plug":
            return name, part
    found = display.parts.get(DEFAULT_SPLICE)
    return DEFAULT_SPLICE, found if found is not None else load_part(DEFAULT_SPLICE)


def _unbeaten(cables: Iterable[CableChoice]) -> tuple[CableChoice, ...]:
    """Return the cables that no other one beats, the cheapest first."""
    kept: list[CableChoice] = []
    for cable in sorted(cables, key=lambda c: (c.price, c.ohm_per_m, -c.ampacity_a)):
        if not any(k.ohm_per_m <= cable.ohm_per_m and k.ampacity_a >= cable.ampacity_a for k in kept):
            kept.append(cable)
    return tuple(kept)
