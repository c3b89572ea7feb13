"""Edits of a display file that carry a mend out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from hollowglow.assembly import Assembly
from hollowglow.file.text.commands import Put
from hollowglow.quantity.numbers import rounded_down
from hollowglow.quantity.quantities import Quantity, tell


def put(path: tuple[str | int, ...], value: Quantity) -> Put:
    """Return the edit that states a quantity in the file."""
    return Put(path, tell(replace(value, digits=None, stated=True)))


def dimmed(assembly: Assembly, kinds: Iterable[str], to: float) -> tuple[Put, ...]:
    """Return the edits that bring the levels of kinds down to a share of what they are."""
    display = assembly.display
    return tuple(Put(("levels", kind), f"{100.0 * rounded_down(to * display.level(kind)):.6g} %") for kind in kinds)
