"""Reading a display file: text to a frozen Display, or every problem in it at once."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from strandwright.display.catalogue import raw_catalogue
from strandwright.display.merge import SECTIONS, nearest, resolve
from strandwright.display.model import Display
from strandwright.display.parts import Part
from strandwright.display.references import check, named_parts
from strandwright.display.source import Key, Source, parse_text, read_text, spell
from strandwright.display.units import show
from strandwright.errors import DisplayError, Problem

_LAW_NAMES = ("sink", "ballast", "buck")
_PHRASES = {
    "missing": "{what}",
    "string_type": "text",
    "bool_type": "true or false",
    "dict_type": "a table of keys",
    "model_type": "a table of keys",
    "model_attributes_type": "a table of keys",
    "tuple_type": "a list",
    "list_type": "a list",
    "int_type": "a whole number",
    "float_type": "a number",
    "finite_number": "a finite number",
}
_MOST_NAME = 60


def load(path: Path | str) -> Display:
    """Return the display that a file states.

    Args:
        path: of the display file.

    Raises:
        DisplayError: with every problem found, each with its line, what was found and what was expected.
    """
    path = Path(path)
    return load_text(read_text(path), str(path))


def load_text(text: str, file: str = "display") -> Display:
    """Return the display that a text states; `file` is its name in messages. Raises DisplayError as `load` does."""
    source = parse_text(text, file)
    catalogue = raw_catalogue()
    data = resolve(source, catalogue)
    problems = list(source.problems)
    problems += [_problem(source, *told) for told in _check_names(data)]
    stated = data.get("parts")
    own: dict[str, Any] = stated if isinstance(stated, dict) else {}
    known = list(dict.fromkeys([*own, *catalogue]))

    def find_part(name: str) -> Any:
        return own.get(name, catalogue.get(name))

    problems += [_problem(source, *told) for told in check(data, find_part, known)]
    needed = dict(own)
    for _ in range(2):  # an extension names a cable and a plug of its own
        for _, name, _role in list(named_parts({**data, "parts": needed})):
            if name not in needed and name in catalogue:
                needed[name] = catalogue[name]
    for name in _defaults(data):
        if name in catalogue:
            needed.setdefault(name, catalogue[name])
    if isinstance(stated, dict) or stated is None:
        data = {**data, "parts": needed}
    try:
        display = Display.model_validate(data)
    except ValidationError as error:
        problems += [_from_pydantic(source, data, e) for e in error.errors(include_url=False)]
        raise DisplayError(file, _tidy(problems)) from None
    if problems:
        raise DisplayError(file, _tidy(problems))
    return display


def _defaults(data: Mapping[str, Any]) -> Iterator[str]:
    from strandwright.display.model import DEFAULT_CABLE

    if data.get("strings") or data.get("kinds"):
        yield DEFAULT_CABLE


def load_part(name: str) -> Part:
    """Return one part of the built-in catalogue; raises KeyError where there is none of that name."""
    return Part.model_validate(raw_catalogue()[name])


def _check_names(data: Mapping[str, Any]) -> Iterator[tuple[Key, str, str, str]]:
    for section in SECTIONS:
        entries = data.get(section)
        for name in entries if isinstance(entries, dict) else ():
            bad = not name or len(name) > _MOST_NAME or name != name.strip() or not name.isprintable()
            if bad or any(c in name for c in "/*[]\"'"):
                expected = f"a name of 1 to {_MOST_NAME} characters without / * [ ] or quotes"
                yield (section, name), f"the name {show(name)}", expected, ""


def _problem(source: Source, path: Key, found: str, expected: str, mend: str) -> Problem:
    return Problem(spell(path), found, expected, mend, source.line(path))


def _tidy(problems: list[Problem]) -> list[Problem]:
    """Return the problems in the order of their lines, each once even where several entries inherit it."""
    seen: dict[tuple[object, ...], Problem] = {}
    for problem in problems:
        last = problem.where.rpartition(".")[2]
        seen.setdefault((problem.line, last, problem.found, problem.expected), problem)
    return sorted(seen.values(), key=lambda p: (p.line or 0, p.where))


def _walk(data: Any, loc: tuple[str | int, ...]) -> tuple[Key, Any]:
    """Return the path in the file that a pydantic location means, and the value there (None where nothing is)."""
    path: list[str | int] = []
    here = data
    for key in loc:
        if isinstance(here, Mapping) and key not in here and key in _LAW_NAMES and path[-1:] == ["load"]:
            continue
        path.append(key)
        if isinstance(here, Mapping):
            here = here.get(key)
        elif isinstance(here, (list, tuple)) and isinstance(key, int) and key < len(here):
            here = here[key]
        else:
            here = None
    return tuple(path), here


def _from_pydantic(source: Source, data: Any, error: Any) -> Problem:
    path, value = _walk(data, error["loc"])
    kind = str(error["type"])
    context = error.get("ctx", {})
    line = source.line(path)
    if kind == "quantity":
        return Problem(spell(path), context["found"], context["expected"], context.get("mend", ""), line)
    if kind == "extra_forbidden":
        keys = _keys_at(error["loc"][:-1])
        mend = nearest(str(path[-1]), keys)
        return Problem(spell(path), f"the unknown key {show(str(path[-1]))}", "one of " + ", ".join(keys), mend, line)
    if kind == "missing":
        return Problem(spell(path[:-1]), f"no {path[-1]}", f"the key {path[-1]}", "", source.line(path[:-1]))
    if kind in ("union_tag_not_found", "union_tag_invalid"):
        stated = value.get("class") if isinstance(value, Mapping) else None
        found = "no class" if stated is None else f"class {show(stated)}"
        return Problem(spell(path), found, "class: one of " + ", ".join(_LAW_NAMES), "", line)
    if kind == "literal_error":
        return Problem(spell(path), show(value), "one of " + str(context["expected"]).replace(" or ", ", "), "", line)
    if kind in ("too_short", "too_long") and isinstance(value, list):
        low, high = context.get("min_length", 0), context.get("max_length", 0)
        want = f"at least {low} values" if kind == "too_short" else f"at most {high} values"
        return Problem(spell(path), f"a list of {len(value)}", f"{want}, one for each colour", "", line)
    expected = _PHRASES.get(kind)
    if expected is None:
        words = str(error["msg"])
        expected = words[0].lower() + words[1:]
        expected = expected.removeprefix("input should be ").removeprefix("input should have ")
        expected = expected.removeprefix("tuple should have ").removeprefix("string should have ")
    return Problem(spell(path), show(value), expected, "", line)


def _keys_at(loc: tuple[str | int, ...]) -> list[str]:
    """Return the keys that the model at a pydantic location knows."""
    kinds: list[Any] = [Display]
    for key in loc:
        kinds = [t for k in kinds for t in _step(k, key)] or kinds
    models = [k for k in kinds if isinstance(k, type) and issubclass(k, BaseModel)]
    keys: list[str] = []
    for model in models:
        keys += [f.alias or name for name, f in model.model_fields.items()]
    extends = len(loc) == 2 and loc[0] in SECTIONS
    return list(dict.fromkeys(keys + (["extends"] if extends else [])))


def _step(kind: Any, key: str | int) -> list[Any]:
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        by_key = {f.alias or name: f.annotation for name, f in kind.model_fields.items()}
        if key in by_key:
            return _open(by_key[key])
        tag = kind.model_fields.get("law")
        return [kind] if tag is not None and tag.default == key else []
    arguments = typing.get_args(kind)
    return _open(arguments[-1] if arguments and arguments[-1] is not Ellipsis else arguments[0]) if arguments else []


def _open(annotation: Any) -> list[Any]:
    """Return what an annotation may be: the members of a union, without None and Annotated's extras."""
    origin = typing.get_origin(annotation)
    if origin is typing.Annotated:
        return _open(typing.get_args(annotation)[0])
    if origin in (typing.Union, types.UnionType):
        return [o for a in typing.get_args(annotation) if a is not type(None) for o in _open(a)]
    return [annotation]
