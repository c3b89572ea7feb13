"""The kinds of a plan on the terminal: the light of one prop of each, what it draws, costs and takes to build."""

from __future__ import annotations

from typing import Any

from rich.console import Console

from hollowglow.cli.show.tables import print_table, table
from hollowglow.plan import Plan
from hollowglow.quantity.words import percent, watts
from hollowglow.view.rows.kind_table import kind_rows


def show_kinds(console: Console, plan: Plan, most: int) -> None:
    """Print one row for each kind; light and power at full white and its level."""
    currency = plan.cost.bill.currency
    made = table(
        f"Kinds, one prop of each (light: estimate; seen from {plan.assembly.display.viewing:g} m)",
        "kind",
        "props",
        "light",
        "level",
        "lm in",
        "lm out",
        "cd/m²",
        "uniformity",
        "hot spot",
        "cd",
        "power",
        currency,
        "min",
        right=(1, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12),
    )
    rows = kind_rows(plan)
    for row in rows[:most]:
        count = row["nodes"]
        made.add_row(
            row["kind"],
            f"{row['props']:,}",
            row["light"] if count == 1 else f"{count} × {row['light']}",
            percent(row["level"]),
            _number(row["flux_in"], 1),
            _number(row["flux_out"], 1),
            _number(row["mean_luminance"], 0),
            _number(row["uniformity"], 2),
            _number(row["hot_spot"], 2),
            _number(row["intensity"], 2),
            "-" if row["power"] is None else watts(row["power"]),
            _number(row["cost"], 2),
            _number(row["minutes"], 0),
        )
    print_table(console, made, len(rows), most, "--json or --csv has all, and how each is built")


def _number(value: Any, decimals: int) -> str:
    return "-" if value is None else f"{value:.{decimals}f}"
