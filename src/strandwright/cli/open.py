"""The command that puts a display on the workbench."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("open")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--port", type=click.IntRange(0, 65535), default=0, metavar="N", help="Listen there; a free one if not given."
)
@click.option("--no-browser", is_flag=True, help="Print the address only.")
def open_(file: Path, port: int, no_browser: bool) -> None:
    """Open the display in FILE as a local web page on which the whole job is done."""
    from strandwright.workbench import open_workbench

    open_workbench(file, port, not no_browser, click.echo)
