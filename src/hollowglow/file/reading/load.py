"""Reading a display file: text to a frozen Display, or every problem in it at once."""

from __future__ import annotations

import re
from collections import ChainMap
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from hollowglow.file.model.display import Display
from hollowglow.file.model.parts import Part
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.drawn_lengths import unplaced, with_drawn_lengths
from hollowglow.file.reading.inheritance import SECTIONS, resolve
from hollowglow.file.reading.references import ReferenceProblem, check, check_own_parts, named_parts, uses_default_cable
from hollowglow.file.reading.validation import told
from hollowglow.file.store.files import read_text
from hollowglow.file.text.source import parse_text
from hollowglow.messages.errors import DisplayError, Problem
from hollowglow.quantity.shown import show, visible

_MOST_NAME = 60


def load(path: Path | str) -> Display:
    """Return the display that a file states.

    Args:
        path: of the display file.

    Raises:
        DisplayError: with every problem found, each with its line, what was found and what was expected.
    """
    path = Path(path)
    return load_text(read_text(path), visible(str(path)))


def load_text(text: str, file: str = "display") -> Display:
    """Return the display that a text states; `file` is its name in messages. Raises DisplayError as `load` does."""
    source = parse_text(text, file)
    catalogue = raw_catalogue()
    data = resolve(source, catalogue)
    stated = data.get("parts")
    own: dict[str, Any] = stated if isinstance(stated, dict) else {}
    parts: Mapping[str, Any] = ChainMap(own, catalogue)  # type: ignore[arg-type]  # never written to
    problems = list(source.problems)
    for one in (
        *_check_names(data),
        *check_own_parts(own, catalogue),
        *check(data, parts.get, list(dict.fromkeys([*own, *catalogue]))),
    ):
        taken_over = one.path not in source.lines or one.path in source.adrift
        if not (one.here and taken_over and one.path[:2] in source.adrift):
            problems.append(source.problem(one.path, one.found, one.expected, one.mend, one.here))
    if isinstance(stated, dict) or stated is None:
        data = {**data, "parts": _needed(data, own, catalogue)}
    try:
        display = Display.model_validate(data)
    except ValidationError as error:
        problems += told(source, data, error.errors(include_url=False, include_input=False))
        raise DisplayError(file, _tidy(problems)) from None
    if not problems:
        problems += [source.problem(one.path, one.found, one.expected, one.mend, one.here) for one in unplaced(display)]
    if problems:
        raise DisplayError(file, _tidy(problems))
    return with_drawn_lengths(display)


def load_part(name: str) -> Part:
    """Return one part of the built-in catalogue; raises KeyError where there is none of that name."""
    return Part.model_validate(raw_catalogue()[name])


def part_named(display: Display, name: str) -> Part:
    """Return a part of a display, or else of the catalogue; raises KeyError where neither has one of that name."""
    return display.parts[name] if name in display.parts else load_part(name)


def _needed(data: Mapping[str, Any], own: Mapping[str, Any], catalogue: Mapping[str, Any]) -> dict[str, Any]:
    """Return the file's own parts and those of the catalogue that the display uses."""
    needed = dict(own)
    for _ in range(2):  # an extension names a cable and a plug of its own
        for _, name, _ in list(named_parts({**data, "parts": needed})):
            if name in catalogue:
                needed.setdefault(name, catalogue[name])
    for name in uses_default_cable(data):
        needed.setdefault(name, catalogue[name])
    return needed


def _check_names(data: Mapping[str, Any]) -> Iterator[ReferenceProblem]:
    for section in (*SECTIONS, "mains"):
        entries = data.get(section)
        for name in entries if isinstance(entries, dict) else ():
            visible = bool(name) and len(name) <= _MOST_NAME and name == name.strip() and name.isprintable()
            if not visible or any(c in name for c in "/*[]\"'"):
                expected = f"1 to {_MOST_NAME} visible characters without / * [ ] or quotes, no space at either end"
                yield ReferenceProblem((section, name), f"the name {show(name)}", expected)
            elif section == "kinds" and re.match(r"\d+\s*[x×]", name):
                expected = 'a name that does not start like a count ("2x")'
                yield ReferenceProblem((section, name), f"the name {show(name)}", expected)


def _tidy(problems: list[Problem]) -> list[Problem]:
    """Return the problems in the order of their lines, each once even where several entries inherit it."""
    return sorted(dict.fromkeys(problems), key=lambda p: (p.line or 0, p.where))
