"""Beginning a display and adding to it: a kind, a string, a supply."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hollowglow.file import Display
from hollowglow.file.text.source import spell
from hollowglow.jobs.site.form import length_m
from hollowglow.jobs.start import first
from hollowglow.messages.errors import DisplayError, Problem
from hollowglow.messages.refusal import FormError, Refusal
from hollowglow.quantity import measures

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hollowglow.file import Display
    from hollowglow.file.text.commands import Path
    from hollowglow.quantity.written import Units

_MOST = 100_000
# The field of a form that a place in the display file comes from, the longer places first.
_FIELDS = (
    ("fill.light", "light"),
    ("fill.count", "count"),
    ("shell.shape", "shape"),
    ("shell", "size"),
    ("span", "spacing"),
    ("props", "props"),
    ("supply", "supply"),
    ("output", "controller"),
    ("part", "part"),
)


class Typed:
    """What a person typed into the fields of a form; what is wrong with them is gathered and told together."""

    def __init__(self, form: Mapping[str, str], units: Units) -> None:
        self.form = form
        self.units = units
        self.wrong: dict[str, str] = {}

    def text(self, key: str, what: str) -> str:
        """Return what was typed."""
        text = self.form.get(key, "").strip()
        if not text:
            self.wrong[key] = f"{what} is missing."
        return text

    def whole(self, key: str, what: str) -> int:
        """Return a count that was typed."""
        text = self.form.get(key, "").strip()
        if text.isdecimal() and 1 <= int(text[:9]) <= _MOST:
            return int(text)
        self.wrong[key] = f'{what}: found "{text[:40]}", expected a whole number from 1 to {_MOST:,}.'
        return 1

    def length(self, key: str, what: str) -> str:
        """Return a length as it was typed."""
        text = self.text(key, what)
        if text:
            try:
                length_m(text, what, measures.LENGTH, key)
            except FormError as error:
                self.wrong |= error.fields
        return text

    def check(self) -> None:
        """Raise FormError where anything is wrong."""
        if self.wrong:
            raise FormError(self.wrong)


def first_of(form: Mapping[str, str], units: Units = "metric") -> dict[str, Any]:
    """Return a first display as a form says, its lead in the units that the person chose; raises FormError."""
    typed = Typed(form, units)
    parts = (
        typed.text("display", "The name of the display"),
        typed.text("name", "The name of the kind"),
        _kind(typed),
        typed.whole("props", "How many props"),
        typed.length("spacing", "The cable between neighbours"),
    )
    string, supply = typed.text("string", "The name of the string"), typed.text("supply", "The name of the supply")
    part = typed.text("part", "The part")
    typed.check()
    return first.first_display(*parts, string_name=string, supply=supply, part=part, units=units)


def _kind(typed: Typed) -> dict[str, Any]:
    return first.kind(
        typed.form.get("shape", ""),
        typed.length("size", "The size of the shell"),
        typed.text("light", "The light inside"),
        typed.whole("count", "How many lights inside"),
    )


def _string(typed: Typed, display: Display) -> dict[str, Any]:
    parts = (
        typed.text("kind", "The kind"),
        typed.whole("props", "How many props"),
        typed.length("spacing", "The cable between neighbours"),
        typed.text("supply", "The supply"),
        typed.text("controller", "The controller"),
    )
    typed.check()
    if parts[-1] not in display.controllers:
        raise FormError({"controller": f"There is no controller {parts[-1]}. Choose one of the list."})
    return first.string(display, *parts, typed.units)


_SECTIONS: dict[str, tuple[str, Callable[[Typed, Display], dict[str, Any]]]] = {
    "kind": ("kinds", lambda typed, _display: _kind(typed)),
    "string": ("strings", _string),
    "supply": ("supplies", lambda typed, _display: {"part": typed.text("part", "The supply")}),
}


def added(form: Mapping[str, str], display: Display, units: Units = "metric") -> tuple[tuple[str, str], dict[str, Any]]:
    """Return the path and the entry of what a form adds, in the units that the person chose.

    Raises:
        FormError: when a field is empty or wrong, or the name is taken.
        Refusal: when there is no room for it.
    """
    sort = form.get("sort", "")
    if sort not in _SECTIONS:
        raise Refusal("The form does not say what is to be added. Load the page again.")
    section, entry = _SECTIONS[sort]
    typed = Typed(form, units)
    name = typed.text("name", f"The name of the {sort}")
    if name in getattr(display, section):
        typed.wrong["name"] = f"There is a {sort} {name} already. Choose another name."
    made = entry(typed, display)
    typed.check()
    return (section, name), made


def beside_fields(error: DisplayError, own: tuple[Path, ...]) -> dict[str, str]:
    """Put each problem of what a form made to the field that it comes from.

    Args:
        error: of the display with it.
        own: the paths of keys that the form made.

    Returns:
        Words by the field's name; under the empty name, what comes from none of them.
    """
    told: dict[str, str] = {}
    for problem in error.problems:
        field = next((found for path in own if (found := _field_of(problem, spell(path)))), "")
        place = "" if field else f"{problem.where}: "
        words = f"{place}found {problem.found}, expected {problem.expected}. {problem.mend}".strip()
        if words not in told.get(field, ""):
            told[field] = f"{told[field]} {words}" if field in told else words
    return told


def _field_of(problem: Problem, path: str) -> str:
    if not problem.where.startswith(path):
        return ""
    rest = problem.where[len(path) :].lstrip(".")
    return next((field for place, field in _FIELDS if rest.startswith(place)), "")
