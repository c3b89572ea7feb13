"""Running the command line: every way in which it ends, with a status and without a traceback."""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

import click

from hollowglow.cli.main import hollowglow
from hollowglow.cli.terminal.group import OutputGoneError

UNREADABLE, INTERRUPTED, FAULT = 2, 130, 70
SPELLED = "hollowglow-spelled"


def _spell(error: UnicodeError) -> tuple[str, int]:
    """Return what an output that does not know these letters gets in their place."""
    from hollowglow.draw.sheet.plain import plain_text

    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain_text(error.object[error.start : error.end]), error.end


def main() -> None:
    """Run the command line; no error reaches the person as a traceback."""
    codecs.register_error(SPELLED, _spell)
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by whoever started this
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w", encoding="utf-8"))
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors=SPELLED)
    sys.exit(_run())


def _run() -> int:
    try:
        try:
            hollowglow.main(standalone_mode=False, prog_name="hollowglow")
            status = 0
        except SystemExit as done:
            status = done.code if isinstance(done.code, int) else 0
        sys.stdout.flush()
        return status
    except click.ClickException as error:
        with _heard_or_not():
            _show_misuse(error)
        return UNREADABLE
    except (click.Abort, KeyboardInterrupt):
        _say("\nStopped. Nothing was left half written.")
        return INTERRUPTED
    except (OutputGoneError, BrokenPipeError):
        _give_up(sys.stdout)
        return 0
    except Exception as error:
        return _tell(error)


def _give_up(stream: TextIO) -> None:
    """Send what is still to be written nowhere, so that closing the stream fails no more."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


@contextmanager
def _heard_or_not() -> Iterator[None]:
    """Let something be said on standard error, also where nobody reads that any more."""
    try:
        yield
        sys.stderr.flush()
    except BrokenPipeError:
        _give_up(sys.stderr)


def _say(words: str) -> None:
    with _heard_or_not():
        click.echo(words, err=True)


def _show_misuse(error: click.ClickException) -> None:
    from hollowglow.quantity.shown import visible

    if not isinstance(error, getattr(click.exceptions, "NoArgsIsHelpError", ())):  # that one shows the whole help
        vars(error).update(message=visible(error.message))
    error.show()


def _tell(error: Exception) -> int:
    from hollowglow.cli.terminal.words import of_error
    from hollowglow.messages.errors import DisplayError, HollowglowError

    if isinstance(error, OSError):
        _give_up(sys.stdout)
        _say(f"The output cannot be written ({error.strerror or error}).")
        return UNREADABLE
    if isinstance(error, HollowglowError):
        told = of_error(error)
        if isinstance(error, DisplayError) and len(error.problems) > 1:
            told = f"{error.file} cannot be used; {len(error.problems)} things are wrong with it:\n{told}"
        _say(told)
        return UNREADABLE
    if os.environ.get("HOLLOWGLOW_DEBUG"):
        raise error
    told = " ".join(str(error).split())
    words = f"{type(error).__name__}: {told}" if told else type(error).__name__
    _say(
        f"This is a fault of Hollowglow, not of your file ({words}). Nothing was left half written. "
        "Set HOLLOWGLOW_DEBUG=1 to see where, and report it with your display file."
    )
    return FAULT
