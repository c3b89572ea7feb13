"""What every short does: frozen results, one row for each place where it is tried."""

from __future__ import annotations

from dataclasses import dataclass

from hollowglow.analysis.circuit.fault.points import Points, PowerEntries, StringPlaces
from hollowglow.assembly.tables import Flags, Floats, Ints

# How a short ends.
OPENS, HELD, STAYS = 0, 1, 2
OUTCOMES = ("fuse opens", "supply holds", "not cleared")


@dataclass(frozen=True)
class Faults:
    """A dead short at every point, and the resistive fault there that makes most heat without opening anything.

    Lights are left out: they draw next to nothing at the voltage that a short leaves. Where several fuses feed one
    point they are followed until the last one has opened, each at the current that the others leave it.

    Attributes:
        points: where, n rows.
        entries, line: the leads and feeds, and the places that `points` and `entries` refer to.
        supply: supply that feeds the point (the first where there are several), shape (n,).
        source_v: its voltage, V, shape (n,).
        loop_ohm: resistance of the whole loop, supply included, before anything opens, shape (n,).
        current_a: current of the short before anything opens, shape (n,).
        limited: whether a supply limits it then, shape (n,).
        entry: the entry whose fuse decides: the last to open, or the one that does not, shape (n,).
        fuse_a: current through it then, shape (n,).
        opens_after_s, opens_within_s: between which times all fuses are open; infinite where they need not, shape (n,).
        outcome: OPENS, HELD (a supply that switches off and on keeps every conductor within its rating, or one without
            a fuse does) or STAYS, shape (n,).
        lasting_a: current that stays on, effective value of a supply that switches off and on; 0 where fuses open.
        cable: part that gets hottest, NONE where no size is known, shape (n,).
        hottest_c: how hot, degC, not less than before, shape (n,).
        overloaded: part that `lasting_a` overloads most, NONE where none, shape (n,).
        smoulder_w: most heat in a resistive fault there that opens nothing (estimate), W, shape (n,).
        smoulder_ohm: resistance of that fault, ohm, shape (n,).
    """

    points: Points
    entries: PowerEntries
    line: StringPlaces
    supply: Ints
    source_v: Floats
    loop_ohm: Floats
    current_a: Floats
    limited: Flags
    entry: Ints
    fuse_a: Floats
    opens_after_s: Floats
    opens_within_s: Floats
    outcome: Ints
    lasting_a: Floats
    cable: Ints
    hottest_c: Floats
    overloaded: Ints
    smoulder_w: Floats
    smoulder_ohm: Floats
