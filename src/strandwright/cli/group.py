"""The group of commands: in the order of the work, with a hint for a misspelt one."""

from __future__ import annotations

from typing import Any

import click


class OutputGoneError(Exception):
    """The reader of the output went away (a pager was closed): nothing more can be said to it."""


class Group(click.Group):
    """Commands in the order of the work, with a hint for a misspelt one."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            from strandwright.display.words import nearest, show

            hint = nearest(args[0], list(self.commands)) or "strandwright --help lists them."
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
