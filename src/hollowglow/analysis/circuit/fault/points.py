"""Where a short is tried: every joint, and the far end of every piece of V+, lead and feed.

All of a string's places lie on one line, so that a place is told by the resistance of one conductor up to it
(`along_ohm`) and by its order among the pieces of cable (`order`, four steps to each place: out-pigtail, span,
in-pigtail, everything up to the place itself).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, joint_ids, prop_ids
from hollowglow.assembly.tables import NONE, CableSort, Flags, Floats, Ints, JointSort

OUT, SPAN, IN, ALL = 0, 1, 2, 3
JOINT, CABLE, PROP = 0, 1, 2


@dataclass(frozen=True)
class StringPlaces:
    """The places of all strings in a row, those of the supplies' terminals left out.

    Attributes:
        first: number of the first place, so that row i is place first + i.
        along_ohm: resistance of one conductor from the first place of all strings, shape (P,).
        piece: which piece of V+ a place belongs to, rising along the line, shape (P,).
        string: its string, shape (P,).
        pieces: how many pieces there are; leads that are cut before their first prop follow with further numbers.
    """

    first: int
    along_ohm: Floats
    piece: Ints
    string: Ints
    pieces: int


@dataclass(frozen=True)
class PowerEntries:
    """Leads and feeds, one row each: where V+ and V- of a string hang on a supply.

    Attributes:
        supply: row of the supply, NONE of a lead that has none, shape (E,).
        plus_ohm, minus_ohm: the run with its joint, in V+ with its fuse, shape (E,).
        live: whether its V+ belongs to a piece that it feeds, shape (E,).
        piece: that piece, shape (E,).
        string, along_ohm, order: where it meets its string, shape (E,).
        fuse: row of its fuse, NONE where it has none, shape (E,).
        rating_a: of the fuse, infinite where it has none, shape (E,).
        part: cable of the run, shape (E,).
        cable: row of the run in the table of cables, shape (E,).
    """

    supply: Ints
    plus_ohm: Floats
    minus_ohm: Floats
    live: Flags
    piece: Ints
    string: Ints
    along_ohm: Floats
    order: Ints
    fuse: Ints
    rating_a: Floats
    part: Ints
    cable: Ints


@dataclass(frozen=True)
class Points:
    """Places where a short is tried, one row each.

    Attributes:
        what: JOINT, CABLE (its far end) or PROP (its last light), shape (n,).
        row: its row in the table of joints, cables or props, shape (n,).
        string, piece, along_ohm, order: where it is, shape (n,).
    """

    what: Ints
    row: Ints
    string: Ints
    piece: Ints
    along_ohm: Floats
    order: Ints

    def take(self, rows: Ints | Flags | slice) -> Points:
        """Return some of them."""
        return Points(
            self.what[rows],
            self.row[rows],
            self.string[rows],
            self.piece[rows],
            self.along_ohm[rows],
            self.order[rows],
        )

    def ids(self, assembly: Assembly) -> list[str]:
        """Return the id of each."""
        names = np.empty(len(self.row), dtype=object)
        for what, make in ((JOINT, joint_ids), (CABLE, cable_ids), (PROP, prop_ids)):
            mine = np.flatnonzero(self.what == what)
            names[mine] = make(assembly, self.row[mine])
        listed: list[str] = names.tolist()
        return listed


def line_of(assembly: Assembly) -> StringPlaces:
    """Return the places of all strings in a row."""
    network = assembly.network
    first = 1 + len(network.supply_v)
    places = network.places - first
    inner = network.edge_a >= first
    into = network.edge_b[inner] - first
    ohm, begins, cut = np.zeros(places), np.ones(places, dtype=bool), np.zeros(places, dtype=bool)
    ohm[into] = network.edge_minus_ohm[inner]
    begins[into] = False
    cut[into] = ~np.isfinite(network.edge_plus_ohm[inner])
    piece = np.cumsum(begins | cut) - 1
    return StringPlaces(
        first=first,
        along_ohm=np.cumsum(ohm),
        piece=piece,
        string=np.cumsum(begins) - 1,
        pieces=int(piece[-1]) + 1 if places else 0,
    )


def entries_of(assembly: Assembly, line: StringPlaces) -> PowerEntries:
    """Return every lead and feed, ordered by piece and along it."""
    network, cables, fuses = assembly.network, assembly.cables, assembly.fuses
    runs = np.flatnonzero(np.isin(cables.sort, (CableSort.LEAD, CableSort.FEED)))
    edge = cables.edge[runs]
    lead = cables.sort[runs] == CableSort.LEAD
    pigtail = np.zeros(len(network.edge_a))
    inward = cables.sort == CableSort.IN
    pigtail[cables.edge[inward]] = cables.ohm[inward]
    own_pigtail = np.where(lead, pigtail[edge], 0.0)
    fuse_of_edge = np.full(len(network.edge_a), NONE, dtype=np.int64)
    fuse_of_edge[fuses.edge] = np.arange(len(fuses.edge))
    fuse = fuse_of_edge[edge]
    fuse_ohm = np.where(fuse == NONE, 0.0, fuses.ohm[fuse]) if len(fuses.ohm) else np.zeros(len(fuse))
    rating = np.where(fuse == NONE, np.inf, fuses.rating_a[fuse]) if len(fuses.ohm) else np.full(len(fuse), np.inf)
    place = network.edge_b[edge] - line.first
    minus = network.edge_minus_ohm[edge] - own_pigtail
    supply = network.edge_a[edge] - 1
    open_plus = ~np.isfinite(network.edge_plus_ohm[edge])
    piece = np.where(open_plus, line.pieces + np.cumsum(open_plus) - 1, line.piece[place])
    order = 4 * place + np.where(lead, SPAN, ALL)
    by = np.lexsort((order, piece))
    return PowerEntries(
        supply=supply[by],
        plus_ohm=(minus + fuse_ohm)[by],
        minus_ohm=minus[by],
        live=(supply != NONE)[by],
        piece=piece[by],
        string=cables.string[runs][by],
        along_ohm=(line.along_ohm[place] - own_pigtail)[by],
        order=order[by],
        fuse=fuse[by],
        rating_a=rating[by],
        part=cables.part[runs][by],
        cable=runs[by],
    )


def points_of(assembly: Assembly, line: StringPlaces, entries: PowerEntries) -> Points:
    """Return every place where a short is tried, in the order of the strings and along them."""
    network, cables, joints = assembly.network, assembly.cables, assembly.joints
    made: list[tuple[int, Ints, Ints, Ints, Floats, Ints]] = []

    def add(what: int, row: Ints, string: Ints, piece: Ints, along: Floats, order: Ints) -> None:
        made.append((what, row, string, piece, along, order))

    by_edge: dict[str, Floats] = {name: np.zeros(len(network.edge_a)) for name in ("out", "span", "joint")}
    for name, sort in (("out", CableSort.OUT), ("span", CableSort.SPAN)):
        mine = (cables.sort == sort) & (cables.edge != NONE)
        by_edge[name][cables.edge[mine]] = cables.ohm[mine]
    near = joints.sort == JointSort.SPAN_NEAR
    far = joints.sort == JointSort.SPAN_FAR
    by_edge["joint"][joints.edge[near]] = joints.ohm[near]

    def span_end(edge: Ints, far_end: bool) -> tuple[Ints, Floats, Ints]:
        a, b = network.edge_a[edge] - line.first, network.edge_b[edge] - line.first
        along = line.along_ohm[a] + by_edge["out"][edge] + by_edge["joint"][edge]
        if far_end:
            along = along + by_edge["span"][edge] + by_edge["joint"][edge]
        return line.piece[a], along, 4 * b + (SPAN if far_end else OUT)

    for rows, far_end in ((np.flatnonzero(near), False), (np.flatnonzero(far), True)):
        add(JOINT, rows, joints.string[rows], *span_end(joints.edge[rows], far_end))
    entry_of_edge = np.full(len(network.edge_a), NONE, dtype=np.int64)
    entry_of_edge[cables.edge[entries.cable]] = np.arange(len(entries.cable))
    runs = np.flatnonzero(~near & ~far)
    own = entry_of_edge[joints.edge[runs]]
    add(JOINT, runs, joints.string[runs], entries.piece[own], entries.along_ohm[own], entries.order[own])
    bare = np.ones(len(entries.cable), dtype=bool)
    bare[own] = False
    add(
        CABLE,
        entries.cable[bare],
        entries.string[bare],
        entries.piece[bare],
        entries.along_ohm[bare],
        entries.order[bare],
    )
    spans = np.flatnonzero((cables.sort == CableSort.SPAN) & (by_edge["joint"][cables.edge] == 0.0))
    piece, along, order = span_end(cables.edge[spans], True)
    cut = ~np.isfinite(network.edge_plus_ohm[cables.edge[spans]])
    several = np.bincount(entries.piece[entries.live], minlength=line.pieces + len(entries.piece))[piece] > 1
    keep = (cut | several) & ~np.isin(cables.edge[spans], joints.edge[far])
    add(CABLE, spans[keep], cables.string[spans[keep]], piece[keep], along[keep], order[keep])
    ends = np.flatnonzero(np.diff(line.piece, append=-1) != 0)
    begins = np.flatnonzero((np.diff(line.string, prepend=-1) != 0) & _begin_bare(line, entries))
    prop_of_place = np.full(len(line.piece), NONE, dtype=np.int64)
    prop_of_place[network.load_place - line.first] = assembly.load_prop
    # A place without lights is where a feed joins: the prop behind it is meant.
    begin_prop = np.where(prop_of_place[begins] == NONE, prop_of_place[np.minimum(begins + 1, len(line.piece) - 1)],
                          prop_of_place[begins])  # fmt: skip
    for places, prop in ((ends, prop_of_place[ends]), (begins, begin_prop)):
        add(PROP, prop, line.string[places], line.piece[places], line.along_ohm[places], 4 * places + ALL)
    columns = [np.concatenate([m[i] for m in made]) for i in range(1, 6)]
    what = np.concatenate([np.full(len(m[1]), m[0], dtype=np.int64) for m in made])
    every = Points(what, columns[0], columns[1], columns[2], columns[3], columns[4])
    fed = np.zeros(line.pieces + len(entries.piece) + 1, dtype=bool)
    fed[entries.piece[entries.live]] = True
    rows = np.flatnonzero(fed[every.piece])
    return every.take(rows[np.lexsort((every.order[rows], every.piece[rows], every.string[rows]))])


def _begin_bare(line: StringPlaces, entries: PowerEntries) -> Flags:
    """Return at which places no lead brings V+, so that the beginning of the string is a far end of its own."""
    led = np.zeros(len(line.piece), dtype=bool)
    alive = entries.live & (entries.piece < line.pieces)
    led[entries.order[alive] // 4] = True
    return ~led
