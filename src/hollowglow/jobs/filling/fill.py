"""What to put inside a kind's shell: candidates compared, ranked, and as plain data."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from hollowglow.analysis.prop.optics import OpticsError
from hollowglow.file import Display, load
from hollowglow.jobs.matching.measured import kept_readings
from hollowglow.messages.refusal import Job, Refusal, Words, parts
from hollowglow.quantity.shown import nearest, nearest_or_all, show
from hollowglow.search.fill import Prefer, Ranked, Ranking, candidates, compare, rank

Step = Callable[[int, int], None]


def fill_file(
    path: Path | str,
    kind: str,
    prefer: Prefer | None = None,
    lights: Sequence[str] = (),
    step: Step = lambda _done, _all: None,
) -> Ranking:
    """Return the candidates for one kind of a display file, best first.

    Args:
        path: of the display file.
        kind: name of the kind.
        prefer: the aspect that counts most, None: balanced.
        lights: light parts to compare instead of those of the catalogue that suit.
        step: called before each candidate with how many are done and how many there are.

    Raises:
        DisplayError: the file cannot be read.
        Refusal: no such kind or light, a kind without a shell, or a shell that cannot be.
    """
    display = load(path)
    _check(display, kind, lights)
    try:
        found = candidates(display, kind, lights)
        done = iter(range(len(found)))
        comparison = compare(
            display, kind, found, lambda _c: step(next(done), len(found)), kept_readings(path, display).kinds
        )
    except OpticsError as error:
        raise Refusal(f"The light of {kind} cannot be computed: {error}.") from None
    if not comparison.outcomes:
        _, reason = comparison.left_out[0]
        raise Refusal(f"No candidate fits into {kind}: {reason}.")
    return rank(comparison, prefer)


def _check(display: Display, kind: str, lights: Sequence[str]) -> None:
    if kind not in display.kinds:
        raise Refusal(
            f"There is no kind {show(kind)} in this display. {nearest_or_all(kind, list(display.kinds), 'kinds')}"
        )
    if display.kinds[kind].shell is None:
        raise Refusal(
            f"The kind {kind} states no shell, so there is nothing to fill. State one, such as "
            "shell: {shape: sphere, diameter: 150 mm}."
        )
    from hollowglow.file.reading.catalogue import raw_catalogue

    known = [*display.parts, *raw_catalogue().with_role("light")]
    for name in lights:
        if name not in known:
            hint: Words = nearest(name, known) or (Job("parts", "light"), " lists them.")
            raise Refusal(f"There is no light part {show(name)}. ", *parts(hint))
        if name in display.parts and display.parts[name].light is None:
            raise Refusal(f"The part {show(name)} is no light.")


def fill_document(ranking: Ranking) -> dict[str, Any]:
    """Return a ranking as plain data for JSON: lumen, cd/m², cd, W, s, the bill's currency, minutes."""
    comparison = ranking.comparison
    return {
        "kind": comparison.kind,
        "viewing": comparison.viewing_m,
        "currency": comparison.currency,
        "matched_by": comparison.matched_by,
        "weights": dict(ranking.weights),
        "why": ranking.why,
        "candidates": [_row(r) for r in ranking.ranked],
        "left_out": [{"candidate": c.words, "reason": why} for c, why in comparison.left_out],
    }


def _row(ranked: Ranked) -> dict[str, Any]:
    one = ranked.outcome
    candidate = one.candidate
    return {
        "candidate": candidate.words,
        "light": candidate.light,
        "count": candidate.count,
        "arrangement": candidate.arrangement,
        "now": candidate.now,
        "score": round(ranked.score, 4),
        "beaten_by": None if ranked.beaten_by is None else ranked.beaten_by.candidate.words,
        "flux_out": round(one.flux_out_lm, 6),
        "mean_luminance": round(one.mean_cd_m2, 6),
        "intensity": round(one.intensity_cd, 6),
        "uniformity": round(one.uniformity, 6),
        "hot_spot": round(one.hot_spot, 6),
        "power": round(one.power_w, 6),
        "nodes": one.nodes,
        "cells": one.cells,
        "chain_nodes": one.chain_nodes,
        "frame_time": round(one.frame_time_s, 9),
        "chain_fits": one.chain_fits,
        "cost": one.cost,
        "cost_of_all": round(one.cost * one.props, 2),
        "minutes": round(one.minutes, 3),
        "minutes_of_all": round(one.minutes * one.props, 3),
        "level": None if one.level is None else round(one.level, 6),
        "settled": one.light.settled.settled,
    }
