"""The console and the tables that every command prints on it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NoReturn

from rich.console import Console
from rich.padding import Padding
from rich.table import Table

_WIDEST = 110


class _Terminal(Console):
    """A console that tells its caller when the reader of the output went away."""

    def on_broken_pipe(self) -> NoReturn:
        raise BrokenPipeError


def terminal() -> Console:
    """Return the console on standard output, as wide as the terminal but no wider than reads well."""
    # Names and texts of a display file are shown as they stand, whatever brackets or colons are in them.
    console = _Terminal(highlight=False, soft_wrap=False, markup=False, emoji=False)
    if not console.is_terminal or console.width > _WIDEST:
        console.width = _WIDEST if not console.is_terminal else min(console.width, _WIDEST)
    return console


def table(title: str, *columns: str, right: Sequence[int] = ()) -> Table:
    """Return an empty table of the kind that every command prints; `right` names the columns of numbers."""
    made = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False, header_style="dim")
    for i, column in enumerate(columns):
        made.add_column(column, justify="right" if i in right else "left", overflow="fold")
    return made


def print_table(console: Console, shown: Table, rows: int, most: int, where: str) -> None:
    """Print a table unless it is empty; where it holds only the first of more rows, say `where` the others are."""
    if shown.row_count == 0:
        return
    console.print(Padding(shown, (1, 0, 0, 0), expand=False))
    if rows > most:
        console.print(f"... and {rows - most:,} more ({where})", style="dim")
