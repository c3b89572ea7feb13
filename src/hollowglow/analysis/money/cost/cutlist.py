"""The cut list: each piece of cable with its label and its length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.money.cost.known import ready_made
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids
from hollowglow.assembly.tables import CableSort, Floats

WORDS = {
    CableSort.LEAD: "lead",
    CableSort.IN: "pigtail in",
    CableSort.WIRE: "inner wire",
    CableSort.OUT: "pigtail out",
    CableSort.SPAN: "span",
    CableSort.FEED: "feed",
}


@dataclass(frozen=True)
class CutList:
    """The pieces to cut, one entry each: id (also its label), what it is for, part, length as cut and loop in it, m."""

    id: list[str]
    use: list[str]
    part: list[str]
    length_m: Floats
    drip_loop_m: Floats


def cut_list(assembly: Assembly) -> CutList:
    """Return every piece of cable to cut, in the order of the strings; ready-made extensions are not cut."""
    cables = assembly.cables
    ready = ready_made(assembly)
    rows = np.flatnonzero(~((cables.sort == CableSort.SPAN) & ready[cables.string])) if len(ready) else np.zeros(0, int)
    sort = cables.sort[rows]
    words = [WORDS[s] for s in CableSort]
    return CutList(
        id=cable_ids(assembly, rows),
        use=[words[s] for s in sort.tolist()],
        part=[assembly.parts[p] for p in cables.part[rows].tolist()],
        length_m=cables.length_m[rows],
        drip_loop_m=cables.loop_m[rows],
    )
