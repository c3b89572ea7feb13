"""Whether the kinds of a display are alike at the levels of its file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from hollowglow.analysis.match.light import Row
from hollowglow.analysis.match.solve import ROUNDS, solve
from hollowglow.analysis.prop.optics import Optics
from hollowglow.assembly import Assembly
from hollowglow.messages import Finding, finding
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.numbers import number
from hollowglow.quantity.quantities import distance, tell
from hollowglow.quantity.words import several

# From here on unlike kinds are told apart at a glance, also with dark between them: an estimate of our own.
UNEQUAL = 1.2
# Above so many loads the levels of a mend are those at their first voltages; match works them out fully.
_MANY = 50_000


def judge(assembly: Assembly, optics: Optics, rows: Sequence[Row]) -> Iterator[Finding]:
    """Yield a finding where kinds differ at the levels of the file.

    Args:
        build: the display expanded.
        optics: the light of its kinds.
        rows: every kind at the levels of the file.
    """
    hung = np.bincount(assembly.props.kind, minlength=len(rows)) > 0
    lit = [row for row, used in zip(rows, hung.tolist(), strict=True) if used and row.figure > 0.0]
    if len(lit) < 2:
        return
    bright, dim = max(lit, key=lambda r: r.figure), min(lit, key=lambda r: r.figure)
    ratio = bright.figure / dim.figure
    if ratio <= UNEQUAL:
        return
    unlike = [row.kind for row in lit if row.figure > UNEQUAL * dim.figure]
    yield finding(
        "kinds-unequal",
        [*unlike, dim.kind],
        f"{several(unlike)} outshine{'s' if len(unlike) == 1 else ''} {dim.kind} at the file's levels: {bright.kind} "
        f"looks {100.0 * (ratio - 1.0):.0f} % brighter from {tell(distance(assembly.display.viewing))}, "
        f"{number(bright.luminance_cd_m2)} cd/m2 against "
        f"{number(dim.luminance_cd_m2)} cd/m2 over the wall.",
        _mend(assembly, optics),
    )


def _mend(assembly: Assembly, optics: Optics) -> str:
    """Return the levels and trims that make the kinds alike."""
    try:
        made = solve(assembly, optics, rounds=1 if len(assembly.network.load_characteristic) > _MANY else ROUNDS)
    except Refusal:  # lit at the file's levels, dark at full
        return "Bring the kinds more voltage first; then hollowglow match finds the levels."
    levels = ", ".join(f"{row.kind}: {level_words(row.level)}" for row in made.rows)
    trims = ", ".join(f"{r.kind}: [{', '.join(map(trim_words, r.trims))}]" for r in made.rows if min(r.trims) < 1.0)
    return (
        f"They match with levels: {{{levels}}}" + (f" and trims: {{{trims}}}" if trims else "") + "; hollowglow "
        "match --apply writes them into the file."
    )


def level_words(level: float) -> str:
    """Return a level as it stands in the file, such as 85 %."""
    return f"{100.0 * level:.6g} %"


def trim_words(trim: float) -> str:
    """Return a trim as it stands in the file, such as 0.9."""
    return f"{trim:.6g}"
