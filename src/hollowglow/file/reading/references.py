"""Names that point at other entries of a display file: each must exist and be of the right sort."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from hollowglow.file.model.display import MOST_NODES, MOST_PROPS, RATING_START, Run, read_output, read_run
from hollowglow.file.model.kind import DEFAULT_CABLE
from hollowglow.file.model.parts import ROLES
from hollowglow.file.text.source import Key
from hollowglow.quantity.shown import a, nearest, nearest_or_all, show


@dataclass(frozen=True, slots=True)
class ReferenceProblem:
    """One thing wrong; `here` where it is wrong in this entry only, even if another one states the key."""

    path: Key
    found: str
    expected: str
    mend: str = ""
    here: bool = False


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
        (("place", "hook"), "hook"),
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
                    if isinstance(value, str) and value.strip() and not (role == "fuse" and RATING_START.match(value)):
                        yield path, value, role


def _names(data: Mapping[str, Any], section: str) -> list[str] | None:
    """Return the names of a section's entries; None where it is no table, which the model tells by itself."""
    entries = data.get(section)
    if entries is None:
        return []
    return list(entries) if isinstance(entries, dict) else None


def check(
    data: Mapping[str, Any], find_part: Callable[[str], object], known_parts: list[str]
) -> Iterator[ReferenceProblem]:
    """Yield what is wrong with every name that leads nowhere.

    Args:
        data: the display file as plain data, `extends` carried out.
        find_part: returns a part as plain data by name, None where there is none.
        known_parts: the names of all parts.
    """
    for path, name, role in named_parts(data):
        if name not in known_parts:
            right = [n for n in known_parts if part_role(find_part(n)) == role]
            mend = nearest(name, right) or f"The catalogue lists them: hollowglow parts {role}."
            yield ReferenceProblem(path, show(name), f"the name of {a(role)} part", mend)
        elif (actual := part_role(find_part(name))) not in (role, None):
            yield ReferenceProblem(path, f"{show(name)}, which is {a(str(actual))}", f"the name of {a(role)} part")
    kinds = _names(data, "kinds")
    levels = data.get("levels")
    if isinstance(levels, dict) and kinds is not None:
        for name in levels:
            if name not in kinds:
                yield ReferenceProblem(
                    ("levels", name), show(name), "the name of a kind", nearest_or_all(name, kinds, "kinds")
                )
    circuits = _names(data, "mains")
    for name, entry in _entries(data, "supplies"):
        circuit = entry.get("circuit")
        if isinstance(circuit, str) and circuits is not None and circuit not in circuits:
            mend = nearest_or_all(circuit, circuits, "circuits under mains")
            yield ReferenceProblem(
                ("supplies", name, "circuit"), show(circuit), "the name of a circuit under mains", mend
            )
    yield from _check_trims(data, kinds, find_part)
    yield from _Strings(data).check()


def _check_trims(
    data: Mapping[str, Any], kinds: list[str] | None, find_part: Callable[[str], object]
) -> Iterator[ReferenceProblem]:
    trims = data.get("trims")
    if not isinstance(trims, dict) or kinds is None:
        return
    for name, values in trims.items():
        if name not in kinds:
            yield ReferenceProblem(
                ("trims", name), show(name), "the name of a kind", nearest_or_all(name, kinds, "kinds")
            )
            continue
        if not isinstance(values, list):
            continue
        colours = _colours(find_part(_named_light(data, name)))
        if colours is not None and len(values) in (3, 4) and len(values) != colours:
            found = f"{len(values)} trims"
            yield ReferenceProblem(
                ("trims", name), found, f"{colours} trims, because the light of {name} has {colours} colours"
            )


def _named_light(data: Mapping[str, Any], kind: str) -> str:
    entry: Any = data.get("kinds", {}).get(kind)
    fill = entry.get("fill") if isinstance(entry, dict) else None
    light = fill.get("light") if isinstance(fill, dict) else None
    return light if isinstance(light, str) else ""


def _colours(part: object) -> int | None:
    """Return how many colours a light part as plain data has, None where it does not say so soundly."""
    light = part.get("light") if isinstance(part, Mapping) else None
    load = light.get("load") if isinstance(light, Mapping) else None
    for key in ("current", "forward", "power"):
        values = load.get(key) if isinstance(load, Mapping) else None
        if isinstance(values, (list, tuple)):
            return len(values)
    return None


def check_own_parts(own: Mapping[str, Any], catalogue: Mapping[str, Any]) -> Iterator[ReferenceProblem]:
    """Yield what is wrong with every part of the file whose name or role would mislead."""
    for name, raw in own.items():
        role = part_role(raw)
        built_in = part_role(catalogue.get(name))
        if role is not None and built_in not in (role, None):
            found = f"{a(role)} with the name of {a(str(built_in))} of the catalogue"
            yield ReferenceProblem(("parts", name), found, f"{a(str(built_in))}, or another name")
        if role == "fuse" and RATING_START.match(name):
            found = f"{show(name)} as the name of a fuse part"
            yield ReferenceProblem(
                ("parts", name), found, "a name that starts with a letter, because a fuse may be a bare rating"
            )


def uses_default_cable(data: Mapping[str, Any]) -> Iterator[str]:
    """Yield the name of the cable that stands in wherever none is named."""
    if data.get("strings") or data.get("kinds"):
        yield DEFAULT_CABLE


class _Strings:
    """The strings of a display held against its controllers, supplies and kinds."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.strings = dict(_entries(data, "strings"))
        self.controllers = _names(data, "controllers")
        self.outputs = {name: entry.get("outputs") for name, entry in _entries(data, "controllers")}
        self.supplies = _names(data, "supplies")
        self.kinds = _names(data, "kinds")
        self.fills = {name: entry.get("fill") for name, entry in _entries(data, "kinds")}
        self.taken: dict[tuple[str, int], str] = {}

    def check(self) -> Iterator[ReferenceProblem]:
        props = nodes = 0
        for name, entry in self.strings.items():
            here: Key = ("strings", name)
            yield from self.output(here, entry.get("output"), name)
            yield from self.supply(here, entry)
            runs, sound = self.runs(here, entry.get("props"))
            problems = [told for _, told in runs if told is not None]
            yield from problems
            counted = [run for run, _ in runs]
            total = sum(run.count for run in counted)
            props += total
            nodes += sum(run.count * self.nodes(run.kind) for run in counted)
            if sound and not problems and total:
                yield from _check_places(here, entry, total)
        if props > MOST_PROPS or nodes > MOST_NODES:
            found = f"{props:,} props with {nodes:,} nodes"
            yield ReferenceProblem(
                ("strings",), found, f"at most {MOST_PROPS:,} props and {MOST_NODES:,} nodes in one display"
            )

    def output(self, here: Key, value: object, string: str) -> Iterator[ReferenceProblem]:
        try:
            ref = read_output(value)
        except PydanticCustomError:
            return  # told by the model
        path = (*here, "output")
        if self.controllers is None:
            return
        if ref.controller not in self.controllers:
            near = nearest(ref.controller, self.controllers)
            mend = near.replace('"?', f'/{ref.number}"?') or nearest_or_all(
                ref.controller, self.controllers, "controllers"
            )
            yield ReferenceProblem(path, show(value), "an output of a controller", mend)
            return
        outputs = self.outputs.get(ref.controller)
        if isinstance(outputs, int) and outputs >= 1 and not 1 <= ref.number <= outputs:
            expected = f"an output from {ref.controller}/1 to {ref.controller}/{show(outputs)}"
            yield ReferenceProblem(path, show(value), expected)
        key = (ref.controller, ref.number)
        if key in self.taken:
            mend = "Put all props of one data line into one string, or use another output."
            found = f"{show(value)}, which already carries string {show(self.taken[key])}"
            yield ReferenceProblem(path, found, "an output of its own", mend, here=True)
        self.taken.setdefault(key, string)

    def supply(self, here: Key, entry: Mapping[str, Any]) -> Iterator[ReferenceProblem]:
        if self.supplies is None:
            return
        for path, value in (*_follow(entry, ("supply",), here), *_follow(entry, ("feeds", "*", "supply"), here)):
            if isinstance(value, str) and value not in self.supplies:
                mend = nearest_or_all(value, self.supplies, "supplies")
                yield ReferenceProblem(path, show(value), "the name of a supply", mend)

    def nodes(self, kind: str) -> int:
        fill = self.fills.get(kind)
        count = fill.get("count") if isinstance(fill, dict) else 1
        return count if isinstance(count, int) and 1 <= count <= MOST_NODES else 1

    def runs(self, here: Key, stated: object) -> tuple[list[tuple[Run, ReferenceProblem | None]], bool]:
        """Return the runs that can be read, each with what is wrong with it, and whether all could be read."""
        listed = isinstance(stated, list)
        found: list[tuple[Run, ReferenceProblem | None]] = []
        sound = True
        for i, value in enumerate(stated if isinstance(stated, list) else [stated]):
            try:
                run = read_run(value)
            except PydanticCustomError:
                sound = False  # told by the model
                continue
            told: ReferenceProblem | None = None
            if self.kinds is not None and run.kind not in self.kinds:
                path = (*here, "props", i) if listed else (*here, "props")
                told = ReferenceProblem(path, show(run.kind), "the name of a kind", self.kind_meant(run.kind))
            found.append((run, told))
        return found, sound

    def kind_meant(self, stated: str) -> str:
        """Return the way out for a kind that is not there: a count written otherwise, a list, or the nearest name."""
        kinds = self.kinds or []
        counted = re.fullmatch(r"(\d+)\s+(.+)", stated) or re.fullmatch(r"(?P<k>.+?)\s*[*x×]\s*(?P<n>\d+)", stated)
        if counted is not None:
            number, kind = counted.groups() if "k" not in counted.groupdict() else counted.group("n", "k")
            if kind in kinds:
                return f'Did you mean "{number} * {kind}"?'
        if "," in stated and all(part.strip() in kinds for part in stated.split(",")):
            return f"Did you mean [{', '.join(part.strip() for part in stated.split(','))}]?"
        if re.search(r",\s*\d+\s*[*x×]", stated) and kinds:
            return f"Write several as a list, like [{', '.join(f'5 * {kind}' for kind in list(kinds)[:2])}]."
        starred = re.fullmatch(r"\S*\s*[*x×]+\s*(.+)", stated)
        if starred is not None and starred.group(1) in kinds:
            return f'Write a whole count before it, like "12 * {starred.group(1)}".'
        return nearest_or_all(stated, kinds, "kinds")


def _check_places(here: Key, entry: Mapping[str, Any], props: int) -> Iterator[ReferenceProblem]:
    span = entry.get("span")
    if props > 1 and span is None:
        found = f"{props} props and no span"
        yield ReferenceProblem(here, found, 'span: the cable between neighbours, like {length: "1.8 m"}', here=True)
    lengths = span.get("length") if isinstance(span, dict) else None
    if isinstance(lengths, list) and lengths and len(lengths) not in (1, props - 1):
        expected = f"one length, or {props - 1} (one for each gap between {props} props)"
        yield ReferenceProblem((*here, "span", "length"), f"{len(lengths)} lengths", expected, here=True)
    seen: set[int] = set()
    feeds = entry.get("feeds")
    for i, feed in enumerate(feeds if isinstance(feeds, list) else ()):
        before = feed.get("before") if isinstance(feed, dict) else None
        if not isinstance(before, int) or isinstance(before, bool) or not 1 <= before <= MOST_PROPS:
            continue  # told by the model
        path = (*here, "feeds", i, "before")
        if before > props:
            yield ReferenceProblem(path, str(before), f"the number of a prop on this string (1 to {props})", here=True)
        elif before in seen:
            yield ReferenceProblem(path, f"a second feed before prop {before}", "one feed at one place")
        seen.add(before)
