"""Tolerance analysis: a display file sampled many times, and the answer as plain data."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from hollowglow import __version__
from hollowglow.analysis.circuit.tolerance import ToleranceAnalysis, analyse
from hollowglow.assembly import expand
from hollowglow.file import Display, load
from hollowglow.file.model.tolerances import MOST_SAMPLES
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.numbers import plain_tree

LEAST_SAMPLES = 10
MOST_SEED = 2**53


def tolerance_file(
    path: Path | str,
    samples: int | None = None,
    seed: int | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> tuple[Display, ToleranceAnalysis]:
    """Return a display and what the tolerances of its parts make of it.

    Args:
        path: of the display file.
        samples, seed: in place of what the file states.
        progress: called with how many samples of how many are solved.

    Raises:
        DisplayError: when the file cannot be read.
        Refusal: when samples or seed are out of range.
    """
    for name, value, low, high in (("samples", samples, LEAST_SAMPLES, MOST_SAMPLES), ("seed", seed, 0, MOST_SEED)):
        if value is not None and not low <= value <= high:
            raise Refusal(f"found {value}, expected a whole number from {low:,} to {high:,}.", field=name)
    display = load(path)
    return display, analyse(expand(display), samples, seed, progress)


def document(display: Display, found: ToleranceAnalysis) -> dict[str, Any]:
    """Return a tolerance analysis as the JSON document's plain data."""
    return {
        "display": display.display,
        "hollowglow": __version__,
        "tolerances": display.tolerances.model_dump() | {"samples": found.samples, "seed": found.seed},
        **plain_tree({k: v for k, v in asdict(found).items() if k not in ("samples", "seed")}),
    }
