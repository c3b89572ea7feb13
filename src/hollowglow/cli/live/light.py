"""The command that lights one thing, without questions."""

from __future__ import annotations

import math
import time
from contextlib import ExitStack, suppress
from pathlib import Path

import click

_NAP_S = 0.2
_MOST_SECONDS = 100_000_000


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("what")
@click.option("--to", required=True, metavar="ADDRESS", help="The controller: host or host:port, or multicast.")
@click.option("--colour", default="white", metavar="COLOUR", help="red, green, blue, white (default) or #rrggbb.")
@click.option("--percent", default=30.0, metavar="N", type=float, help="Share of full, in %; 30 if not given.")
@click.option("--seconds", metavar="N", type=float, help="Blackout after N s; at Ctrl-C if not given.")
@click.option("--priority", metavar="N", type=click.IntRange(0, 200), default=100, show_default=True,
              help="Of the packets; a receiver takes the highest, so more than a show's puts this in its place.")  # fmt: skip
@click.option("--sync", metavar="UNIVERSE", type=click.IntRange(1, 63999), help="Have receivers show all "
              "universes at once, by synchronization packets in this one.")  # fmt: skip
@click.option("--interface", metavar="ADDRESS", help="Own address to send from, where there are several networks.")
@click.option("--yes-public", is_flag=True, help="ADDRESS is meant although it lies outside of private networks.")
def light(
    file: Path,
    what: str,
    to: str,
    colour: str,
    percent: float,
    seconds: float | None,
    priority: int,
    sync: int | None,
    interface: str | None,
    yes_public: bool,
) -> None:
    """Light WHAT of the display in FILE over the network (ANSI E1.31-2018): a prop, a string, or all.

    A prop is named by its string and number: rail/prop07 or rail/7. Supplies must be on. It ends dark, also at Ctrl-C.
    """
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.cli.terminal.words import told
    from hollowglow.jobs.shows.light import LightRequest, lit
    from hollowglow.messages.refusal import Refusal, Words
    from hollowglow.net.hearing.streams import universes_words

    if seconds is not None and not 0.0 < seconds <= _MOST_SECONDS:
        expected = f"at most {_MOST_SECONDS:,}; left out, it is lit until Ctrl-C" if seconds > 0.0 else "more than 0"
        raise Refusal(f"found {seconds:g}, expected {expected}.", field="seconds")

    def say(words: Words) -> None:
        click.echo(told(words), err=True)

    asked = LightRequest(what, to, colour, percent, yes_public, interface, priority, sync or 0)
    with ExitStack() as lighting:
        with steps() as progress:
            shown = lighting.enter_context(lit(file, asked, say, progress))
        which = "1 prop" if shown.props == 1 else f"{shown.props} props"
        until = "Ctrl-C ends it." if seconds is None else f"It ends after {seconds:g} s."
        slots = bytes(shown.colour).hex()
        lit_now = "is lit" if shown.sender.first_frame() else "is lit as soon as packets leave"
        sent = universes_words(shown.universes)
        click.echo(f"{shown.what} {lit_now} ({which}, slots #{slots}) at {shown.to}, {sent}. {until}")
        with suppress(KeyboardInterrupt):
            _wait(seconds)
    if not shown.sender.any_left:
        raise Refusal(f"Nothing could be sent to {shown.to}, so nothing was lit.")
    if shown.sender.left_dark:
        click.echo("Blackout.")


def _wait(seconds: float | None) -> None:
    end_s = math.inf if seconds is None else time.monotonic() + seconds
    while (left_s := end_s - time.monotonic()) > 0.0:
        time.sleep(min(_NAP_S, left_s))
