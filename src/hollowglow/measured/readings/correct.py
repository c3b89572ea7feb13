"""Measured over computed light, so that the model of a kind agrees with the prop that was built."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

from hollowglow.measured.readings.store import KeptReading, Taking, kept

Figure = Literal["luminance", "intensity"]


def corrections(display: Path | str, recipes: Mapping[str, str] | None = None) -> dict[str, float]:
    """Return the factor by which each measured kind's light differs from the uncorrected model.

    Args:
        display: path of the display file.
        recipes: fingerprint of each kind as stated now; readings of a kind stated otherwise then do not count. None:
            all of them count.

    Raises:
        Refusal: the readings cannot be read.
    """
    return factors(kept(display), recipes)


def newest(
    takings: Sequence[Taking], recipes: Mapping[str, str] | None = None
) -> dict[str, tuple[Taking, KeptReading]]:
    """Return the newest reading of each kind, with what it was taken with.

    Args:
        takings: the oldest first.
        recipes: as for `corrections`.
    """
    return {
        one.kind: (taking, one)
        for taking in takings
        for one in taking.kinds
        if recipes is None or recipes.get(one.kind) == one.recipe
    }


def factors(
    takings: Sequence[Taking], recipes: Mapping[str, str] | None = None, figure: Figure = "luminance"
) -> dict[str, float]:
    """Return the factor of each kind, the newest reading counting.

    A taking in cd/m2 or cd tells factors as they are. A relative one (photographs) tells only how its kinds differ
    from each other: it is scaled to the kinds that other takings know, else so that its factors have a geometric
    mean of 1. A relative taking of one kind alone, unless that is known, tells nothing.

    Args:
        takings: the oldest first.
        recipes: as for `corrections`.
        figure: what the factor is of; where a kind was not measured in it, the other one counts. From photographs the
            luminance counts for both, unless a size or a distance makes their intensities comparable.
    """
    known: dict[str, float] = {}
    for taking in takings:
        if taking.absolute:
            known |= _ratios(taking, recipes, figure)
    found: dict[str, float] = {}
    for taking in takings:
        ratios = _ratios(taking, recipes, figure)
        if ratios and not taking.absolute:
            shared = [kind for kind in ratios if kind in known] or [k for k in ratios if k in found]
            if not shared and len(ratios) < 2:
                continue
            target = _mean([{**found, **known}[k] for k in shared]) if shared else 1.0
            scale = target / _mean([ratios[k] for k in shared or ratios])
            ratios = {kind: scale * ratio for kind, ratio in ratios.items()}
        found |= ratios
    return found


def _mean(values: Sequence[float]) -> float:
    return math.exp(math.fsum(math.log(v) for v in values) / len(values))


def _ratios(taking: Taking, recipes: Mapping[str, str] | None, figure: Figure) -> dict[str, float]:
    ratios = {}
    for one in taking.kinds:
        if recipes is not None and recipes.get(one.kind) != one.recipe:
            continue
        ratio = _ratio(one, figure if taking.absolute or taking.across else "luminance")
        if ratio is not None:
            ratios[one.kind] = ratio
    return ratios


def _ratio(one: KeptReading, figure: Figure) -> float | None:
    """Return measured over computed, by the figure asked for, else by the other one."""
    pairs = [(one.luminance, one.computed_luminance), (one.intensity, one.computed_intensity)]
    for measured, computed in pairs if figure == "luminance" else pairs[::-1]:
        if measured is not None and computed is not None and measured > 0.0 and computed > 0.0:
            return measured / computed
    return None
