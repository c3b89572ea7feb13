"""An analysed show on the terminal: the whole, then supplies, fuses, cables and strings, then the worst moments."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from hollowglow.cli.show.plan import MOST_ROWS
from hollowglow.cli.show.tables import print_table, table
from hollowglow.jobs.shows.analyse import ShowAnalysis, share_words
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import amps, percent, seconds, volts, watts
from hollowglow.show.demand.allowed import limits_title
from hollowglow.show.demand.statistics import ShowStatistics, ThingStatistics


def clock(at_s: float) -> str:
    """Return a time since the start such as 3:07.25 or 1:03:07.25."""
    hours, rest = divmod(max(at_s, 0.0), 3600.0)
    minutes, left = divmod(rest, 60.0)
    return (f"{hours:.0f}:{minutes:02.0f}" if hours else f"{minutes:.0f}") + f":{left:05.2f}"


def _whole(made: ShowStatistics) -> str:
    if made.over_share == 0.0:
        held = "Every limit of the file was kept."
    else:
        held = f"A limit was passed {share_words(made.over_share)} of the time"
        held += (
            f"; levels at {made.level} % of today's would have kept all of them."
            if made.level is not None
            else "; no lower level would have kept all of them."
        )
    if made.collapsed_share:
        held += (
            f" For {share_words(made.collapsed_share)} of the time the drivers of some string could not all run for sure; that "
            "counts as passing every limit."
        )
    return held


def show_analysis(console: Console, analysed: ShowAnalysis) -> None:
    """Print an analysed show."""
    made = analysed.statistics
    console.print(Text(analysed.assembly.display.display, style="bold"))
    console.print(
        f"{seconds(made.seconds)}, {made.frames:,} frames, {made.distinct:,} of them different. All supplies together: peak "
        f"{watts(made.peak_w)}, mean {watts(made.mean_w)}, {number(made.energy_wh)} Wh. Voltage took "
        f"{share_words(made.light_lost)} of the light."
    )
    console.print(_whole(made), style="" if made.over_share == 0.0 else "bold")
    counts = (
        (analysed.lost, "lost"),
        (analysed.late, "late"),
        (analysed.discarded - analysed.late, "repeated"),
        (analysed.malformed, "malformed"),
        (analysed.elsewhere, "of universes that the display does not use"),
    )
    told = ", ".join(f"{count:,} {what}" for count, what in counts if count > 0)
    if told:
        console.print(f"Packets: {told}.")
    for note in analysed.notes:
        console.print(note)
    show_things(console, made.things)
    _strings(console, made)
    _spread(console, made)
    worst = table(
        "Worst moments, at least a second apart", "time", "what", "A", "of allowed", "all W", right=(0, 2, 3, 4)
    )
    for moment in made.worst:
        worst.add_row(
            clock(moment.at_s), moment.id, amps(moment.current_a), percent(moment.of_allowed), watts(moment.power_w)
        )
    print_table(console, worst, len(made.worst), MOST_ROWS, "--json has all")
    console.print(
        "\nCurrents and voltages are averages over the drivers' pulses, computed from what was sent, not measured; where "
        "pulses coincide, a light sees as little as it says for a moment. Local codes and a licensed "
        "electrician decide what may be built.",
        style="dim",
    )


def show_things(console: Console, things: tuple[ThingStatistics, ...]) -> None:
    """Print what supplies, fuses, and cables and joints that a frame could overload carried."""
    limited = [t for t in things if t.allowed_a is not None]
    shown = table(
        limits_title(t.sort for t in limited),
        "id", "peak A", "mean A", "allowed A", "peak W", "mean W", "Wh", "peak at", "time over", "holds at level",
        right=tuple(range(1, 10)),
    )  # fmt: skip
    shown.columns[0].no_wrap = True
    for one in limited[:MOST_ROWS]:
        shown.add_row(
            one.id,
            amps(one.peak_a),
            amps(one.mean_a),
            amps(one.allowed_a or 0.0),
            watts(one.peak_w),
            watts(one.mean_w),
            number(one.energy_wh),
            clock(one.peak_at_s),
            share_words(one.over_share or 0.0),
            "none" if one.level is None else f"{one.level} %",
        )
    print_table(console, shown, len(limited), MOST_ROWS, "--json has all")


def _spread(console: Console, made: ShowStatistics) -> None:
    shown = table("How long at which power, all supplies together", "W", "of the time", "", right=(0, 1))
    most = max(made.time_share, default=0.0)
    for low, high, share in zip(made.edges_w, made.edges_w[1:], made.time_share, strict=False):
        if share > 0.0:
            shown.add_row(
                f"{number(low)} to {number(high)}", share_words(share), "█" * max(1, round(40 * share / most))
            )
    print_table(console, shown, shown.row_count, shown.row_count, "")


def _strings(console: Console, made: ShowStatistics) -> None:
    strings = [t for t in made.things if t.sort == "string"]
    shown = table(
        "Strings: what their lights took",
        "string", "peak A", "mean A", "peak W", "mean W", "Wh", "lowest V", "at", "for a moment", "light lost",
        right=tuple(range(1, 10)),
    )  # fmt: skip
    for one in strings[:MOST_ROWS]:
        dark = one.lowest_v is None
        shown.add_row(
            one.id,
            amps(one.peak_a),
            amps(one.mean_a),
            watts(one.peak_w),
            watts(one.mean_w),
            number(one.energy_wh),
            "-" if dark else volts(one.lowest_v or 0.0),
            "-" if dark else clock(one.lowest_at_s or 0.0),
            "-" if one.coincident_v is None else volts(one.coincident_v),
            share_words(one.light_lost or 0.0),
        )
    print_table(console, shown, len(strings), MOST_ROWS, "--json has all")
