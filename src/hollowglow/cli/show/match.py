"""A match on the terminal: the levels, what is left of the mismatch, and what to type into a controller."""

from __future__ import annotations

import math
from collections.abc import Iterator

from rich.console import Console
from rich.table import Table
from rich.text import Text

from hollowglow.analysis.match import UNEQUAL, Match, Row, trim_words
from hollowglow.jobs.matching.match import Matched
from hollowglow.quantity.numbers import number
from hollowglow.quantity.quantities import distance, tell
from hollowglow.quantity.reader import METRIC, US
from hollowglow.quantity.words import amps, percent, watts
from hollowglow.view.rows.level_rows import in_percent, of_255

_BY = {
    "luminance": "by the luminance of the wall, as seen from near",
    "intensity": "by intensity, as seen from far",
    "view": "by what the eye makes of luminance and intensity at the viewing distance",
}


def show_match(console: Console, made: Matched) -> None:
    """Print the levels that match."""
    found = made.match
    console.print(Text(f"Levels that match: {made.assembly.display.display}", style="bold"))
    console.print(_aim(found, made.assembly.display.viewing))
    if made.remembered:
        console.print(f"The model is corrected by what was measured of {', '.join(made.remembered)}.")
        console.print(f"Measured over computed: {', '.join(_measured(made))}.")
    console.print()
    table = _table("kind", "level", "trims", "cd/m2", "cd", "off", "dL*", "Δu′v′", "fade steps")
    for row in found.rows:
        table.add_row(
            row.kind,
            f"{100.0 * row.level:.4g} %",
            "-" if min(row.trims) == 1.0 else " ".join(map(trim_words, row.trims)),
            number(row.luminance_cd_m2),
            number(row.intensity_cd),
            _signed(100.0 * row.residual, 1) + " %",
            _signed(row.residual_lightness, 1),
            f"{row.chromaticity_shift:.4f}",
            _fade_steps(row),
        )
    console.print(table)
    console.print()
    console.print(Text("What to type", style="bold"))
    table = _table("kind", "controller", "curve", "%", "0-255", "trims %", "trims 0-255")
    for row in found.rows:
        for one in row.settings:
            steps = one.grid.steps
            trims = one.trims or ()
            table.add_row(
                row.kind,
                one.controller,
                str(one.grid.curve),
                f"{in_percent(one.level, steps):g}",
                f"{of_255(one.level, steps)}",
                " ".join(f"{in_percent(t, steps):g}" for t in trims) or "-",
                " ".join(f"{of_255(t, steps)}" for t in trims) or "-",
            )
    console.print(table)
    console.print()
    for line in _remarks(found):
        console.print(line)
    console.print(
        "off is brightness over the target less 1 after rounding to the controller's steps; dL* the same as CIE 1976 "
        "lightness; Δu′v′ how far its white is from the common one; fade steps the different duties above dark that are left "
        "to fade with (of the most trimmed colour after the slash). All at full white, voltages of the display included.",
        style="dim",
    )


def _measured(made: Matched) -> Iterator[str]:
    """Yield each measured kind with measured over computed, in the figure that is matched by."""
    by_intensity = made.match.target.by == "intensity"
    for kind, one in zip(made.assembly.kinds.names, made.optics.measured, strict=False):
        if one is not None:
            yield f"{kind} {number(one.intensity if by_intensity else one.luminance)}"


def _table(*columns: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for words in columns:
        left = words in ("kind", "trims", "controller", "curve", "trims %", "trims 0-255")
        table.add_column(words, justify="left" if left else "right", overflow="fold")
    return table


def _fade_steps(row: Row) -> str:
    least = min(row.fade_steps_by_colour)
    return f"{row.fade_steps}" if least == row.fade_steps else f"{row.fade_steps} / {least}"


def _signed(value: float, digits: int) -> str:
    if not math.isfinite(value):
        return "unknown"
    rounded = round(value, digits)
    return f"{rounded:+.{digits}f}" if rounded else f"{0.0:.{digits}f}"


def _aim(found: Match, viewing_m: float) -> str:
    unit = "cd" if found.target.by == "intensity" else "cd/m2"
    eye = ", ".join(tell(distance(viewing_m), one) for one in (METRIC, US))
    words = f"Matched {_BY[found.target.by]} ({eye}), to {number(found.wanted)} {unit}"
    if found.target.luminance_cd_m2 is not None:
        words += ", as asked for"
    else:
        words += f", {percent(found.target.share)} of {found.reference} at full"
    x, y = found.white_xy
    whose = "as asked for" if found.target.white_xy is not None else f"that of {found.reference}, the dimmest"
    return f"{words}; white x {x:.3f}, y {y:.3f} ({whose})."


def _remarks(found: Match) -> Iterator[str]:
    now, then = found.now, found.matched
    if math.isfinite(now.power_w) and math.isfinite(then.power_w):
        saved = now.power_w - then.power_w
        kept = "saved" if saved >= 0.0 else "more"
        yield (
            f"Full white takes {watts(then.power_w)} and {amps(then.current_a)} at these levels, {watts(now.power_w)} and "
            f"{amps(now.current_a)} at those of the file: {watts(abs(saved))} and "
            f"{amps(abs(now.current_a - then.current_a))} {kept}."
        )
    else:
        yield "What it draws is unknown, because there is no steady voltage; hollowglow check says why."
    if not found.settled:
        yield (
            f"The levels did not come to rest in {found.rounds} rounds and still moved by {percent(found.moved)}: take them "
            "as that rough."
        )
    for name in found.unsolved:
        yield f"{name} has no steady voltage; it is taken at its nominal one."
    for row in found.rows:
        if row.short:
            yield f"{row.kind} is too dim: at full it stays {percent(-row.residual)} below the target."
        elif not 1.0 / UNEQUAL <= 1.0 + row.residual <= UNEQUAL:
            how = "bright" if row.residual > 0.0 else "dim"
            yield (
                f"{row.kind} comes out {percent(abs(row.residual))} too {how}: its controller has no nearer setting. A higher "
                "share leaves less of that."
            )
        if not row.white_reached:
            off = f"{row.chromaticity_shift:.3f} Δu′v′"
            yield f"{row.kind} cannot mix that white from its colours; it keeps its own, {off} away."
    for kind, why in found.left_out:
        yield f"{kind} is left out: {why}."
