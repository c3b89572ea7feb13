"""What supplies, fuses, cables, joints and mains circuits may carry by the plan's limits, and which of them a frame passes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.mains.judge import CONTINUOUS
from hollowglow.analysis.circuit.power import over
from hollowglow.assembly.ids import fuse_ids
from hollowglow.assembly.tables import Flags, Floats
from hollowglow.quantity.words import amps, percent, watts
from hollowglow.show.demand.network import Demand
from hollowglow.show.demand.result import FrameCurrents


def limits_title(sorts: Iterable[str]) -> str:
    """Return the title of a table of what is limited, such as "Supplies, fuses and mains circuits"."""
    there = set(sorts)
    names = ["supplies", "fuses"]
    names += ["cables", "joints"] if {"cable", "joint"} & there else []
    names += ["mains circuits"] if "mains" in there else []
    return f"{', '.join(names[:-1])} and {names[-1]}".capitalize()


@dataclass(frozen=True)
class Allowed:
    """The limits of a display: supplies first, then fuses, cables and joints that a frame could overload, mains circuits.

    Attributes:
        names: ids of them.
        sorts: supply, fuse, cable, joint or mains.
        supplies: how many of them are supplies.
        current_a: greatest current, A: limits.supply_load of a supply's rating over its voltage, limits.fuse_load of a
            fuse's rating, the rating of a cable or joint, 80 % of a breaker's, shape (limits,).
        volts: of each supply, V, shape (S,).
        share: the two shares of a rating that the file allows.
        mains_a: what each ampere of a supply takes from each mains circuit, A, shape (circuits, S).
    """

    names: tuple[str, ...]
    sorts: tuple[str, ...]
    supplies: int
    current_a: Floats
    volts: Floats
    share: tuple[float, float]
    mains_a: Floats

    @classmethod
    def of(cls, demand: Demand) -> Allowed:
        """Return the limits of a display."""
        assembly, conductors, mains = demand.assembly, demand.conductors, demand.mains
        limits = assembly.display.limits
        volts = assembly.network.supply_v
        supply = limits.supply_load * assembly.supply_rating_w / volts
        fuse = limits.fuse_load * assembly.fuses.rating_a
        names = (
            *assembly.supplies,
            *fuse_ids(assembly, range(len(assembly.fuses.edge))),
            *conductors.names,
            *mains.names,
        )
        sorts = ("supply",) * len(supply) + ("fuse",) * len(fuse) + conductors.sorts
        sorts += ("mains",) * len(mains.names)
        current = np.concatenate([supply, fuse, conductors.rated_a, mains.allowed_a])
        share = (limits.supply_load, limits.fuse_load)
        return cls(names, sorts, len(volts), current, volts, share, mains.per_a)

    def currents(self, drawn: FrameCurrents) -> Floats:
        """Return the currents that are limited, A, shape (F, limits)."""
        mains_a = drawn.supply_a @ self.mains_a.T
        return np.abs(np.hstack([drawn.supply_a, drawn.fuse_a, drawn.conductor_a, mains_a]))

    def passed(self, drawn: FrameCurrents) -> Flags:
        """Return which limits each frame passes, shape (F, limits); all of them where there is no steady state."""
        currents = self.currents(drawn)
        return np.asarray(over(currents, self.current_a) | ~np.isfinite(currents) | drawn.doubtful[:, None])

    def words(self, row: int, current_a: float) -> str:
        """Return what one limit is passed by, such as "shed at 105 W, 88 % of its rating (limit 80 %)"."""
        name, sort = self.names[row], self.sorts[row]
        if sort in ("cable", "joint"):
            return f"{name} at {amps(current_a)}, and this {sort} may carry {amps(float(self.current_a[row]))}"
        if sort == "mains":
            of_breaker = percent(CONTINUOUS * current_a / float(self.current_a[row]))
            circuit, most = name.removeprefix("mains/"), percent(CONTINUOUS)
            return f"the mains circuit {circuit} at {amps(current_a)}, {of_breaker} of its breaker (limit {most})"
        if sort == "supply":
            share, volts = self.share[0], float(self.volts[row])
            shown, rating = watts(current_a * volts), float(self.current_a[row]) / share if share else np.inf
        else:
            share = self.share[1]
            shown, rating = amps(current_a), float(self.current_a[row]) / share if share else np.inf
        return f"{name} at {shown}, {percent(current_a / rating)} of its rating (limit {percent(share)})"
