"""The place command: where everything is, what that makes of spacing and pull, lines in and pictures out."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from hollowglow.cli.terminal.group import Command


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--csv", "csv_to", metavar="PATH", type=click.Path(path_type=Path), help="Write every place as CSV.")
@click.option("--svg", "svg_to", metavar="PATH", type=click.Path(path_type=Path), help="Draw everything at its place.")
@click.option("--night", "night_to", metavar="PATH", type=click.Path(path_type=Path), help="Draw it lit, at night.")
@click.option("--no-backdrop", "bare", is_flag=True, help="Leave the backdrop out of the pictures.")
@click.option("--line", "lines", multiple=True, metavar="STRING=SVG[#ID]", help="Set a string out along a drawn path.")
@click.option("--points", "points", multiple=True, metavar="STRING=CSV", help="Put each prop of a string at a point.")
@click.option("--scale", metavar="LENGTH", help="What one unit of an SVG picture measures, or: backdrop.")
@click.option("--apply", "write", is_flag=True, help="Write the lines and points into FILE; comments and layout stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write the places as JSON; - for standard output.")
def place(
    file: Path,
    csv_to: Path | None,
    svg_to: Path | None,
    night_to: Path | None,
    bare: bool,
    lines: tuple[str, ...],
    points: tuple[str, ...],
    scale: str | None,
    write: bool,
    json_to: str | None,
) -> None:
    """Say where every prop of the display in FILE is, how far apart they look, and how taut strings pull.

    Exit status: 0, or 2 where FILE or what is taken over cannot be read.
    """
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.site import places as job
    from hollowglow.view.pictures.yard import write_yard

    quiet = json_to == "-"
    with steps() as progress:
        made = job.place_file(file, lines, points, scale, progress)
    if json_to is not None:
        write_json(job.place_document(made.plan), json_to, sys.stdout)
    if not quiet:
        from hollowglow.cli.show.spacing import show_places
        from hollowglow.cli.show.tables import terminal

        show_places(terminal(), made.plan)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")
    if csv_to is not None:
        job.write_spots(made.plan, csv_to)
        click.echo(f"wrote {shown(csv_to)}", err=quiet)
    for path, night in ((svg_to, False), (night_to, True)):
        if path is not None:
            write_yard(made.plan, path, night=night, folder=None if bare else file.parent)
            click.echo(f"wrote {shown(path)}", err=quiet)
    if write and made.edits:
        job.apply(made, file)
        click.echo(f"wrote {shown(file)}; hollowglow undo {shown(file)} brings the old text back", err=quiet)
    elif made.edits:
        click.echo("Nothing was written into the file; --apply does that.", err=quiet)
