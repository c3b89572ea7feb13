"""From an Assembly to the places of its props, how they are spaced, how strings hang, and which cables are too short."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.making import Making
from hollowglow.analysis.site.placement.hung import Hung, hung
from hollowglow.analysis.site.placement.spacing import Spacing, spacing
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import CableSort, Floats, Ints
from hollowglow.file.reading.drawn_lengths import positions

# A cable that misses its end by less is stretched or pushed a little: nobody measures finer outdoors.
CLOSE_M = 0.005


@dataclass(frozen=True, eq=False)
class PlacedDisplay:
    """Where the display is.

    Attributes:
        spots_m: place of each prop, NaN where it has none, shape (props, 3).
        spacings: how the props of each string that has places look, in the Assembly's order.
        hung: the strings that hang between hooks.
        short: rows of the Assembly's cables that do not reach.
        missing_m: by how much, shape (short,).
    """

    spots_m: Floats
    spacings: tuple[Spacing, ...]
    hung: tuple[Hung, ...]
    short: Ints
    missing_m: Floats

    @property
    def any(self) -> bool:
        """Return whether any prop has a place."""
        return bool(np.isfinite(self.spots_m[:, 0]).any())


def analyse(assembly: Assembly, making: Making) -> PlacedDisplay:
    """Return where the props of an Assembly are.

    Args:
        build: the display expanded.
        making: what its props weigh.
    """
    display = assembly.display
    spots = np.full((len(assembly.props.kind), 3), np.nan)
    found = positions(display)
    spacings: list[Spacing] = []
    hanging: list[Hung] = []
    for row, name in enumerate(assembly.strings.names):
        if name not in found:
            continue
        spots[assembly.strings.first_prop[row] : assembly.strings.first_prop[row + 1]] = found[name]
        if (seen := spacing(assembly, row, found[name])) is not None:
            spacings.append(seen)
        if (made := hung(assembly, making, row)) is not None:
            hanging.append(made)
    short, missing = _short(assembly, spots)
    return PlacedDisplay(spots, tuple(spacings), tuple(hanging), short, missing)


def _short(assembly: Assembly, spots: Floats) -> tuple[Ints, Floats]:
    """Return the rows of cables that do not reach from place to place with the pigtails at their ends, and by how much."""
    cables, display = assembly.cables, assembly.display
    rows = np.flatnonzero(np.isin(cables.sort, (CableSort.LEAD, CableSort.SPAN, CableSort.FEED)))
    first = assembly.strings.first_prop[cables.string[rows]]
    number, sort = cables.number[rows], cables.sort[rows]
    # A span leads to the prop after its own number, the lead (number 0) to the first, a feed to that of its number.
    end = first + np.where(sort == CableSort.FEED, number - 1, number)
    tails = np.array([k.pigtail.length if k.pigtail is not None else 0.0 for k in display.kinds.values()])
    tail = tails[assembly.props.kind] if len(tails) else np.zeros(len(assembly.props.kind))
    start = np.full((len(rows), 3), np.nan)
    span = sort == CableSort.SPAN
    start[span] = spots[end[span] - 1]
    reach = cables.length_m[rows] + tail[end] + np.where(span, tail[np.maximum(end - 1, 0)], 0.0)
    supplies = {name: s.at for name, s in display.supplies.items()}
    for at in np.flatnonzero(~span).tolist():
        string = display.strings[assembly.strings.names[int(cables.string[rows[at]])]]
        if sort[at] == CableSort.LEAD:
            origin = display.controllers[string.output.controller].at
            if origin is None and string.supply is not None:
                origin = supplies[string.supply]
        else:
            origin = supplies[next(f.supply for f in string.feeds if f.before == number[at])]
        if origin is not None:
            start[at] = origin
    missing = np.linalg.norm(spots[end] - start, axis=1) - reach
    short = np.nan_to_num(missing, nan=-1.0) > CLOSE_M
    return rows[short], missing[short]
