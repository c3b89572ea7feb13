"""What is carried and hung, in the order in which it is hung: leads, strings or single props, feeds."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.analysis.prop.inside import frame_of
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, extensions_id, prop_id
from hollowglow.assembly.tables import CableSort, of_string
from hollowglow.file.model.display import String

# Where a cable's diameter is not stated, and how much of a coil is cable (estimates).
DEFAULT_CABLE_M = 0.007
COIL_FILL = 0.35
COIL_WIDTH_M = 0.25
# A prop without a shell is as large as a light in its hand-sized bag.
NO_SHELL_M = 0.06


@dataclass(frozen=True, slots=True)
class PackingThing:
    """One thing that lies in a box as a whole.

    Attributes:
        id: of the prop, the cable, or the string whose extensions these are.
        what: "prop", "lead", "feed" or "extensions".
        string: which string it belongs to.
        joined: whether its cable runs on to the prop that is hung next, so that both stay together.
        width_m, depth_m, height_m: room that it takes, without padding.
        mass_kg: what is known of its mass.
    """

    id: str
    what: str
    string: str
    joined: bool
    width_m: float
    depth_m: float
    height_m: float
    mass_kg: float


def things(assembly: Assembly, mass_kg: dict[str, float]) -> Iterator[PackingThing]:
    """Yield everything that is hung, in that order: string by string, lead first, then prop by prop, then feeds.

    The spans of a spliced string lie with the prop before them; ready-made extensions lie together before their string.

    Args:
        build: the display expanded.
        mass_kg: of one prop of each kind, by name.
    """
    display = assembly.display
    ids = cable_ids(assembly)
    for row, (name, string) in enumerate(display.strings.items()):
        cables = range(*of_string(assembly.cables.string, row).indices(len(ids)))
        sorts = {sort: [i for i in cables if assembly.cables.sort[i] == sort] for sort in CableSort}
        for i in sorts[CableSort.LEAD]:
            yield _coil(assembly, ids[i], "lead", name, [i])
        if string.span is not None and string.span.extension is not None and sorts[CableSort.SPAN]:
            yield _coil(assembly, extensions_id(name), "extensions", name, sorts[CableSort.SPAN])
        joined = _stays_joined(assembly, string)
        spans = sorts[CableSort.SPAN] if joined or (string.span is not None and string.span.extension is None) else []
        first, last = assembly.strings.first_prop[row : row + 2].tolist()
        for k, prop in enumerate(range(first, last)):
            kind = assembly.kinds.names[int(assembly.props.kind[prop])]
            run = _coil(assembly, "", "", name, [spans[k]]) if k < len(spans) else None
            width, depth, height = _prop_m(assembly, kind)
            beside = 0.0 if run is None else run.width_m * run.depth_m * run.height_m / (width * depth)
            yield PackingThing(
                prop_id(name, k + 1),
                "prop",
                name,
                joined and k < last - first - 1,
                width,
                depth,
                height + beside,
                mass_kg.get(kind, 0.0) + (0.0 if run is None else run.mass_kg),
            )
        for i in sorts[CableSort.FEED]:
            yield _coil(assembly, ids[i], "feed", name, [i])


def _stays_joined(assembly: Assembly, string: String) -> bool:
    """Return whether the props of a string cannot be parted without a tool."""
    if string.span is None or string.prop_count == 1:
        return False
    if string.span.extension is not None:
        return False
    part = assembly.display.parts[string.span.joint] if string.span.joint is not None else None
    return part is None or part.joint is None or part.joint.sort == "splice"


def _coil(assembly: Assembly, name: str, what: str, string: str, rows: list[int]) -> PackingThing:
    volume = mass = 0.0
    for i in rows:
        part = assembly.display.parts.get(assembly.parts[int(assembly.cables.part[i])])
        known = part.cable.diameter if part is not None and part.cable is not None else None
        length = float(assembly.cables.length_m[i])
        volume += math.pi / 4.0 * (known or DEFAULT_CABLE_M) ** 2 * length / COIL_FILL
        mass += length * (part.mass or 0.0) if part is not None else 0.0
    side = min(COIL_WIDTH_M, assembly.display.packing.depth, assembly.display.packing.width)
    side = min(side, max(0.08, volume ** (1.0 / 3.0) * 2.0))
    return PackingThing(name, what, string, False, side, side, volume / side**2, mass)


def _prop_m(assembly: Assembly, kind: str) -> tuple[float, float, float]:
    """Return the room that a prop takes, lying as it best fits: width at least depth at least height, m."""
    shell = assembly.display.kinds[kind].shell
    if shell is None:
        return (NO_SHELL_M,) * 3
    short, middle, long = sorted(frame_of(shell).sides_m)
    return long, middle, short
