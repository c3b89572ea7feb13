"""The display as MVR (DIN SPEC 15801)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from hollowglow.draw.forms import gdtf_file, mvr_file
from hollowglow.file.store.writing import file_stem, whole_bytes
from hollowglow.plan import Plan
from hollowglow.view.open_forms import fixture_kinds, fixtures


def write(plan: Plan, place: Path) -> Iterator[Path]:
    """Write the scene with its kinds and yield the file."""
    kinds = fixture_kinds(plan)
    files = {kind.file_name: gdtf_file(kind) for kind in kinds if kind is not None}
    target = place / f"{file_stem(plan.assembly.display.display, set())[:60]}.mvr"
    with whole_bytes(target) as stream:
        stream.write(mvr_file(plan.assembly.display.display, list(fixtures(plan, kinds)), files))
    yield target
