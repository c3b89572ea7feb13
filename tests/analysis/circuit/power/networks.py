"""Networks written by hand, and a second way to the voltages that shares nothing with the first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import root

from hollowglow.analysis.circuit.power import Point, Solved, solve_network
from hollowglow.assembly.tables import Floats, LoadCharacteristics, Network
from hollowglow.file.model.loads import CLASSES

Characteristic = dict[str, Any]
Edge = tuple[int, int, float, float]
Load = tuple[int, int, float]

COLOURS = 3


def constant(amps: float) -> Characteristic:
    """A current that does not depend on the voltage: a light saturated from 1 mV upward."""
    return {"class": "constant-current", "current": [amps], "turn_on": [0.0], "saturation": 1e-3}


def constant_power(watts: float, cutoff: float, efficiency: float = 1.0, idle: float = 0.0) -> Characteristic:
    return {"class": "constant-power", "power": [watts], "efficiency": efficiency, "cutoff": cutoff, "idle": idle}


def _wide(values: Sequence[float], fill: float = 0.0) -> list[float]:
    return [*values, *[fill] * (COLOURS - len(values))]


def characteristics(stated: Sequence[Characteristic]) -> LoadCharacteristics:
    """The table of current-voltage characteristics, one row each."""

    def column(key: str, otherwise: float) -> Floats:
        return np.array([float(characteristic.get(key, otherwise)) for characteristic in stated])

    def rows(key: str, fill: float = 0.0) -> Floats:
        return np.array([_wide(characteristic.get(key, []), fill) for characteristic in stated], dtype=np.float64)

    return LoadCharacteristics(
        code=np.array([CLASSES.index(characteristic["class"]) for characteristic in stated]),
        idle_a=column("idle", 0.0),
        columns={
            "full_a": rows("current"),
            "turn_on_v": rows("turn_on"),
            "saturation_v": column("saturation", 1.0),
            "series": column("series", 1.0),
            "parallel": column("parallel", 1.0),
            "forward_v": rows("forward"),
            "resistor_ohm": rows("resistor", np.inf),
            "power_w": rows("power"),
            "efficiency": column("efficiency", 1.0),
            "cutoff_v": column("cutoff", 1.0),
        },
    )


def network(
    supplies: Sequence[tuple[float, float]],
    edges: Sequence[Edge],
    loads: Sequence[Load],
    stated: Sequence[Characteristic],
    duty: Sequence[float] | None = None,
) -> Network:
    """A circuit of supplies (V, ohm), edges (a, b, plus ohm, minus ohm) and loads (place, characteristic, count)."""
    places = 1 + max([len(supplies), *(max(a, b) for a, b, _, _ in edges)])
    level = np.ones(len(stated)) if duty is None else np.asarray(duty, dtype=np.float64)
    return Network(
        places=places,
        supply_v=np.array([v for v, _ in supplies], dtype=np.float64),
        supply_ohm=np.array([r for _, r in supplies], dtype=np.float64),
        edge_a=np.array([e[0] for e in edges]),
        edge_b=np.array([e[1] for e in edges]),
        edge_plus_ohm=np.array([e[2] for e in edges], dtype=np.float64),
        edge_minus_ohm=np.array([e[3] for e in edges], dtype=np.float64),
        load_place=np.array([place for place, _, _ in loads]),
        load_characteristic=np.array([characteristic for _, characteristic, _ in loads]),
        load_count=np.array([count for _, _, count in loads], dtype=np.float64),
        characteristics=characteristics(stated),
        duty=np.repeat(level[:, None], COLOURS, axis=1),
    )


def ladder(
    volts: float,
    supply_ohm: float,
    plus_ohm: Sequence[float],
    minus_ohm: Sequence[float],
    stated: Sequence[Characteristic],
    duty: Sequence[float] | None = None,
) -> Network:
    """One load after the other on a line fed from its beginning; `stated` holds a characteristic for each place."""
    edges = [(i + 1, i + 2, plus, minus) for i, (plus, minus) in enumerate(zip(plus_ohm, minus_ohm, strict=True))]
    loads = [(i + 2, i, 1.0) for i in range(len(stated))]
    return network([(volts, supply_ohm)], edges, loads, stated, duty)


def solved(circuit: Network) -> Solved:
    """The operating point, with its balance checked."""
    answer = solve_network(circuit, circuit.duty)
    assert len(answer.point.unsolved) == 0
    check_balance(answer.point)
    return answer


def check_balance(point: Point) -> None:
    """Charge and energy, wherever there is a steady state."""
    assert point.charge_error_a < 1e-8
    assert point.energy_error < 1e-8


def across(circuit: Network) -> Floats:
    """Voltage across each load."""
    point = solved(circuit).point
    place = circuit.load_place
    volts: Floats = point.plus_v[place] - point.minus_v[place]
    return volts


def drawn(characteristic: Characteristic, v: float, duty: float) -> float:
    """Current of one node by the current-voltage characteristics of the design, written out for one voltage at a time."""
    if characteristic["class"] == "constant-current":
        total = 0.0
        for amps, on in zip(characteristic["current"], characteristic["turn_on"], strict=True):
            u = (v - on) / characteristic["saturation"]
            total += amps * (0.0 if u <= 0 else 1.0 if u >= 1 else 2 * u - u * u)
    elif characteristic["class"] == "resistor":
        total = sum(
            characteristic["parallel"] * max(0.0, v - characteristic["series"] * forward) / ohm
            for forward, ohm in zip(characteristic["forward"], characteristic["resistor"], strict=True)
        )
    else:
        total = (
            sum(characteristic["power"]) / characteristic["efficiency"] / v if v >= characteristic["cutoff"] else 0.0
        )
    return float(duty * total + characteristic.get("idle", 0.0) * min(max(v, 0.0), 1.0))


def second_opinion(circuit: Network, stated: Sequence[Characteristic]) -> tuple[Floats, Floats]:
    """V+ and V- of every place (NaN where V+ floats) by a dense hybrid method on both rails at once."""
    supplies, places = len(circuit.supply_v), circuit.places
    reached = {0, *range(1, 1 + supplies)}
    for _ in range(places):
        for a, b, ohm in zip(circuit.edge_a, circuit.edge_b, circuit.edge_plus_ohm, strict=True):
            if np.isfinite(ohm) and {int(a), int(b)} & (reached - {0}):
                reached |= {int(a), int(b)}
    live = [p for p in range(1, places) if p in reached]
    volts = circuit.supply_v.mean()

    def rails(x: NDArray[np.float64]) -> tuple[Floats, Floats]:
        plus, minus = np.full(places, np.nan), np.zeros(places)
        plus[live] = x[: len(live)]
        minus[1 + supplies :] = x[len(live) :]
        return plus, minus

    def wrong(x: NDArray[np.float64]) -> Floats:
        plus, minus = rails(x)
        out_plus, out_minus = np.zeros(places), np.zeros(places)
        for a, b, rp, rm in zip(
            circuit.edge_a, circuit.edge_b, circuit.edge_plus_ohm, circuit.edge_minus_ohm, strict=True
        ):
            if np.isfinite(rp) and a in reached:
                out_plus[a] += (plus[a] - plus[b]) / rp
                out_plus[b] += (plus[b] - plus[a]) / rp
            out_minus[a] += (minus[a] - minus[b]) / rm
            out_minus[b] += (minus[b] - minus[a]) / rm
        for place, characteristic, count in zip(
            circuit.load_place, circuit.load_characteristic, circuit.load_count, strict=True
        ):
            if place in reached:
                amps = count * drawn(
                    stated[characteristic], float(plus[place] - minus[place]), float(circuit.duty[characteristic, 0])
                )
                out_plus[place] += amps
                out_minus[place] -= amps
        for i in range(supplies):
            ohm = circuit.supply_ohm[i]
            left = plus[1 + i] - circuit.supply_v[i]
            out_plus[1 + i] = out_plus[1 + i] + left / ohm if ohm > 0.0 else left
        return np.concatenate([out_plus[live], out_minus[1 + supplies :]])

    start = np.concatenate([np.full(len(live), volts), np.zeros(places - 1 - supplies)])
    found = root(wrong, start, method="hybr", tol=1e-13)
    if not np.abs(wrong(found.x)).max() < 1e-9:
        found = root(wrong, found.x, method="lm", tol=1e-14)
    assert np.abs(wrong(found.x)).max() < 1e-9, "the second opinion did not come to rest"
    return rails(found.x)
