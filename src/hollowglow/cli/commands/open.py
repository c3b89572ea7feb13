"""The command that puts a display on the workbench."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("open")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    metavar="N",
    help="Listen there; if not given, at the port that FILE usually has, or a free one.",
)
@click.option("--no-browser", is_flag=True, help="Print the address only.")
@click.option("--phone", is_flag=True, help="Let phones in the local network test and read, after they showed a code.")
@click.option(
    "--phone-at", multiple=True, metavar="ADDRESS", help="Only at this address of the machine; implies --phone."
)
@click.option(
    "--phone-port",
    type=click.IntRange(0, 65535),
    default=0,
    metavar="N",
    help="The port for phones, kept over a restart; implies --phone.",
)
def open_(file: Path, port: int, no_browser: bool, phone: bool, phone_at: tuple[str, ...], phone_port: int) -> None:
    """Open the display in FILE as a local web page on which the whole job is done."""
    from hollowglow.web import open_workbench

    wanted = phone or bool(phone_at) or bool(phone_port)
    open_workbench(file, port, not no_browser, click.echo, wanted, phone_at, phone_port)
