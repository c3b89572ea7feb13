"""The open forms that a display is written in, one module each; adding one means adding it here."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from hollowglow.messages.refusal import Refusal

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hollowglow.plan import Plan


@dataclass(frozen=True, slots=True)
class Form:
    """One open form; its module in this folder is loaded when it is written, so that help needs none of them.

    Attributes:
        name: as it is asked for.
        holds: what is written, in words.
        placed: whether it tells where props are.
    """

    name: str
    holds: str
    placed: bool = False

    def write(self, plan: Plan, place: Path) -> list[Path]:
        """Write the files of this form into a folder and return their paths."""
        return list(import_module(f"hollowglow.jobs.export.{self.name}_form").write(plan, place))


FORMS = (
    Form("csv", "CSV tables, with where props are", placed=True),
    Form("svg", "templates at true size and where props are as SVG", placed=True),
    Form("dxf", "templates at true size as DXF"),
    Form("ies", "the light of each kind as IES LM-63-2002"),
    Form("gdtf", "kinds as GDTF (DIN SPEC 15800)"),
    Form("mvr", "the display as MVR (DIN SPEC 15801)", placed=True),
)
NAMES = tuple(form.name for form in FORMS)


def read_forms(text: str | None) -> tuple[Form, ...]:
    """Return which forms a text like "gdtf,mvr" names, all of them for None; raises Refusal for others."""
    if text is None:
        return FORMS
    asked = [word.strip().lower() for word in text.split(",") if word.strip()]
    wrong = next((word for word in asked if word not in NAMES), None)
    if wrong is not None or not asked:
        found = f'"{wrong}"' if wrong is not None else "nothing"
        raise Refusal(f"found {found}, expected some of {', '.join(NAMES)} with commas between.", field="forms")
    return tuple(form for form in FORMS if form.name in asked)


def write_forms(
    plan: Plan, place: Path, forms: tuple[Form, ...] = FORMS, progress: Callable[[str], None] = lambda _name: None
) -> list[Path]:
    """Write a plan in some forms into a folder and return the files' paths; raises Refusal where that fails.

    Args:
        plan: of the display.
        place: the folder, made where it is missing.
        forms: of FORMS.
        progress: called with the name of each form as it begins.
    """
    from hollowglow.file.store.writing import folder

    folder(place)
    written: list[Path] = []
    for form in forms:
        progress(form.name)
        written += form.write(plan, place)
    return written
