"""The cut list: each piece of cable with its label and its length."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from strandwright.build import Build
from strandwright.build.ids import cable_ids
from strandwright.build.tables import CableSort
from strandwright.cost.known import ready_made

WORDS = {
    CableSort.LEAD: "lead",
    CableSort.IN: "pigtail in",
    CableSort.OUT: "pigtail out",
    CableSort.WIRE: "inner wire",
    CableSort.SPAN: "span",
    CableSort.FEED: "feed",
}


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece to cut: id (which is also its label), what it is for, part, length as cut in m."""

    id: str
    use: str
    part: str
    length_m: float
    drip_loop_m: float


def cut_list(build: Build) -> Iterator[Piece]:
    """Yield every piece of cable to cut, in the order of the strings; ready-made extensions are not cut."""
    cables = build.cables
    ready = ready_made(build)
    rows = np.flatnonzero(~((cables.sort == CableSort.SPAN) & ready[cables.string])) if len(ready) else np.zeros(0, int)
    loop = build.display.drip_loop
    looped = np.isin(cables.sort[rows], (CableSort.LEAD, CableSort.SPAN, CableSort.FEED))
    columns = zip(
        cable_ids(build, rows),
        cables.sort[rows].tolist(),
        cables.part[rows].tolist(),
        cables.length_m[rows].tolist(),
        looped.tolist(),
        strict=True,
    )
    for name, sort, part, length, hangs in columns:
        yield Piece(name, WORDS[CableSort(sort)], build.parts[part], length, loop if hangs else 0.0)
