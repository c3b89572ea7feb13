"""The commands that tell what a show draws: from a capture, and as it is heard."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from hollowglow.cli.terminal.group import Command


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("captured", metavar="CAPTURE", type=click.Path(path_type=Path))
@click.option("--json", "json_to", metavar="PATH", help="Write the result as one JSON document; - for standard output.")
@click.option(
    "--csv", "csv_to", metavar="FOLDER", type=click.Path(path_type=Path), help="Write tables, and every moment."
)
@click.option("--svg", "svg_to", metavar="FOLDER", type=click.Path(path_type=Path), help="Write pictures over time.")
def analyse(file: Path, captured: Path, json_to: str | None, csv_to: Path | None, svg_to: Path | None) -> None:
    """Say what a show in CAPTURE (pcap or pcapng) draws on the display in FILE.

    Exit status: 0 where every limit was kept, 1 where one was passed, 2 where something cannot be read.
    """
    from hollowglow.cli.show.analysis import show_analysis
    from hollowglow.cli.show.tables import terminal
    from hollowglow.cli.terminal.counting import counted
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.shows import analyse as job

    with counted("frames") as progress:
        made = job.analyse(file, captured, progress)
    said = []
    if json_to is not None:
        write_json(job.document(made), json_to, sys.stdout)
        if json_to != "-":
            said.append(f"wrote {shown(json_to)}")
    for place, write in ((csv_to, job.write_csv), (svg_to, job.write_svg)):
        if place is not None:
            said.append(f"wrote {len(write(made, place))} files into {shown(place)}")
    if json_to != "-":
        show_analysis(terminal(), made)
    for words in said:
        click.echo(words, err=json_to == "-")
    sys.exit(1 if made.statistics.over_share > 0.0 else 0)


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--from", "origins", metavar="multicast|ADDRESS", multiple=True,
              help="Whom to hear: the groups of the display's universes, or this sender; may be repeated. "
              "Only this computer if not given.")  # fmt: skip
@click.option("--interface", metavar="NAME|ADDRESS", help="Network interface to listen on.")
@click.option("--seconds", metavar="N", type=float, help="Stop after N s; without it Ctrl-C or q stops.")
def watch(file: Path, origins: tuple[str, ...], interface: str | None, seconds: float | None) -> None:
    """Show what the show that is heard draws on the display in FILE, as it runs.

    Exit status: 0 where every limit was kept, 1 where one was passed, 2 where nothing can be heard.
    """
    from hollowglow.cli.live.watch_lines import watching

    sys.exit(1 if watching(file, origins, interface, seconds) else 0)
