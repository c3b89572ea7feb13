"""Templates at true size as DXF."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from hollowglow.draw.forms import face_dxf, strip_dxf
from hollowglow.file.store.writing import file_stem, write_text
from hollowglow.plan import Plan
from hollowglow.view.open_forms import faces_of, strip_of
from hollowglow.view.pictures.end_templates import end_faces


def write(plan: Plan, place: Path) -> Iterator[Path]:
    """Write every template and yield the files."""
    taken: set[str] = set()
    for made in plan.making.kinds:
        for name, face in (*faces_of(made), *end_faces(made)):
            yield write_text(place, f"{file_stem(f'template-{made.name}-{name}', taken)}.dxf", face_dxf(face))
        strip = strip_of(made)
        if strip is not None:
            yield write_text(place, f"{file_stem(f'strip-{made.name}', taken)}.dxf", strip_dxf(strip))
