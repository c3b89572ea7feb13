"""From an Assembly to what a meter reads at each spot: lights off and full white, with the band that real parts allow."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hollowglow.analysis.circuit.commission.points import ProbeSpot, spots
from hollowglow.analysis.circuit.power import Point, solve_network
from hollowglow.analysis.circuit.tolerance import sampled_volts
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, fuse_ids
from hollowglow.assembly.tables import NONE, CableSort, Floats, Ints

# Samples for the bands; their edges are then known to about a tenth of the band's width.
SAMPLES = 300
CENTRAL = (2.5, 97.5)
# A hand-held meter on its 20 V or 60 V range (estimate): half a percent of the reading and 20 mV.
METER_SHARE = 0.005
METER_V = 0.02


@dataclass(frozen=True, slots=True)
class MeterBand:
    """What a meter should show at one spot between V+ and V-, V; NaN where there is no steady voltage.

    Attributes:
        spot: where.
        off_v, off_low_v, off_high_v: with every light dark (data running, all slots 0), and the band around it.
        white_v, white_low_v, white_high_v: with everything at full white and the levels of the file.
        current_a: what passes the spot at full white, A.
        without: (id of a lead or feed, V at full white here) for each that would change the reading past the band if it
            brought nothing.
    """

    spot: ProbeSpot
    off_v: float
    off_low_v: float
    off_high_v: float
    white_v: float
    white_low_v: float
    white_high_v: float
    current_a: float
    without: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Commissioning:
    """Every reading, and how the bands were made: displays sampled, and the share of them that a band holds."""

    readings: tuple[MeterBand, ...]
    samples: int
    share: float


def analyse(assembly: Assembly, samples: int = SAMPLES) -> Commissioning:
    """Return the readings of a display.

    A band holds 95 % of the displays that the stated tolerances make, widened by what a hand-held meter may be off.

    Args:
        build: the display expanded.
        samples: how many displays are sampled for the bands.
    """
    places = list(spots(assembly))
    ends = np.array([(s.a, s.b) for s in places], dtype=np.int64).reshape(-1, 2)
    share = np.array([(s.plus, s.minus) for s in places]).reshape(-1, 2)
    asked = np.unique(ends)
    at = np.searchsorted(asked, ends)
    seed = assembly.display.tolerances.seed
    states = []
    for duty in (np.zeros_like(assembly.network.duty), assembly.network.duty):
        drawn = sampled_volts(assembly, duty, asked, samples, seed)
        stated = _between(drawn.stated.plus_v, drawn.stated.minus_v, ends, share)
        low, high = _band(_between(drawn.plus_v, drawn.minus_v, at, share), stated)
        states.append((drawn.stated, stated, low, high))
    (_, off, off_low, off_high), (point, white, low, high) = states
    lost = _without(assembly, ends, share)
    readings = []
    for i, spot in enumerate(places):
        half = max(high[i] - white[i], white[i] - low[i])
        readings.append(
            MeterBand(
                spot,
                float(off[i]),
                float(off_low[i]),
                float(off_high[i]),
                float(white[i]),
                float(low[i]),
                float(high[i]),
                _current(assembly, point, spot),
                tuple((name, float(v[i])) for name, v in lost if abs(v[i] - white[i]) > half),
            )
        )
    return Commissioning(tuple(readings), samples, (CENTRAL[1] - CENTRAL[0]) / 100.0)


def _between(plus: Floats, minus: Floats, ends: Ints, share: Floats) -> Floats:
    """Return V+ above V- at spots between places; voltages are by place, shape (P,) or (P, D)."""
    parts = []
    for volts, part in ((plus, share[:, 0]), (minus, share[:, 1])):
        part = part.reshape(-1, *([1] * (volts.ndim - 1)))
        parts.append((1.0 - part) * volts[ends[:, 0]] + part * volts[ends[:, 1]])
    across: Floats = parts[0] - parts[1]
    return across


def _band(drawn: Floats, stated: Floats) -> tuple[Floats, Floats]:
    known = np.isfinite(drawn).any(axis=1) & np.isfinite(stated)
    low, high = np.full(len(stated), np.nan), np.full(len(stated), np.nan)
    if known.any():
        low[known], high[known] = np.nanpercentile(drawn[known], CENTRAL, axis=1)
    own = METER_SHARE * np.abs(stated) + METER_V
    return np.minimum(low, stated) - own, np.maximum(high, stated) + own


def _current(assembly: Assembly, point: Point, spot: ProbeSpot) -> float:
    if spot.sort == "supply":
        return float(point.supply_a[spot.supply])
    return 0.0 if spot.edge == NONE else abs(float(point.edge_plus_a[spot.edge]))


def _without(assembly: Assembly, ends: Ints, share: Floats) -> list[tuple[str, Floats]]:
    """Return what every spot reads at full white when one lead or feed of a fed string brings no V+."""
    network, cables = assembly.network, assembly.cables
    fed = {s for s, name in enumerate(assembly.strings.names) if assembly.display.strings[name].feeds}
    runs = np.flatnonzero(np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED)) & np.isin(cables.string, list(fed)))
    fuse_of = dict(zip(assembly.fuses.edge.tolist(), fuse_ids(assembly), strict=True))
    found = []
    for name, edge in zip(cable_ids(assembly, runs), cables.edge[runs].tolist(), strict=True):
        if edge == NONE or not np.isfinite(network.edge_plus_ohm[edge]):
            continue
        plus_ohm = network.edge_plus_ohm.copy()
        plus_ohm[edge] = np.inf
        point = solve_network(replace(network, edge_plus_ohm=plus_ohm), network.duty).point
        found.append((fuse_of.get(edge, name), _between(point.plus_v, point.minus_v, ends, share)))
    return found
