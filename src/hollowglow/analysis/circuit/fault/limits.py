"""The supplies of a display as sources with a limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags, Floats
from hollowglow.file.model.display import DEFAULT_LIMIT


@dataclass(frozen=True)
class SupplyLimits:
    """One row for each supply.

    Attributes:
        source_v, inner_ohm: open-circuit voltage and output resistance, shape (S,).
        limit_a: current above which it limits, A, shape (S,).
        at_zero: share of that which flows at 0 V, 1 unless it folds back, shape (S,).
        hiccup: whether it switches off and tries again, shape (S,).
        on_s: how long each try lasts, infinite where it does not switch off, shape (S,).
        effective: effective value of its current over that of a try, shape (S,).
    """

    source_v: Floats
    inner_ohm: Floats
    limit_a: Floats
    at_zero: Floats
    hiccup: Flags
    on_s: Floats
    effective: Floats


def sources_of(assembly: Assembly) -> SupplyLimits:
    """Return the supplies of an Assembly; where no limit is stated, 130 % of the rated current (typical)."""
    stated = list(assembly.display.supplies.values())
    rated = assembly.supply_rating_w / assembly.network.supply_v
    hiccup = np.array([s.limit == "hiccup" for s in stated], dtype=bool)
    on = np.array([s.limit_on for s in stated], dtype=np.float64)
    off = np.array([s.limit_off for s in stated], dtype=np.float64)
    return SupplyLimits(
        source_v=assembly.network.supply_v,
        inner_ohm=assembly.network.supply_ohm,
        limit_a=np.array(
            [
                DEFAULT_LIMIT * r if s.limit_current is None else s.limit_current
                for s, r in zip(stated, rated, strict=True)
            ],
            dtype=np.float64,
        ),
        at_zero=np.array([s.limit_at_zero if s.limit == "foldback" else 1.0 for s in stated], dtype=np.float64),
        hiccup=hiccup,
        on_s=np.where(hiccup, on, np.inf),
        effective=np.where(hiccup, np.sqrt(on / (on + off)), 1.0),
    )
