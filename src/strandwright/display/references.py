"""Names that point at other entries of a display file: each must exist and be of the right sort."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any

from strandwright.display.merge import nearest
from strandwright.display.model import MOST_NODES, MOST_PROPS, Run, _read_props
from strandwright.display.parts import ROLES
from strandwright.display.source import Key
from strandwright.display.units import show

Told = tuple[Key, str, str, str]

# Path of a reference within its section entry -> the role that the named part must have.
PART_REFERENCES: dict[str, tuple[tuple[tuple[str, ...], str], ...]] = {
    "supplies": ((("part",), "supply"),),
    "parts": ((("extension", "cable"), "cable"), (("extension", "plug"), "joint")),
    "kinds": (
        (("fill", "light"), "light"),
        (("fill", "wiring", "cable"), "cable"),
        (("pigtail", "cable"), "cable"),
        (("pigtail", "plug"), "joint"),
        (("gland", "part"), "gland"),
        (("hook",), "hook"),
    ),
    "strings": (
        (("lead", "cable"), "cable"),
        (("lead", "joint"), "joint"),
        (("span", "cable"), "cable"),
        (("span", "joint"), "joint"),
        (("span", "extension"), "extension"),
        (("fuse",), "fuse"),
        (("feeds", "*", "cable"), "cable"),
        (("feeds", "*", "joint"), "joint"),
        (("feeds", "*", "fuse"), "fuse"),
    ),
}


def part_role(raw: object) -> str | None:
    """Return the role that a part as plain data claims, None where it claims none."""
    return next((r for r in ROLES if r in raw), None) if isinstance(raw, Mapping) else None


def _entries(data: Mapping[str, Any], section: str) -> Iterator[tuple[str, dict[str, Any]]]:
    found = data.get(section)
    if isinstance(found, dict):
        yield from ((name, entry) for name, entry in found.items() if isinstance(entry, dict))


def _follow(entry: Any, steps: tuple[str, ...], path: Key) -> Iterator[tuple[Key, Any]]:
    if not steps:
        yield path, entry
    elif steps[0] == "*":
        if isinstance(entry, list):
            for i, item in enumerate(entry):
                yield from _follow(item, steps[1:], (*path, i))
    elif isinstance(entry, dict) and steps[0] in entry:
        yield from _follow(entry[steps[0]], steps[1:], (*path, steps[0]))


def named_parts(data: Mapping[str, Any]) -> Iterator[tuple[Key, str, str]]:
    """Yield (path, name, role) for every part that the data names; bare fuse ratings are not names."""
    for section, references in PART_REFERENCES.items():
        for name, entry in _entries(data, section):
            for steps, role in references:
                for path, value in _follow(entry, steps, (section, name)):
                    if isinstance(value, str) and not (role == "fuse" and re.match(r"\s*[\d.+-]", value)):
                        yield path, value.strip(), role


def _runs(value: object) -> tuple[Run, ...]:
    try:
        return _read_props(value)
    except Exception:  # a malformed value is told by the model
        return ()


def check(data: Mapping[str, Any], find_part: Callable[[str], object], known_parts: list[str]) -> Iterator[Told]:
    """Yield (path, found, expected, mend) for every name that leads nowhere.

    Args:
        data: the display file as plain data, `extends` carried out.
        find_part: returns a part as plain data by name, None where there is none.
        known_parts: the names of all parts.
    """
    for path, name, role in named_parts(data):
        part = find_part(name)
        if part is None:
            right = [n for n in known_parts if part_role(find_part(n)) == role]
            mend = nearest(name, right) or f"The catalogue lists them: strandwright parts {role}."
            yield path, show(name), f"the name of a {role} part", mend
        elif (actual := part_role(part)) not in (role, None):
            yield path, f"{show(name)}, which is a {actual}", f"the name of a {role} part", ""
    yield from _check_strings(data)
    kinds = [name for name, _ in _entries(data, "kinds")]
    levels = data.get("levels")
    for name in levels if isinstance(levels, dict) else ():
        if name not in kinds:
            yield ("levels", name), show(name), "the name of a kind", nearest(name, kinds)


def _check_strings(data: Mapping[str, Any]) -> Iterator[Told]:
    controllers = dict(_entries(data, "controllers"))
    supplies = [name for name, _ in _entries(data, "supplies")]
    kinds = dict(_entries(data, "kinds"))
    taken: dict[str, str] = {}
    props = nodes = 0
    for name, entry in _entries(data, "strings"):
        here: Key = ("strings", name)
        yield from _check_output(here, entry.get("output"), name, controllers, taken)
        for path, value in (
            *_follow(entry, ("supply",), here),
            *_follow(entry, ("feeds", "*", "supply"), here),
        ):
            if isinstance(value, str) and value not in supplies:
                yield path, show(value), "the name of a supply", nearest(value, supplies)
        runs = _runs(entry.get("props"))
        for run in runs:
            if run.kind not in kinds:
                yield (*here, "props"), show(run.kind), "the name of a kind", nearest(run.kind, list(kinds))
            else:
                fill = kinds[run.kind].get("fill")
                count = fill.get("count", 1) if isinstance(fill, dict) else 1
                nodes += run.count * (count if isinstance(count, int) else 1)
        total = sum(run.count for run in runs)
        props += total
        yield from _check_places(here, entry, total)
    if props > MOST_PROPS or nodes > MOST_NODES:
        found = f"{props:,} props with {nodes:,} nodes"
        yield ("strings",), found, f"at most {MOST_PROPS:,} props and {MOST_NODES:,} nodes in one display", ""


def _check_output(
    here: Key, value: object, string: str, controllers: Mapping[str, Any], taken: dict[str, str]
) -> Iterator[Told]:
    if not isinstance(value, str) or "/" not in value:
        return
    controller, _, number = (p.strip() for p in value.partition("/"))
    path = (*here, "output")
    if controller not in controllers:
        yield path, show(value), "an output of a controller", nearest(controller, list(controllers))
        return
    outputs = controllers[controller].get("outputs")
    if number.isdigit() and isinstance(outputs, int) and not 1 <= int(number[:9]) <= outputs:
        yield path, show(value), f"an output from {controller}/1 to {controller}/{outputs}", ""
    key = f"{controller}/{number.lstrip('0')}"
    if key in taken:
        mend = "Put all props of one data line into one string, or use another output."
        yield (
            path,
            f"{show(value)}, which already carries string {show(taken[key])}",
            "an output of its own",
            mend,
        )
    taken.setdefault(key, string)


def _check_places(here: Key, entry: Mapping[str, Any], props: int) -> Iterator[Told]:
    if props == 0:
        return
    span = entry.get("span")
    if props > 1 and span is None:
        yield (
            here,
            f"{props} props and no span",
            'span: the cable between neighbours, like {length: "1.8 m"}',
            "",
        )
    lengths = span.get("length") if isinstance(span, dict) else None
    if isinstance(lengths, list) and len(lengths) not in (1, props - 1):
        expected = f"one length, or {props - 1} (one for each gap between {props} props)"
        yield (*here, "span", "length"), f"{len(lengths)} lengths", expected, ""
    seen: dict[int, int] = {}
    feeds = entry.get("feeds")
    for i, feed in enumerate(feeds if isinstance(feeds, list) else ()):
        before = feed.get("before") if isinstance(feed, dict) else None
        if not isinstance(before, int) or isinstance(before, bool):
            continue
        path = (*here, "feeds", i, "before")
        if not 1 <= before <= props:
            yield path, str(before)[:40], f"the number of a prop on this string (1 to {props})", ""
        elif before in seen:
            yield path, f"a second feed before prop {before}", "one feed at one place", ""
        seen[before] = i
