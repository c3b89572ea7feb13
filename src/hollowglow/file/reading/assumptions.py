"""What the tool assumes because the display file does not say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from hollowglow.file.model.display import Display
from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.keys import assumption
from hollowglow.file.model.kind import DEFAULT_CABLE

# Sections in the order in which they are told; the others are told where something leans on them.
_PLAN = (
    "place",
    "limits",
    "supplies",
    "mains",
    "season",
    "controllers",
    "kinds",
    "strings",
    "parts",
    "labour",
    "tolerances",
)


@dataclass(frozen=True, slots=True)
class Assumption:
    """One default that was used: where it would be stated, its value, and what it means.

    Attributes:
        place: where: section and name of an entry and the key inside it, or two empty texts and a key of the top.
        value: what was taken.
        reason: what that means.
        amount: a length in m or a mass in kg with its unit, None for others.
    """

    place: tuple[str, str, str]
    value: str
    reason: str
    amount: tuple[float, str] | None = None

    @property
    def where(self) -> str:
        """Return the path of its key in the file, as in kinds.float.pigtail."""
        return ".".join(word for word in self.place if word)


def assumptions(display: Display) -> Iterator[Assumption]:
    """Yield every default that a plan of this display leans on."""
    yield from _own(("", "", ""), display)
    yield from _sections(display, _PLAN)


def feeding_assumptions(display: Display) -> Iterator[Assumption]:
    """Yield the defaults that planning feeds leans on beyond those of the plan."""
    return _sections(display, ("feeding",))


def keeping_assumptions(display: Display) -> Iterator[Assumption]:
    """Yield the defaults that spares and packing lean on beyond those of the plan."""
    return _sections(display, ("spares", "packing"))


def _sections(display: Display, sections: Iterable[str]) -> Iterator[Assumption]:
    used = _used(display)
    for section in sections:
        stated = getattr(display, section)
        if not isinstance(stated, Mapping):
            yield from _table(("", "", f"{section}."), stated, display)
            continue
        for name, entry in stated.items():
            if section != "parts" or name in used:
                yield from _table((section, name, ""), entry, display)
            if section == "kinds" and name not in display.levels:
                yield Assumption(("levels", name, ""), "100 %", "full brightness")


def _own(place: tuple[str, str, str], table: Frozen, *around: Frozen) -> Iterator[Assumption]:
    """Yield what is assumed of the keys that a table does not state."""
    section, name, path = place
    for key, field in type(table).model_fields.items():
        taken = None if key in table.model_fields_set else assumption(field, table, *around)
        if taken is not None:
            yield Assumption((section, name, path + (field.alias or key)), *taken)


def _table(place: tuple[str, str, str], table: Frozen, *around: Frozen) -> Iterator[Assumption]:
    """Yield what is assumed of a table and of the tables inside it; `around` are those around it, nearest first."""
    yield from _own(place, table, *around)
    section, name, path = place
    for key in type(table).model_fields:
        value = getattr(table, key)
        if isinstance(value, Frozen):
            yield from _table((section, name, f"{path}{key}."), value, table, *around)
        elif isinstance(value, tuple):
            for i, one in enumerate(value, 1):
                if isinstance(one, Frozen):
                    yield from _table((section, name, f"{path}{key}[{i}]."), one, table, *around)


def _used(display: Display) -> set[str]:
    """Return the names of the parts that the display's kinds, strings and supplies use."""
    named: set[str | None] = {supply.part for supply in display.supplies.values()}
    for kind in display.kinds.values():
        named |= {kind.fill.light, kind.fill.wiring.cable if kind.fill.wiring else None}
        named |= {kind.pigtail.cable, kind.pigtail.plug} if kind.pigtail else set()
    for string in display.strings.values():
        named |= {string.lead.cable, string.lead.joint, string.fuse.part if string.fuse else None}
        if string.span is not None and string.span.extension is not None:
            named.add(string.span.extension)
        elif string.span is not None:
            named |= {string.span.cable or DEFAULT_CABLE, string.span.joint}
        for feed in string.feeds:
            named |= {feed.cable, feed.joint, feed.fuse.part if feed.fuse else None}
    ready = [display.parts[n].extension for n in named if n is not None]
    named |= {name for e in ready if e is not None for name in (e.cable, e.plug)}
    return {n for n in named if n is not None}
