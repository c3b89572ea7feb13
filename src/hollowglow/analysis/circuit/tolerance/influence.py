"""Which joints, cables and lights the lowest voltage of a string hangs on: Spearman's rank correlation."""

from __future__ import annotations

import numpy as np
from scipy.special import ndtri

from hollowglow.analysis.circuit.power import Point
from hollowglow.analysis.circuit.tolerance.result import Influence
from hollowglow.analysis.circuit.tolerance.sample import Sampler, string_rows
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, joint_ids, prop_ids
from hollowglow.assembly.tables import NONE, Floats, Ints

MOST_SHOWN = 10
_LEVEL = 0.05
_ROWS_AT_ONCE = 500


def correlations(items: Floats, target: Floats) -> Floats:
    """Return Spearman's rank correlation of each row with a target, 0 where either does not vary.

    Args:
        items: shape (n, D).
        target: shape (D,).
    """
    from scipy.stats import rankdata  # it takes long to load, and a page must not wait for it

    wanted = rankdata(target) - 0.5 * (len(target) + 1)
    found = np.zeros(len(items))
    for first in range(0, len(items), _ROWS_AT_ONCE):
        rows = slice(first, first + _ROWS_AT_ONCE)
        ranks = rankdata(items[rows], axis=1) - 0.5 * (len(target) + 1)
        size = np.sqrt((ranks**2).sum(axis=1) * (wanted**2).sum())
        np.divide(ranks @ wanted, size, out=found[rows], where=size > 0.0)
    return found


def influences(
    sampler: Sampler, string: int, samples: Ints, lowest_v: Floats, stated: Point
) -> tuple[tuple[Influence, ...], dict[str, float]]:
    """Return the parts of a string whose deviations its lowest voltage follows, the strongest first.

    A correlation counts where chance alone would reach it for any of the parts once in twenty times (Bonferroni).

    Args:
        sampler: samples the deviations again.
        string: row of the string.
        samples: which samples have a lowest voltage.
        lowest_v: that voltage, V, shape (D,).
        stated: the display without deviations, whose currents weigh the parts against each other.

    Returns:
        The influences, and the correlation of all parts of each sort taken together.
    """
    if len(samples) < 10 or not np.ptp(lowest_v) > 0.0:
        return (), {}
    found: list[Influence] = []
    by_sort: dict[str, float] = {}
    for sort, names, items, weight in _items(sampler, string, samples, stated):
        ranked = correlations(items, lowest_v)
        if len(names):
            by_sort[sort] = float(correlations((weight @ items)[None, :], lowest_v)[0])
        found += [Influence(n, sort, r) for n, r in zip(names, ranked.tolist(), strict=True)]
    threshold = -float(ndtri(0.5 * _LEVEL / max(1, len(found)))) / float(np.sqrt(len(samples) - 1))
    strong = sorted((f for f in found if abs(f.correlation) > threshold), key=lambda f: -abs(f.correlation))
    return tuple(strong[:MOST_SHOWN]), by_sort


def _items(sampler: Sampler, string: int, samples: Ints, stated: Point) -> list[tuple[str, list[str], Floats, Floats]]:
    """Return (sort, ids, deviations, weights) of everything that a string's voltages can depend on.

    Joints and cables weigh as much as they drop: by the current through them as stated.
    """
    assembly = sampler.assembly
    joints, cables, nodes = string_rows(assembly, string)
    plus, minus = sampler.joints(samples, joints)
    pieces = sampler.cables(samples, cables)
    current, _ = sampler.nodes(samples, nodes)
    prop = assembly.nodes.prop[nodes]
    starts = np.flatnonzero(np.r_[True, np.diff(prop) > 0])
    by_prop = np.add.reduceat(current, starts, axis=0) / np.diff(np.r_[starts, len(prop)])[:, None]
    supplied = _supplies(assembly, string)
    names, rows = _cables(sampler, cables)
    amps = np.abs(stated.edge_plus_a)
    drop = np.where(assembly.cables.edge == NONE, 0.0, amps[assembly.cables.edge] * assembly.cables.ohm)[cables]
    varying = assembly.cables.part[cables] if sampler.tolerances.cable_varies == "by the reel" else np.arange(len(drop))
    shares = np.array([drop[varying == varying[row]].sum() for row in rows])
    one = np.ones(len(by_prop))
    return [
        (
            "supply",
            [assembly.supplies[s] for s in supplied],
            sampler.supplies(samples)[supplied],
            np.ones(len(supplied)),
        ),
        ("temperature", ["temperature"], sampler.temperature(samples)[0][None, :], np.ones(1)),
        ("cable", names, pieces[rows], shares),
        (
            "joint",
            joint_ids(assembly, range(joints.start, joints.stop)),
            plus + minus,
            amps[assembly.joints.edge[joints]],
        ),
        ("light", prop_ids(assembly, prop[starts]), by_prop, one),
    ]


def _supplies(assembly: Assembly, string: int) -> list[int]:
    stated = assembly.display.strings[assembly.strings.names[string]]
    names = dict.fromkeys(n for n in (stated.supply, *(f.supply for f in stated.feeds)) if n is not None)
    return [assembly.supplies.index(n) for n in names]


def _cables(sampler: Sampler, cables: slice) -> tuple[list[str], Ints]:
    """Return the names of what varies by itself among a string's cables that carry current, and a row of each."""
    assembly = sampler.assembly
    live = np.flatnonzero(assembly.cables.edge[cables] != NONE)
    if sampler.tolerances.cable_varies == "by the piece":
        return cable_ids(assembly, cables.start + live), live
    parts, first = np.unique(assembly.cables.part[cables][live], return_index=True)
    return [assembly.parts[p] for p in parts.tolist()], live[first]
