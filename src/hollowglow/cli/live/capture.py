"""The command that writes what is heard of a show into a capture file."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--seconds", metavar="N", type=float, default=60.0, show_default=True, help="How long to listen, s.")
@click.option("-o", "--output", "to", metavar="PATH", required=True, type=click.Path(path_type=Path),
              help="The capture file to write, in pcapng form; must not be there yet.")  # fmt: skip
@click.option("--from", "origins", metavar="multicast|ADDRESS", multiple=True,
              help="Whom to hear: the groups of the display's universes, or this sender; may be repeated. "
              "Only this computer if not given.")  # fmt: skip
@click.option("--interface", metavar="NAME|ADDRESS", help="Network interface to listen on.")
def capture(file: Path, seconds: float, to: Path, origins: tuple[str, ...], interface: str | None) -> None:
    """Write what is heard of the show for the display in FILE, until the time is over or Ctrl-C ends it.

    Exit status: 0, or 2 where nothing was heard or something cannot be read or written.
    """
    from hollowglow.cli.terminal.words import told
    from hollowglow.file.store.writing import shown
    from hollowglow.jobs.shows.capture import capture_file

    with _line(seconds) as progress:
        captured = capture_file(
            file, to, seconds, origins, interface, progress=progress, say=lambda words: click.echo(words, err=True)
        )
    for name in captured.senders:
        click.echo(f"heard {name}")
    for note in captured.notes:
        click.echo(told(note))
    click.echo(
        f"wrote {shown(to)}: {captured.datagrams:,} datagrams in {captured.seconds:.1f} s, {_size(captured.octets)}"
    )
    click.echo(f"Next: hollowglow analyse {shown(file)} {shown(to)}")


def _size(octets: int) -> str:
    return f"{octets / 1e6:.1f} MB" if octets >= 1e6 else f"{octets / 1e3:.1f} kB"


@contextmanager
def _line(seconds: float) -> Iterator[Callable[[float, int], None]]:
    """Yield what shows seconds and datagrams on one line of a terminal that is written over."""
    if not sys.stderr.isatty():
        yield lambda gone_s, datagrams: None
        return

    def show(gone_s: float, datagrams: int) -> None:
        click.echo(
            f"\r\x1b[2Klistening, {gone_s:.0f} of {seconds:.0f} s: {datagrams:,} datagrams (Ctrl-C ends and keeps them)",
            err=True,
            nl=False,
        )

    show(0, 0)
    try:
        yield show
    finally:
        click.echo("\r\x1b[2K", err=True, nl=False)
