"""The ways to bring power in at each place of a string: a cable with a fuse, as resistances, rating and price."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from hollowglow.analysis.circuit.power.ratings import SLACK, cable_ampacity
from hollowglow.assembly.lengths import run_length
from hollowglow.assembly.resistances import cable_ohm_per_m
from hollowglow.assembly.tables import Flags, Floats, Ints
from hollowglow.file.model.display import FuseRef
from hollowglow.search.trials.choice import FeedPoint, LeadPoint, Price, feed_price, lead_price
from hollowglow.search.trials.distance import distance_m
from hollowglow.search.trials.market import CableChoice, FuseChoice
from hollowglow.search.trials.trial import TrialString

# Among plans of one price the one with less work comes first.
_WORK_WEIGHT = 1e-6


@dataclass(frozen=True)
class FeedWays:
    """All ways to feed one place, one row each.

    Attributes:
        cable, fuse: what they are made of, None where the lead's own stays.
        run: number of the cable among those of this place, rising with its price, shape (P,).
        plus_ohm, minus_ohm: resistance from the supply's terminal to the string, shape (P,).
        rating_a: of the fuse, infinite where there is none, shape (P,).
        weight: price with its work, and a trace of the minutes, shape (P,).
        price: the same in full.
        lead: whether they are leads.
    """

    cable: tuple[CableChoice | None, ...]
    fuse: tuple[FuseChoice | None, ...]
    run: Ints
    plus_ohm: Floats
    minus_ohm: Floats
    rating_a: Floats
    weight: Floats
    price: tuple[Price, ...]
    lead: bool

    def __len__(self) -> int:
        return len(self.run)

    @cached_property
    def runs(self) -> int:
        """Return how many cables there are."""
        return int(self.run.max(initial=-1)) + 1

    def fit(self, limit_a: float, load_a: float, fuse_load: float) -> Flags:
        """Return which have a fuse that protects what may carry `limit_a` and that may carry `load_a` for hours."""
        bare = np.isinf(self.rating_a)
        return bare | (
            (self.rating_a <= limit_a * (1.0 + SLACK)) & (load_a <= fuse_load * self.rating_a * (1.0 + SLACK))
        )

    def unbeaten(self, rows: Ints) -> Ints:
        """Return those of some rows that no other one beats in price and both resistances."""
        order = rows[np.lexsort((self.minus_ohm[rows], self.plus_ohm[rows], self.weight[rows]))]
        plus, minus = self.plus_ohm[order].tolist(), self.minus_ohm[order].tolist()
        kept: list[int] = []
        front: list[tuple[float, float]] = []
        for row, ohm in zip(order.tolist(), zip(plus, minus, strict=True), strict=True):
            for before in front:
                if before[0] <= ohm[0] and before[1] <= ohm[1]:
                    break
            else:
                kept.append(row)
                front.append(ohm)
        return np.array(kept, dtype=np.int64)


@dataclass(frozen=True)
class _FeedPieces:
    cable: CableChoice | None
    fuse: FuseChoice | None
    run: int
    plus_ohm: float
    minus_ohm: float
    rating_a: float
    price: Price


def weight_of(price: Price) -> float:
    """Return what plans are compared by: the price with its work, and a trace of the minutes."""
    return price.total + _WORK_WEIGHT * price.minutes


def _table(made: list[_FeedPieces], lead: bool) -> FeedWays:
    runs = {run: i for i, run in enumerate(dict.fromkeys(m.run for m in made))}  # cables that no fuse suits fall out
    return FeedWays(
        cable=tuple(m.cable for m in made),
        fuse=tuple(m.fuse for m in made),
        run=np.array([runs[m.run] for m in made], dtype=np.int64),
        plus_ohm=np.array([m.plus_ohm for m in made], dtype=np.float64),
        minus_ohm=np.array([m.minus_ohm for m in made], dtype=np.float64),
        rating_a=np.array([m.rating_a for m in made], dtype=np.float64),
        weight=np.array([weight_of(m.price) for m in made], dtype=np.float64),
        price=tuple(m.price for m in made),
        lead=lead,
    )


def lead_pieces(bench: TrialString, limit_a: float) -> FeedWays:
    """Return what the lead can be: as stated or of a heavier cable, with its own fuse or another one.

    Args:
        bench: the string.
        limit_a: largest fuse that the first prop and the span after it allow, A.
    """
    display, name, found = bench.display, bench.name, bench.market
    string = display.strings[name]
    stated = display.parts[string.lead.cable].cable
    joint = display.parts[string.lead.joint].joint if string.lead.joint is not None else None
    assert stated is not None
    own_ohm = cable_ohm_per_m(stated, display.ambient)
    length = run_length(display, string.lead.length).whole_m
    joint_ohm = joint.resistance if joint is not None else 0.0
    most = min(limit_a, joint.rating if joint is not None and joint.rating is not None else np.inf)
    cables: list[tuple[CableChoice | None, float, float]] = [(None, own_ohm, cable_ampacity(stated)[0])]
    cables += [(c, c.ohm_per_m, c.ampacity_a) for c in found.leads if c.ohm_per_m < own_ohm * (1.0 - 1e-9)]
    made = []
    for run, (cable, per_m, ampacity) in enumerate(cables):
        ohm = length * per_m + joint_ohm
        for fuse, rating, fuse_ohm in _lead_fuses(bench, string.fuse):
            if np.isinf(rating) or rating <= min(most, ampacity) * (1.0 + SLACK):
                price = lead_price(display, name, LeadPoint(cable, fuse))
                made.append(_FeedPieces(cable, fuse, run, ohm + fuse_ohm, ohm, rating, price))
    return _table(made, lead=True)


def _lead_fuses(bench: TrialString, stated: FuseRef | None) -> list[tuple[FuseChoice | None, float, float]]:
    """Return (fuse, rating A, resistance ohm) of what may stand in the lead; no fuse has no limit."""
    own: tuple[FuseChoice | None, float, float] = (None, np.inf, 0.0)
    if stated is not None and stated.part is not None:
        part = bench.display.parts[stated.part].fuse
        assert part is not None
        own = (None, part.rating, part.resistance)
    elif stated is not None and stated.rating_a is not None:
        own = (None, stated.rating_a, 0.0)
    return [own, *((f, f.rating_a, f.ohm) for f in bench.market.fuses)]


def feed_pieces(bench: TrialString, supply: str, prop: int, limit_a: float) -> FeedWays:
    """Return what a feed before a prop (from 1) can be; `limit_a` as for the lead."""
    display, found = bench.display, bench.market
    length = distance_m(display, supply, bench.name, prop, found.units)
    most = min(limit_a, found.joint.rating_a)
    made = []
    for run, cable in enumerate(found.cables):
        ohm = run_length(display, length).whole_m * cable.ohm_per_m + found.joint.ohm
        for fuse in found.fuses:
            if fuse.rating_a <= min(most, cable.ampacity_a) * (1.0 + SLACK):
                price = feed_price(display, cable, fuse, length, found)
                made.append(_FeedPieces(cable, fuse, run, ohm + fuse.ohm, ohm, fuse.rating_a, price))
    return _table(made, lead=False)


def feed_point(pieces: FeedWays, row: int, prop: int, cut: bool, supply: str) -> FeedPoint:
    """Return the feed that a row of a place's pieces stands for; `prop` counts from 1."""
    cable, fuse = pieces.cable[row], pieces.fuse[row]
    assert cable is not None
    assert fuse is not None
    return FeedPoint(prop, cut, cable, fuse, supply)
