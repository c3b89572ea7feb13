"""Scatter of parts: a display file drawn many times, and the answer as plain data."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from hollowglow import __version__
from hollowglow.analysis.circuit.tolerance import ToleranceAnalysis, analyse
from hollowglow.assembly import expand
from hollowglow.file import Display, load
from hollowglow.file.model.tolerances import MOST_DRAWS
from hollowglow.messages.errors import UseError
from hollowglow.quantity.rounded import plain_tree

LEAST_DRAWS = 10
MOST_SEED = 2**53


def tolerance_file(
    path: Path | str,
    draws: int | None = None,
    seed: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Display, ToleranceAnalysis]:
    """Return a display and what the tolerances of its parts make of it.

    Args:
        path: of the display file.
        draws, seed: in place of what the file states.
        progress: called with how many draws of how many are solved.

    Raises:
        DisplayError: when the file cannot be read.
        UseError: when draws or seed are out of range.
    """
    for name, value, low, high in (("--draws", draws, LEAST_DRAWS, MOST_DRAWS), ("--seed", seed, 0, MOST_SEED)):
        if value is not None and not low <= value <= high:
            raise UseError(f"{name}: found {value}, expected a whole number from {low:,} to {high:,}.")
    display = load(path)
    return display, analyse(expand(display), draws, seed, progress)


def document(display: Display, scatter: ToleranceAnalysis) -> dict[str, Any]:
    """Return a scatter as the JSON document's plain data."""
    return {
        "display": display.display,
        "hollowglow": __version__,
        "tolerances": display.tolerances.model_dump() | {"draws": scatter.draws, "seed": scatter.seed},
        **plain_tree({k: v for k, v in asdict(scatter).items() if k not in ("draws", "seed")}),
    }
