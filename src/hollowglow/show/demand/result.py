"""What frames draw: one row a frame, one column a supply, fuse, conductor or string."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags, Floats, Ints


@dataclass(frozen=True)
class FrameCurrents:
    """Currents and voltages of F frames at duty-weighted currents. NaN where an island has no steady state.

    Attributes:
        supply_a: current out of each supply, A, shape (F, S).
        supply_w: of its ideal source, W: voltage without load times current, shape (F, S).
        fuse_a: current through each fuse, A, shape (F, fuses).
        fuse_w: that times V+ at the terminal that it comes from, W, shape (F, fuses).
        conductor_a: current of each conductor that some frame could overload, either way, A, shape (F, conductors).
        conductor_w: that times the voltage between the rails where it begins, W, shape (F, conductors).
        string_a: sum of the currents of a string's lights, A, shape (F, strings).
        string_w: power of these lights, W, shape (F, strings).
        lowest_v: lowest voltage across a light of each string, V, shape (F, strings); NaN without power.
        light_lm: light of a string's lights as their voltages leave it, lm, shape (F, strings).
        full_light_lm: the same at nominal voltages, lm, shape (F, strings).
        collapsed: frames in which some island has no state with all its drivers running, shape (F,).
        doubtful: these, and frames with two states or without a solution, shape (F,).
        alone: frames that the full solver took, shape (F,).
    """

    supply_a: Floats
    supply_w: Floats
    fuse_a: Floats
    fuse_w: Floats
    conductor_a: Floats
    conductor_w: Floats
    string_a: Floats
    string_w: Floats
    lowest_v: Floats
    light_lm: Floats
    full_light_lm: Floats
    collapsed: Flags
    doubtful: Flags
    alone: Flags

    def __len__(self) -> int:
        return len(self.collapsed)

    @property
    def light_lost(self) -> Floats:
        """Return the share of each frame's light that voltage takes, shape (F,); 0 for a dark frame."""
        asked = self.full_light_lm.sum(axis=1)
        return np.where(asked > 0.0, 1.0 - self.light_lm.sum(axis=1) / np.where(asked > 0.0, asked, 1.0), 0.0)

    def taken(self, rows: Ints) -> FrameCurrents:
        """Return these rows, in this order."""
        return FrameCurrents(**{f.name: getattr(self, f.name)[rows] for f in fields(self)})

    @staticmethod
    def joined(parts: Sequence[FrameCurrents]) -> FrameCurrents:
        """Return several batches as one."""
        return FrameCurrents(
            **{f.name: np.concatenate([getattr(p, f.name) for p in parts]) for f in fields(FrameCurrents)}
        )

    def put(self, frame: int, one: FrameCurrents, *, collapsed: bool, doubtful: bool) -> None:
        """Write one frame's numbers over those of a batch that is still being made."""
        for field in fields(self):
            getattr(self, field.name)[frame] = getattr(one, field.name)[0]
        self.collapsed[frame], self.doubtful[frame], self.alone[frame] = collapsed, doubtful, True


def dark(assembly: Assembly, frames: int, conductors: int = 0) -> FrameCurrents:
    """Return frames of a display that no supply reaches."""
    supplies, fuses, strings = len(assembly.supplies), len(assembly.fuses.edge), len(assembly.strings.names)
    widths = dict.fromkeys(("supply_a", "supply_w"), supplies) | dict.fromkeys(("fuse_a", "fuse_w"), fuses)
    widths |= dict.fromkeys(("conductor_a", "conductor_w"), conductors)
    numbers: dict[str, Any] = {
        f.name: np.zeros((frames, widths.get(f.name, strings))) for f in fields(FrameCurrents)[:-3]
    }
    numbers["lowest_v"][:] = np.nan
    flags = {f.name: np.zeros(frames, dtype=bool) for f in fields(FrameCurrents)[-3:]}
    return FrameCurrents(**numbers, **flags)
