"""The commands and their options; everything heavy is imported when a command runs."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from hollowglow import __version__
from hollowglow.cli.commands.back import redo, undo
from hollowglow.cli.commands.book import book as book_
from hollowglow.cli.commands.export import export as export_
from hollowglow.cli.commands.feed import feed
from hollowglow.cli.commands.match import match
from hollowglow.cli.commands.open import open_
from hollowglow.cli.commands.place import place as place_
from hollowglow.cli.commands.tolerance import characterise, tolerance
from hollowglow.cli.live.analyse import analyse, watch
from hollowglow.cli.live.capture import capture
from hollowglow.cli.live.light import light
from hollowglow.cli.live.walk import walk
from hollowglow.cli.terminal.group import Group

STOPPED = 1


@click.group(cls=Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="hollowglow")
def hollowglow() -> None:
    """Compute an outdoor light display before a hole is drilled: light, voltage, data, cost, faults."""


@hollowglow.command()
@click.argument("folder", default="demo", type=click.Path(path_type=Path))
def demo(folder: Path) -> None:
    """Write the demo display, as first drawn and mended, into FOLDER (default: demo)."""
    from hollowglow.file.store.writing import shown
    from hollowglow.jobs.start.demo import write_demo

    for path in write_demo(folder):
        click.echo(f"wrote {shown(path)}")
    click.echo(f"Next: hollowglow plan {shown(folder / 'landing.yaml')}")


@hollowglow.command()
@click.argument("file", type=click.Path(path_type=Path))
def check(file: Path) -> None:
    """Say what is wrong with the display in FILE, and what would mend it."""
    from hollowglow.cli.show.plan import show_findings
    from hollowglow.cli.show.tables import terminal
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.jobs import plan_file

    with steps() as progress:
        plan = plan_file(file, progress)
    show_findings(terminal(), plan)
    sys.exit(STOPPED if plan.stopped else 0)


@hollowglow.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "json_to", metavar="PATH", help="Write everything as one JSON document; - for standard output.")
@click.option("--csv", "csv_to", metavar="FOLDER", type=click.Path(path_type=Path), help="Write every table as CSV.")
@click.option("--svg", "svg_to", metavar="FOLDER", type=click.Path(path_type=Path), help="Write every picture as SVG.")
@click.option("--string", "string", metavar="NAME", help="Plot this string instead of the worst one.")
def plan(file: Path, json_to: str | None, csv_to: Path | None, svg_to: Path | None, string: str | None) -> None:
    """Compute the display in FILE: voltage and address of every light, cost, and findings.

    Exit status: 0 where nothing forbids building it, 1 where a finding does, 2 where FILE cannot be read.
    """
    from hollowglow.cli.show.ways import WAYS
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import shown
    from hollowglow.jobs import plan_file
    from hollowglow.jobs.export import tables as export
    from hollowglow.view.pictures.circuit import string_row
    from hollowglow.view.rows import document

    quiet = json_to == "-"
    said: list[str] = []
    with steps() as progress:
        made = plan_file(file, progress)
        row = string_row(made, string)
        progress("write")
        if json_to is not None and not quiet:
            export.write_json(made, Path(json_to), WAYS)
            said.append(f"wrote {shown(json_to)}")
        if csv_to is not None:
            said.append(f"wrote {len(export.write_csv(made, csv_to))} files into {shown(csv_to)}")
        if svg_to is not None:
            said.append(f"wrote {len(export.write_svg(made, svg_to, file.parent))} files into {shown(svg_to)}")
        if quiet:
            document.write(made, sys.stdout, WAYS)
    if not quiet:
        from hollowglow.cli.show.plan import show_plan
        from hollowglow.cli.show.tables import terminal

        show_plan(terminal(), made, row)
    for words in said:
        click.echo(words, err=quiet)
    sys.exit(STOPPED if made.stopped else 0)


@hollowglow.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("kind")
@click.option(
    "--prefer",
    type=click.Choice(["light", "uniformity", "cost", "work"]),
    help="What counts most; balanced if not given.",
)
@click.option("--light", "lights", metavar="PART", multiple=True, help="Compare this light only; may be repeated.")
@click.option("--json", "json_to", metavar="PATH", help="Write the comparison as JSON; - for standard output.")
@click.option("--svg", "svg_to", metavar="PATH", type=click.Path(path_type=Path), help="Draw how the best would glow.")
def fill(file: Path, kind: str, prefer: Any, lights: tuple[str, ...], json_to: str | None, svg_to: Path | None) -> None:
    """Compare what could go inside the props of KIND: light, uniformity, power, chain, cost, work."""
    from hollowglow.cli.terminal.counting import counted
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.filling.fill import fill_document, fill_file

    with counted("candidates") as step:
        ranking = fill_file(file, kind, prefer, lights, step)
    quiet = json_to == "-"
    if json_to is not None:
        write_json(fill_document(ranking), json_to, sys.stdout)
    if not quiet:
        from hollowglow.cli.show.fill import show_fill
        from hollowglow.cli.show.tables import terminal

        show_fill(terminal(), ranking)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")
    if svg_to is not None:
        from hollowglow.view.pictures.kinds import write_fill_row

        write_fill_row(ranking, svg_to)
        click.echo(f"wrote {shown(svg_to)}", err=quiet)


for _one in (
    open_,
    place_,
    match,
    feed,
    tolerance,
    characterise,
    light,
    walk,
    watch,
    capture,
    analyse,
    export_,
    book_,
    undo,
    redo,
):
    hollowglow.add_command(_one)


@hollowglow.command()
def schema() -> None:
    """Print the JSON Schema of the display file."""
    import json

    from hollowglow.jobs.start.schema import display_schema

    click.echo(json.dumps(display_schema(), indent=1, ensure_ascii=False))


@hollowglow.command()
@click.argument("name", required=False)
def parts(name: str | None) -> None:
    """List the parts catalogue, one sort of it (light, cable, joint ...), or all numbers of the part NAME."""
    from hollowglow.cli.show.plan import show_part, show_parts
    from hollowglow.cli.show.tables import terminal
    from hollowglow.file.model.parts import ROLES
    from hollowglow.jobs.start.parts import list_parts, part_numbers

    if name is None or name in ROLES:
        show_parts(terminal(), list_parts(name))
    else:
        numbers = part_numbers(name)
        line = next(p for p in list_parts() if p.name == name)
        show_part(terminal(), line, numbers)
