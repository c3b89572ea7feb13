"""A tolerance analysis on the terminal: the chance of the whole, then strings, supplies and fuses, then what matters most."""

from __future__ import annotations

import math

from rich.console import Console
from rich.text import Text

from hollowglow.analysis.circuit.tolerance import Chance, StringTolerance, ThingTolerance, ToleranceAnalysis
from hollowglow.cli.show.plan import MOST_ROWS
from hollowglow.cli.show.tables import print_table, table
from hollowglow.file import Display
from hollowglow.quantity.words import percent, volts

_FEW = 5
_SORTS = {
    "supply": "setting of its supplies",
    "temperature": "temperature of the copper",
    "cable": "resistance of its cable",
    "joint": "its joints",
    "light": "currents of its lights",
}


def show_tolerance(console: Console, display: Display, found: ToleranceAnalysis) -> None:
    """Print a tolerance analysis."""
    console.print(Text(display.display, style="bold"))
    if not found.strings:
        console.print("This file has no strings yet, so there is nothing that could stray.")
        return
    console.print(
        f"{found.samples:,} samples with seed {found.seed}: the whole display stays within its limits in "
        f"{_chance(found.chance)} of them."
    )
    if found.unsolved:
        console.print(
            f"{found.unsolved:,} samples have no steady state, or two, with every driver running; they count as outside."
        )
    for string in found.strings:
        if string.dark:
            console.print(f"No V+ reaches {string.dark:,} places of lights of {string.name}, so it is never within.")
    _strings(console, found.strings)
    _things(console, "Supplies", "supply", found.supplies)
    _things(console, "Fuses", "fuse", found.fuses)
    _influences(console, found.strings)
    console.print(
        "\nThe chances are those of the tolerances that the file states or that were assumed (estimates: "
        "hollowglow plan lists them), not of faults, water or mistakes. Local codes and a licensed electrician decide "
        "what may be built.",
        style="dim",
    )


def _chance(chance: Chance) -> str:
    return f"{_share(chance.share)} (95 % sure: {_share(chance.low)} to {_share(chance.high)})"


def _share(share: float) -> str:
    """Return a chance in percent that never rounds to certainty."""
    if 0.0 < share < 0.0005:
        return "under 0.1 %"
    if 0.9995 < share < 1.0:
        return "over 99.9 %"
    return f"{100.0 * share:.1f} %"


def _shift(greatest: float) -> str:
    return f"{greatest:.3f}" if math.isfinite(greatest) else "unknown"


def _strings(console: Console, strings: tuple[StringTolerance, ...]) -> None:
    shown = table(
        "Strings: chance to stay within each limit, and the worst that 5 % of the samples pass",
        "string",
        "all limits",
        "voltage",
        "light",
        "shift",
        "fuse",
        "lowest V",
        "least light",
        "shift Δu′v′",
        "dimmest light",
        right=tuple(range(1, 10)),
    )
    for one in strings[:MOST_ROWS]:
        shown.add_row(
            one.name,
            _share(one.chance.share),
            _share(one.lowest_voltage.share),
            _share(one.light_loss.share),
            _share(one.chromaticity_shift.share),
            _share(one.fuse_load.share),
            volts(one.lowest_v.p5),
            percent(one.light.p5),
            _shift(one.greatest_shift.p95),
            percent(one.dimmest.p5),
        )
    print_table(console, shown, len(strings), MOST_ROWS, "--json has all")


def _things(console: Console, title: str, what: str, things: tuple[ThingTolerance, ...]) -> None:
    shown = table(
        f"{title}: load over rating", what, "within", "95 % sure", "5 %", "median", "95 %", right=tuple(range(1, 6))
    )
    for one in things[:MOST_ROWS]:
        load = one.load_fraction
        shown.add_row(
            one.name,
            _share(one.chance.share),
            f"{_share(one.chance.low)} to {_share(one.chance.high)}",
            percent(load.p5),
            percent(load.p50),
            percent(load.p95),
        )
    print_table(console, shown, len(things), MOST_ROWS, "--json has all")


def _influences(console: Console, strings: tuple[StringTolerance, ...]) -> None:
    shown = table(
        "What the lowest voltage hangs on",
        "string",
        "what",
        "rank correlation",
        right=(2,),
    )
    rows = 0
    for one in strings[:MOST_ROWS]:
        sorts = sorted(one.by_sort.items(), key=lambda pair: -abs(pair[1]))
        lines = [(_SORTS[sort], value) for sort, value in sorts if abs(value) >= 0.1]
        lines += [
            (f"  {i.what} ({i.sort})", i.correlation) for i in one.influences if i.sort in ("joint", "light", "cable")
        ][:_FEW]
        for what, value in lines:
            shown.add_row(one.name if what == lines[0][0] else "", what, f"{value:+.2f}")
            rows += 1
    print_table(console, shown, rows, rows, "")
