"""The light of each kind as IES LM-63-2002."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from hollowglow.draw.forms import ies_text
from hollowglow.file.store.writing import file_stem, write_text
from hollowglow.plan import Plan
from hollowglow.view.open_forms import photometry_of


def write(plan: Plan, place: Path) -> Iterator[Path]:
    """Write the photometry of each kind with known light and yield the files."""
    taken: set[str] = set()
    for row, name in enumerate(plan.assembly.kinds.names):
        made = photometry_of(plan, row)
        if made is not None:
            yield write_text(place, f"{file_stem(name, taken)}.ies", ies_text(made))
