"""Places on the terminal: spacing of each string for the eye, hung strings and their hooks, what does not reach."""

from __future__ import annotations

from rich.console import Console

from hollowglow.analysis.site.placement import Hung, Spacing
from hollowglow.cli.show.tables import print_table, table
from hollowglow.cli.show.ways import WAYS
from hollowglow.plan import Plan
from hollowglow.quantity.words import metres

_MOST = 30
_LB_N = 4.4482216152605  # one pound-force (NIST SP 811)


def show_places(console: Console, plan: Plan) -> None:
    """Print what is known about the places of a plan."""
    placed, display = plan.placed, plan.assembly.display
    if not placed.any:
        console.print("No prop has a place yet. Give a string place: {line: [[0 m, 2 m], [4 m, 2 m]]}.")
        return
    viewing = metres(display.viewing)
    shown = table(
        "Spacing", "string", "pitch", f"gap from {viewing}", "a line from", "a line below", right=(1, 2, 3, 4)
    )
    for one in placed.spacings[:_MOST]:
        shown.add_row(*_spacing(one))
    print_table(console, shown, len(placed.spacings), _MOST, "--json lists all")
    console.print(
        f"From {viewing}, neighbours look one by one while the dark between them is wider than 1 arcminute; they run "
        "together into a line beyond the distance, or below the pitch, that is listed.",
        style="dim",
    )
    hung = table(
        "Hung between hooks", "string", "cable", "most sag", "weight", "most pull", "hooks carry", right=(1, 2, 3, 4)
    )
    for made in placed.hung[:_MOST]:
        hung.add_row(*_hung(made))
    print_table(console, hung, len(placed.hung), _MOST, "--json lists all")
    if placed.hung:
        unknown = sorted({name for made in placed.hung for name in made.unknown})
        more = f" Without a stated mass, so left out: {', '.join(unknown)}." if unknown else ""
        console.print(f"At rest, in still air; wind and ice come on top.{more}", style="dim")
        console.print("Work on ladders with a second person, never in wind or near overhead lines.", style="dim")
    for finding in plan.findings:
        if finding.code in ("cable-too-short", "hook-pull"):
            console.print()
            console.print(f"{finding.severity}: {finding.message} {finding.mend_told(ways=WAYS)}")


def _spacing(one: Spacing) -> tuple[str, ...]:
    pitch = metres(one.pitch_m)
    if one.most_m - one.least_m > 0.01:
        pitch += f", {metres(one.least_m)} to {metres(one.most_m)}"
    gap = f"{one.gap_arcmin:.0f} arcmin, {'one by one' if one.one_by_one else 'a line'}"
    return one.string, pitch, gap, metres(one.line_from_m), metres(one.line_pitch_m)


def _newtons(value: float) -> str:
    return f"{value:.1f} N ({value / _LB_N:.1f} lb)"


def _hung(made: Hung) -> tuple[str, ...]:
    low, high = float(made.hooks_n.min()), float(made.hooks_n.max())
    hooks = f"{_newtons(low)} to {_newtons(high)}" if high - low > 0.05 else _newtons(high)
    sag = metres(float(made.sag_m.max()))
    return made.string, metres(made.length_m), sag, _newtons(made.weight_n), _newtons(made.pull_n), hooks
