"""Each mains circuit with its supplies: continuous load, leakage, inrush, energy of a season."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats
from hollowglow.file.model.display import INRUSH_A_PER_V, Supply

# IEC 60898-1: lower end of the range of instantaneous tripping, in multiples of the rating (effective values).
AT_ONCE = {"B": 3.0, "C": 5.0, "D": 10.0}
# IEC 61008-1: below half its rated residual current a device must not trip; from there on it may.
MAY_TRIP = 0.5
NO_CIRCUIT = "-"
STAGGER_S = 1.0


@dataclass(frozen=True)
class LoadedCircuit:
    """One mains circuit, or under the name "-" the supplies of which no circuit is stated.

    Attributes:
        name: as in the file.
        supplies: what stands on it.
        voltage_v, breaker_a, rcd_a: as stated, None where they are not.
        power_w: power from the mains at full white and the file's levels, None where the file states no mains at all.
        current_a: its current, power factor included, None without a voltage.
        leakage_a: standing leakage of all supplies together, None like power_w.
        inrush_a: peak when all are switched on cold together, None without a voltage.
        at_once_a: peak from which the breaker may open at once, None without a breaker.
        groups: which supplies can be switched on together, one group after the other.
        energy_kwh: of the season; price: in the display's currency; None like power_w.
    """

    name: str
    supplies: tuple[str, ...]
    voltage_v: float | None
    breaker_a: float | None
    rcd_a: float | None
    power_w: float | None
    current_a: float | None
    leakage_a: float | None
    inrush_a: float | None
    at_once_a: float | None
    groups: tuple[tuple[str, ...], ...]
    energy_kwh: float | None
    price: float | None

    @property
    def load_fraction(self) -> float | None:
        """Return the continuous current over the breaker's rating."""
        return None if self.current_a is None or self.breaker_a is None else self.current_a / self.breaker_a


@dataclass(frozen=True)
class Mains:
    """All circuits, those without supplies included; `stated` whether the file states any, or a season."""

    circuits: tuple[LoadedCircuit, ...]
    stated: bool


def inrush_a(assembly: Assembly, supply: str, voltage_v: float) -> float:
    """Return the peak current of one supply when it is switched on cold, A; typical where the file does not say."""
    stated = assembly.display.supplies[supply].inrush
    return INRUSH_A_PER_V * voltage_v if stated is None else stated


def taken_per_w(supply: Supply) -> tuple[float, float]:
    """Return power (W) and apparent power (VA) that a supply takes from the mains for each watt that it delivers."""
    return 1.0 / supply.efficiency, 1.0 / (supply.efficiency * supply.power_factor)


def groups_of(surges: Sequence[tuple[str, float]], most_a: float) -> tuple[tuple[str, ...], ...]:
    """Return which surges can come together below a peak: largest first, each into the first group with room.

    Args:
        surges: (name, peak A) of each.
        most_a: peak that no group may exceed, A; what exceeds it alone is a group by itself.
    """
    groups: list[tuple[list[str], float]] = []
    for name, surge in sorted(surges, key=lambda s: -s[1]):
        for i, (names, total) in enumerate(groups):
            if total + surge <= most_a * (1.0 + 1e-9):
                groups[i] = ([*names, name], total + surge)
                break
        else:
            groups.append(([name], surge))
    return tuple(tuple(names) for names, _ in groups)


def analyse(assembly: Assembly, supply_w: Floats) -> Mains:
    """Return every mains circuit.

    Args:
        build: the display expanded.
        supply_w: power that each supply delivers at full white and the file's levels, W, shape (S,).

    Returns:
        The circuits in the file's order, and last the supplies without one where there are any. A supply whose power
        could not be computed counts with its rating.
    """
    display, season = assembly.display, assembly.display.season
    watts = np.where(np.isfinite(supply_w), supply_w, assembly.supply_rating_w)
    on: dict[str, list[int]] = {name: [] for name in display.mains}
    for row, supply in enumerate(display.supplies.values()):
        on.setdefault(supply.circuit or NO_CIRCUIT, []).append(row)
    stated_any = display.states_mains
    made = []
    for name, rows in on.items():
        circuit = display.mains.get(name)
        stated = [display.supplies[assembly.supplies[r]] for r in rows]
        shares = [taken_per_w(s) for s in stated]
        taken = [float(watts[r]) * share for r, (share, _) in zip(rows, shares, strict=True)]
        names = tuple(assembly.supplies[r] for r in rows)
        voltage = circuit.voltage if circuit else None
        current = surge = at_once = None
        groups: tuple[tuple[str, ...], ...] = ()
        if circuit is not None:
            apparent = sum(float(watts[r]) * share for r, (_, share) in zip(rows, shares, strict=True))
            current = apparent / circuit.voltage
            surges = [(n, inrush_a(assembly, n, circuit.voltage)) for n in names]
            surge = sum(a for _, a in surges)
            at_once = AT_ONCE[circuit.curve] * circuit.breaker * math.sqrt(2.0)
            groups = groups_of(surges, at_once)
        energy = sum(taken) * season.average * season.nights * season.hours / 3.6e6
        made.append(
            LoadedCircuit(
                name=name,
                supplies=names,
                voltage_v=voltage,
                breaker_a=circuit.breaker if circuit else None,
                rcd_a=circuit.rcd if circuit else None,
                power_w=sum(taken) if stated_any else None,
                current_a=current,
                leakage_a=sum(s.leakage for s in stated) if stated_any else None,
                inrush_a=surge,
                at_once_a=at_once,
                groups=groups,
                energy_kwh=energy if stated_any else None,
                price=energy * season.price_per_kwh if stated_any else None,
            )
        )
    return Mains(tuple(made), stated_any)
