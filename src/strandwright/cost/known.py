"""Parts that cost looks up: those that the display names, or else those of the catalogue."""

from __future__ import annotations

import numpy as np

from strandwright.build import Build
from strandwright.build.tables import Flags
from strandwright.display.load import load_part
from strandwright.display.parts import Part


def known_part(build: Build, name: str) -> Part:
    """Return a part that the display has, or else the catalogue's."""
    return build.display.parts[name] if name in build.display.parts else load_part(name)


def ready_made(build: Build) -> Flags:
    """Return which strings are joined by ready-made extensions, shape (strings,)."""
    strings = build.display.strings.values()
    return np.array([s.span is not None and s.span.extension is not None for s in strings], dtype=bool)
