"""What many samples of a display say: chances with their confidence, spreads, and what matters: frozen results."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from hollowglow.assembly.tables import Flags, Floats

CONFIDENCE = 0.95
PERCENTILES = (5.0, 50.0, 95.0)


@dataclass(frozen=True)
class Chance:
    """A chance known from samples.

    Attributes:
        within, samples: how many of how many samples stayed within the limit.
        share: their ratio.
        low, high: its 95 % confidence interval.
    """

    within: int
    samples: int
    share: float
    low: float
    high: float


def chance(within: Flags) -> Chance:
    """Return the chance that a sample is within a limit, with its Wilson interval.

    Args:
        within: which samples are, shape (D,).

    Source: E. B. Wilson, Journal of the American Statistical Association 22 (1927) 209.
    """
    n, good = len(within), int(within.sum())
    z = float(ndtri(0.5 + 0.5 * CONFIDENCE))
    share = good / n
    middle = (share + z * z / (2 * n)) / (1.0 + z * z / n)
    half = z / (1.0 + z * z / n) * math.sqrt(share * (1.0 - share) / n + z * z / (4 * n * n))
    low = 0.0 if good == 0 else max(0.0, middle - half)
    return Chance(good, n, share, low, 1.0 if good == n else min(1.0, middle + half))


@dataclass(frozen=True)
class Spread:
    """Percentiles over the samples that came to rest: 5 %, 50 %, 95 %; NaN where there are none."""

    p5: float
    p50: float
    p95: float


def spread(values: Floats) -> Spread:
    """Return the percentiles of some values, those that are no number left out."""
    real = values[np.isfinite(values)]
    if not len(real):
        return Spread(math.nan, math.nan, math.nan)
    p5, p50, p95 = np.percentile(real, PERCENTILES).tolist()
    return Spread(p5, p50, p95)


@dataclass(frozen=True)
class Influence:
    """How strongly a part's deviation goes with the lowest voltage of a string.

    Attributes:
        what: id of the thing.
        sort: "joint", "cable", "light", "supply" or "temperature".
        correlation: Spearman's rank correlation with the string's lowest voltage.
    """

    what: str
    sort: str
    correlation: float


@dataclass(frozen=True)
class StringTolerance:
    """One string over all samples.

    Attributes:
        name: of the string.
        chance: to stay within every limit of its own.
        lowest_voltage, light_loss, chromaticity_shift, fuse_load: to stay within this limit alone.
        lowest_v: lowest voltage across a light, all pulses together, V.
        light: least light that the cable leaves of a light, over its nominal light.
        greatest_shift: greatest chromaticity shift, Δu'v'.
        dimmest: light of the dimmest node, what lights differ by included, over the nominal light of its kind.
        influences: parts whose rank correlation is no accident, the strongest first.
        by_sort: rank correlation of all parts of one sort taken together, joints and cables by the drop across them.
        dark: places of lights that no V+ reaches.
    """

    name: str
    chance: Chance
    lowest_voltage: Chance
    light_loss: Chance
    chromaticity_shift: Chance
    fuse_load: Chance
    lowest_v: Spread
    light: Spread
    greatest_shift: Spread
    dimmest: Spread
    influences: tuple[Influence, ...]
    by_sort: dict[str, float]
    dark: int


@dataclass(frozen=True)
class ThingTolerance:
    """One supply or fuse over all samples: its load over its rating, and the chance to stay within the limit."""

    name: str
    load_fraction: Spread
    chance: Chance


@dataclass(frozen=True)
class ToleranceAnalysis:
    """A display over all samples.

    Attributes:
        samples, seed: how many, and where their random numbers start.
        chance: that everything stays within its limits.
        strings, supplies, fuses: one by one.
        solved_alone: samples that the full solver had to take.
        unsolved: samples without exactly one steady state with every driver running; they count as outside the limits.
    """

    samples: int
    seed: int
    chance: Chance
    strings: tuple[StringTolerance, ...]
    supplies: tuple[ThingTolerance, ...]
    fuses: tuple[ThingTolerance, ...]
    solved_alone: int
    unsolved: int
