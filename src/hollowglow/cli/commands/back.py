"""The commands that take a change of the file back and make it again."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
def undo(file: Path) -> None:
    """Take back the last change that this tool made to FILE."""
    from hollowglow.file.history import undo as take_back
    from hollowglow.file.store.writing import shown

    what = take_back(file)
    click.echo(f"took back in {shown(file)}: {what}; hollowglow redo {shown(file)} makes it again")


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
def redo(file: Path) -> None:
    """Make the change again that the last undo took back in FILE."""
    from hollowglow.file.history import redo as make_again
    from hollowglow.file.store.writing import shown

    what = make_again(file)
    click.echo(f"made again in {shown(file)}: {what}")
