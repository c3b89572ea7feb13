"""Supplies and circuits against the numbers of Class 2: which are within, which not, and how a split would change it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.edits import put
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import CableSort, Floats
from hollowglow.messages import Mend
from hollowglow.quantity.numbers import rounded_down
from hollowglow.quantity.quantities import current, power, share, voltage

# NEC chapter 9 table 11(B), dc: up to 20 V 5 A and 5 W a volt; above, 100 W and 100/V A. Wet contact: 30 V (note 4).
LOW_V = 20.0
LOW_A = 5.0
HIGH_W = 100.0
WET_V = 30.0
MOST_V = 60.0
_SLACK = 1e-9


@dataclass(frozen=True)
class Class2Numbers:
    """One supply, or one circuit of it (the lead or a feed of a string), against the numbers of Class 2.

    Attributes:
        id: name of the supply, or "supply: string".
        what: "supply" or "circuit".
        voltage_v: of the supply.
        power_w, current_a: rating of a supply; of a circuit what it carries, and its fuse (the supply's rated current
            where it has none).
        most_w, most_a: the limits at that voltage.
        within: whether the numbers are within them.
        wet: whether the voltage is at most that of wet contact.
        split: what would bring it within, and what that changes; None where it is within.
    """

    id: str
    what: str
    voltage_v: float
    power_w: float
    current_a: float
    most_w: float
    most_a: float
    within: bool
    wet: bool
    split: Mend | None


def limits_at(voltage_v: float) -> tuple[float, float]:
    """Return the largest rating of a Class 2 dc source at a voltage: (power W, current A); zero above 60 V.

    Source: NEC chapter 9 table 11(B); 30 V to 60 V in dry places only.

    >>> limits_at(12.0), limits_at(5.0)
    ((60.0, 5.0), (25.0, 5.0))
    """
    if voltage_v > MOST_V:
        return 0.0, 0.0
    if voltage_v <= LOW_V:
        return LOW_A * voltage_v, LOW_A
    return HIGH_W, HIGH_W / voltage_v


def class2(assembly: Assembly, supply_w: Floats, edge_plus_a: Floats) -> tuple[Class2Numbers, ...]:
    """Return every supply with strings on it, each followed by its circuits.

    Args:
        build: the display expanded.
        supply_w: power that each supply delivers at full white and the file's levels, W, shape (S,).
        edge_plus_a: current in V+ of each edge then, A, shape (E,).
    """
    cables, network = assembly.cables, assembly.network
    runs = np.flatnonzero(np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED)))
    edge = cables.edge[runs]
    fuse = np.full(len(network.edge_a), np.inf)
    fuse[assembly.fuses.edge] = assembly.fuses.rating_a
    supply = network.edge_a[edge] - 1
    made = []
    for row, name in enumerate(assembly.supplies):
        voltage, rating = float(network.supply_v[row]), float(assembly.supply_rating_w[row])
        most_w, most_a = limits_at(voltage)
        circuits = []
        for run, at in zip(runs[supply == row].tolist(), edge[supply == row].tolist(), strict=True):
            string = assembly.strings.names[int(cables.string[run])]
            feed = f" (feed {int(cables.number[run])})" if cables.sort[run] == CableSort.FEED else ""
            flows = abs(float(edge_plus_a[at])) if math.isfinite(float(edge_plus_a[at])) else 0.0
            guard = float(fuse[at]) if math.isfinite(fuse[at]) else rating / voltage
            within = guard <= most_a * (1.0 + _SLACK) and flows * voltage <= most_w * (1.0 + _SLACK)
            circuits.append(
                Class2Numbers(
                    id=f"{name}: {string}{feed}",
                    what="circuit",
                    voltage_v=voltage,
                    power_w=flows * voltage,
                    current_a=guard,
                    most_w=most_w,
                    most_a=most_a,
                    within=within and voltage <= WET_V,
                    wet=voltage <= WET_V,
                    split=None if within else _split_circuit(string, flows, most_a, assembly.display.limits.fuse_load),
                )
            )
        within = rating <= most_w * (1.0 + _SLACK)
        drawn = float(supply_w[row]) if math.isfinite(float(supply_w[row])) else rating
        wet = voltage <= WET_V
        split = None if within and wet else _split_supply(assembly, row, most_w, most_a, drawn, circuits)
        made.append(
            Class2Numbers(name, "supply", voltage, rating, rating / voltage, most_w, most_a, within and wet, wet, split)
        )
        made += circuits
    return tuple(made)


def _split_circuit(string: str, flows_a: float, most_a: float, fuse_load: float) -> Mend:
    pieces = math.ceil(flows_a / (fuse_load * most_a) * (1.0 - _SLACK)) if most_a > 0.0 else 0
    if pieces == 0:
        return Mend("lower-voltage")
    return Mend("pieces", {"string": string, "pieces": pieces, "fuse": current(most_a)})


def _split_supply(
    assembly: Assembly, row: int, most_w: float, most_a: float, drawn_w: float, circuits: list[Class2Numbers]
) -> Mend:
    """Return how many supplies within the limits would do, and what changes with them."""
    if float(assembly.network.supply_v[row]) > WET_V:
        return Mend("lower-voltage", {"lower_to": voltage(WET_V, stated=True)})
    usable = assembly.display.limits.supply_load * most_w
    bins = _packed([(one.id.partition(": ")[2], one.power_w) for one in circuits], usable)
    count = max(1, sum(alike for _, alike in bins))
    most = {"most_power": power(most_w), "most_current": current(most_a)}
    if count == 1:
        smaller = put(("supplies", assembly.supplies[row], "rating"), power(rounded_down(most_w)))
        return Mend("smaller-supply", {"count": 1, **most, "drawn": power(drawn_w)}, (smaller,))
    shares = tuple([tuple(names) for names, alike in bins for _ in range(min(alike, 4))][:4])
    load = share(assembly.display.limits.supply_load)
    return Mend("more-supplies", {"count": count, **most, "load": load, "shares": shares})


def _packed(circuits: list[tuple[str, float]], usable_w: float) -> list[tuple[list[str], int]]:
    """Return what each supply gets, first fit by falling power, as names and how many supplies in a row get the same.

    Args:
        circuits: name and power of each, W; what is too much for one supply is parted evenly.
        usable_w: what one supply may carry, W.
    """
    room = usable_w * (1.0 + _SLACK)
    bins: list[tuple[list[str], float, int]] = []
    for name, watts in sorted(circuits, key=lambda c: -c[1]):
        parts = max(1, math.ceil(watts / usable_w * (1.0 - _SLACK)))
        if parts > 1:  # a part is more than half of what a supply may carry, so no two of them share one
            bins.append(([f"1/{parts} of {name}"], watts / parts, parts))
            continue
        for i, (names, total, alike) in enumerate(bins):
            if total + watts <= room:
                bins[i : i + 1] = [([*names, name], total + watts, 1), (names, total, alike - 1)][: min(alike, 2)]
                break
        else:
            bins.append(([name], watts, 1))
    return [(names, alike) for names, _, alike in bins]
