"""Currents of a fault between the entries that feed it, from ladders seen to the left and to the right of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Flags, Floats, Ints

# Entries farther away than this many on either side add next to nothing and are left out.
MOST_ON_A_SIDE = 16
# Two contacts are never joined by less; keeps every conductance finite.
LEAST_OHM = 1e-9


@dataclass(frozen=True)
class Window:
    """For each fault the entries around it, nearest ones first on neither side: all in order along the string.

    Attributes:
        entry: rows of the entries, shape (n, m).
        left: whether an entry lies before the fault (or at it), shape (n, m).
        along_ohm: resistance of one conductor along the string to each entry, shape (n, m).
        at_ohm: the same to the fault, shape (n,).
    """

    entry: Ints
    left: Flags
    along_ohm: Floats
    at_ohm: Floats


def windows(
    group: Ints, order: Ints, along_ohm: Floats, entry_group: Ints, entry_order: Ints, entry_along: Floats
) -> list[tuple[Ints, Window]]:
    """Return the faults by how many entries surround them, each with its window.

    Args:
        group, order, along_ohm: of the faults: the piece they are on, their order and place along it, shape (N,).
        entry_group, entry_order, entry_along: the same of the entries, sorted by group and order, shape (E,).

    Returns:
        Pairs of (rows of the faults, their window); faults without an entry are in none.
    """
    if not len(group) or not len(entry_group):
        return []
    span = int(max(order.max(), entry_order.max())) + 2
    key, entry_key = group * span + order, entry_group * span + entry_order
    begin = np.searchsorted(entry_group, group)
    end = np.searchsorted(entry_group, group, side="right")
    middle = np.searchsorted(entry_key, key, side="right")
    low = np.maximum(begin, middle - MOST_ON_A_SIDE)
    count = np.minimum(end, middle + MOST_ON_A_SIDE) - low
    made = []
    for m in np.unique(count[count > 0]).tolist():
        rows = np.flatnonzero(count == m)
        entry = low[rows][:, None] + np.arange(m)
        window = Window(entry, entry < middle[rows][:, None], entry_along[entry], along_ohm[rows])
        made.append((rows, window))
    return made


def _conductances(window: Window, run_ohm: Floats) -> tuple[Floats, Floats, Floats]:
    """Return what the fault sees to its left and to its right, and what each entry sees beyond itself, siemens."""
    n, m = run_ohm.shape
    beyond = np.zeros((n, m))
    sides = []
    for columns, mine in ((range(m), window.left), (range(m - 1, -1, -1), ~window.left)):
        siemens, at = np.zeros(n), window.at_ohm.copy()
        begun = np.zeros(n, dtype=bool)
        for k in columns:
            gap = np.abs(window.along_ohm[:, k] - at) * begun
            on = _through(siemens, gap)
            beyond[:, k] = np.where(mine[:, k], on, beyond[:, k])
            siemens = np.where(mine[:, k], on + 1.0 / np.maximum(run_ohm[:, k], LEAST_OHM), siemens)
            at = np.where(mine[:, k], window.along_ohm[:, k], at)
            begun |= mine[:, k]
        sides.append(_through(siemens, np.abs(window.at_ohm - at) * begun))
    return sides[0], sides[1], beyond


def _through(siemens: Floats, ohm: Floats) -> Floats:
    """Return the conductance of something behind a resistance."""
    return siemens / (1.0 + siemens * ohm)


def seen_ohm(window: Window, run_ohm: Floats) -> Floats:
    """Return the resistance from the fault to the far ends of all runs together, ohm, infinite where all are open.

    Args:
        window: the entries around each fault.
        run_ohm: resistance of each entry's run, infinite where it is open, shape (n, m).
    """
    left, right, _ = _conductances(window, run_ohm)
    with np.errstate(divide="ignore"):
        ohm: Floats = 1.0 / (left + right)
    return ohm


def shares(window: Window, run_ohm: Floats) -> tuple[Floats, Floats]:
    """Return the resistance as `seen_ohm` does, and the share of the fault's current in each run, shape (n, m)."""
    left, right, beyond = _conductances(window, run_ohm)
    total = left + right
    share = np.zeros(run_ohm.shape)
    m = run_ohm.shape[1]
    whole = np.where(total > 0.0, total, 1.0)
    for columns, mine, siemens in ((range(m - 1, -1, -1), window.left, left), (range(m), ~window.left, right)):
        arriving = siemens / whole
        for k in columns:
            own = 1.0 / np.maximum(run_ohm[:, k], LEAST_OHM)
            both = own + beyond[:, k]
            taken = arriving * np.where(both > 0.0, own / np.where(both > 0.0, both, 1.0), 0.0)
            share[:, k] = np.where(mine[:, k], taken, share[:, k])
            arriving = np.where(mine[:, k], arriving - taken, arriving)
    with np.errstate(divide="ignore"):
        ohm: Floats = 1.0 / total
    return ohm, share
