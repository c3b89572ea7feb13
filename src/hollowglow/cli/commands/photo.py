"""What `match` does with photographs of lit props and readings of a meter, and what it prints of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rich.console import Console

    from hollowglow.jobs.matching.photographs import Photographed, SeenPhotographs
    from hollowglow.measured.readings import Taking

OVERLAY = "numbered.png"
_MOST = 60


@dataclass(frozen=True, slots=True)
class MeasuredKinds:
    """What photographs and a meter say beyond what is kept (None where labels are still wanted); photographs as plain data."""

    takings: tuple[Taking, ...] | None
    photographs: dict[str, Any] | None


@dataclass(frozen=True, slots=True)
class PhotoOptions:
    """What was asked on the command line: photographs with labels, exposures, lens and overlay; readings of a meter; the
    levels that the lights had, and how far away they stood.
    """

    photos: tuple[Path, ...]
    labels: str | None
    exposures: tuple[str, ...]
    vignetting: str | None
    overlay_to: Path | None
    typed: tuple[str, ...]
    levels: str | None
    distances: str | None
    keep: bool


def measured_by(file: Path, asked: PhotoOptions, quiet: bool) -> MeasuredKinds:
    """Return what photographs and a meter say of the kinds in FILE, kept beside it where asked.

    What was measured and is doubtful is said on standard error.
    """
    from hollowglow.cli.show.tables import terminal
    from hollowglow.cli.terminal.counting import counted
    from hollowglow.file import load
    from hollowglow.file.store.writing import shown
    from hollowglow.jobs.matching import light_meter
    from hollowglow.jobs.matching.kept import doubts, setting_doubts, taking_of
    from hollowglow.jobs.matching.photographs import photo_document, photograph_kinds, see, slowest_pwm, write_overlay
    from hollowglow.measured.readings import keep

    display = load(file)
    takings: list[Taking] = []
    told = None
    metered, too_near = light_meter.meter_kinds(display, asked.typed) if asked.typed else ((), ())
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
        done = None
        if asked.labels:
            done = photograph_kinds(display, seen, asked.labels, asked.levels, asked.distances)
        taking = taking_of(display, done) if done is not None else None
        told = photo_document(seen, done, taking)
        if not quiet:
            show_photographed(terminal(), seen, done, taking)
        if taking is None:
            count, kind = len(seen.all_props), next(iter(display.kinds), "float")
            numbers = "1" if count == 1 else f"1-{count}"
            click.echo(
                f'Next: look at the numbered picture and add --label "{numbers}={kind}", with the kind of each number '
                f"({', '.join(display.kinds)}; - leaves one out). Nothing was matched or kept yet.",
                err=True,
            )
            return MeasuredKinds(None, told)
        takings.append(taking)
    if metered:
        takings.append(light_meter.taking_of(display, metered, asked.levels))
    mind = setting_doubts(display, asked.levels)
    for words in (*too_near, *mind, *(words for one in takings for words in doubts(one))):
        click.echo(words, err=True)
    if not asked.keep:
        return MeasuredKinds(tuple(takings), told)
    places = [keep(file, taking) for taking in takings]
    click.echo(f"kept in {shown(places[0])}", err=True)
    return MeasuredKinds((), told)


def show_photographed(
    console: Console, seen: SeenPhotographs, done: Photographed | None, taking: Taking | None = None
) -> None:
    """Print what photographs show: by kind where props are labelled, else by prop; then what sticks out and cautions."""
    from rich.table import Table
    from rich.text import Text

    from hollowglow.measured.photo import lit_props
    from hollowglow.quantity.words import percent

    table = Table(box=None, pad_edge=False, header_style="dim")
    if done is None:
        console.print(Text(f"{lit_props(len(seen.all_props))} in {seen.names}", style="bold"))
        top = max((p.luminance for p in seen.all_props if not p.trouble), default=1.0)
        strongest = max((p.intensity for p in seen.all_props if not p.trouble), default=1.0)
        for name, right in (("number", True), ("luminance", True), ("intensity", True), ("u'v'", False), ("", False)):
            table.add_column(name, justify="right" if right else "left")
        for p in seen.all_props[:_MOST]:
            u, v = p.uv
            told = percent(p.luminance / top), percent(p.intensity / strongest), f"{u:.4f} {v:.4f}"
            # What was not caught is not told by halves.
            table.add_row(str(p.number), *(("-", "-", "-") if p.trouble else told), p.trouble)
        console.print(table)
        if len(seen.all_props) > _MOST:
            console.print(f"... and {len(seen.all_props) - _MOST} more (--json lists all)", style="dim")
        console.print("Luminance and intensity are relative to the highest.", style="dim")
    elif taking is not None:
        _show_kinds(console, seen, done, taking)
    for caution in (*seen.cautions, *(() if done is None else done.cautions)):
        console.print(Text(f"{caution.code}: {caution.text()}", style="yellow"))


_ACROSS = {
    "size": "Intensity is luminance times the area that the kind's shell shows, by its size in the file.",
    "distance": "Intensity is reckoned to one distance from the distances that were stated.",
    "": "Intensity takes all props as equally far away, because no shell is stated; --distance says how far they were.",
}


def _show_kinds(console: Console, seen: SeenPhotographs, done: Photographed, taking: Taking) -> None:
    from rich.table import Table
    from rich.text import Text

    console.print(Text(f"Kinds in {seen.names}", style="bold"))
    judged = done.judged
    full = all(min(done.duties[k.kind]) == 1.0 for k in judged.kinds)
    table = Table(box=None, pad_edge=False, header_style="dim")
    for name in (
        "kind",
        "props",
        "luminance",
        "intensity",
        "spread",
        "u'v'",
        *(() if full else ("at", "luminance at full")),
    ):
        left = name in ("kind", "u'v'")
        table.add_column(name, justify="left" if left else "right", overflow="fold")
    columns = [
        _shares([k.luminance for k in judged.kinds]),
        _shares([r.intensity for r in done.readings]),
        _shares([one.luminance for one in taking.kinds]),
    ]
    for k, luminance, total, at_full in zip(judged.kinds, *columns, strict=True):
        u, v = k.uv
        spread = f"{100.0 * k.spread:.1f} %" if len(k.numbers) > 1 else ""
        cells = [k.kind, str(len(k.numbers)), luminance, total, spread, f"{u:.4f} {v:.4f}"]
        table.add_row(*cells, *(() if full else (_level(done.duties[k.kind]), at_full)))
    console.print(table)
    console.print(
        f"Relative to the highest{', as photographed' if not full else ', all at full'}. {_ACROSS[done.across]} Spread is "
        "the standard deviation of luminance between props of a kind."
        + ("" if full else " At full: what was stated as their levels, and the voltages there, taken off."),
        style="dim",
    )
    for outlier in judged.outliers:
        console.print(Text(f"! {outlier.text()}", style="yellow"))


def _shares(values: Sequence[float | None]) -> list[str]:
    from hollowglow.quantity.words import percent

    top = max((v for v in values if v is not None), default=1.0)
    return ["unknown" if v is None else percent(v / top) for v in values]


def _level(duties: Sequence[float]) -> str:
    from hollowglow.quantity.words import percent

    return percent(max(duties))
