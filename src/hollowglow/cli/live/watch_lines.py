"""A watched show on the terminal: written over in place where there is one, a line a second where there is none."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

import numpy as np
from rich.console import Console, Group, RenderableType
from rich.live import Live
from rich.text import Text

from hollowglow.assembly.tables import Floats
from hollowglow.cli.show.analysis import clock
from hollowglow.cli.show.plan import MOST_ROWS
from hollowglow.cli.show.tables import table, terminal
from hollowglow.cli.terminal.words import told
from hollowglow.jobs.shows.capture import MOST_SECONDS, ears, why_silent
from hollowglow.jobs.shows.watch import Watch, WatchedShow
from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.receiver import Receiver
from hollowglow.net.sending.ending import ending_signals
from hollowglow.physics.srgb import srgb_bytes
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import amps, percent, volts, watts
from hollowglow.show.demand.allowed import limits_title

LOOK_S = 0.2
LINE_S = 1.0
_BLOCKS = 60


def watching(file: Path, origins: Sequence[str], interface: str | None, seconds: float | None) -> bool:
    """Watch until the time is over, a key or Ctrl-C; return whether a limit was passed."""
    if seconds is not None and not 0.0 < seconds <= MOST_SECONDS:
        raise Refusal(f"found {seconds:g}, expected more than 0 and at most {MOST_SECONDS:,}.", field="seconds")
    console = terminal()
    begun = time.monotonic()

    def say(words: str) -> None:
        console.print(f"{clock(time.monotonic() - begun)}  {words}")

    watch = Watch.of(file, say)
    listen = ears(origins, interface)
    wanted = listen.senders
    with (
        Receiver(
            watch.universes, multicast=listen.multicast, interface=listen.interface, bind=listen.bind, say=say
        ) as receiver,
        _screen(console, watch) as show,
        _keys() as pressed,
        ending_signals(),
        suppress(KeyboardInterrupt, SystemExit),
    ):
        # The plan of a large display may have taken longer than is to be watched.
        looked = begun = time.monotonic()
        watch.look(begun)
        while (seconds is None or time.monotonic() - begun < seconds) and not pressed():
            heard = receiver.receive(max(0.0, looked + LOOK_S - time.monotonic()))
            if heard is not None and (not wanted or heard.sender.partition("%")[0] in wanted):
                watch.hear(heard.datagram, heard.sender, heard.at_s)
            if time.monotonic() - looked >= LOOK_S:
                looked = time.monotonic()
                show(watch.look(looked))
    watch.end(time.monotonic())
    summary(console, watch, told(why_silent(listen)))
    return bool(watch.over_s.any())


@contextmanager
def _screen(console: Console, watch: Watch) -> Iterator[Callable[[WatchedShow], None]]:
    if console.is_terminal:
        with Live(console=console, auto_refresh=False, transient=True) as live:
            yield lambda seen: live.update(picture(watch, seen), refresh=True)
        return
    last = -LINE_S

    def line(seen: WatchedShow) -> None:
        nonlocal last
        if seen.at_s - last >= LINE_S - 0.5 * LOOK_S:
            last = seen.at_s
            console.print(one_line(watch, seen), soft_wrap=True)
            with suppress(OSError, ValueError):
                sys.stdout.flush()

    yield line


@contextmanager
def _keys() -> Iterator[Callable[[], bool]]:
    """Yield what tells whether q, Escape or Return was pressed, where keys can be read one by one."""
    try:
        import select
        import termios
        import tty

        place = sys.stdin.fileno()
        before = termios.tcgetattr(place)
    except (ImportError, OSError, ValueError, AttributeError, termios.error):
        yield lambda: False
        return
    tty.setcbreak(place)
    try:
        yield lambda: bool(select.select([place], [], [], 0.0)[0]) and sys.stdin.read(1) in "qQ\x1b\n"
    finally:
        termios.tcsetattr(place, termios.TCSADRAIN, before)


def one_line(watch: Watch, seen: WatchedShow) -> str:
    """Return what is seen as one line."""
    supplies = [
        f"{name} {amps(float(now))} (peak {amps(float(peak))})"
        for name, now, peak in zip(watch.assembly.supplies, seen.current_a, watch.peak_a, strict=False)
    ]
    lowest = both_volts(seen.lowest_v, seen.coincident_v)
    return (
        f"{clock(seen.at_s)}  {seen.rate_hz:.1f} frames/s  {', '.join(supplies)}  lowest {lowest}  "
        f"lost {seen.lost:,}, late {seen.late:,}"
    )


def both_volts(mean_v: Floats, coincident_v: Floats) -> str:
    """Return the lowest of some voltages, and beside it that of a moment in which pulses coincide, where it is lower."""
    if np.isnan(mean_v).all():
        return "-"
    mean = volts(float(np.nanmin(mean_v)))
    moment = mean if np.isnan(coincident_v).all() else volts(float(np.nanmin(coincident_v)))
    return mean if mean == moment else f"{mean} ({moment})"


def picture(watch: Watch, seen: WatchedShow) -> RenderableType:
    """Return what is seen as rows of blocks and a table."""
    who = ", ".join(seen.sources) or ("nobody is heard now" if watch.frames else "nobody is heard yet")
    head = Text(
        f"{watch.assembly.display.display}: {who}; {seen.rate_hz:.1f} frames/s, {seen.lost:,} lost, {seen.late:,} late "
        "(q or Ctrl-C stops)"
    )
    addresses = watch.demand.addresses
    rows: list[RenderableType] = [head, Text("")]
    names = watch.assembly.strings.names
    width = min(24, max((len(n) for n in names), default=0))
    for row, name in enumerate(names[:MOST_ROWS]):
        own = seen.colours[int(addresses.first_cell[row]) : int(addresses.first_cell[row + 1])]
        line = Text(
            f"{name[:width]:<{width}} {both_volts(seen.lowest_v[row : row + 1], seen.coincident_v[row : row + 1]):>17} "
        )
        rows.append(line.append_text(blocks(own)))
    if len(names) > MOST_ROWS:
        rows.append(Text(f"... and {len(names) - MOST_ROWS:,} more strings"))
    heads = (limits_title(watch.allowed.sorts).lower(), "now", "peak", "allowed", "peak of allowed")
    shown = table("", *heads, right=(1, 2, 3, 4))
    ratio = watch.peak_a / np.maximum(watch.allowed.current_a, 1e-12)
    order = [*range(watch.allowed.supplies), *_fullest(ratio, watch.allowed.supplies)][:MOST_ROWS]
    for i in order:
        over = bool(watch.over_s[i] > 0.0 or ratio[i] > 1.0)
        shown.add_row(
            watch.allowed.names[i],
            amps(float(seen.current_a[i])),
            amps(float(watch.peak_a[i])),
            amps(float(watch.allowed.current_a[i])),
            percent(float(ratio[i])) + (" OVER" if over else ""),
            style="bold red" if over else "",
        )
    return Group(*rows, shown)


def _fullest(ratio: Floats, supplies: int) -> list[int]:
    return [int(i) for i in supplies + np.argsort(-ratio[supplies:], kind="stable")]


def blocks(colours: Floats) -> Text:
    """Return cells as coloured blocks, neighbours together where there are many.

    Args:
        colours: linear red, green and blue, 0 to 1, shape (n, 3).
    """
    made = Text()
    for some in np.array_split(colours, min(_BLOCKS, len(colours))) if len(colours) else []:
        red, green, blue = srgb_bytes(some.mean(axis=0)).tolist()
        made.append(
            "█" if red or green or blue else "·", style=f"rgb({red},{green},{blue})" if red or green or blue else "dim"
        )
    return made


def summary(console: Console, watch: Watch, silent: str = "") -> None:
    """Print what was seen in all; `silent` is the advice where nothing was heard."""
    if not watch.frames:
        console.print(f"Nothing was heard. {silent}".rstrip())
        return
    seconds = max(watch.seconds, 1e-9)
    console.print(
        f"{clock(watch.seconds)} watched, {watch.frames:,} frames: peak {watts(watch.peak_w)}, mean "
        f"{watts(watch.energy_j / seconds)}, {number(watch.energy_j / 3600.0)} Wh."
    )
    shown = table(limits_title(watch.allowed.sorts), "id", "peak A", "allowed A", "time over", right=(1, 2, 3))
    for i, name in enumerate(watch.allowed.names[:MOST_ROWS]):
        shown.add_row(
            name,
            amps(float(watch.peak_a[i])),
            amps(float(watch.allowed.current_a[i])),
            percent(float(watch.over_s[i]) / seconds),
        )
    console.print(shown)
    lowest = ", ".join(
        f"{n} {both_volts(watch.lowest_v[k : k + 1], watch.coincident_v[k : k + 1])}"
        for k, n in enumerate(watch.assembly.strings.names[:MOST_ROWS])
    )
    console.print(f"Lowest voltages: {lowest}.")
    console.print(
        "Currents and voltages are averages over the drivers' pulses, computed from what was sent, not measured. In "
        "brackets: the lowest voltage for a moment, where pulses coincide.",
        style="dim",
    )
