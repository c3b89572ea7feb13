"""The command that writes the build book."""

from __future__ import annotations

import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import click

from hollowglow.cli.terminal.group import Command


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "-o",
    "--output",
    "book_to",
    metavar="PATH",
    type=click.Path(path_type=Path),
    default=Path("book.pdf"),
    show_default=True,
    help="Where the PDF goes.",
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of a page.")
@click.option(
    "--units",
    type=click.Choice(["both", "metric", "us"]),
    default="both",
    show_default=True,
    help="How lengths are told.",
)
@click.option(
    "--date",
    "day",
    metavar="DATE",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The date on every page, like 2026-11-25; when FILE was last changed, if not given.",
)
@click.option(
    "--labels",
    metavar="SHEET",
    help="Labels too, into a second PDF beside it: a sheet by its sizes in mm, like a4-70x37 or letter-66.7x25.4.",
)
@click.option("--address", metavar="URL", default="", help="The phone page that the codes of the labels open.")
def book(
    file: Path, book_to: Path, paper: Any, units: Any, day: datetime | None, labels: str | None, address: str
) -> None:
    """Write the build book of FILE as PDF: bench sheets, templates, strings, wiring, addresses, commissioning.

    A display with stop findings makes the book all the same; the sheets that they touch say not to build yet, and
    the exit status is 1.
    """
    from hollowglow.book import BookRequest, book_file, labels_place
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import shown

    request = BookRequest(paper, units, None if day is None else day.date(), labels, address)
    with steps() as progress:
        plan = book_file(file, book_to, request, progress)
    click.echo(f"wrote {shown(book_to)}")
    if labels is not None:
        click.echo(f"wrote {shown(labels_place(book_to))}")
    stops = sum(f.severity == "stop" for f in plan.findings)
    if stops:
        click.echo(
            f"{stops} finding{'s say' if stops > 1 else ' says'} not to build yet; the sheets say where and why."
        )
    sys.exit(1 if plan.stopped else 0)
