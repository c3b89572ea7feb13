"""A display that is lit, as a screen shows it: where its cells are, which colour each has, what supplies and fuses carry."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.site.placement.spacing import width_m
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import CableSort, Floats, Ints
from hollowglow.physics.srgb import srgb_bytes
from hollowglow.plan import Plan
from hollowglow.show.demand import AddressMap, Allowed, Demand
from hollowglow.show.demand.addresses import FULL, Bytes

# A prop without a shell is drawn this wide.
_POINT_M = 0.03
# Cells of one prop stand on a ring of this share of its width, each this share of it wide.
_RING, _SHARE = 0.3, 0.45
# Strings without places lie in rows; the whole is about so many times as wide as it is high.
_WIDE = 3.0


@dataclass(frozen=True)
class Night:
    """Where the cells of a display are seen, in the order of the build.

    Attributes:
        spots_m: to the right and up, shape (cells, 2).
        across_m: how wide each looks, shape (cells,).
        names: each string with the place of its first prop, m.
        placed: whether every place is from the file; rows stand in for strings without places.
    """

    spots_m: Floats
    across_m: Floats
    names: tuple[tuple[str, float, float], ...]
    placed: bool


def night_of(plan: Plan) -> Night:
    """Return where the cells of a display are seen: at their places, or in rows as their cables allow."""
    assembly = plan.assembly
    sizes = np.array([max(_POINT_M, width_m(assembly, name)) for name in assembly.kinds.names])
    size = sizes[assembly.props.kind] if len(sizes) else np.zeros(0)
    spots = plan.placed.spots_m[:, :2].copy()
    missing = np.asarray(~np.isfinite(spots).all(axis=1))
    if missing.any():
        _lay_out(assembly, spots, missing, size)
    addresses = AddressMap.of(assembly)
    head = np.searchsorted(addresses.node_cell, np.arange(addresses.cells))
    prop = assembly.nodes.prop[head]
    first = np.searchsorted(prop, np.arange(len(size)))
    count = np.bincount(prop, minlength=len(size))
    turn = 2.0 * np.pi * (np.arange(len(prop)) - first[prop]) / np.maximum(count[prop], 1)
    ring = np.where(count[prop] > 1, _RING * size[prop], 0.0)
    cells = spots[prop] + ring[:, None] * np.stack([np.sin(turn), np.cos(turn)], axis=1)
    across = size[prop] * np.where(count[prop] > 1, _SHARE, 1.0)
    names = tuple(
        (name, float(spots[row, 0]), float(spots[row, 1]))
        for name, row in zip(assembly.strings.names, assembly.strings.first_prop.tolist(), strict=False)
    )
    return Night(cells, across, names, not missing.any())


def _lay_out(assembly: Assembly, spots: Floats, missing: NDArray[np.bool_], size: Floats) -> None:
    """Put the props of strings without places into rows under those that have some, a span apart."""
    spans = assembly.cables.sort == CableSort.SPAN
    length = np.zeros(len(size))
    # A span is numbered after the prop before it.
    first: Ints = assembly.strings.first_prop[assembly.cables.string[spans]]
    length[first + assembly.cables.number[spans]] = assembly.cables.length_m[spans]
    rows = []
    for at, end in zip(
        assembly.strings.first_prop[:-1].tolist(), assembly.strings.first_prop[1:].tolist(), strict=True
    ):
        if at < end and missing[at]:
            length[at] = 0.0
            step = np.maximum(length[at:end], 0.6 * size[at:end])
            rows.append((at, end, np.cumsum(step) - step[0]))
    widest = max(float(x[-1]) for _, _, x in rows)
    pitch = max(1.6 * float(size.max()), widest / (_WIDE * len(rows)))
    known = spots[~missing]
    left, low = (known[:, 0].min(), known[:, 1].min() - pitch) if len(known) else (0.0, 0.0)
    for row, (at, end, x) in enumerate(rows):
        spots[at:end, 0], spots[at:end, 1] = left + x, low - pitch * row


@dataclass(frozen=True)
class Paint:
    """Turns frames into the screen values of each cell: slots through the controller's curve, levels left out."""

    addresses: AddressMap
    _curve: Ints
    _screen: Bytes

    @classmethod
    def of(cls, addresses: AddressMap) -> Paint:
        """Return the paint of a display's addresses."""
        head = np.searchsorted(addresses.node_cell, np.arange(addresses.cells))
        gammas, curve = np.unique(addresses.node_gamma[head], return_inverse=True)
        shares = np.arange(FULL + 1) / FULL
        return cls(addresses, curve.reshape(-1, 1), srgb_bytes(shares ** gammas[:, None]))

    def screen(self, frame: Bytes) -> Bytes:
        """Return red, green and blue of each cell as sRGB bytes (IEC 61966-2-1), shape (cells, 3)."""
        return np.asarray(self._screen[self._curve, self.addresses.colours(frame)], dtype=np.uint8)


@dataclass
class Meter:
    """What the frames that are sent make supplies and fuses carry, with their peaks."""

    demand: Demand
    allowed: Allowed
    rows: list[dict[str, Any]] = field(default_factory=list)
    _peak_a: Floats = field(default_factory=lambda: np.zeros(0))

    def take(self, frame: Bytes) -> None:
        """Solve a frame, shape (U, 512)."""
        current = self.allowed.currents(self.demand.solve(frame[None]))[0]
        peak = self._peak_a if len(self._peak_a) == len(current) else np.zeros(len(current))
        self._peak_a = np.fmax(peak, np.nan_to_num(current))
        self.rows = limit_rows(self.allowed, current, self._peak_a)


def limit_rows(allowed: Allowed, current_a: Floats, peak_a: Floats) -> list[dict[str, Any]]:
    """Return what whatever is limited carries now, its peak and its limit, A; None where there is no steady state."""
    return [
        {
            "id": name,
            "sort": allowed.sorts[row],
            "current": round(float(current_a[row]), 4) if np.isfinite(current_a[row]) else None,
            "peak": round(float(peak_a[row]), 4),
            "limit": round(float(allowed.current_a[row]), 4),
            "over": bool(peak_a[row] > allowed.current_a[row] * (1.0 + 1e-9)),
        }
        for row, name in enumerate(allowed.names)
    ]
