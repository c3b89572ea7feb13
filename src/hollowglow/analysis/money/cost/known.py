"""Parts that cost looks up: those that the display names, or else those of the catalogue."""

from __future__ import annotations

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags
from hollowglow.file.model.parts import Part
from hollowglow.file.reading.load import part_named


def known_part(assembly: Assembly, name: str) -> Part:
    """Return a part that the display has, or else the catalogue's."""
    return part_named(assembly.display, name)


def ready_made(assembly: Assembly) -> Flags:
    """Return which strings are joined by ready-made extensions, shape (strings,)."""
    strings = assembly.display.strings.values()
    return np.array([s.span is not None and s.span.extension is not None for s in strings], dtype=bool)
