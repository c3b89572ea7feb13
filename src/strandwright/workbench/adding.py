"""Beginning a display and adding to it: a kind, a string, a supply."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from strandwright.errors import UseError
from strandwright.jobs import first

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from strandwright.display import Display

_MOST = 100_000


def whole_number(text: str, what: str) -> int:
    """Return a count that a person typed; raises UseError where it is none."""
    text = text.strip()
    if not (text.isdecimal() and 1 <= int(text[:9]) <= _MOST):
        raise UseError(f"{what}: found {text[:40]!r}, expected a whole number from 1 to {_MOST:,}.")
    return int(text)


def filled(form: Mapping[str, str], key: str, what: str) -> str:
    """Return what a person typed; raises UseError where it is nothing."""
    text = form.get(key, "").strip()
    if not text:
        raise UseError(f"{what} is missing.")
    return text


def first_of(form: Mapping[str, str]) -> dict[str, Any]:
    """Return a first display as a form says."""
    return first.first_display(
        filled(form, "display", "The name of the display"),
        filled(form, "name", "The name of the kind"),
        _kind(form),
        whole_number(form.get("props", ""), "How many props"),
        filled(form, "spacing", "The cable between neighbours"),
    )


def _kind(form: Mapping[str, str]) -> dict[str, Any]:
    return first.kind(
        form.get("shape", ""),
        filled(form, "size", "The size of the shell"),
        filled(form, "light", "The light inside"),
        whole_number(form.get("count", ""), "How many lights inside"),
    )


def _string(form: Mapping[str, str], display: Display) -> dict[str, Any]:
    return first.string(
        display,
        filled(form, "kind", "The kind"),
        whole_number(form.get("props", ""), "How many props"),
        filled(form, "spacing", "The cable between neighbours"),
        filled(form, "supply", "The supply"),
        filled(form, "controller", "The controller"),
    )


_SECTIONS: dict[str, tuple[str, Callable[[Mapping[str, str], Display], dict[str, Any]]]] = {
    "kind": ("kinds", lambda form, _display: _kind(form)),
    "string": ("strings", _string),
    "supply": ("supplies", lambda form, _display: {"part": filled(form, "part", "The supply")}),
}


def added(form: Mapping[str, str], display: Display) -> tuple[tuple[str, str], dict[str, Any]]:
    """Return the path and the entry of what a form adds.

    Raises:
        UseError: when something is missing, or the name is taken.
    """
    sort = form.get("sort", "")
    if sort not in _SECTIONS:
        raise UseError("The form does not say what is to be added. Load the page again.")
    section, entry = _SECTIONS[sort]
    name = filled(form, "name", f"The name of the {sort}")
    if name in getattr(display, section):
        raise UseError(f"There is a {sort} {name} already. Choose another name.")
    return (section, name), entry(form, display)
