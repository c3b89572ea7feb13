"""The candidates in order of a stated weighting, those that another beats in everything marked, and the choice explained."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from hollowglow.search.fill.compare import CandidateOutcome, Comparison

Prefer = Literal["light", "uniformity", "cost", "work"]
PREFERENCES: tuple[Prefer, ...] = ("light", "uniformity", "cost", "work")
# The weight of each aspect where none is preferred, and of the preferred one against each of the others.
BALANCED: Mapping[Prefer, float] = {"light": 0.25, "uniformity": 0.35, "cost": 0.2, "work": 0.2}
_PREFERRED, _OTHER = 0.7, 0.1
_HAIR = 1e-9


@dataclass(frozen=True)
class Ranked:
    """One outcome with its score (0 to 1, best first) and the candidate that beats it in everything, if one does."""

    outcome: CandidateOutcome
    score: float
    beaten_by: CandidateOutcome | None


@dataclass(frozen=True)
class Ranking:
    """All outcomes, best first, the weights that made the order, and the choice in two sentences."""

    comparison: Comparison
    weights: Mapping[Prefer, float]
    ranked: tuple[Ranked, ...]
    why: str


def weights_for(prefer: Prefer | None) -> Mapping[Prefer, float]:
    """Return the weight of each aspect; they add up to 1."""
    if prefer is None:
        return BALANCED
    return {aspect: _PREFERRED if aspect == prefer else _OTHER for aspect in PREFERENCES}


def rank(comparison: Comparison, prefer: Prefer | None = None) -> Ranking:
    """Return the outcomes of a comparison in order.

    Each aspect counts from 0 (the worst candidate) to 1 (the best): light by the logarithm of the light out, uniformity as
    the mean of lowest-over-mean and of one over the hot spot, cost and work by what one prop takes. A candidate whose
    chain is too long or too slow comes after all others.
    """
    weights = weights_for(prefer)
    outcomes = comparison.outcomes
    aspects: Mapping[Prefer, list[float]] = {
        "light": _shares([math.log(max(o.flux_out_lm, 1e-9)) for o in outcomes]),
        "uniformity": _shares([o.uniformity + 1.0 / (1.0 + o.hot_spot) for o in outcomes]),
        "cost": _shares([-o.cost for o in outcomes]),
        "work": _shares([-o.minutes for o in outcomes]),
    }
    scores = [sum(weights[a] * aspects[a][i] for a in PREFERENCES) for i in range(len(outcomes))]
    made = [Ranked(o, s, _beater(o, outcomes)) for o, s in zip(outcomes, scores, strict=True)]
    order = sorted(made, key=lambda r: (not r.outcome.chain_fits, -r.score))
    return Ranking(comparison, weights, tuple(order), _why(order, comparison) if order else "")


def _shares(values: list[float]) -> list[float]:
    low, high = min(values, default=0.0), max(values, default=0.0)
    return [(v - low) / (high - low) if high - low > _HAIR else 1.0 for v in values]


def _merits(one: CandidateOutcome) -> tuple[float, ...]:
    return (
        one.flux_out_lm,
        one.uniformity,
        -one.hot_spot,
        -one.power_w,
        -float(one.nodes),
        -one.cost,
        -one.minutes,
        float(one.chain_fits),
    )


def _beater(one: CandidateOutcome, outcomes: tuple[CandidateOutcome, ...]) -> CandidateOutcome | None:
    """Return a candidate that is at least as good in everything and better in something."""
    own = _merits(one)
    for other in outcomes:
        theirs = _merits(other)
        pairs = list(zip(theirs, own, strict=True))
        if all(t >= o - _HAIR * abs(o) for t, o in pairs) and any(t > o + 1e-6 * abs(o) + _HAIR for t, o in pairs):
            return other
    return None


def _listed(clauses: list[str]) -> str:
    return ", ".join(clauses[:-1]) + " and " + clauses[-1] if len(clauses) > 1 else clauses[0]


def _why(order: list[Ranked], comparison: Comparison) -> str:
    best = order[0].outcome
    first = (
        f"{best.candidate.words} gives {best.flux_out_lm:.3g} lm with a uniformity of {best.uniformity:.2f} and a hot spot "
        f"of {best.hot_spot:.2f} for {best.cost:.2f} {comparison.currency} and {best.minutes:.0f} min a prop."
    )
    brighter = max(order, key=lambda r: r.outcome.flux_out_lm).outcome
    evener = max(order, key=lambda r: r.outcome.uniformity).outcome
    cheaper = min(order, key=lambda r: r.outcome.cost).outcome
    others = []
    if brighter is not best:
        others.append(
            f"{brighter.candidate.words} would give {brighter.flux_out_lm / best.flux_out_lm:.2g} times the light at "
            f"{brighter.power_w:.3g} W instead of {best.power_w:.3g} W"
        )
    if evener is not best and evener is not brighter:
        others.append(f"{evener.candidate.words} would be evener ({evener.uniformity:.2f})")
    if cheaper is not best and cheaper not in (brighter, evener):
        others.append(
            f"{cheaper.candidate.words} would save {best.cost - cheaper.cost:.2f} {comparison.currency} a prop"
        )
    if not others:
        return f"{first} No other candidate is brighter, evener or cheaper."
    return f"{first} Against it, {_listed(others)}."


def best(ranking: Ranking, most: int) -> list[CandidateOutcome]:
    """Return the best outcomes, and what the file says now among them."""
    chosen = [r.outcome for r in ranking.ranked[:most]]
    now = [r.outcome for r in ranking.ranked if r.outcome.candidate.now]
    return chosen if not now or now[0] in chosen else [*chosen[: most - 1], *now]
