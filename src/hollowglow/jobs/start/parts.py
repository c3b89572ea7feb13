"""Looking into the parts catalogue."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from hollowglow.file import Display
from hollowglow.file.model.parts import ROLES
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.inheritance import nearest
from hollowglow.file.reading.references import part_role
from hollowglow.messages.refusal import Job, Refusal, Words, parts
from hollowglow.quantity.shown import show


@dataclass(frozen=True, slots=True)
class PartLine:
    """One part in one line."""

    name: str
    role: str
    about: str
    price: float | None


@dataclass(frozen=True, slots=True)
class Number:
    """One stated number of a part, with its basis."""

    key: str
    value: str
    basis: str


def list_parts(role: str | None = None) -> list[PartLine]:
    """Return the catalogue's parts, or those of one role ("light", "cable", ...)."""
    lines = []
    for name, raw in raw_catalogue().items():
        own = part_role(raw) or ""
        if role is None or own == role:
            lines.append(PartLine(name, own, str(raw.get("about", "")), raw.get("price")))
    return lines


def parts_of(role: str, display: Display | None = None) -> list[str]:
    """Return the names of the parts of one role: those that a display states itself, then the catalogue's."""
    own = (
        []
        if display is None
        else [name for name, part in display.parts.items() if getattr(part, role, None) is not None]
    )
    return list(dict.fromkeys([*own, *(line.name for line in list_parts(role))]))


def part_numbers(name: str) -> list[Number]:
    """Return every stated value of a part with its basis.

    Raises:
        Refusal: when there is no such part.
    """
    catalogue = raw_catalogue()
    if name not in catalogue:
        hint: Words = nearest(name, [*catalogue, *ROLES]) or ("List them all with: ", Job("parts"), ".")
        raise Refusal(f"There is no part {show(name)} in the catalogue. ", *parts(hint))
    raw = catalogue[name]
    basis = raw.get("basis", "typical")
    return [
        Number(key, value, _basis_of(key, basis))
        for key, value in _leaves({k: v for k, v in raw.items() if k not in ("about", "basis", "source")}, "")
    ]


def _basis_of(key: str, basis: Any) -> str:
    if not isinstance(basis, dict):
        return str(basis)
    steps = key.split(".")
    for end in range(len(steps), 0, -1):
        if ".".join(steps[:end]) in basis:
            return str(basis[".".join(steps[:end])])
    return str(basis.get("default", "typical"))


def _leaves(value: Any, key: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _leaves(inner, f"{key}.{name}" if key else str(name))
    elif isinstance(value, list):
        yield key, ", ".join(str(v) for v in value)
    else:
        yield key, str(value)
