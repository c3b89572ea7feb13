"""The command that matches kinds: by the model, by photographs, by a meter."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from hollowglow.cli.terminal.group import Command


@click.command(cls=Command)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("more", nargs=-1, metavar="[PHOTO...]", type=click.Path(path_type=Path))
@click.option(
    "--by",
    type=click.Choice(["luminance", "intensity", "view"]),
    help="Luminance (near), intensity (far), or what holds at the viewing distance (view, if not given).",
)
@click.option("--share", metavar="N%", help="Share of the dimmest kind at full, such as 40 %; 100 % if not given.")
@click.option("--luminance", metavar="CD_M2", type=float, help="Match to this many cd/m2 instead of a share.")
@click.option("--white", metavar="X,Y", help="Match to this CIE 1931 chromaticity; the dimmest kind's if not given.")
@click.option(
    "--photo",
    "photos",
    metavar="PHOTO",
    multiple=True,
    type=click.Path(path_type=Path),
    help="Measure in photographs of lit props; more may follow.",
)
@click.option("--label", "labels", metavar="LABELS", help='Which prop is which kind: "1-6=float,7=acorn,8=-".')
@click.option(
    "--overlay", "overlay_to", metavar="PATH", type=click.Path(path_type=Path), help="Where the numbered picture goes."
)
@click.option(
    "--exposure", "exposures", metavar="TEXT", multiple=True, help='"1/60 s f/4 ISO 200", once for each photograph.'
)
@click.option("--vignetting", metavar="HOW", help="cos4, or a photograph of an evenly lit surface.")
@click.option("--meter", "typed", metavar="TEXT", multiple=True, help='"float=12 lux at 2 m" or "float=85 cd/m2".')
@click.option(
    "--at",
    "levels",
    metavar="LEVELS",
    help='Levels they had, of duty as in FILE: "40 %", "float=66 %,acorn=40 %", or file; else full.',
)
@click.option(
    "--distance", "distances", metavar="HOW_FAR", help='From the camera: "12 m", "1-6=12 m,7=40 ft", "float=12 m".'
)
@click.option("--keep/--no-keep", default=True, show_default=True, help="Keep what was measured beside FILE.")
@click.option("--apply", "write", is_flag=True, help="Write the levels and trims into FILE; comments stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write the levels as JSON; - for standard output.")
@click.option(
    "--svg", "svg_to", metavar="PATH", type=click.Path(path_type=Path), help="Draw before and after, and fades."
)
def match(
    file: Path,
    by: Any,
    share: str | None,
    luminance: float | None,
    white: str | None,
    more: tuple[Path, ...],
    photos: tuple[Path, ...],
    labels: str | None,
    overlay_to: Path | None,
    exposures: tuple[str, ...],
    vignetting: str | None,
    typed: tuple[str, ...],
    levels: str | None,
    distances: str | None,
    keep: bool,
    write: bool,
    json_to: str | None,
    svg_to: Path | None,
) -> None:
    """Compute the level of each kind in FILE that makes unlike props look alike, and what to type for it.

    With --photo the lit props are found and numbered in a picture first; look at it, then say with --label which number
    is which kind. What photographs and a meter showed is kept beside FILE and corrects the model from then on. Intensity
    is told from the photographed luminance and the size that FILE states, or from --distance.
    """
    from hollowglow.cli.terminal.progress import steps
    from hollowglow.file.store.writing import shown, write_json
    from hollowglow.jobs.matching.match import apply, match_document, match_file, read_target

    target = read_target(by, share, luminance, white)
    if more and not photos:
        raise click.UsageError("Photographs come after --photo.")
    if not photos and (labels or exposures or vignetting or overlay_to or distances):
        raise click.UsageError(
            "--label, --exposure, --vignetting, --overlay and --distance are about photographs: add --photo."
        )
    if levels and not (photos or typed):
        raise click.UsageError("--at says how the lights were set when they were measured: add --photo or --meter.")
    takings: Any = ()
    measured: Any = None
    quiet = json_to == "-"
    if photos or typed:
        from hollowglow.cli.commands.photo import PhotoOptions, measured_by

        asked = PhotoOptions(
            (*photos, *more), labels, exposures, vignetting, overlay_to, typed, levels, distances, keep
        )
        measured = measured_by(file, asked, quiet)
        takings = measured.takings
        if takings is None:
            if json_to is not None:
                write_json({"photographs": measured.photographs}, json_to, sys.stdout)
            return
    with steps() as progress:
        made = match_file(file, target, progress, takings)
    if json_to is not None:
        told = {"photographs": measured.photographs if measured is not None else None}
        write_json(match_document(made) | told, json_to, sys.stdout)
    if not quiet:
        from hollowglow.cli.show.match import show_match
        from hollowglow.cli.show.tables import terminal

        show_match(terminal(), made)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")
    if svg_to is not None:
        from hollowglow.jobs.matching.pictures import write_match

        for path in write_match(made, svg_to):
            click.echo(f"wrote {shown(path)}", err=quiet)
    if write:
        words = f"wrote the levels into {shown(file)}; hollowglow undo {shown(file)} brings the old ones back"
        click.echo(
            words if apply(made, file) else f"{shown(file)} has these levels already and stays as it is", err=quiet
        )
    elif not quiet:
        click.echo("Nothing was written into the file; --apply writes the levels and trims.")
