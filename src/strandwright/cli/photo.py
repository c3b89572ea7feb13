"""The command that measures lit props in photographs, or takes a meter's readings: its options and what it prints."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from strandwright.jobs.photo import Photographed, Seen
    from strandwright.match import Reading

OVERLAY = "numbered.png"
_MOST = 60


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("photos", nargs=-1, required=True, metavar="PHOTO...", type=click.Path(path_type=Path))
@click.option("--label", "labels", metavar="LABELS", help='Which number is which kind: "1-6=float,7=acorn,8=-".')
@click.option(
    "--overlay", "overlay_to", metavar="PATH", type=click.Path(path_type=Path), help="Numbered picture (PNG)."
)
@click.option(
    "--exposure", "exposures", metavar="TEXT", multiple=True, help='"1/60 s f/4 ISO 200", once for each PHOTO.'
)
@click.option("--vignetting", metavar="HOW", help="cos4, or a photograph of an evenly lit surface.")
@click.option("--pwm", "pwm_hz", metavar="HZ", type=click.FloatRange(10.0, 1e6), default=400.0, show_default=True,
              help="Rate at which the lights are pulsed.")  # fmt: skip
@click.option("--keep/--no-keep", default=True, show_default=True, help="Keep the readings beside FILE.")
@click.option("--json", "json_to", metavar="PATH", help="Write what was measured as JSON; - for standard output.")
def photograph(
    file: Path,
    photos: tuple[Path, ...],
    labels: str | None,
    overlay_to: Path | None,
    exposures: tuple[str, ...],
    vignetting: str | None,
    pwm_hz: float,
    keep: bool,
    json_to: str | None,
) -> None:
    """Measure the lit props in each PHOTO: relative luminance, intensity and colour of the kinds in FILE.

    Without --label only the numbered picture is written; look at it, then say which number is which kind.
    """
    from strandwright.cli.counting import counted
    from strandwright.display import load
    from strandwright.jobs.files import shown, write_json
    from strandwright.jobs.photo import keep_photographed, photo_document, photograph_kinds, see, write_overlay

    display = load(file)
    quiet = json_to == "-"
    with counted("photographs") as progress:
        seen = see(photos, exposures, vignetting, pwm_hz, lambda words, i, n: progress(i, n, words))
    picture = overlay_to or (None if labels else photos[0].with_name(f"{photos[0].stem}-{OVERLAY}"))
    said = []
    if picture is not None:
        write_overlay(seen, picture)
        said.append(f"wrote {shown(picture)}")
    done = None
    if labels:
        done = photograph_kinds(display, seen, labels)
        if keep:
            said.append(f"kept in {shown(keep_photographed(file, display, done))}")
    if json_to is not None:
        write_json(photo_document(seen, done), json_to, sys.stdout)
        said += [] if quiet else [f"wrote {shown(json_to)}"]
    if not quiet:
        from strandwright.cli.tables import terminal

        show_photographed(terminal(), seen, done)
    for words in said:
        click.echo(words, err=quiet)
    if done is None and not quiet:
        count = len(seen.all_props)
        first = next(iter(display.kinds))
        kinds = f"1={first}" if count == 1 else f"1-{count}={first}"
        click.echo(
            f'Next: look at the numbered picture and add --label "{kinds}" (- in place of a kind leaves one out).'
        )


def measured_by(
    file: Path, photos: tuple[Path, ...], labels: str | None, typed: tuple[str, ...]
) -> tuple[Reading, ...] | None:
    """Return what photographs and a meter say of the kinds in FILE, kept beside it; None where labels are still wanted.

    What was measured and is doubtful is said on standard error.
    """
    from strandwright.cli.counting import counted
    from strandwright.cli.tables import terminal
    from strandwright.display import load
    from strandwright.jobs.files import shown
    from strandwright.jobs.light_meter import keep_metered, meter_kinds
    from strandwright.jobs.photo import keep_photographed, photograph_kinds, see, write_overlay

    display = load(file)
    readings: tuple[Reading, ...] = ()
    if photos:
        with counted("photographs") as progress:
            seen = see(photos, step=lambda words, i, n: progress(i, n, words))
        if not labels:
            picture = photos[0].with_name(f"{photos[0].stem}-{OVERLAY}")
            write_overlay(seen, picture)
            show_photographed(terminal(), seen, None)
            first = next(iter(display.kinds))
            click.echo(f"wrote {shown(picture)}")
            click.echo(
                f'Next: look at it and add --label "1-{len(seen.all_props)}={first}" (- in place of a kind leaves one out).'
            )
            return None
        done = photograph_kinds(display, seen, labels)
        show_photographed(terminal(), seen, done)
        click.echo(f"kept in {shown(keep_photographed(file, display, done))}", err=True)
        readings = done.readings
    if typed:
        metered, doubts = meter_kinds(display, typed)
        for words in doubts:
            click.echo(words, err=True)
        click.echo(f"kept in {shown(keep_metered(file, display, metered))}", err=True)
        readings += metered
    return readings


def show_photographed(console: Console, seen: Seen, done: Photographed | None) -> None:
    """Print what photographs show: by kind where props are labelled, else by prop; then what sticks out and cautions."""
    from rich.table import Table
    from rich.text import Text

    from strandwright.findings.words import percent

    table = Table(box=None, pad_edge=False, header_style="dim")
    if done is None:
        console.print(Text(f"{len(seen.all_props)} lit props in {seen.names}", style="bold"))
        top = max((p.luminance for p in seen.all_props if not p.trouble), default=1.0)
        strongest = max((p.intensity for p in seen.all_props if not p.trouble), default=1.0)
        for name, right in (("number", True), ("luminance", True), ("intensity", True), ("u'v'", False), ("", False)):
            table.add_column(name, justify="right" if right else "left")
        for p in seen.all_props[:_MOST]:
            u, v = p.uv
            table.add_row(
                str(p.number),
                percent(p.luminance / top),
                percent(p.intensity / strongest),
                f"{u:.4f} {v:.4f}",
                p.trouble,
            )
        console.print(table)
        if len(seen.all_props) > _MOST:
            console.print(f"... and {len(seen.all_props) - _MOST} more (--json lists all)", style="dim")
        console.print("Luminance and intensity are relative to the highest.", style="dim")
    else:
        console.print(Text(f"Kinds in {seen.names}", style="bold"))
        top = max(k.luminance for k in done.judged.kinds)
        strongest = max(k.intensity for k in done.judged.kinds)
        for name, right in (
            ("kind", False), ("props", True), ("luminance", True), ("intensity", True), ("spread", True), ("u'v'", False),
        ):  # fmt: skip
            table.add_column(name, justify="right" if right else "left", overflow="fold")
        for k in done.judged.kinds:
            u, v = k.uv
            table.add_row(
                k.kind,
                str(len(k.numbers)),
                percent(k.luminance / top),
                percent(k.intensity / strongest),
                percent(k.spread) if len(k.numbers) > 1 else "",
                f"{u:.4f} {v:.4f}",
            )
        console.print(table)
        console.print(
            "Relative to the brightest kind, all at one setting. Intensity takes all props as equally far away. Spread is "
            "the standard deviation between props of a kind.",
            style="dim",
        )
        for outlier in done.judged.outliers:
            console.print(Text(f"! {outlier.text()}", style="yellow"))
    for caution in seen.cautions:
        console.print(Text(f"{caution.code}: {caution.text()}", style="yellow"))
