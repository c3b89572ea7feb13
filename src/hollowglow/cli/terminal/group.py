"""The group of commands in the order of the work, with a hint for a misspelt one; commands that spare what they read."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click

WRITTEN = "_to"


class OutputGoneError(Exception):
    """The reader of the output went away (a pager was closed): nothing more can be said to it."""


class Command(click.Command):
    """A command that never writes over a file that it reads.

    Parameters whose names end in `_to` say where something is written; of all others each that names a file is read.
    """

    def invoke(self, ctx: click.Context) -> Any:
        from hollowglow.messages.refusal import Refusal
        from hollowglow.quantity.shown import visible

        read = [path for name, value in ctx.params.items() if not name.endswith(WRITTEN) for path in _paths(value)]
        for parameter in self.params:
            if parameter.name is not None and parameter.name.endswith(WRITTEN):
                for path in _paths(ctx.params.get(parameter.name)):
                    if any(_same(path, one) for one in read):
                        raise Refusal(
                            f"{max(parameter.opts, key=len)}: found {visible(path)}, which this command reads, expected "
                            "another file, because that one would be lost. Choose another place."
                        )
        return super().invoke(ctx)


def _paths(value: object) -> Iterator[str]:
    """Yield what may be a path in the value of a parameter, also of one that may be repeated or is NAME=PATH#PART."""
    if isinstance(value, (str, Path)):
        yield str(value)
        yield str(value).partition("=")[2].partition("#")[0]
    elif isinstance(value, tuple):
        for one in value:
            yield from _paths(one)


def _same(one: str, other: str) -> bool:
    """Return whether two paths lead to one file that is there, by whatever name."""
    try:
        return os.path.isfile(one) and os.path.samefile(one, other)
    except (OSError, ValueError):  # the other is not there, or no path
        return False


class Group(click.Group):
    """Commands in the order of the work, with a hint for a misspelt one."""

    command_class = Command

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            from hollowglow.quantity.shown import nearest, show

            hint = nearest(args[0], list(self.commands)) or "hollowglow --help lists them."
            ctx.fail(f"There is no command {show(args[0])}. {hint}")
        return super().resolve_command(ctx, args)

    # click would end with status 1 where the reader went away, which means a stop finding.

    def make_context(self, *arguments: Any, **more: Any) -> click.Context:
        try:
            return super().make_context(*arguments, **more)
        except BrokenPipeError:
            raise OutputGoneError from None

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:
            raise OutputGoneError from None
