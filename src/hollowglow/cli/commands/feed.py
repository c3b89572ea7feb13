"""The command that finds feeds and writes them into the file."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from hollowglow.cli.terminal.group import Command

STOPPED = 1


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--apply", is_flag=True, help="Write the feeds into FILE; comments and layout stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write the result as one JSON document; - for standard output.")
@click.option(
    "--svg", "svg_to", metavar="FOLDER", type=click.Path(path_type=Path), help="Draw strings before and after."
)
def feed(file: Path, apply: bool, json_to: str | None, svg_to: Path | None) -> None:
    """Find the cheapest way to feed every string in FILE: where again, with which cable, fuse and supply.

    Exit status: 0 where everything is then within its limits, 1 where something remains wrong, 2 where FILE cannot be
    read or written.
    """
    from hollowglow.cli.terminal.counting import counted
    from hollowglow.file.store.writing import shown, whole
    from hollowglow.jobs import feed as job

    with counted("strings") as progress:
        report = job.feed_file(file, apply, progress)
    if json_to == "-":
        job.write(report, sys.stdout)
    else:
        from hollowglow.cli.show.feed import show_feeds
        from hollowglow.cli.show.tables import terminal

        show_feeds(terminal(), report)
        if json_to is not None:
            with whole(Path(json_to)) as stream:
                job.write(report, stream)
            click.echo(f"wrote {shown(json_to)}")
    if svg_to is not None:
        written = job.write_pictures(report, svg_to)
        click.echo(f"wrote {len(written)} files into {shown(svg_to)}", err=json_to == "-")
    if apply:
        words = f"wrote {shown(file)}; hollowglow undo {shown(file)} brings the old text back"
        click.echo(words if report.written else f"{shown(file)} stays as it is", err=json_to == "-")
    elif report.edits and json_to != "-":
        click.echo("Nothing was written; --apply writes this into the file.")
    sys.exit(0 if report.meets else STOPPED)
