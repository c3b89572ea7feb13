"""How long the cables that hang between things are: what the file states, the drip loop in it, and both together.

The only place that knows what a drip loop is added to.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeVar

import numpy as np

from hollowglow.assembly.tables import Floats
from hollowglow.file import Display
from hollowglow.file.model.display import String

Metres = TypeVar("Metres", float, Floats)


@dataclass(frozen=True)
class Length(Generic[Metres]):
    """Length of one run, or of several: as stated (a ready-made extension: of its part), and the loop added to it, m."""

    stated_m: Metres
    loop_m: float

    @property
    def whole_m(self) -> Metres:
        """Return the length as cut, or as bought, m."""
        return self.stated_m + self.loop_m


def run_length(display: Display, stated_m: float) -> Length[float]:
    """Return the length of a lead, or of a feed, that is stated with so many metres."""
    return Length(stated_m, display.drip_loop)


def span_lengths(display: Display, string: String) -> Length[Floats]:
    """Return the lengths of a string's spans, shape (props - 1,); ready-made extensions are bought without a loop."""
    gaps, span = string.prop_count - 1, string.span
    if span is None or gaps == 0:
        return Length(np.zeros(0), 0.0)
    if span.extension is not None:
        ready = display.parts[span.extension].extension
        assert ready is not None  # references are checked when the file is read
        return Length(np.full(gaps, ready.length), 0.0)
    assert span.length is not None
    stated = np.broadcast_to(np.asarray(span.length, dtype=np.float64), (gaps,))
    return Length(np.array(stated), display.drip_loop)
