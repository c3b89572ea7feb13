"""Writing the demo: one display with honest mistakes, and the same display mended."""

from __future__ import annotations

import os
from importlib.resources import files
from pathlib import Path

from hollowglow.file.store.writing import folder, shown, whole
from hollowglow.messages.refusal import Refusal

NAMES = ("landing.yaml", "landing-mended.yaml")


def write_demo(place: Path) -> tuple[Path, ...]:
    """Write the demo's files into a folder and return their paths.

    Raises:
        Refusal: when one of them is there already (nothing is written then), or the place cannot be written.
    """
    targets = tuple(place / name for name in NAMES)
    folder(place)
    there = [shown(t) for t in targets if os.path.lexists(t)]
    if there:
        raise Refusal(f"{there[0]} is there already and is not overwritten. Name another folder.")
    written: list[Path] = []
    try:
        for target in targets:
            with whole(target) as stream:
                stream.write((files("hollowglow.file") / "demo" / target.name).read_text(encoding="utf-8"))
            written.append(target)
    except Refusal:
        for target in written:
            target.unlink(missing_ok=True)
        raise
    return targets
