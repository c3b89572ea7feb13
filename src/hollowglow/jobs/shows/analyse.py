"""Analyse a capture of a show: what it drew on the display in a file."""

from __future__ import annotations

import csv
import math
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np

from hollowglow import __version__
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.tables import Floats, Ints
from hollowglow.draw.circuit.over_time import TimePanel, over_time, time_spread
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.file import load
from hollowglow.file.store.writing import folder, shown, whole
from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.capture import read
from hollowglow.net.hearing.moments import Forward, moments
from hollowglow.net.hearing.sources import HeardSources
from hollowglow.quantity.numbers import number, plain_tree
from hollowglow.quantity.words import amps as amps_
from hollowglow.quantity.words import percent, volts, watts
from hollowglow.show.demand import Demand, FrameCurrents
from hollowglow.show.demand.addresses import Bytes
from hollowglow.show.demand.mains import MainsCircuits
from hollowglow.show.demand.statistics import Moment, Show, ShowStatistics, ThingStatistics, statistics_of

_BATCH = 384
_PANELS = 8
_COLUMNS = 300


@dataclass(frozen=True)
class ShowAnalysis:
    """A show analysed.

    Attributes:
        build: the display expanded.
        show: the frames and when they stood.
        drawn: what each different frame draws.
        statistics: of the whole.
        started_s: when the capture begins, s since 1970 (UTC).
        lost, late, discarded, malformed, elsewhere: packets by what became of them.
        notes: what a person should know, in sentences.
    """

    assembly: Assembly
    show: Show
    drawn: FrameCurrents
    statistics: ShowStatistics
    started_s: float
    lost: int
    late: int
    discarded: int
    malformed: int
    elsewhere: int
    notes: tuple[str, ...]

    @property
    def mains_a(self) -> Floats:
        """Current of each mains circuit in each different frame, A, shape (D, circuits)."""
        return np.asarray(self.drawn.supply_a @ MainsCircuits.of(self.assembly).per_a.T)


class _Collector:
    """Gathers moments into different frames, solving them batch by batch."""

    def __init__(self, demand: Demand) -> None:
        self._demand = demand
        self._rows: dict[bytes, int] = {}
        self._frames: list[Bytes] = []
        self._drawn: list[FrameCurrents] = []
        self._solved = 0
        self._which: list[int] = []
        self._at_s: list[float] = []

    def add(self, at_s: float, frame: Bytes) -> None:
        key = frame.tobytes()
        row = self._rows.get(key)
        if row is None:
            row = self._rows[key] = len(self._frames)
            self._frames.append(frame)
            if len(self._frames) - self._solved >= _BATCH:
                self._flush()
        self._which.append(row)
        self._at_s.append(at_s)

    def _flush(self) -> None:
        if len(self._frames) > self._solved:
            self._drawn.append(self._demand.solve(np.stack(self._frames[self._solved :])))
            self._solved = len(self._frames)

    def show(self, frame_s: float) -> tuple[Show, FrameCurrents, float]:
        """Return the show, what its frames draw, and when it began."""
        self._flush()
        self._rows.clear()
        at: Floats = np.array(self._at_s)
        started = float(at[0])
        which: Ints = np.array(self._which, dtype=np.int64)
        lasted = np.append(np.diff(at), frame_s)
        return Show(np.stack(self._frames), which, at - started, lasted), FrameCurrents.joined(self._drawn), started


def see_to_strings(assembly: Assembly) -> None:
    """Raise Refusal where a display has no lights for a show to light."""
    if not len(assembly.nodes.prop):
        raise Refusal("This display has no strings yet, so no show lights anything of it. Give it a string with props.")


def frame_time_s(assembly: Assembly) -> float:
    """Return the time of one frame at the display's fastest rate, s."""
    return 1.0 / max((c.rate for c in assembly.display.controllers.values()), default=40.0)


def analyse(
    file: Path | str,
    capture: Path | str,
    progress: Callable[[int, int], None] | None = None,
) -> ShowAnalysis:
    """Return what a captured show draws on a display.

    Args:
        file: the display file.
        capture: pcap or pcapng file.
        progress: called with how many frames are read, twice.

    Raises:
        DisplayError: when the file cannot be read.
        Refusal: when the capture cannot be, or holds nothing for this display.
    """
    assembly = expand(load(file))
    see_to_strings(assembly)
    demand = Demand.of(assembly)
    sources = HeardSources(demand.addresses.universes)
    frame_s = frame_time_s(assembly)
    gathered = _Collector(demand)
    count = 0
    with read(Path(capture)) as reading:
        forward = Forward(reading)
        for at_s, frame in moments(forward, sources, frame_s):
            gathered.add(at_s, frame)
            count += 1
            if progress is not None and count % 100 == 0:
                progress(count, count)
    heard = [sources.counts(u) for u in sources.universes]
    if not any(c.frames for c in heard):
        names = ", ".join(str(u) for u in sources.universes[:5]) or "none"
        nothing = f"{shown(capture)} holds no data for the universes of this display ({names})."
        raise Refusal(" ".join([nothing, *_strange(sources), *reading.notes()]))
    show, drawn, started = gathered.show(frame_s)
    return ShowAnalysis(
        assembly=assembly,
        show=show,
        drawn=drawn,
        statistics=statistics_of(demand, show, drawn),
        started_s=started,
        lost=sum(c.lost for c in heard),
        late=sum(c.late for c in heard),
        discarded=sum(c.discarded for c in heard),
        malformed=sources.totals.malformed,
        elsewhere=sources.totals.elsewhere,
        notes=(*reading.notes(), *forward.notes(), *_strange(sources)),
    )


def _strange(sources: HeardSources) -> list[str]:
    """Return what else is in a capture, in sentences: other universes, and data that is not to be shown."""
    said = []
    preview = sum(sources.counts(u).preview for u in sources.universes)
    if preview:
        said.append(f"Left out, packets that are marked as a preview, which no controller shows: {preview:,}.")
    if sources.totals.elsewhere:
        said.append(
            f"It holds data of {sources.totals.others_words()}, which the display does not use: where a controller's "
            "addresses begin is its first_universe in the file."
        )
    return said


def document(analysed: ShowAnalysis) -> dict[str, Any]:
    """Return the analysis of a show as plain data for JSON; sums and shares only, the moments are in the CSV files."""
    packets = {k: getattr(analysed, k) for k in ("lost", "late", "discarded", "malformed", "elsewhere")}
    return {
        "display": analysed.assembly.display.display,
        "hollowglow": __version__,
        "started": analysed.started_s,
        "packets": packets,
        "notes": list(analysed.notes),
        **plain_tree(asdict(analysed.statistics)),
    }


def write_csv(analysed: ShowAnalysis, place: Path) -> list[Path]:
    """Write a table of everything that drew, of the worst moments, of the histogram, and of every moment."""
    made = analysed.statistics
    assembly, drawn, show = analysed.assembly, analysed.drawn, analysed.show
    folder(place)
    heads = [f"{t.id} A" for t in made.things] + [f"{n} V" for n in assembly.strings.names]
    table = np.hstack(
        [drawn.supply_a, drawn.fuse_a, drawn.conductor_a, analysed.mains_a, drawn.string_a, drawn.lowest_v]
    )
    bins = zip(made.edges_w, made.edges_w[1:], made.time_share, strict=False)
    tables: dict[str, tuple[list[str], Iterable[Iterable[Any]]]] = {
        "things": (
            [f.name for f in fields(ThingStatistics)],
            ([_cell(v) for v in asdict(t).values()] for t in made.things),
        ),
        "worst": ([f.name for f in fields(Moment)], ([_cell(v) for v in asdict(m).values()] for m in made.worst)),
        "histogram": (["from W", "to W", "share of time"], ([_cell(v) for v in row] for row in bins)),
        "moments": (
            ["s", "lasted s", *heads],
            (
                [_cell(a), _cell(d), *(_cell(v) for v in table[w].tolist())]
                for a, d, w in zip(show.at_s.tolist(), show.lasted_s.tolist(), show.which.tolist(), strict=True)
            ),
        ),
    }
    written = []
    for name, (head, rows) in tables.items():
        path = place / f"{name}.csv"
        with whole(path) as stream:
            writer = csv.writer(stream, lineterminator="\n")
            writer.writerow(head)
            writer.writerows(rows)
        written.append(path)
    return written


def _cell(value: Any) -> Any:
    if isinstance(value, float):
        return f"{value:.6g}" if math.isfinite(value) else ""
    return "" if value is None else value


def write_svg(analysed: ShowAnalysis, place: Path) -> list[Path]:
    """Write pictures of what supplies, fuses and strings carried over time, and of how the time was spread."""
    made, drawn = analysed.statistics, analysed.drawn
    name = analysed.assembly.display.display
    pictures = {"histogram": time_spread(made.edges_w, made.time_share, title=f"{name}: how long at which power")}
    for sorts, plural, amps in (
        (("supply",), "supplies", drawn.supply_a),
        (("fuse",), "fuses", drawn.fuse_a),
        (("cable", "joint"), "cables", drawn.conductor_a),
        (("mains",), "mains", analysed.mains_a),
        (("string",), "strings", drawn.string_a),
    ):
        own = list(enumerate(t for t in made.things if t.sort in sorts))
        # The fullest first: a picture holds so many.
        own.sort(key=lambda pair: -pair[1].peak_a / max(pair[1].allowed_a or 1.0, 1e-12))
        panels = [_panel(analysed, t, amps[:, i]) for i, t in own[:_PANELS]]
        if panels:
            pictures[plural] = over_time(panels, made.seconds, title=f"{name}: what its {plural} carried")
    folder(place)
    written = []
    for stem, drawing in pictures.items():
        path = place / f"{stem}.svg"
        with whole(path) as stream:
            stream.write(to_svg(drawing))
        written.append(path)
    return written


def _panel(analysed: ShowAnalysis, thing: ThingStatistics, amps: Floats) -> TimePanel:
    """Return the picture of a thing from the size of its current in each different frame, A."""
    show = analysed.show
    highest, mean = stretches(show.at_s, show.lasted_s, np.abs(amps)[show.which], _COLUMNS)
    allowed = "" if thing.allowed_a is None else f" of {amps_(thing.allowed_a)} allowed"
    over = f", over it {share_words(thing.over_share)} of the time" if thing.over_share else ""
    if thing.over_share and thing.level is not None:
        over += f" (kept at {thing.level} % of the level)"
    left = "" if thing.lowest_v is None else f", lowest {volts(thing.lowest_v)}"
    if thing.light_lost:
        left += f", {share_words(thing.light_lost)} of the light lost"
    note = (
        f"peak {amps_(thing.peak_a)}{allowed}{over}, mean {amps_(thing.mean_a)} and {watts(thing.mean_w)}, "
        f"{number(thing.energy_wh)} Wh{left}"
    )
    worst = enumerate(analysed.statistics.worst, start=1)
    marks = tuple((moment.at_s, str(rank)) for rank, moment in worst if moment.id == thing.id)
    return TimePanel(thing.id, note, "A", tuple(mean.tolist()), tuple(highest.tolist()), thing.allowed_a, marks)


def share_words(share: float) -> str:
    """Return a share of the time in words; one that rounds to nothing is not called nothing."""
    return "under 0.1 %" if 0.0 < share < 0.001 else percent(share)


def stretches(at_s: Floats, lasted_s: Floats, values: Floats, columns: int) -> tuple[Floats, Floats]:
    """Return the highest value and the mean over time in equal stretches of a show; NaN where nothing is known.

    Args:
        at_s: when each value begins to hold, rising, s.
        lasted_s: for how long it does, s.
        values: what holds, NaN where that is not known.
        columns: how many stretches.
    """
    edges = np.linspace(0.0, float(at_s[-1] + lasted_s[-1]), columns + 1)
    cuts = np.union1d(at_s, edges)
    lasted = np.diff(cuts)
    column = np.clip(np.searchsorted(edges, cuts[:-1], side="right") - 1, 0, columns - 1)
    held = values[np.searchsorted(at_s, cuts[:-1], side="right") - 1]
    known = np.isfinite(held)
    highest = np.full(columns, np.nan)
    np.fmax.at(highest, column, held)
    weight = np.bincount(column, weights=lasted * known, minlength=columns)
    total = np.bincount(column, weights=lasted * np.where(known, held, 0.0), minlength=columns)
    return highest, np.where(weight > 0.0, total / np.where(weight > 0.0, weight, 1.0), np.nan)
