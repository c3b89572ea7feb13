"""The command that writes a display in open forms."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--forms", "only", metavar="FORMS", help="Some of the forms below, with commas, such as gdtf,mvr; all if not given."
)
def export(file: Path, folder: Path, only: str | None) -> None:
    """Write the display in FILE into FOLDER in open forms.

    CSV tables, templates as SVG and DXF at true size, where props are as CSV and SVG, the light of each kind as IES
    LM-63-2002, kinds as GDTF (DIN SPEC 15800), the display as MVR (DIN SPEC 15801). Exit status: 0, or 2 where FILE cannot
    be read or FOLDER not written.
    """
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import folder as made_folder
    from hollowglow.file.store.writing import shown
    from hollowglow.jobs import plan_file
    from hollowglow.jobs.export.forms import read_forms, write_forms
    from hollowglow.view.open_forms import place_words

    forms = read_forms(only)
    made_folder(folder)
    with steps() as progress:
        plan = plan_file(file, progress)
        written = write_forms(plan, folder, forms, progress)
    click.echo(f"wrote {len(written)} files into {shown(folder)}")
    if any(form.placed for form in forms):
        click.echo(f"Props are {place_words(plan)}.")
