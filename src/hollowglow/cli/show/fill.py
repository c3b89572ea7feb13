"""A comparison of fills on the terminal: the choice in two sentences, then the candidates side by side."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from hollowglow.quantity.quantities import distance, tell
from hollowglow.quantity.words import percent
from hollowglow.search.fill import Ranking

_MOST = 30


def show_fill(console: Console, ranking: Ranking) -> None:
    """Print a ranking, best first."""
    comparison = ranking.comparison
    console.print(Text(f"What to put inside {comparison.kind}", style="bold"))
    console.print(ranking.why)
    console.print()
    currency = comparison.currency
    table = Table(box=None, pad_edge=False, header_style="dim")
    for words, right in (
        ("", True),
        ("candidate", False),
        ("lm out", True),
        ("uniformity", True),
        ("hot spot", True),
        ("W", True),
        ("nodes", True),
        ("cells", True),
        ("chain", True),
        ("frame", True),
        (currency, True),
        ("min", True),
        ("level", True),
    ):
        table.add_column(words, justify="right" if right else "left", overflow="fold")
    for place, ranked in enumerate(ranking.ranked[:_MOST], 1):
        one = ranked.outcome
        mark = " (now)" if one.candidate.now else ""
        table.add_row(
            f"{place}",
            one.candidate.words + mark,
            f"{one.flux_out_lm:.1f}",
            f"{one.uniformity:.2f}",
            f"{one.hot_spot:.2f}",
            f"{one.power_w:.2f}",
            f"{one.nodes}",
            f"{one.cells}",
            f"{one.chain_nodes}" + ("" if one.chain_fits else "!"),
            f"{one.frame_time_s * 1e3:.1f} ms",
            f"{one.cost:.2f}",
            f"{one.minutes:.0f}",
            "too dim" if one.level is None and _others(ranking) else percent(one.level) if one.level else "",
            style="dim" if ranked.beaten_by is not None else None,
        )
    console.print(table)
    if len(ranking.ranked) > _MOST:
        console.print(f"... and {len(ranking.ranked) - _MOST} more (--json lists all)", style="dim")
    props = ranking.ranked[0].outcome.props
    first = ranking.ranked[0].outcome
    lines = [
        f"For all {props:,} props the first takes {first.cost * props:,.2f} {currency} and "
        f"{first.minutes * props / 60.0:.1f} h at the bench (estimate).",
        "Figures are of one prop at full white; uniformity is lowest over mean luminance from the worst side, hot spot is "
        "highest over mean less 1, as the eye resolves it from "
        f"{tell(distance(comparison.viewing_m))}. Dim rows are beaten by another in everything.",
        f"Level matches the dimmest other kind by {comparison.matched_by}.",
        "Order: " + ", ".join(f"{a} {percent(w)}" for a, w in ranking.weights.items()) + " (--prefer changes it).",
    ]
    if not all(r.outcome.chain_fits for r in ranking.ranked):
        lines.append("! the chain is longer than the output allows, or slower than the rate that is asked for.")
    console.print()
    for line in lines:
        console.print(line, style="dim")


def _others(ranking: Ranking) -> bool:
    return any(r.outcome.level is not None for r in ranking.ranked)
