"""From places to lengths: where every prop sits, and what a cable measures whose length is left to the drawing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from hollowglow.file.model.display import Display, Feed, Lead, Span, String
from hollowglow.file.model.site import DrawnMetres, SetOut
from hollowglow.file.reading.references import ReferenceProblem
from hollowglow.file.text.source import Key
from hollowglow.physics import catenary, lines

Array = NDArray[np.float64]
Run = TypeVar("Run", Lead, Feed)

# A hung stretch is followed in so many straight pieces; its length is then short by less than 1 part in 10,000.
_PIECES = 64


def hung_line(place: SetOut, plane: str) -> tuple[Array, float | None]:
    """Return the line of a string as it hangs, and the parameter of its catenary, None where it does not sag.

    The longest stretch sags as stated; cable that can slip over its hooks pulls alike everywhere, so the others hang in
    catenaries of the same parameter.

    Args:
        place: how the string is set out; it states a line.
        plane: wall (the second length is up) or plan (the third is).

    Raises:
        ValueError: when a stretch is too short, or too steep, for the sag.
    """
    line = np.array(place.line, dtype=np.float64)
    if place.sag is None:
        return line, None
    up = 1 if plane == "wall" else 2
    flat = np.delete(line, up, axis=1)
    level = np.linalg.norm(np.diff(flat, axis=0), axis=1)
    rise = np.diff(line[:, up])
    longest = int(np.argmax(level))
    c = catenary.parameter_from_sag(float(level[longest]), place.sag, float(rise[longest]))
    pieces = [line[:1]]
    for row, (span, height) in enumerate(zip(level.tolist(), rise.tolist(), strict=True)):
        if span < 1e-9:  # straight up or down: nothing to sag
            pieces.append(line[row + 1 : row + 2])
            continue
        share = np.linspace(0.0, 1.0, _PIECES + 1)[1:]
        made = line[row] + share[:, None] * (line[row + 1] - line[row])
        made[:, up] = line[row, up] + catenary.heights_m(c, span, share * span, height)[0]
        pieces.append(made)
    return np.concatenate(pieces), c


def stops(string: String, plane: str) -> tuple[Array, Array | None, Array | None]:
    """Return where the props of a string sit, m, shape (n, 3); how far along its line, shape (n,); and that line.

    The last two are None without a line; the distance of a moved prop is NaN.

    Raises:
        ValueError: when they do not fit.
    """
    place, count = string.place, string.prop_count
    assert place is not None
    moved = [m.prop - 1 for m in place.moved]
    if place.line is None:
        assert place.points is not None
        spots, marks, line = np.array(place.points, dtype=np.float64), None, None
    else:
        line, _ = hung_line(place, plane)
        length = float(lines.marks_m(line)[-1])
        marks = lines.stops_m(length, count=count, pitch_m=place.pitch, start_m=place.start)
        spots = lines.along(line, marks)
        marks = marks.copy()
        marks[moved] = np.nan
    if moved:
        spots[moved] = [m.at for m in place.moved]
    return spots, marks, line


def positions(display: Display) -> dict[str, Array]:
    """Return where the props of every string that is set out sit, m, shape (n, 3), by string."""
    plane = display.place.plane
    return {name: stops(one, plane)[0] for name, one in display.strings.items() if one.place is not None}


def gaps_m(string: String, plane: str, straight: bool = False) -> Array:
    """Return the distance between neighbours, m, shape (n - 1,): along the line between two props on it, else straight."""
    spots, marks, _ = stops(string, plane)
    direct: Array = np.linalg.norm(np.diff(spots, axis=0), axis=1)
    if marks is None or straight:
        return direct
    way = np.abs(np.diff(marks))
    return np.where(np.isfinite(way), way, direct)


def _span_lengths(string: String) -> tuple[float, ...]:
    return string.span.length or () if string.span is not None else ()


def _asked(length: float | None) -> bool:
    return isinstance(length, DrawnMetres) and not length.known


def unplaced(display: Display) -> Iterator[ReferenceProblem]:
    """Yield what keeps places from being known, and drawn lengths from being worked out."""
    plane = display.place.plane
    for name, string in display.strings.items():
        here = ("strings", name)
        wanted: list[tuple[Key, bool]] = [
            (("span", "length"), any(map(_asked, _span_lengths(string)))),
            (("lead", "length"), _asked(string.lead.length)),
            *((("feeds", i, "length"), _asked(f.length)) for i, f in enumerate(string.feeds)),
        ]
        if string.place is None:
            for path, asked in wanted:
                if asked:
                    mend = "Add place with a line to the string, or state the length."
                    yield ReferenceProblem(
                        (*here, *path), "a drawn length", "a string whose props have places", mend, here=True
                    )
            continue
        if (told := _misplaced(string, plane, (*here, "place"))) is not None:
            yield told
            continue
        if wanted[1][1] and _start(display, string) is None:
            mend = f"Add at, like [0 m, 1.2 m], to the controller {string.output.controller}."
            yield ReferenceProblem(
                (*here, "lead", "length"), "a drawn length", "a controller or a supply that has a place", mend
            )
        for i, feed in enumerate(string.feeds):
            supply = display.supplies.get(feed.supply)
            if _asked(feed.length) and supply is not None and supply.at is None:
                mend = f"Add at, like [0 m, 1.2 m], to the supply {feed.supply}."
                yield ReferenceProblem(
                    (*here, "feeds", i, "length"), "a drawn length", "a supply that has a place", mend
                )


def _misplaced(string: String, plane: str, here: tuple[str | int, ...]) -> ReferenceProblem | None:
    """Return why the props of a string have no places, None where they have."""
    place, count = string.place, string.prop_count
    assert place is not None
    if place.points is not None and len(place.points) != count:
        return ReferenceProblem(
            (*here, "points"), f"{len(place.points)} points", f"{count}, one for each prop", here=True
        )
    for i, moved in enumerate(place.moved):
        path = (*here, "moved", i, "prop")
        if moved.prop > count:
            return ReferenceProblem(
                path, str(moved.prop), f"the number of a prop on this string (1 to {count})", here=True
            )
        if any(m.prop == moved.prop for m in place.moved[:i]):
            return ReferenceProblem(path, f"prop {moved.prop} a second time", "one place for each prop")
    if place.line is None:
        return None
    try:
        line, _ = hung_line(place, plane)
    except ValueError:
        return ReferenceProblem(
            (*here, "sag"), f"{place.sag:g} m", "a sag that the longest stretch of the line can have"
        )
    length = float(lines.marks_m(line)[-1])
    if length < lines.FITS_M:
        return ReferenceProblem((*here, "line"), "a line without length", "points that are apart")
    if place.start > length + lines.FITS_M:
        return ReferenceProblem(
            (*here, "start"), f"{place.start:g} m", f"a place on the line, which is {length:.2f} m long"
        )
    if place.pitch is not None:
        room = lines.fitting(length, place.pitch, place.start)
        if room < count:
            most = (length - place.start) / (count - 1)
            found = f"a pitch of {place.pitch:g} m for {count} props"
            expected = f"what fits on {length - place.start:.2f} m of line ({room} props at this pitch)"
            mend = (
                f"{most:.3f} m is the most for {count}." if most > 0.0005 else "Let start be nearer to its beginning."
            )
            return ReferenceProblem((*here, "pitch"), found, expected, mend, here=True)
    return None


def _start(display: Display, string: String) -> Array | None:
    """Return where a string's lead begins: at its controller, else at its supply; None where neither has a place."""
    controller = display.controllers.get(string.output.controller)
    supply = display.supplies.get(string.supply) if string.supply is not None else None
    at = next((one.at for one in (controller, supply) if one is not None and one.at is not None), None)
    return None if at is None else np.array(at)


def with_drawn_lengths(display: Display) -> Display:
    """Return the display with every drawn length worked out; what `unplaced` yields must be mended first.

    A drawn length is the distance times one plus the display's slack. Drip loops are added where cables are counted.
    """
    made: dict[str, String] = {}
    for name, string in display.strings.items():
        update: dict[str, object] = {}
        asked = _span_lengths(string)
        feeds = [f for f in string.feeds if _asked(f.length)]
        if string.place is None or not (any(map(_asked, asked)) or _asked(string.lead.length) or feeds):
            continue
        spots = stops(string, display.place.plane)[0]

        def drawn(metres: float, straight: bool) -> DrawnMetres:
            # What is nearer than that is in one place; a cable has some length all the same.
            return DrawnMetres(max(1e-5, metres * (1.0 + display.place.slack)), straight, known=True)

        if any(map(_asked, asked)):
            update["span"] = _span(string, asked, display.place.plane, drawn)
        start = _start(display, string)
        if _asked(string.lead.length) and start is not None:
            away = float(np.linalg.norm(spots[0] - start))
            update["lead"] = _with_length(string.lead, drawn(away, _is_straight(string.lead.length)))
        if feeds:
            found = []
            for feed in string.feeds:
                at = display.supplies[feed.supply].at
                if _asked(feed.length) and at is not None:
                    away = float(np.linalg.norm(spots[feed.before - 1] - np.array(at)))
                    feed = _with_length(feed, drawn(away, _is_straight(feed.length)))
                found.append(feed)
            update["feeds"] = tuple(found)
        made[name] = string.model_copy(update=update)
    return display.model_copy(update={"strings": display.strings | made}) if made else display


def _is_straight(length: float) -> bool:
    return isinstance(length, DrawnMetres) and length.straight


def _span(string: String, asked: tuple[float, ...], plane: str, drawn: Callable[[float, bool], DrawnMetres]) -> Span:
    assert string.span is not None
    count = string.prop_count - 1
    each = asked * count if len(asked) == 1 else asked
    along, direct = gaps_m(string, plane), gaps_m(string, plane, straight=True)
    lengths = tuple(
        drawn(float((direct if _is_straight(one) else along)[i]), _is_straight(one)) if _asked(one) else one
        for i, one in enumerate(each)
    )
    return string.span.model_copy(update={"length": lengths or asked})


def _with_length(run: Run, length: float) -> Run:
    return run.model_copy(update={"length": length})


def apart_m(display: Display, supply: str, string: str, prop: int) -> float | None:
    """Return how far a prop is from a supply as the crow flies, m, None where the file does not reckon by places.

    A file reckons by places where the string leaves the length of its lead to the drawing.

    Args:
        display: what the person stated.
        supply: name of the supply.
        string: name of the string.
        prop: number of the prop, from 1.
    """
    stated, at = display.strings[string], display.supplies[supply].at
    if stated.place is None or at is None or not isinstance(stated.lead.length, DrawnMetres):
        return None
    return float(np.linalg.norm(stops(stated, display.place.plane)[0][prop - 1] - np.array(at)))
