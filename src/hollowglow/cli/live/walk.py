"""The command that walks a display: single keys on a terminal, lines from a script, large and simple words."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from hollowglow.cli.terminal.group import Command

if TYPE_CHECKING:
    from hollowglow.jobs.shows.walk import WalkReport

OPEN = 1
INTERRUPTED = 130  # 128 and the number of SIGINT, as shells count


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--to", metavar="ADDRESS", help="Controller to send to: 192.168.1.20, host:port, or multicast.")
@click.option("--only", metavar="STEP", help="Walk one sort of step: string, output, order, ends, direction, count, code, "
              "gang, prop, load.")  # fmt: skip
@click.option("--start", metavar="ID", help="Begin at this prop, string, output or supply; if not given, where the "
              "last walk stood.")  # fmt: skip
@click.option("--percent", metavar="N", type=click.FloatRange(1.0, 100.0), default=100.0, show_default=True,
              help="Brightness; full-load trials go to 100 all the same.")  # fmt: skip
@click.option("--priority", metavar="N", type=click.IntRange(0, 200), default=100, show_default=True,
              help="Of the packets; a receiver takes the highest.")  # fmt: skip
@click.option("--sync", metavar="UNIVERSE", type=click.IntRange(1, 63999), help="Have receivers show all "
              "universes at once, by synchronization packets in this one.")  # fmt: skip
@click.option("--interface", metavar="ADDRESS", help="Own address to send from.")
@click.option("--yes-public", is_flag=True, help="Send although ADDRESS is outside of your own network.")
@click.option("--report", is_flag=True, help="List what is open, what it means and what to measure; sends nothing.")
@click.option("--json", "json_to", metavar="PATH", help="With --report: write it as JSON; - for standard output.")
def walk(
    file: Path,
    to: str | None,
    only: str | None,
    start: str | None,
    percent: float,
    priority: int,
    sync: int | None,
    interface: str | None,
    yes_public: bool,
    report: bool,
    json_to: str | None,
) -> None:
    """Light the display in FILE step by step and keep what you see: one prop, string or output at a time.

    Shows colours, ends, direction, numbers and ganged lights too, and tries each supply at full load. Answers are kept
    beside FILE. Exit status of --report: 0 where nothing is open, 1 where something is, 2 where FILE cannot be read.
    """
    if report:
        _report(file, json_to)
        return
    if json_to is not None:
        raise click.UsageError("--json goes with --report.")
    if to is None:
        raise click.UsageError("--to is missing: the address of the controller, such as --to 192.168.1.20.")
    from hollowglow.cli.live.walking import Guide
    from hollowglow.cli.terminal.keys import entering
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import shown
    from hollowglow.jobs.plan import plan_file
    from hollowglow.jobs.shows.walk import walking
    from hollowglow.show.walk import SORTS

    if only is not None and only not in SORTS:
        raise click.UsageError(f"--only: found {only[:40]}, expected one of {', '.join(SORTS)}.")
    options: dict[str, Any] = {
        "only": only, "start": start, "percent": percent, "priority": priority, "sync": sync or 0,
        "interface": interface, "yes_public": yes_public, "say": click.echo, "clock": time.monotonic,
    }  # fmt: skip
    with steps() as progress:
        plan = plan_file(file, progress)
    status = 0
    with walking(file, plan, to, **options) as session, entering() as entered:
        try:
            Guide(session, entered, click.echo, time.monotonic).run()
        except KeyboardInterrupt:
            status = INTERRUPTED
    dark = "Everything is dark. " if session.sender.left_dark else ""
    click.echo(f"{dark}hollowglow walk {shown(file)} --report lists what is open.")
    sys.exit(status)


def _report(file: Path, json_to: str | None) -> None:
    from hollowglow.cli.show.tables import terminal
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.shows.walk import report_walk, walk_document

    with steps() as progress:
        made = report_walk(file, progress)
    if json_to is not None:
        write_json(walk_document(made), json_to, sys.stdout)
    if json_to != "-":
        show_report(terminal(), made)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")
    sys.exit(OPEN if made.open else 0)


def show_report(console: Any, made: WalkReport) -> None:
    """Print what is open as a table, then what it means and what to measure."""
    from rich.text import Text

    from hollowglow.cli.show.tables import print_table, table
    from hollowglow.cli.terminal.words import told
    from hollowglow.jobs.shows.walk import sentence

    console.print(Text(f"{made.layout.display}: {len(made.open)} open of {len(made.answers)} answers", style="bold"))
    rows = table("", "time (UTC)", "step", "what", "answer", "seen", "note")
    rows.title = None
    for one in made.open:
        rows.add_row(one.at[:16].replace("T", " "), one.step, one.target, one.answer, one.seen, one.note)
    print_table(console, rows, len(made.open), len(made.open), "")
    for meaning in made.meanings:
        console.print()
        console.print(Text(sentence(meaning)))
        console.print(Text(f"Next: {told(meaning.measure)}", style="dim"))
    if made.open:
        console.print()
        console.print(
            Text(
                "Voltages are those of the plan. Mains is a licensed electrician's work; switch off before opening a joint."
            )
        )
    count = len(made.unseen)
    if count:
        total = len(made.layout.props)
        console.print(Text(f"{count} of {total} props were not looked at one by one yet.", style="dim"))
    elif not made.open:
        console.print("Nothing is open, and every prop was looked at.")
