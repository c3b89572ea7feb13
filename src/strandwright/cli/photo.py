"""What `match` does with photographs of lit props and readings of a meter, and what it prints of them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rich.console import Console

    from strandwright.jobs.photo import Photographed, Seen
    from strandwright.readings import Taking

OVERLAY = "numbered.png"
_MOST = 60


@dataclass(frozen=True, slots=True)
class Measured:
    """What photographs and a meter say beyond what is kept (None where labels are still wanted); photographs as plain data."""

    takings: tuple[Taking, ...] | None
    photographs: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked on the command line: photographs with labels, exposures, lens and overlay; readings of a meter."""

    photos: tuple[Path, ...]
    labels: str | None
    exposures: tuple[str, ...]
    vignetting: str | None
    overlay_to: Path | None
    typed: tuple[str, ...]
    keep: bool


def measured_by(file: Path, asked: Asked, quiet: bool) -> Measured:
    """Return what photographs and a meter say of the kinds in FILE, kept beside it where asked.

    What was measured and is doubtful is said on standard error.
    """
    from strandwright.cli.counting import counted
    from strandwright.cli.tables import terminal
    from strandwright.display import load
    from strandwright.jobs import light_meter
    from strandwright.jobs.files import shown
    from strandwright.jobs.photo import (
        photo_document,
        photograph_kinds,
        see,
        slowest_pwm,
        write_overlay,
    )
    from strandwright.jobs.taking import taking_of
    from strandwright.readings import keep

    display = load(file)
    takings: list[Taking] = []
    told = None
    metered, doubts = light_meter.meter_kinds(display, asked.typed) if asked.typed else ((), ())
    if asked.photos:
        with counted("photographs") as progress:
            seen = see(
                asked.photos,
                asked.exposures,
                asked.vignetting,
                slowest_pwm(display),
                lambda words, i, n: progress(i, n, words),
            )
        first = asked.photos[0]
        picture = asked.overlay_to or (None if asked.labels else first.with_name(f"{first.stem}-{OVERLAY}"))
        if picture is not None:
            write_overlay(seen, picture)
            click.echo(f"wrote {shown(picture)}", err=True)
        done = photograph_kinds(display, seen, asked.labels) if asked.labels else None
        told = photo_document(seen, done)
        if not quiet:
            show_photographed(terminal(), seen, done)
        if done is None:
            count, kind = len(seen.all_props), next(iter(display.kinds), "float")
            numbers = "1" if count == 1 else f"1-{count}"
            click.echo(
                f'Next: look at the numbered picture and add --label "{numbers}={kind}", with the kind of each number '
                f"({', '.join(display.kinds)}; - leaves one out). Nothing was matched or kept yet.",
                err=True,
            )
            return Measured(None, told)
        takings.append(taking_of(display, done))
    for words in doubts:
        click.echo(words, err=True)
    if metered:
        takings.append(light_meter.taking_of(display, metered))
    if not asked.keep:
        return Measured(tuple(takings), told)
    places = [keep(file, taking) for taking in takings]
    click.echo(f"kept in {shown(places[0])}", err=True)
    return Measured((), told)


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
