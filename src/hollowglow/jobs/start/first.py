"""The first lines of a display: one kind, one string, one supply, and more of each later on."""

from __future__ import annotations

import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from hollowglow.file import Display
from hollowglow.file.model.kind import SHELL_LENGTHS
from hollowglow.file.reading.load import load_text
from hollowglow.file.store.writing import shown, whole
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.written import Units

# A shell that is drawn by points has more to state than one size.
SHAPES: Mapping[str, tuple[str, ...]] = {shape: lengths for shape, lengths in SHELL_LENGTHS.items() if lengths}
FIRST_SUPPLY = "supply-12v-100w"


def kind(shape: str, size: str, light: str, count: int) -> dict[str, Any]:
    """Return the entry of a kind.

    Args:
        shape: of its shell.
        size: of every measure of the shell, as a person writes it, like "6 in".
        light: part name.
        count: how many lights are inside.

    Raises:
        Refusal: a shape that there is not.
    """
    if shape not in SHAPES:
        raise Refusal(f"There is no shell of the shape {shape!r}. The shapes are {', '.join(SHAPES)}.")
    return {
        "shell": {"shape": shape, **dict.fromkeys(SHAPES[shape], size)},
        "fill": {"light": light, "count": count},
    }


def string(
    display: Display | None, of: str, count: int, spacing: str, supply: str, controller: str, units: Units = "metric"
) -> dict[str, Any]:
    """Return the entry of a string on the first output that is free.

    Args:
        display: that it comes into, None for a new one.
        of: the kind of its props.
        count: of props.
        spacing: length of the cable between neighbours, as a person writes it.
        supply: that feeds it.
        controller: that drives it.
        units: that the lead is written in.

    Raises:
        Refusal: when the controller has no free output.
    """
    taken = {(s.output.controller, s.output.number) for s in display.strings.values()} if display is not None else set()
    most = display.controllers[controller].outputs if display is not None else 1
    free = next((n for n in range(1, most + 1) if (controller, n) not in taken), None)
    if free is None:
        raise Refusal(f"All {most} outputs of {controller} are taken. State another controller first.")
    return {
        "output": f"{controller}/{free}",
        "supply": supply,
        "props": f"{count} * {of}",
        "lead": {"length": "10 ft" if units == "us" else "3 m"},
        "span": {"length": spacing},
    }


def first_display(
    name: str,
    kind_name: str,
    entry: Mapping[str, Any],
    count: int,
    spacing: str,
    *,
    string_name: str = "string",
    supply: str = "supply",
    part: str = FIRST_SUPPLY,
    units: Units = "metric",
) -> dict[str, Any]:
    """Return a whole small display as plain data: one kind, one string of it, one supply, one controller.

    Args:
        name: of the display.
        kind_name: of the kind.
        entry: of the kind, as `kind` makes it.
        count: of props.
        spacing: length of the cable between neighbours, as a person writes it.
        string_name: of the string.
        supply: its name.
        part: that the supply is.
        units: that the lead is written in.
    """
    return {
        "display": name,
        "supplies": {supply: {"part": part}},
        "controllers": {"controller": {"outputs": 4, "nodes_per_output": 600}},
        "kinds": {kind_name: dict(entry)},
        "strings": {string_name: string(None, kind_name, count, spacing, supply, "controller", units)},
    }


def is_blank(path: Path) -> bool:
    """Return whether a display can be begun at a path: there is no file, or one with nothing in it."""
    try:
        return not path.exists() or (
            path.is_file() and path.stat().st_size < 4096 and not path.read_text("utf-8").strip()
        )
    except (OSError, ValueError):
        return False


def write_first(path: Path, data: Mapping[str, Any]) -> None:
    """Write a new display file.

    Raises:
        DisplayError: when the display would have mistakes; nothing is written then.
        Refusal: when there is a file with something in it, or it cannot be written.
    """
    if not is_blank(path):
        raise Refusal(f"{shown(path)} is there already, so nothing was written over it.")
    yaml, stream = YAML(), io.StringIO()
    yaml.indent(mapping=2, sequence=4, offset=2)
    yaml.dump(dict(data), stream)
    load_text(stream.getvalue(), shown(path))
    with whole(path) as file:
        file.write(stream.getvalue())
