"""Slots given out cell by cell, none of which straddles a universe."""

from __future__ import annotations

import numpy as np

from hollowglow.assembly.tables import Ints

SLOTS = 512


def assign(width: Ints, start: int) -> Ints:
    """Return the first slot of each cell, counted from 0 over all universes.

    A cell that would straddle the end of a universe begins the next one (170 RGB cells fill 510 of 512 slots).

    Args:
        width: slots that each cell takes, 1 to 512, shape (n,).
        start: first free slot, counted from 0 over all universes.

    Returns:
        First slot of each cell, shape (n,).

    Source: ANSI E1.31-2018 (512 slots in a universe, as in ANSI E1.11).
    """
    first = np.empty(len(width), dtype=np.int64)
    at, done = start, 0
    while done < len(width):
        # Fill what is left of this universe in one go: as many cells as end inside it.
        room = SLOTS - at % SLOTS
        end = np.cumsum(width[done : done + SLOTS])
        fits = int(np.searchsorted(end, room, side="right"))
        if fits == 0:
            at += room
            continue
        first[done : done + fits] = at + end[:fits] - width[done : done + fits]
        at += int(end[fits - 1])
        done += fits
    return first
