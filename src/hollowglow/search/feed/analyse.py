"""From a display to the feed plans of all its strings, shared over its supplies, with what could be done instead."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly import expand
from hollowglow.file import Display
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.written import Units
from hollowglow.search.feed.alternatives import Alternative, alternatives
from hollowglow.search.feed.string_plan import StringPlan, plan_string
from hollowglow.search.feed.supplies import Shared, share_out
from hollowglow.search.ladder.search import Effort
from hollowglow.search.trials.choice import stated_string
from hollowglow.search.trials.market import Market, market
from hollowglow.search.trials.trial import TrialString, most_drawn

# Enough to prove strings of a few feeds; a longer search seldom pays.
USUAL = Effort(parts=30, tries=8)


@dataclass(frozen=True)
class FeedPlan:
    """The plans of all strings.

    Attributes:
        display: the display that was planned.
        strings: the plan of each string, in the file's order.
        shared: the same with their supplies shared out.
        alternatives: what could be done instead, by string; none for strings that need nothing.
        markets: what each string's feeds could be made of.
    """

    display: Display
    strings: tuple[StringPlan, ...]
    shared: Shared
    alternatives: dict[str, tuple[Alternative, ...]]
    markets: dict[str, Market]

    def planned(self) -> Display:
        """Return the display with every plan carried out."""
        strings = {
            name: stated_string(self.display, name, choice, self.markets[name])
            for name, choice in self.shared.choices.items()
        }
        parts = {n: p for m in self.markets.values() for n, p in m.parts.items()}
        return self.display.model_copy(update={"strings": strings, "parts": {**parts, **self.display.parts}})


def plan_feeds(
    display: Display,
    progress: Callable[[str], None] = lambda _: None,
    effort: Effort = USUAL,
    units: Units = "metric",
) -> FeedPlan:
    """Return the cheapest feed plan that was found for every string.

    Args:
        display: what the person stated.
        progress: called with the name of each string as its turn comes.
        effort: how much the search for each string may do.
        units: those that lengths of feeds are written in, and rounded up in.

    Raises:
        Refusal: when the display has no supply to feed from.
    """
    if display.strings and not display.supplies:
        raise Refusal(
            "The display has no supply, so nothing can be fed. Add one: supplies: {shed: {voltage: 12 V, rating: 60 W}}"
        )
    drawn = most_drawn(expand(display))
    whole = sum(drawn.values(), start=np.zeros(len(display.supplies)))
    plans: list[StringPlan] = []
    instead: dict[str, tuple[Alternative, ...]] = {}
    markets: dict[str, Market] = {}
    for name, string in display.strings.items():
        progress(name)
        markets[name] = market(display, string, units)
        bench = TrialString(display, name, markets[name], whole - drawn[name])
        supply = string.supply or next((f.supply for f in string.feeds), next(iter(display.supplies)))
        plan = plan_string(bench, supply, effort)
        plans.append(plan)
        if not plan.before.meets:
            instead[name] = alternatives(bench, supply, plan.before)
    return FeedPlan(display, tuple(plans), share_out(display, plans), instead, markets)
