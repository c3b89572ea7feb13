"""The feed plan of one string: a first plan by the cuts, then the search for a cheaper one, then the proof or the bound."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice

import numpy as np

from hollowglow.analysis.circuit.power.ratings import over, zones
from hollowglow.analysis.circuit.power.reach import behind_fuses
from hollowglow.assembly import expand
from hollowglow.assembly.tables import Floats
from hollowglow.search.ladder.cuts import CutPlan, cheapest_cuts
from hollowglow.search.ladder.ladder import Rungs, floors_v, rungs
from hollowglow.search.ladder.local import sketches
from hollowglow.search.ladder.search import Effort, Search, Whole
from hollowglow.search.ladder.zones import Zones, zones_of
from hollowglow.search.trials.choice import Choice, FeedPoint, LeadPoint, Price, price_of
from hollowglow.search.trials.market import FuseChoice
from hollowglow.search.trials.pieces import FeedWays, feed_pieces, feed_point, lead_pieces, weight_of
from hollowglow.search.trials.trial import TrialOutcome, TrialString

# Currents between the least and the most that lights may draw, for a first plan that holds in truth.
_SHARES = (0.0, 0.5, 1.0)
_TIE = 1e-6
# Above so many props a plan of cut feeds that holds is not sought to be bettered by closer currents.
_LONG = 30
_MOST_SKETCHED = 3
_TRIES_A_SKETCH = 3
_NEAREST_V = 0.02


@dataclass(frozen=True)
class StringPlan:
    """What was found for one string.

    Attributes:
        string: its name.
        supply: the supply that its lead and feeds were planned from.
        before, after: the string as the file has it, and with the plan.
        choice: the plan.
        price: what its feeds cost.
        bound: what no plan that meets the limits costs less than; None where none meets them.
        cut_bound: the same of plans whose feeds are all cut.
        proven: whether no plan is cheaper (or, where none meets the limits, whether that is certain).
        short_v: by how much every light may miss its voltage for this plan to be one, V; 0 where it meets the limits.
        parts, tries: partial plans looked at, and whole plans solved.
    """

    string: str
    supply: str
    before: TrialOutcome
    after: TrialOutcome
    choice: Choice
    price: Price
    bound: float | None
    cut_bound: float | None
    proven: bool
    short_v: float
    parts: int
    tries: int

    @property
    def meets(self) -> bool:
        """Return whether nothing remains wrong."""
        return self.after.meets


@dataclass(frozen=True)
class _Best:
    """The best plan so far: its weight, what it is and what became of it."""

    weight: float
    choice: Choice
    outcome: TrialOutcome


@dataclass(frozen=True)
class Planner:
    """The plans of one string from one supply."""

    bench: TrialString
    supply: str
    effort: Effort

    @cached_property
    def rungs(self) -> Rungs:
        """Return what the string's ladders are made from."""
        return rungs(self.bench, self.supply)

    @cached_property
    def pieces(self) -> tuple[FeedWays, ...]:
        """Return what can feed each prop: the lead (where it is powered) the first, feeds the others."""
        limit = self.rungs.limit_a.tolist()
        string = self.bench.display.strings[self.bench.name]
        powered = string.supply is not None or not string.feeds
        first = lead_pieces(self.bench, limit[0]) if powered else self._unpowered(limit[0])
        later = (feed_pieces(self.bench, self.supply, p, limit[p - 1]) for p in range(2, len(limit) + 1))
        return (first, *later)

    def _unpowered(self, limit_a: float) -> FeedWays:
        """Return the feeds before the first prop of a string whose lead brings data and V- only."""
        feeds = feed_pieces(self.bench, self.supply, 1, limit_a)
        lead = lead_pieces(self.bench, limit_a)
        own = float(lead.minus_ohm[lead.run == 0].min(initial=np.inf))
        return replace(feeds, minus_ohm=1.0 / (1.0 / np.maximum(feeds.minus_ohm, 1e-9) + 1.0 / max(own, 1e-9)))

    def choice(self, plan: Whole) -> Choice:
        """Return a whole plan as a choice of parts."""
        table = self.pieces[0]
        lead = LeadPoint()
        feeds: list[FeedPoint] = []
        for start, cut, row in zip(plan.starts, plan.cuts, plan.rows, strict=True):
            if start == 0 and table.lead:
                stated = self.bench.display.strings[self.bench.name].supply
                lead = LeadPoint(table.cable[row], table.fuse[row], None if stated == self.supply else self.supply)
            else:
                feeds.append(feed_point(self.pieces[start], row, start + 1, cut, self.supply))
        return Choice(lead, tuple(feeds))

    def protected(self, plan: Whole) -> Callable[[int, Floats], bool]:
        """Return the test of a zone's fuses (first entry, ratings in A): does all behind them bear them together?"""
        assembly = expand(self.bench.stated(self.choice(plan)))
        zone = zones(assembly)
        behind = behind_fuses(assembly, zone)
        numbers = assembly.fuses.number.tolist()
        lead = self.pieces[0].lead

        def allows(begin: int, rating_a: Floats) -> bool:
            props = [0 if s == 0 and lead else s + 1 for s in plan.starts[begin : begin + len(rating_a)]]
            fused = [(p, r) for p, r in zip(props, rating_a.tolist(), strict=True) if np.isfinite(r) and p in numbers]
            if not fused:
                return True
            own = int(zone.of_fuse[numbers.index(fused[0][0])])
            things = behind.of_zone(own)
            reach = things.reach(np.array([p for p, _ in fused]), np.array([r for _, r in fused]))
            return not bool(over(reach, things.allowed).any())

        return allows

    def plan(self, before: TrialOutcome) -> StringPlan:
        """Return the cheapest plan that was found, with its bound."""
        kept = Choice(kept=True)
        best: _Best | None = _Best(weight_of(self._price(kept)), kept, before) if before.meets else None
        outcomes: dict[Whole, TrialOutcome] = {}

        def holds(plan: Whole) -> bool:
            outcomes[plan] = self.bench.outcome(self.choice(plan))
            return outcomes[plan].meets

        search = Search(self.rungs.ladder(), self.pieces, holds, self.protected, self.effort, self.rungs.certain_a)
        for share in self._shares((0.5,)):
            for plan in self._sketched(search, share, best.weight if best else np.inf):
                if holds(plan):
                    best = _Best(search.weight(plan), self.choice(plan), outcomes[plan])
        cut = self._cut(holds, best.weight if best else np.inf)
        if cut is not None:
            best = _Best(cut.weight, self.choice(_whole(cut)), outcomes[_whole(cut)])
        result = search.run(best.weight if best else np.inf)
        if result.plan is not None:
            best = _Best(result.weight, self.choice(result.plan), outcomes[result.plan])
        tries = len(outcomes)
        if best is None:
            return self._nearest(before, bool(np.isinf(result.bound)), result.parts, tries)
        choice, outcome = self._fitting_fuses(best.choice, best.outcome)
        price = self._price(choice)
        proven = bool(result.bound >= best.weight - _TIE)
        # Cut plans have a bound of their own, which mostly is the sharper one.
        below = None if proven else self._least_cut(best.weight)
        return StringPlan(
            string=self.bench.name,
            supply=self.supply,
            before=before,
            after=outcome,
            choice=choice,
            price=price,
            bound=min(result.bound, price.total),
            cut_bound=min(below.weight, price.total) if below is not None else price.total,
            proven=proven,
            short_v=0.0,
            parts=result.parts,
            tries=tries,
        )

    def _least_cut(self, ceiling: float) -> CutPlan | None:
        """Return a cut plan that costs no more than any that holds, None where none is below the ceiling."""
        ladder = self.rungs.ladder()
        return cheapest_cuts(ladder, self.pieces, ceiling, optimistic=True, zones=self.least_zones)

    @cached_property
    def least_zones(self) -> Zones:
        """Return the zones that can be fed alone, with the least that lights can draw."""
        return zones_of(self.rungs.ladder(), self.pieces)

    def _shares(self, wanted: tuple[float, ...]) -> tuple[float, ...]:
        """Return which shares of the lights' range of currents to try: one where they draw the same at any voltage."""
        same = np.array_equal(self.rungs.ladder().current_a, self.rungs.ladder(share=1.0).current_a)
        return (0.0,) if same else wanted

    def _cut(self, holds: Callable[[Whole], bool], ceiling: float) -> CutPlan | None:
        """Return the cheapest cut plan below a weight that was found to hold."""
        best: CutPlan | None = None
        low, high = 0.0, 1.0
        for share in self._shares((0.5, 0.25, 1.0)):
            if not low <= share <= high:
                continue
            known = self.least_zones if share == 0.0 else None
            found = cheapest_cuts(self.rungs.ladder(share=share), self.pieces, ceiling, zones=known)
            if found is None:
                high = share
            elif holds(_whole(found)):
                best, ceiling, high = found, found.weight, share
                if len(self.pieces) > _LONG:
                    break
            else:
                low = share
        return best

    def _sketched(self, search: Search, share: float, ceiling: float) -> Iterator[Whole]:
        """Yield a few plans of joined and cut feeds below a weight that the ladder allows."""
        for sketch in sketches(self.rungs.ladder(share=share), self.pieces, _MOST_SKETCHED):
            if search.part_weight(sketch) >= ceiling:
                continue
            fused = sorted(search.fused(sketch), key=search.weight)
            fits = (plan for plan in fused if search.weight(plan) < ceiling and search.fits(plan))
            yield from islice(fits, _TRIES_A_SKETCH)

    def _price(self, choice: Choice) -> Price:
        return price_of(self.bench.display, self.bench.name, choice, self.bench.market)

    def _fitting_fuses(self, choice: Choice, outcome: TrialOutcome) -> tuple[Choice, TrialOutcome]:
        """Return the same plan with the smallest fuses of the same price that carry what flows, where it still holds."""
        if choice.kept:
            return choice, outcome
        fuses, limit = self.bench.market.fuses, self.bench.display.limits.fuse_load
        assembly = outcome.assembly
        carried = np.abs(outcome.power.mean.edge_plus_a[assembly.fuses.edge])
        flows = dict(zip(assembly.fuses.number.tolist(), carried.tolist(), strict=True))

        def smaller(fuse: FuseChoice, number: int, step: int) -> FuseChoice:
            fits = [f for f in fuses if f.price == fuse.price and not over(flows[number], limit * f.rating_a)]
            fits = [f for f in fits if f.rating_a <= fuse.rating_a]
            return fits[min(step, len(fits) - 1)] if fits else fuse

        for step in range(len(fuses)):
            lead = choice.lead
            if lead.fuse is not None:
                lead = replace(lead, fuse=smaller(lead.fuse, 0, step))
            feeds = tuple(replace(f, fuse=smaller(f.fuse, f.prop, step)) for f in choice.feeds)
            tried = replace(choice, lead=lead, feeds=feeds)
            if tried == choice:
                break
            then = self.bench.outcome(tried)
            if then.meets:
                return tried, then
        return choice, outcome

    def _nearest(self, before: TrialOutcome, certain: bool, parts: int, tries: int) -> StringPlan:
        """Return the plan whose lights miss least of the voltage that they need, where none meets the limits."""
        low, high = 0.0, float(self.rungs.assembly.network.supply_v.max(initial=0.0))
        best: tuple[Choice, TrialOutcome] | None = None
        while high - low > _NEAREST_V:
            short = 0.5 * (low + high)
            done = False
            for share in self._shares(_SHARES):
                found = cheapest_cuts(self.rungs.ladder(short, share), self.pieces)
                if found is None:
                    break
                choice = self.choice(_whole(found))
                outcome = self.bench.outcome(choice)
                tries += 1
                if outcome.only_light and shortage_v(outcome) <= short + _NEAREST_V:
                    best, done = (choice, outcome), True
                    break
            low, high = (low, short) if done else (short, high)
        kept = Choice(kept=True)
        if best is None or (before.only_light and shortage_v(before) <= shortage_v(best[1]) + _NEAREST_V):
            best = (kept, before)
        choice, outcome = best
        short = shortage_v(outcome)
        return StringPlan(
            string=self.bench.name,
            supply=self.supply,
            before=before,
            after=outcome,
            choice=choice,
            price=self._price(choice),
            bound=None,
            cut_bound=None,
            proven=certain,
            short_v=short,
            parts=parts,
            tries=tries,
        )


def shortage_v(outcome: TrialOutcome) -> float:
    """Return by how much the worst light misses the voltage that it needs or that its white needs, V; inf if unknown."""
    assembly, solved = outcome.assembly, outcome.power
    mean_v, coincident_v = floors_v(assembly)
    short = np.maximum(mean_v - solved.across_v, coincident_v - solved.coincident_v)
    return float("inf") if np.isnan(short).any() else float(max(short.max(initial=0.0), 0.0))


def _whole(plan: CutPlan) -> Whole:
    return Whole(plan.starts, tuple(i > 0 for i in range(len(plan.starts))), plan.rows)


def plan_string(bench: TrialString, supply: str, effort: Effort) -> StringPlan:
    """Return the feed plan of a string from a supply."""
    return Planner(bench, supply, effort).plan(bench.outcome(Choice(kept=True)))
