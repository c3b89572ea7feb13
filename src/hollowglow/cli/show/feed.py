"""Feed plans on the terminal: string by string what to do, what it costs and mends, and what could be done instead."""

from __future__ import annotations

from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from hollowglow.jobs.feed import FeedReport, assumptions, string_row
from hollowglow.quantity.words import metres, percent, volts, watts

Row = dict[str, Any]


def show_feeds(console: Console, report: FeedReport) -> None:
    """Print the feed plans of a display."""
    rows = [string_row(report, plan) for plan in report.feeds.strings]
    currency = report.feeds.display.currency
    console.print(Text(report.feeds.display.display, style="bold"))
    if not rows:
        console.print("This file has no strings yet, so there is nothing to feed.")
        return
    untouched = [r["string"] for r in rows if r["as_stated"] and r["meets"]]
    if untouched:
        console.print(f"Nothing to change on {', '.join(untouched)}: within the limits, and nothing cheaper is.")
    for row in rows:
        if row["string"] not in untouched:
            _string(console, row, currency)
    _supplies(console, report)
    _assumptions(console, report)
    console.print()
    console.print(
        "Fuse and wire to your local code; a supply's mains side belongs to a licensed electrician.", style="dim"
    )


def _money(value: float | None, currency: str) -> str:
    return "-" if value is None else f"{value:,.2f} {currency}"


def _string(console: Console, row: Row, currency: str) -> None:
    console.print()
    head = Text.assemble((row["string"], "bold"), ": ")
    if not row["meets"]:
        head.append(_short(row), "bold red")
    elif not row["feeds"]:
        head.append("needs no feed beside its lead")
    else:
        count = len(row["feeds"])
        head.append(f"feed again at {count} {'place' if count == 1 else 'places'}")
    console.print(head)
    lead = row["lead"]
    fuse = f", fuse {lead['fuse']}" if lead["fuse"] else ", no fuse"
    supply = f" from {lead['supply']}" if lead["supply"] else ", no supply"
    console.print(f"  lead {lead['cable']}{supply}{fuse}")
    if row["feeds"]:
        table = _table("before prop", "V+ there", "length", "cable", "fuse", "supply", "price", "minutes")
        for feed in row["feeds"]:
            minutes = "-" if feed["minutes"] is None else f"{feed['minutes']:.0f}"
            table.add_row(
                str(feed["before"]),
                "cut" if feed["cut"] else "joined",
                metres(feed["length"]),
                feed["cable"],
                feed["fuse"] or "none",
                feed["supply"],
                _money(feed["price"], currency),
                minutes,
            )
        console.print(Padding(table, (0, 0, 0, 2), expand=False))
    console.print(f"  costs {_money(row['price'], currency)} and {row['minutes']:.0f} minutes; {_proof(row, currency)}")
    table = _table("", "lowest voltage", "least light", "most shift Δu′v′", "wrong")
    for word in ("before", "after"):
        state = row[word]
        table.add_row(
            word,
            "dark" if state["voltage"] is None else volts(state["voltage"]),
            "dark" if state["light"] is None else percent(state["light"]),
            "-" if state["shift"] is None else f"{state['shift']:.4f}",
            ", ".join(f["code"] for f in state["findings"]) or "nothing",
        )
    console.print(Padding(table, (0, 0, 0, 2), expand=False))
    if not row["meets"]:
        for finding in row["after"]["findings"]:
            console.print(Padding(Text(f"remains: {finding['message']}", style="yellow"), (0, 0, 0, 2), expand=False))
    if row["alternatives"]:
        table = _table("instead", "what", "price", "minutes", "remains wrong")
        for one in row["alternatives"]:
            left = ", ".join(dict.fromkeys(f["code"] for f in one["findings"])) or "nothing"
            none = one["price"] is None
            table.add_row(
                one["way"],
                one["what"],
                _money(one["price"], currency),
                "-" if none else f"{one['minutes']:.0f}",
                "-" if none else left,
            )
        console.print(Padding(table, (0, 0, 0, 2), expand=False))


def _short(row: Row) -> str:
    if row["short"]:
        return f"no feed plan meets its limits; this comes nearest, {volts(row['short'])} short at the worst light"
    return "no feed plan meets its limits; this is what remains wrong"


def _proof(row: Row, currency: str) -> str:
    if not row["meets"]:
        return "none that meets the limits exists" if row["proven"] else "none that meets the limits was found"
    if row["proven"]:
        return "no cheaper one meets the limits"
    return (
        f"proof stopped short: none costs less than {_money(row['bound'], currency)}, none of cut feeds alone less than "
        f"{_money(row['cut_bound'], currency)}"
    )


def _table(*columns: str) -> Table:
    table = Table(box=None, pad_edge=False, header_style="dim")
    for column in columns:
        right = column in ("before prop", "price", "minutes", "lowest voltage", "least light", "most shift Δu′v′")
        table.add_column(column, justify="right" if right else "left", overflow="fold")
    return table


def _supplies(console: Console, report: FeedReport) -> None:
    table = _table("supply", "delivers", "rated", "load", "")
    for load in report.feeds.shared.loads:
        needs = "" if load.needed_w is None else f"needs a supply of at least {watts(load.needed_w)}"
        table.add_row(
            load.supply, watts(load.power_w), watts(load.rating_w), percent(load.power_w / load.rating_w), needs
        )
    console.print(Padding(table, (1, 0, 0, 0), expand=False))


def _assumptions(console: Console, report: FeedReport) -> None:
    console.print()
    for one in assumptions(report):
        console.print(Text(f"assumption {one['where']}: {one['value']} ({one['reason']})", style="dim"))
