"""The sorts of pictures that pages show: of the yard, a string, a supply, a kind, as SVG text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hollowglow.draw.sheet.svg import to_svg
from hollowglow.messages.refusal import Refusal
from hollowglow.view.pictures import circuit as pictures
from hollowglow.view.pictures import kinds as kind_pictures
from hollowglow.view.pictures.yard import night_drawing, yard_drawing

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hollowglow.draw.sheet.records import Drawing
    from hollowglow.plan import Plan


def _of_string(plan: Plan, name: str) -> Drawing | None:
    names = list(plan.assembly.strings.names)
    return pictures.string_profile(plan, names.index(name)) if name in names else None


def _of_supply(plan: Plan, name: str) -> Drawing | None:
    names = list(plan.assembly.supplies)
    return pictures.line_diagram(plan, names.index(name)) if name in names else None


def _of_kind(way: Callable[[Plan, int], Drawing | None]) -> Callable[[Plan, str], Drawing | None]:
    def of_kind(plan: Plan, name: str) -> Drawing | None:
        names = list(plan.assembly.kinds.names)
        return way(plan, names.index(name)) if name in names else None

    return of_kind


def _template(plan: Plan, name: str) -> Drawing | None:
    """Return one of the sheets at true size of a kind: its name, a slash, the number of the sheet from 1."""
    kind, _, number = name.rpartition("/")
    names = list(plan.assembly.kinds.names)
    if kind not in names or not number.isdigit():
        return None
    from hollowglow.book.chapters.bench import template_sheets

    sheets = list(template_sheets(plan, names.index(kind)))
    return sheets[int(number) - 1] if 1 <= int(number) <= len(sheets) else None


SORTS: dict[str, Callable[[Plan, str], Drawing | None]] = {
    "profile": _of_string,
    "lines": _of_supply,
    "section": _of_kind(kind_pictures.section_of),
    "polar": _of_kind(kind_pictures.polar_of),
    "template": _template,
    "glow": lambda plan, name: kind_pictures.glow_of_kinds(plan, name or None),
}


def drawn(plan: Plan, name: str, folder: Path) -> str | None:
    """Return a picture of a plan as SVG text, None where it has none of that name.

    Args:
        plan: what it shows.
        name: like `profile/gable`: the sort, then the string, supply or kind that it is about.
        folder: where the display file is, for its backdrop.
    """
    sort, _, about = name.partition("/")
    if sort == "yard":
        drawing = _yard(plan, about, folder)
    else:
        way = SORTS.get(sort)
        drawing = way(plan, about) if way is not None else None
    return None if drawing is None else to_svg(drawing)


def _yard(plan: Plan, name: str, folder: Path) -> Drawing | None:
    """Return the whole display by day or at night, with its backdrop where that can be read."""
    if name == "night":
        return night_drawing(plan, folder)
    if name != "day" or not plan.placed.any:
        return None
    try:
        return yard_drawing(plan, night=False, folder=folder)
    except Refusal:
        return yard_drawing(plan, night=False)
