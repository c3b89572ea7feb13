"""The commands and their options; everything heavy is imported when a command runs."""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TextIO

import click

from strandwright import __version__
from strandwright.cli.open import open_
from strandwright.cli.photo import photograph

STOPPED, UNREADABLE, INTERRUPTED, FAULT = 1, 2, 130, 70
SPELLED = "strandwright-spelled"


class OutputGoneError(Exception):
    """The reader of the output went away (a pager was closed): nothing more can be said to it."""


class _Group(click.Group):
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


@click.group(cls=_Group, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="strandwright")
def strandwright() -> None:
    """Compute an outdoor light display before a hole is drilled: light, voltage, data, cost, faults."""


@strandwright.command()
@click.argument("folder", default="demo", type=click.Path(path_type=Path))
def demo(folder: Path) -> None:
    """Write the demo display, as first drawn and mended, into FOLDER (default: demo)."""
    from strandwright.jobs.demo import write_demo
    from strandwright.jobs.files import shown

    for path in write_demo(folder):
        click.echo(f"wrote {shown(path)}")
    click.echo(f"Next: strandwright plan {shown(folder / 'landing.yaml')}")


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
def check(file: Path) -> None:
    """Say what is wrong with the display in FILE, and what would mend it."""
    from strandwright.cli.progress import steps
    from strandwright.cli.show import show_findings
    from strandwright.cli.tables import terminal
    from strandwright.jobs import plan_file

    with steps() as progress:
        plan = plan_file(file, progress)
    show_findings(terminal(), plan)
    sys.exit(STOPPED if plan.stopped else 0)


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "json_to", metavar="PATH", help="Write everything as one JSON document; - for standard output.")
@click.option("--csv", "csv_to", metavar="DIR", type=click.Path(path_type=Path), help="Write every table as CSV.")
@click.option("--svg", "svg_to", metavar="DIR", type=click.Path(path_type=Path), help="Write every picture as SVG.")
@click.option("--string", "string", metavar="NAME", help="Plot this string instead of the worst one.")
def plan(file: Path, json_to: str | None, csv_to: Path | None, svg_to: Path | None, string: str | None) -> None:
    """Compute the display in FILE: voltage and address of every light, cost, and findings.

    Exit status: 0 where nothing forbids building it, 1 where a finding does, 2 where FILE cannot be read.
    """
    from strandwright.cli.progress import steps
    from strandwright.jobs import document, export, plan_file
    from strandwright.jobs.files import shown
    from strandwright.jobs.pictures import string_row

    quiet = json_to == "-"
    said: list[str] = []
    with steps() as progress:
        made = plan_file(file, progress)
        row = string_row(made, string)
        progress("write")
        if json_to is not None and not quiet:
            export.write_json(made, Path(json_to))
            said.append(f"wrote {shown(json_to)}")
        for place, job in ((csv_to, export.write_csv), (svg_to, export.write_svg)):
            if place is not None:
                said.append(f"wrote {len(job(made, place))} files into {shown(place)}")
        if quiet:
            document.write(made, sys.stdout)
    if not quiet:
        from strandwright.cli.show import show_plan
        from strandwright.cli.tables import terminal

        show_plan(terminal(), made, row)
    for words in said:
        click.echo(words, err=quiet)
    sys.exit(STOPPED if made.stopped else 0)


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("kind")
@click.option(
    "--prefer", type=click.Choice(["light", "even", "cost", "work"]), help="What counts most; balanced if not given."
)
@click.option("--light", "lights", metavar="PART", multiple=True, help="Compare this light only; may be repeated.")
@click.option("--json", "json_to", metavar="PATH", help="Write the comparison as JSON; - for standard output.")
@click.option("--svg", "svg_to", metavar="PATH", type=click.Path(path_type=Path), help="Draw how the best would glow.")
def fill(file: Path, kind: str, prefer: Any, lights: tuple[str, ...], json_to: str | None, svg_to: Path | None) -> None:
    """Compare what could go inside the props of KIND: light, evenness, power, chain, cost, work."""
    from strandwright.cli.counting import counted
    from strandwright.jobs.files import shown, write_json
    from strandwright.jobs.fill import fill_document, fill_file

    with counted("candidates") as step:
        ranking = fill_file(file, kind, prefer, lights, step)
    quiet = json_to == "-"
    if json_to is not None:
        write_json(fill_document(ranking), json_to, sys.stdout)
    if not quiet:
        from strandwright.cli.show_fill import show_fill
        from strandwright.cli.tables import terminal

        show_fill(terminal(), ranking)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")
    if svg_to is not None:
        from strandwright.jobs.kind_pictures import write_fill_row

        write_fill_row(ranking, svg_to)
        click.echo(f"wrote {shown(svg_to)}", err=quiet)


strandwright.add_command(open_)
strandwright.add_command(photograph)


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("more", nargs=-1, metavar="[PHOTO...]", type=click.Path(path_type=Path))
@click.option(
    "--by",
    type=click.Choice(["luminance", "intensity", "view"]),
    help="Luminance (near), intensity (far), or what holds at the viewing distance (view, if not given).",
)
@click.option("--cap", metavar="N%", help="Share of the dimmest kind at full, such as 40 %; 100 % if not given.")
@click.option("--luminance", metavar="CD_M2", type=float, help="Match to this many cd/m2 instead of a cap.")
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
@click.option("--meter", "typed", metavar="TEXT", multiple=True, help='"float=12 lux at 2 m" or "float=85 cd/m2".')
@click.option("--apply", "write", is_flag=True, help="Write the levels and trims into FILE; comments stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write the levels as JSON; - for standard output.")
@click.option(
    "--svg", "svg_to", metavar="PATH", type=click.Path(path_type=Path), help="Draw before and after, and fades."
)
def match(
    file: Path,
    by: Any,
    cap: str | None,
    luminance: float | None,
    white: str | None,
    more: tuple[Path, ...],
    photos: tuple[Path, ...],
    labels: str | None,
    typed: tuple[str, ...],
    write: bool,
    json_to: str | None,
    svg_to: Path | None,
) -> None:
    """Compute the level of each kind in FILE that makes unlike props look alike, and what to type for it."""
    from strandwright.cli.progress import steps
    from strandwright.jobs.files import shown, write_json
    from strandwright.jobs.match import apply, match_document, match_file, read_target

    target = read_target(by, cap, luminance, white)
    if more and not photos:
        raise click.UsageError("Photographs come after --photo.")
    readings: Any = ()
    if photos or typed:
        from strandwright.cli.photo import measured_by

        readings = measured_by(file, (*photos, *more), labels, typed)
        if readings is None:
            return
    quiet = json_to == "-"
    with steps() as progress:
        made = match_file(file, target, readings, progress)
    if json_to is not None:
        write_json(match_document(made), json_to, sys.stdout)
    if not quiet:
        from strandwright.cli.show_match import show_match
        from strandwright.cli.tables import terminal

        show_match(terminal(), made)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")
    if svg_to is not None:
        from strandwright.jobs.match_pictures import write_match

        for path in write_match(made, svg_to):
            click.echo(f"wrote {shown(path)}", err=quiet)
    if write:
        apply(made, file)
        click.echo(f"wrote the levels into {shown(file)}", err=quiet)


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--apply", is_flag=True, help="Write the feeds into FILE; comments and layout stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write the result as one JSON document; - for standard output.")
@click.option("--svg", "svg_to", metavar="DIR", type=click.Path(path_type=Path), help="Draw strings before and after.")
def feed(file: Path, apply: bool, json_to: str | None, svg_to: Path | None) -> None:
    """Find the cheapest way to feed every string in FILE: where again, with which cable, fuse and supply.

    Exit status: 0 where everything is then within its limits, 1 where something remains wrong, 2 where FILE cannot be
    read or written.
    """
    from strandwright.cli.counting import counted
    from strandwright.jobs import feed as job
    from strandwright.jobs.files import shown, whole

    with counted("strings") as progress:
        report = job.feed_file(file, apply, progress)
    if json_to == "-":
        job.write(report, sys.stdout)
    else:
        from strandwright.cli.show_feed import show_feeds
        from strandwright.cli.tables import terminal

        show_feeds(terminal(), report)
        if json_to is not None:
            with whole(Path(json_to)) as stream:
                job.write(report, stream)
            click.echo(f"wrote {shown(json_to)}")
    if svg_to is not None:
        written = job.write_pictures(report, svg_to)
        click.echo(f"wrote {len(written)} files into {shown(svg_to)}", err=json_to == "-")
    if apply:
        words = f"wrote {shown(file)}; strandwright undo {shown(file)} brings the old text back"
        click.echo(words if report.written else f"{shown(file)} stays as it is", err=json_to == "-")
    elif report.edits and json_to != "-":
        click.echo("Nothing was written; --apply writes this into the file.")
    sys.exit(0 if report.meets else STOPPED)


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--draws", type=int, metavar="N", help="Draw N displays (default: what FILE states, else 2000).")
@click.option(
    "--seed", type=int, metavar="N", help="Start the random numbers at N (default: what FILE states, else 1)."
)
@click.option("--json", "json_to", metavar="PATH", help="Write everything as one JSON document; - for standard output.")
def scatter(file: Path, draws: int | None, seed: int | None, json_to: str | None) -> None:
    """Say how surely the display in FILE stays within its limits, given how far real parts stray.

    The same seed gives the same answer. Exit status: 0, or 2 where FILE cannot be read.
    """
    from strandwright.cli.counting import counted
    from strandwright.jobs.files import shown, write_json
    from strandwright.jobs.scatter import document, scatter_file

    with counted("draws") as progress:
        display, found = scatter_file(file, draws, seed, progress)
    if json_to is not None:
        write_json(document(display, found), json_to, sys.stdout)
    if json_to != "-":
        from strandwright.cli.show_scatter import show_scatter
        from strandwright.cli.tables import terminal

        show_scatter(terminal(), display, found)
        if json_to is not None:
            click.echo(f"wrote {shown(json_to)}")


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("part")
@click.option(
    "--reading", "typed", multiple=True, metavar="TEXT", help="One voltage, like '12 V: red 19 mA, off 1 mA'."
)
@click.option("--readings", "listed", metavar="PATH", type=click.Path(path_type=Path), help="Readings in YAML or CSV.")
@click.option("--lights", type=int, default=1, metavar="N", help="N equal lights hung on the supply (default: 1).")
@click.option("--apply", "write", is_flag=True, help="Write the law into FILE; comments and order stay.")
@click.option("--json", "json_to", metavar="PATH", help="Write everything as one JSON document; - for standard output.")
def meter(
    file: Path, part: str, typed: tuple[str, ...], listed: Path | None, lights: int, write: bool, json_to: str | None
) -> None:
    """Find the load law of the light PART of the display in FILE from what a bench supply showed.

    A reading names the voltage at the light and the amps with one colour fully on: red, green, blue, white (all of
    three colours, or the white LED of four), all, off.
    """
    from strandwright.jobs.files import shown, write_json
    from strandwright.jobs.meter import apply, document, meter_part

    metered = meter_part(file, part, typed, listed, lights)
    if write:
        apply(file, metered)
    if json_to is not None:
        write_json(document(metered), json_to, sys.stdout)
    if json_to != "-":
        from strandwright.cli.show_meter import show_meter
        from strandwright.cli.tables import terminal

        show_meter(terminal(), metered)
    for place in ([file] if write else []) + ([Path(json_to)] if json_to not in (None, "-") else []):
        click.echo(f"wrote {shown(place)}", err=json_to == "-")


@strandwright.command()
@click.argument("file", type=click.Path(path_type=Path))
def undo(file: Path) -> None:
    """Take back the last change that this tool made to FILE."""
    from strandwright.display.history import undo as take_back
    from strandwright.jobs.files import shown

    what = take_back(file)
    click.echo(f"took back in {shown(file)}: {what}")


@strandwright.command()
def schema() -> None:
    """Print the JSON Schema of the display file."""
    import json

    from strandwright.jobs.schema import display_schema

    click.echo(json.dumps(display_schema(), indent=1, ensure_ascii=False))


@strandwright.command()
@click.argument("name", required=False)
def parts(name: str | None) -> None:
    """List the parts catalogue, one sort of it (light, cable, joint ...), or all numbers of the part NAME."""
    from strandwright.cli.show import show_part, show_parts
    from strandwright.cli.tables import terminal
    from strandwright.display.parts import ROLES
    from strandwright.jobs.parts import list_parts, part_numbers

    if name is None or name in ROLES:
        show_parts(terminal(), list_parts(name))
    else:
        numbers = part_numbers(name)
        line = next(p for p in list_parts() if p.name == name)
        show_part(terminal(), line, numbers)


def _spell(error: UnicodeError) -> tuple[str, int]:
    """Return what an output that does not know these letters gets in their place."""
    from strandwright.draw.plain import plain_text

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
            strandwright.main(standalone_mode=False, prog_name="strandwright")
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
    from strandwright.display.words import visible

    if not isinstance(error, getattr(click.exceptions, "NoArgsIsHelpError", ())):  # that one shows the whole help
        vars(error).update(message=visible(error.message))
    error.show()


def _tell(error: Exception) -> int:
    from strandwright.errors import DisplayError, StrandwrightError

    if isinstance(error, OSError):
        _give_up(sys.stdout)
        _say(f"The output cannot be written ({error.strerror or error}).")
        return UNREADABLE
    if isinstance(error, StrandwrightError):
        told = str(error)
        if isinstance(error, DisplayError) and len(error.problems) > 1:
            told = f"{error.file} cannot be used; {len(error.problems)} things are wrong with it:\n{told}"
        _say(told)
        return UNREADABLE
    if os.environ.get("STRANDWRIGHT_DEBUG"):
        raise error
    told = " ".join(str(error).split())
    words = f"{type(error).__name__}: {told}" if told else type(error).__name__
    _say(
        f"This is a fault of Strandwright, not of your file ({words}). Nothing was left half written. "
        "Set STRANDWRIGHT_DEBUG=1 to see where, and report it with your display file."
    )
    return FAULT
