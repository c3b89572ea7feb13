"""Templates at true size and the places of props as SVG."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from hollowglow.draw.prop.template import drill_template
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.file.store.writing import file_stem, write_text
from hollowglow.jobs.export.strips import wrap_strips
from hollowglow.plan import Plan
from hollowglow.view.pictures.end_templates import end_templates
from hollowglow.view.pictures.kinds import templates_of
from hollowglow.view.pictures.yard import positions_drawing


def write(plan: Plan, place: Path) -> Iterator[Path]:
    """Write every picture and yield the files."""
    taken: set[str] = set()
    for row, made in enumerate(plan.making.kinds):
        sheets = [(f"template-{made.name}-{face}", sheet) for face, sheet in templates_of(plan, row)]
        for end, template in end_templates(made):
            drawn = drill_template(template)
            stem = f"template-{made.name}-shell-{end}"
            sheets += [(stem if len(drawn) == 1 else f"{stem}-{k}", sheet) for k, sheet in enumerate(drawn, 1)]
        strips = list(wrap_strips(made))
        sheets += [(f"strip-{made.name}" + (f"-{k}" if len(strips) > 1 else ""), s) for k, s in enumerate(strips, 1)]
        for name, drawing in sheets:
            yield write_text(place, f"{file_stem(name, taken)}.svg", to_svg(drawing))
    if len(plan.assembly.props.kind):
        yield write_text(place, f"{file_stem('positions', taken)}.svg", to_svg(positions_drawing(plan)))
