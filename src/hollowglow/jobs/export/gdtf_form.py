"""Kinds as GDTF (DIN SPEC 15800)."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from hollowglow.draw.forms import gdtf_file
from hollowglow.file.store.writing import whole_bytes
from hollowglow.plan import Plan
from hollowglow.view.open_forms import fixture_kinds


def write(plan: Plan, place: Path) -> Iterator[Path]:
    """Write each kind that is a fixture and yield the files."""
    for kind in fixture_kinds(plan):
        if kind is not None:
            with whole_bytes(place / kind.file_name) as stream:
                stream.write(gdtf_file(kind))
            yield place / kind.file_name
