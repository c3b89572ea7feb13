"""Whether the kinds of a display are alike at the levels of its file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from hollowglow.analysis.match.light import Row
from hollowglow.analysis.match.solve import ROUNDS, solve
from hollowglow.analysis.prop.optics import Optics
from hollowglow.assembly import Assembly
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.quantities import distance, luminance

# From here on unlike kinds are told apart at a glance, also with dark between them: an estimate of our own.
UNEQUAL = 1.2
KINDS_UNEQUAL = Code(
    "kinds-unequal",
    "note",
    "match",
    "an estimate of our own: a ratio above 1.2 is seen at a glance",
    ("unlike", "bright", "dim", "ratio", "viewing", "bright_luminance", "dim_luminance"),
)
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
    yield KINDS_UNEQUAL.found(
        [*unlike, dim.kind],
        {
            "unlike": tuple(unlike),
            "bright": bright.kind,
            "dim": dim.kind,
            "ratio": ratio,
            "viewing": distance(assembly.display.viewing),
            "bright_luminance": luminance(bright.luminance_cd_m2),
            "dim_luminance": luminance(dim.luminance_cd_m2),
        },
        [_mend(assembly, optics)],
    )


def _mend(assembly: Assembly, optics: Optics) -> Mend:
    """Return the levels and trims that make the kinds alike."""
    try:
        made = solve(assembly, optics, rounds=1 if len(assembly.network.load_characteristic) > _MANY else ROUNDS)
    except Refusal:  # lit at the file's levels, dark at full
        return Mend("more-voltage-first")
    levels = tuple((row.kind, row.level) for row in made.rows)
    trims = tuple((row.kind, tuple(row.trims)) for row in made.rows if min(row.trims) < 1.0)
    edits = [Put(("levels", kind), level_words(level)) for kind, level in levels]
    edits += [Put(("trims", kind), list(own)) for kind, own in trims]
    return Mend("match", {"levels": levels, "trims": trims}, tuple(edits))


def level_words(level: float) -> str:
    """Return a level as it stands in the file, such as 85 %."""
    return f"{100.0 * level:.6g} %"


def trim_words(trim: float) -> str:
    """Return a trim as it stands in the file, such as 0.9."""
    return f"{trim:.6g}"
