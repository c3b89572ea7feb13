"""Levels that make the kinds of a display file look alike: computed, as plain data, and written into the file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hollowglow.analysis import match
from hollowglow.analysis.match import By, Match, SupplyDraw, Target, level_words
from hollowglow.analysis.prop import optics
from hollowglow.assembly import Assembly, expand
from hollowglow.file import load
from hollowglow.file.history import change
from hollowglow.file.store.files import read_text
from hollowglow.file.text.edit import Edit, Put, Remove
from hollowglow.file.text.source import parse_text
from hollowglow.jobs.matching.measured import kept_and, kept_readings
from hollowglow.measured.readings import Taking
from hollowglow.messages.refusal import Input, Refusal
from hollowglow.plan import Progress, silent
from hollowglow.quantity.numbers import plain
from hollowglow.quantity.shown import visible
from hollowglow.view.rows.level_rows import level_row

_LEAST_Y = 0.001


LEVELS_THAT_MATCH = "levels that match"


@dataclass(frozen=True)
class Matched:
    """A display expanded, the light of its kinds, the levels that match, and the kinds that kept readings corrected."""

    assembly: Assembly
    optics: optics.Optics
    match: Match
    remembered: tuple[str, ...] = ()


def read_share(text: str) -> float:
    """Return a share as a number: "40 %", "40%" and "40" are 40 %, a number up to 1 is a share.

    Raises:
        Refusal: anything else, or a share that is not above 0 and at most 100 %.
    """
    bare = text.strip().removesuffix("%").strip()
    try:
        value = float(bare)
    except ValueError:
        value = math.nan
    share = value / 100.0 if "%" in text or value > 1.0 else value
    if not 0.0 < share <= 1.0:
        raise Refusal(Input("share"), f' is {text!r}; expected a share above 0 and up to 100 %, like "40 %" or 40.')
    return share


def read_white(text: str) -> tuple[float, float]:
    """Return a CIE 1931 chromaticity from "0.3127,0.3290"; raises Refusal for anything else."""
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        x = y = math.nan
    if not (0.0 <= x <= 1.0 and _LEAST_Y <= y <= 1.0 and x + y <= 1.0 + 1e-9):
        raise Refusal(
            Input("white"),
            f" is {text!r}; expected a CIE 1931 chromaticity like 0.3127,0.3290 (x from 0, y from {_LEAST_Y}, "
            "together at most 1).",
        )
    return x, y


def read_target(by: By | None, share: str | None, luminance: float | None, white: str | None) -> Target:
    """Return what is asked for on the command line; raises Refusal where it contradicts itself."""
    if luminance is not None:
        if share is not None:
            raise Refusal(Input("share"), " and ", Input("luminance"), " both say how bright; leave one of them out.")
        if by == "intensity":
            raise Refusal(
                Input("luminance"),
                " is no intensity; leave out ",
                Input("by", "intensity"),
                ", or give ",
                Input("share"),
                " instead.",
            )
        if not (math.isfinite(luminance) and luminance > 0.0):
            raise Refusal(Input("luminance"), f" is {luminance:g}; expected cd/m2 above 0, like 40.")
        by = by or "luminance"
    return Target(
        by=by or "view",
        share=1.0 if share is None else read_share(share),
        luminance_cd_m2=luminance,
        white_xy=None if white is None else read_white(white),
    )


def match_file(
    path: Path | str,
    target: Target | None = None,
    progress: Progress = silent,
    takings: Sequence[Taking] = (),
) -> Matched:
    """Return the levels that match for a display file.

    Args:
        path: of the display file.
        target: what is asked for.
        progress: called with the name of each step as it begins.
        takings: measurements beyond those kept beside the file, newer than these.

    Raises:
        DisplayError: the file cannot be read.
        Refusal: no kind's light is known, or the readings beside the file cannot be read.
    """
    progress("load")
    display = load(path)
    progress("expand")
    assembly = expand(display)
    progress("light")
    lit = optics.analyse(assembly)
    progress("match")
    kept = kept_and(path, display, takings) if takings else kept_readings(path, display)
    lit = optics.corrected(lit, assembly.kinds.names, kept)
    remembered = tuple(n for n, one in zip(assembly.kinds.names, lit.measured, strict=False) if one is not None)
    return Matched(assembly, lit, match.solve(assembly, lit, target), remembered)


def level_edits(made: Matched, stated: Mapping[str, Any]) -> tuple[Edit, ...]:
    """Return what writes the levels and trims into a display file that states what is given as plain data."""
    edits: list[Edit] = []
    trims = stated.get("trims") or {}
    for row in made.match.rows:
        words = level_words(row.level)
        if (stated.get("levels") or {}).get(row.kind) != words:
            edits.append(Put(("levels", row.kind), words))
        own = [1 if t == 1.0 else float(f"{t:.6g}") for t in row.trims]
        if min(row.trims) < 1.0:
            edits.append(Put(("trims", row.kind), own))
        elif row.kind in trims:
            edits.append(Remove(("trims", row.kind)))
    left = {e.path[1] for e in edits if e.path[0] == "trims" and isinstance(e, Remove)}
    if trims and left == set(trims) and not any(e.path[0] == "trims" and isinstance(e, Put) for e in edits):
        edits = [*(e for e in edits if e.path[0] != "trims"), Remove(("trims",))]
    return tuple(edits)


def apply(made: Matched, path: Path | str) -> bool:
    """Write the levels and trims into a display file and return whether it changed; comments and order stay.

    Raises:
        DisplayError: the file cannot be read any more; it is as it was.
        Refusal: it cannot be written.
    """
    text = read_text(Path(path))
    edits = level_edits(made, parse_text(text, visible(str(path))).data)
    return change(path, edits, LEVELS_THAT_MATCH) != text


def match_document(made: Matched) -> dict[str, Any]:
    """Return the levels as plain data for JSON: shares, cd/m² (by intensity cd), W, A."""
    found = made.match
    return {
        "display": made.assembly.display.display,
        "by": found.target.by,
        "share": None if found.target.luminance_cd_m2 is not None else found.target.share,
        "viewing": made.assembly.display.viewing,
        "target": plain(found.wanted),
        "white": [plain(v) for v in found.white_xy],
        "reference": found.reference,
        "levels": [
            level_row(row) | {"surface": plain(surface), "too_dim": row.short, "white_reached": row.white_reached}
            for row, surface in zip(found.rows, found.surface, strict=True)
        ],
        "left_out": [{"kind": kind, "reason": why} for kind, why in found.left_out],
        "settled": found.settled,
        "rounds": found.rounds,
        "moved": plain(found.moved, 9),
        "unsolved": list(found.unsolved),
        "power": {"now": plain(found.now.power_w), "matched": plain(found.matched.power_w),
                  "full": plain(found.full.power_w)},
        "current": {"now": plain(found.now.current_a), "matched": plain(found.matched.current_a),
                    "full": plain(found.full.current_a)},
        "saved": _saved(found.now, found.matched),
    }  # fmt: skip


def _saved(now: SupplyDraw, then: SupplyDraw) -> dict[str, float | None]:
    return {"power": plain(now.power_w - then.power_w), "current": plain(now.current_a - then.current_a)}
