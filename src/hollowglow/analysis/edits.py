"""Edits of a display file that carry a mend out."""

from __future__ import annotations

from dataclasses import replace

from hollowglow.file.text.commands import Put
from hollowglow.quantity.quantities import Quantity, tell


def put(path: tuple[str | int, ...], value: Quantity) -> Put:
    """Return the edit that states a quantity in the file."""
    return Put(path, tell(replace(value, digits=None, stated=True)))
