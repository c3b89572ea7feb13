"""The commands about real parts: how far they stray, and what one draws on the bench."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from hollowglow.cli.terminal.group import Command


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--samples", type=int, metavar="N", help="Sample N displays (default: what FILE states, else 2000).")
@click.option(
    "--seed", type=int, metavar="N", help="Start the random numbers at N (default: what FILE states, else 1)."
)
@click.option("--json", "json_to", metavar="PATH", help="Write everything as one JSON document; - for standard output.")
def tolerance(file: Path, samples: int | None, seed: int | None, json_to: str | None) -> None:
    """Tolerance analysis (Monte Carlo): how surely the display in FILE stays within its limits, real parts being as they are.

    The same seed gives the same answer. Exit status: 0, or 2 where FILE cannot be read.
    """
    from hollowglow.cli.terminal.counting import counted
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.tolerance import document, tolerance_file

    with counted("samples") as progress:
        display, found = tolerance_file(file, samples, seed, progress)
    if json_to is not None:
        write_json(document(display, found), json_to, sys.stdout)
    if json_to != "-":
        from hollowglow.cli.show.tables import terminal
        from hollowglow.cli.show.tolerance import show_tolerance

        show_tolerance(terminal(), display, found)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("part")
@click.option(
    "--reading", "typed", multiple=True, metavar="TEXT", help="One voltage, like '12 V: red 19 mA, off 1 mA'."
)
@click.option("--readings", "listed", metavar="PATH", type=click.Path(path_type=Path), help="Readings in YAML or CSV.")
@click.option("--lights", type=int, default=1, metavar="N", help="N equal lights hung on the supply (default: 1).")
@click.option("--apply", "write", is_flag=True, help="Write the characteristic into FILE; comments and order stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write everything as one JSON document; - for standard output.")
def characterise(
    file: Path, part: str, typed: tuple[str, ...], listed: Path | None, lights: int, write: bool, json_to: str | None
) -> None:
    """Find the current-voltage characteristic of the light PART of the display in FILE from what a bench supply showed.

    A reading names the voltage at the light and the amps with one colour fully on: red, green, blue, white (all of
    three colours, or the white LED of four), all, off.
    """
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.characterise import apply, characterise_part, document

    characterised = characterise_part(file, part, typed, listed, lights)
    if write:
        apply(file, characterised)
    if json_to is not None:
        write_json(document(characterised), json_to, sys.stdout)
    if json_to != "-":
        from hollowglow.cli.show.characterise import show_characteristic
        from hollowglow.cli.show.tables import terminal

        show_characteristic(terminal(), characterised)
    for place in ([file] if write else []) + ([Path(json_to)] if json_to not in (None, "-") else []):
        click.echo(f"wrote {shown(place)}", err=json_to == "-")
