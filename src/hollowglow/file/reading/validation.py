"""What pydantic finds wrong, said to a display builder."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from hollowglow.file.model.kind import SHELL_LENGTHS
from hollowglow.file.model.loads import CLASSES
from hollowglow.file.reading.keys import keys_at
from hollowglow.file.reading.meant import did_you_mean, meant_class, meant_keys
from hollowglow.file.text.source import Broken, Key, Source
from hollowglow.messages.errors import Problem
from hollowglow.quantity.shown import REFUSED, nearest, show

_WANTED = {
    "string_type": "text",
    "dict_type": "a table of keys",
    "model_type": "a table of keys",
    "tuple_type": "a list",
}

# What each required key or table looks like; the longer path goes before the last key alone.
_EXAMPLES = {
    "display": "Jetty sample",
    "fill": "{light: bullet-12mm-12v, count: 5}",
    "fill.light": "bullet-12mm-12v",
    "pigtail": "{length: 150 mm}",
    "gland": "{part: gland-pg7, count: 2}",
    "gland.part": "gland-pg7",
    "wiring": "{length: 100 mm}",
    "lead": "{length: 4 m}",
    "span": "{length: 1.8 m}",
    "feeds": "[{before: 7, supply: shed, length: 12 m}]",
    "output": "box/1",
    "outputs": "4",
    "props": "12 * float",
    "before": "7",
    "supply": "shed",
    "length": "1.8 m",
    "shape": next(iter(SHELL_LENGTHS)),
    "emitters": "1",
    "load": "{class: constant-current, current: [18 mA, 18 mA, 18 mA], turn_on: [2 V, 3 V, 3.1 V], saturation: 0.6 V}",
    "current": "[18 mA, 18 mA, 18 mA]",
    "turn_on": "[2 V, 3 V, 3.1 V]",
    "saturation": "0.6 V",
    "series": "3",
    "parallel": "3",
    "forward": "[2 V, 3 V, 3.1 V]",
    "resistor": "[330 ohm, 150 ohm, 150 ohm]",
    "power": "[0.1 W, 0.12 W, 0.12 W]",
    "efficiency": "0.85",
    "cutoff": "7 V",
    "flux": "[1.3 lm, 3.2 lm, 0.75 lm]",
    "xy": "[[0.69, 0.31], [0.17, 0.72], [0.13, 0.06]]",
    "voltage": "12 V",
    "rating": "5 A",
    "supply.rating": "100 W",
    "resistance": "5 mohm",
    "cable": "cable-3x18awg",
    "plug": "plug-3pin-18awg",
    "thread": "PG7",
    "clamp": "[3 mm, 6.5 mm]",
    "hole": "12.8 mm",
    "holds": "5 kg",
}


def _like(path: Key) -> str:
    words = [str(k) for k in path if isinstance(k, str)]
    example = _EXAMPLES.get(".".join(words[-2:])) or (_EXAMPLES.get(words[-1]) if words else None)
    return f', like "{words[-1]}: {example}"' if example else ""


def told(source: Source, data: Any, errors: Iterable[Any]) -> Iterator[Problem]:
    """Yield what a person needs to read about each error that pydantic reports.

    A key that is missing because it was misspelt beside is told once, a value that the reader refused not again, and
    nothing is said to be missing in an entry that extends one that is not there.
    """
    found = [(str(e["type"]), *_walk(data, e["loc"]), e) for e in errors]
    meant: dict[Key, list[str]] = {}
    misspelt: set[tuple[Key, str | int]] = set()
    for kind, path, value, error in found:
        if kind == "extra_forbidden":
            meant[path] = meant_keys(error["loc"], _walk(data, error["loc"][:-1])[1], value)
            misspelt.update((path[:-1], key) for key in meant[path])
    for kind, path, value, error in found:
        if _is_broken(kind, value) or (kind == "missing" and (path[:-1], path[-1]) in misspelt):
            continue
        if path[:2] in source.adrift and (kind == "missing" or len(path) == 2):
            continue
        yield _problem(source, kind, path, value, error, did_you_mean(meant.get(path, [])))


def _is_broken(kind: str, value: object) -> bool:
    if isinstance(value, list):
        return any(isinstance(v, Broken) for v in value)
    if isinstance(value, Mapping) and kind != "extra_forbidden":
        return any(isinstance(v, Broken) for v in value.values())
    return isinstance(value, Broken)


def _walk(data: Any, loc: tuple[str | int, ...]) -> tuple[Key, Any]:
    """Return the path in the file that a pydantic location means, and the value there (None where nothing is)."""
    path: list[str | int] = []
    here = data
    for key in loc:
        if isinstance(here, Mapping):
            if key not in here and key in CLASSES and path[-1:] == ["load"]:
                continue
            here = here.get(key)
        elif isinstance(key, int):
            if not isinstance(here, (list, tuple)):
                continue  # one value where a list may stand is validated as a list of one
            here = here[key] if key < len(here) else None
        else:
            here = None
        path.append(key)
    return tuple(path), here


def _problem(source: Source, kind: str, path: Key, value: Any, error: Any, meant: str) -> Problem:
    context = error.get("ctx", {})
    if kind == REFUSED:
        return source.problem(path, context["found"], context["expected"], context["mend"])
    if kind == "extra_forbidden":
        keys = keys_at(error["loc"][:-1])
        return source.problem(path, f"the unknown key {show(str(path[-1]))}", "one of " + ", ".join(keys), meant)
    if kind == "missing":
        return source.problem(path[:-1], f"no {path[-1]}", f"the key {path[-1]}{_like(path)}")
    if kind in ("union_tag_not_found", "union_tag_invalid"):
        stated = value.get("class") if isinstance(value, Mapping) else None
        if not isinstance(value, Mapping):
            return source.problem(path, show(value), "a table of keys" + _like(path))
        if stated is None:
            return source.problem(path, "no class", "class: one of " + ", ".join(CLASSES))
        return source.problem(
            (*path, "class"),
            show(stated),
            "one of " + ", ".join(CLASSES),
            meant_class(value),
        )
    if kind == "literal_error":
        allowed = str(context["expected"]).replace("'", "").replace(" or ", ", ").split(", ")
        return source.problem(path, show(value), "one of " + ", ".join(allowed), nearest(str(value), allowed))
    if kind in ("too_short", "too_long") and isinstance(value, list):
        low, high = context.get("min_length"), context.get("max_length")
        want = f"at least {low} values" if kind == "too_short" else f"at most {high:,} values"
        return source.problem(path, f"a list of {len(value):,}", want + _like(path))
    expected = _WANTED.get(kind, "something else")
    mend = "Put it in quotes." if kind == "string_type" and isinstance(value, (int, float)) else ""
    return source.problem(path, show(value), expected + ("" if kind == "string_type" else _like(path)), mend)
