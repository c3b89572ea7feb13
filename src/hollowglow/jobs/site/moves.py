"""What a person does with places, as edits of the display file: props moved, lines drawn, set out, mirrored, copied."""

from __future__ import annotations

import copy as copying
import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from hollowglow.file.model.site import Backdrop, SetOut
from hollowglow.file.reading.drawn_lengths import stops
from hollowglow.file.reading.load import load_text
from hollowglow.file.text.commands import Edit, Insert, Put, Remove
from hollowglow.file.text.source import parse_text
from hollowglow.jobs.site.form import Form, PlaceForm, length_m
from hollowglow.messages.refusal import FormError, Refusal
from hollowglow.physics import lines
from hollowglow.quantity import measures, units, written
from hollowglow.quantity.shown import cut

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

Array = NDArray[np.float64]
Row = dict[str, Any]


@dataclass(frozen=True)
class Change:
    """Edits of the display file, and what they are in a few words."""

    edits: tuple[Edit, ...]
    why: str


def change_of(text: str, name: str, form: Form, units: written.Units = "metric") -> Change:
    """Return what a form does to the display file.

    Args:
        text: of the file.
        name: of the file in messages.
        form: `act` says what is done, the other fields with what; see the functions of this module.
        units: what is drawn is written in; what is typed stays as it is.

    Raises:
        DisplayError: when the file has mistakes.
        Refusal: when something is missing or not there.
    """
    act = _ACTS.get(form.get("act", ""))
    if act is None:
        raise Refusal("The form does not say what is to be done with places. Load the page again.")
    return act(PlaceForm(load_text(text, name), parse_text(text, name).data, form, units))


def _with_spot(of: PlaceForm, string: str, place: SetOut, prop: int, spot: list[str]) -> Edit:
    """Return the edit that puts one prop at a place: its point where each has its own, else what moves it off the line."""
    here = ("strings", string, "place")
    stated = of.stated_place(string)
    if place.points is not None:
        if isinstance(stated.get("points"), list):
            return Put((*here, "points", prop - 1), spot)
        own = [of.written(p) for p in place.points]
        own[prop - 1] = spot
        return Put((*here, "points"), own)
    entry: Row = {"prop": prop, "at": spot}
    moved = stated.get("moved")
    if not isinstance(moved, list):
        others = {p: spot for p, spot in _moved(of, string, place).items() if p != prop}
        return Put((*here, "moved"), [*_rows(others), entry])
    at = next((i for i, m in enumerate(moved) if isinstance(m, dict) and m.get("prop") == prop), None)
    if at is None:
        return Insert((*here, "moved", len(moved)), entry) if moved else Put((*here, "moved"), [entry])
    # One item alone is put whole, so that a drag after the first one merges with it.
    return Put((*here, "moved"), [entry]) if len(moved) == 1 else Put((*here, "moved", at), entry)


def _move(of: PlaceForm) -> Change:
    """One prop to a place: string, prop, x, y; where one of them is left out, that stays as it was."""
    string, place = of.placed()
    prop = of.whole("prop", "The prop", of.display.strings[string].prop_count)
    now = stops(of.display.strings[string], of.display.place.plane)[0][prop - 1]
    spot = of.spot(now)
    return Change((_with_spot(of, string, place, prop, spot),), f"{string}: prop {prop} moved")


def _points(of: PlaceForm) -> Change:
    """Several props of one string by number: x:N and y:N, with seen:x:N and seen:y:N as they stood in the form."""
    string, place = of.placed()
    count = of.display.strings[string].prop_count
    now = stops(of.display.strings[string], of.display.place.plane)[0]
    numbers = sorted({int(k[2:]) for k in of.form if k[:2] in ("x:", "y:") and k[2:].isdecimal()})
    own: dict[int, list[str]] = {}
    for prop in numbers:
        if not 1 <= prop <= count:
            raise Refusal(f"{string} has {count} props; there is no prop {prop}. Load the page again.")
        typed = [of.form.get(f"{axis}:{prop}", "").strip() for axis in "xy"]
        if typed == [of.form.get(f"seen:{axis}:{prop}", "") for axis in "xy"]:
            continue
        for text, what in zip(typed, ("across", "up or ahead"), strict=True):
            length_m(text, f"Prop {prop}, {what}", key=f"{'x' if what == 'across' else 'y'}:{prop}")
        high = float(now[prop - 1][2])
        own[prop] = typed + of.high(high)
    if not own:
        return Change((), "")
    why = f"{string}: {'prop' if len(own) == 1 else 'props'} {', '.join(map(str, list(own)[:6]))} moved"
    if len(own) == 1:
        ((prop, spot),) = own.items()
        return Change((_with_spot(of, string, place, prop, spot),), why)
    here = ("strings", string, "place")
    if place.points is not None:
        stated = of.stated_place(string).get("points") or [of.written(p) for p in place.points]
        return Change((Put((*here, "points"), [own.get(i, p) for i, p in enumerate(stated, 1)]),), why)
    rows = _moved(of, string, place) | own
    return Change((Put((*here, "moved"), _rows(dict(sorted(rows.items())))),), why)


def _moved(of: PlaceForm, string: str, place: SetOut) -> dict[int, Any]:
    """Return where the moved props of a string are, as the file says it where it does so itself."""
    stated = of.stated_place(string).get("moved") or [{}] * len(place.moved)
    return {m.prop: row.get("at") or of.written(m.at) for m, row in zip(place.moved, stated, strict=True)}


def _rows(moved: dict[int, Any]) -> list[Row]:
    return [{"prop": prop, "at": spot} for prop, spot in moved.items()]


def _back(of: PlaceForm) -> Change:
    """One prop, or all of a string where none is named, back onto the line: string, prop."""
    string, place = of.placed()
    here = ("strings", string, "place", "moved")
    if not of.form.get("prop", "").strip():
        return Change((Remove(here),), f"{string}: all props back on the line")
    prop = of.whole("prop", "The prop", of.display.strings[string].prop_count)
    left = _rows({p: spot for p, spot in _moved(of, string, place).items() if p != prop})
    if len(left) == len(place.moved):
        raise Refusal(f"Prop {prop} of {string} is where its line has it already.")
    return Change((Put(here, left) if left else Remove(here),), f"{string}: prop {prop} back on the line")


def _vertex(of: PlaceForm) -> Change:
    """One point of a string's line: string, number (from 1), x, y."""
    string, place = of.placed()
    if place.line is None:
        raise Refusal(f"The props of {string} have points of their own, not a line.")
    number = of.whole("number", "The point of the line", len(place.line))
    spot = of.spot(place.line[number - 1])
    here = ("strings", string, "place", "line")
    if isinstance(of.stated_place(string).get("line"), list):
        return Change((Put((*here, number - 1), spot),), f"{string}: point {number} of its line moved")
    own = [of.written(p) for p in place.line]
    own[number - 1] = spot
    return Change((Put(here, own),), f"{string}: point {number} of its line moved")


def _line(of: PlaceForm) -> Change:
    """A new line for a string: string, line (as `read_line` has it), how its props are set out as `_set_out` has it."""
    string = of.string()
    place = of.display.strings[string].place
    value = line_value(read_line(of.text("line", "The line")), place, of.units, of.stated_place(string))
    if place is not None and "pitch" in value and of.form.get("way", "") == "even":
        del value["pitch"]
    edits: list[Edit] = [Put(("strings", string, "place"), value)]
    if of.form.get("way", "") in ("pitch", "fill"):
        pitch = of.length("pitch", "The pitch", measures.LENGTH)
        value["pitch"] = of.text("pitch", "The pitch")
        if of.form["way"] == "fill":
            edits.append(_props(of, string, _room(np.array(value_line(value)), pitch, 0.0)))
    return Change(tuple(edits), f"{string}: line drawn")


def line_value(
    points: Any, place: SetOut | None, units: written.Units = "metric", stated: Mapping[str, Any] | None = None
) -> Row:
    """Return the place of a string along a new line; what hangs it and spaces it stays, moved props go with the old line.

    Args:
        points: of the line, m.
        place: how the string is set out so far.
        units: that the line is written in.
        stated: what the file itself says of that place; it is kept word for word.
    """
    made: Row = {"line": [written.spot(p, units) for p in points]}
    if place is not None and place.line is not None:
        for key in ("pitch", "start", "sag"):
            if key in place.model_fields_set and getattr(place, key) is not None:
                made[key] = (stated or {}).get(key) or written.length(getattr(place, key), units)
        if place.hook is not None:
            made["hook"] = place.hook
    return made


def value_line(value: Row) -> list[list[float]]:
    """Return the line of a place as the file writes it, m."""
    return [[units.parse(v, measures.SPOT) for v in spot[:2]] for spot in value["line"]]


def read_line(text: str) -> Array:
    """Return a line of places, m, shape (n, 3), from lists of lengths like `[[0 ft, 6 ft], [4 m, 2 m]]`; mere numbers are m."""
    try:
        rows = (
            json.loads(text)
            if "[" in text and not any(map(str.isalpha, text))
            else YAML(typ="safe", pure=True).load(text)
        )
        found = np.array([[_metres(v) for v in spot] for spot in rows], dtype=np.float64)
    except (ValueError, TypeError, YAMLError):
        found = np.empty(0)
    if found.ndim != 2 or found.shape[1:] != (2,) or len(found) < 2 or not np.isfinite(found).all():
        words = (
            "The line was not understood. Draw it again, with two points or more, like [[0 m, 2 m], [4 m, 2 m]] or "
            "[[0 ft, 6 ft], [13 ft, 6 ft]]."
        )
        raise FormError({"line": words})
    return np.column_stack([found, np.zeros(len(found))])


def _metres(value: Any) -> float:
    if isinstance(value, str):
        return length_m(value, "A length of the line", key="line")
    return float(value)


def _set_out(of: PlaceForm) -> Change:
    """How props sit along a string's line: string, way (even, pitch, fill, count), pitch or count."""
    string, place = of.placed()
    if place.line is None:
        raise Refusal(f"The props of {string} have points of their own. Draw a line to set them out along it.")
    here, way = ("strings", string, "place"), of.form.get("way", "")
    if way == "even":
        return Change((Remove((*here, "pitch")),), f"{string}: spread evenly")
    if way == "count":
        count = of.whole("count", "How many props", 100_000)
        return Change((_props(of, string, count), Remove((*here, "pitch"))), f"{string}: {count} props, spread evenly")
    if way not in ("pitch", "fill"):
        raise Refusal("The form does not say how the props are to be set out. Load the page again.")
    typed = of.text("pitch", "The pitch")
    pitch = of.length("pitch", "The pitch", measures.LENGTH)
    if way == "pitch":
        return Change((Put((*here, "pitch"), typed),), f"{string}: a prop every {typed}")
    count = _room(np.array(place.line), pitch, place.start)
    return Change((_props(of, string, count), Put((*here, "pitch"), typed)), f"{string}: {count} props, {typed} apart")


def _room(line: Array, pitch_m: float, start_m: float) -> int:
    return max(1, lines.fitting(float(lines.marks_m(line)[-1]), pitch_m, start_m))


def _props(of: PlaceForm, string: str, count: int) -> Edit:
    kinds = {run.kind for run in of.display.strings[string].props}
    if len(kinds) > 1:
        raise Refusal(
            f"{string} has props of {len(kinds)} kinds, so which of them to add or take away is not known. Change its props "
            "in the Feed room first."
        )
    return Put(("strings", string, "props"), f"{count} * {kinds.pop()}")


def _turned(of: PlaceForm, string: str, place: SetOut, way: Callable[[Array], Array]) -> list[Edit]:
    """Return the edits that move all places of a string."""
    here = ("strings", string, "place")
    made: list[Edit] = []
    for key in ("line", "points"):
        spots = getattr(place, key)
        if spots is not None:
            made.append(Put((*here, key), [of.written(p) for p in way(np.array(spots))]))
    if place.moved:
        at = way(np.array([m.at for m in place.moved]))
        rows = {m.prop: of.written(p) for m, p in zip(place.moved, at, strict=True)}
        made.append(Put((*here, "moved"), _rows(rows)))
    return made


def _by(of: PlaceForm) -> Callable[[Array], Array]:
    by = [of.length("x", "How far across"), of.length("y", "How far up or ahead"), 0.0]
    return lambda spots: lines.copy(spots, by)


def _mirrored(of: PlaceForm, string: str) -> Callable[[Array], Array]:
    """Return a mirror at a typed place, else in the middle of the string."""
    if of.form.get("mirror", "").strip():
        at = of.length("mirror", "The place of the mirror")
    else:
        own = stops(of.display.strings[string], of.display.place.plane)[0][:, 0]
        at = float(own.min() + own.max()) / 2.0
    return lambda spots: lines.mirror(spots, at)


def _shift(of: PlaceForm) -> Change:
    """A whole string by x, y."""
    string, place = of.placed()
    return Change(tuple(_turned(of, string, place, _by(of))), f"{string}: moved as a whole")


def _mirror(of: PlaceForm) -> Change:
    """A whole string mirrored left to right: string, mirror (where the mirror stands; its own middle if empty)."""
    string, place = of.placed()
    return Change(tuple(_turned(of, string, place, _mirrored(of, string))), f"{string}: mirrored")


def _copy(of: PlaceForm) -> Change:
    """The places of a string for another one, which is made where it is new: string, to, and x and y or a mirror."""
    string, place = of.placed()
    to = of.text("to", "The name of the string to copy to")
    if to == string:
        raise Refusal(f"{string} was to be copied onto itself. Name another string, or one that is not there yet.")
    way = _mirrored(of, string) if of.form.get("mirror", "").strip() else _by(of)
    value: Row = copying.deepcopy(dict(of.stated_place(string)))
    for edit in _turned(of, string, place, way):
        assert isinstance(edit, Put)
        value[str(edit.path[-1])] = edit.value
    if to in of.display.strings:
        return Change((Put(("strings", to, "place"), value),), f"{to}: places copied from {string}")
    entry: Row = copying.deepcopy(dict(of.stated["strings"][string]))
    entry.pop("about", None)
    output = of.display.strings[string].output
    taken = {s.output.number for s in of.display.strings.values() if s.output.controller == output.controller}
    most = of.display.controllers[output.controller].outputs
    free = next((n for n in range(1, most + 1) if n not in taken), None)
    if free is None:
        raise Refusal(f"All {most} outputs of {output.controller} are taken, so {to} would have none.")
    entry |= {"output": f"{output.controller}/{free}", "place": value}
    return Change((Put(("strings", to), entry),), f"{to}: a copy of {string}")


def _at(of: PlaceForm) -> Change:
    """A supply or a controller at a place: table, name, x, y."""
    table, name = of.form.get("table", ""), of.form.get("name", "")
    spots = {("supplies", k): one.at for k, one in of.display.supplies.items()}
    spots |= {("controllers", k): other.at for k, other in of.display.controllers.items()}
    if (table, name) not in spots:
        raise Refusal(f'There is no supply or controller "{cut(name)}". Load the page again.')
    at = spots[table, name]
    return Change((Put((table, name, "at"), of.spot(() if at is None else at)),), f"{name} placed")


def _drawn(of: PlaceForm) -> Change:
    """The lengths of a string left to the drawing: string."""
    string = of.string()
    stated = of.display.strings[string]
    here = ("strings", string)
    edits: list[Edit] = [Put((*here, "lead", "length"), "drawn")]
    if stated.span is not None and stated.span.extension is None:
        edits.append(Put((*here, "span", "length"), "drawn"))
    edits += [Put((*here, "feeds", i, "length"), "drawn") for i in range(len(stated.feeds))]
    return Change(tuple(edits), f"{string}: lengths follow the drawing")


def _scale(of: PlaceForm) -> Change:
    """The scale of the backdrop: points (JSON, two pixels) and length, or corners (four), width and height."""
    backdrop = of.display.place.backdrop
    if backdrop is None:
        raise Refusal("There is no backdrop to scale. Bring in a photograph or a plan first.")
    made: Row = {"picture": backdrop.picture}
    if of.form.get("corners"):
        made["corners"] = of.pixels("corners", 4)
        for key in ("width", "height"):
            of.length(key, f"The {key} of the rectangle", measures.LENGTH)
            made[key] = of.text(key, f"The {key} of the rectangle")
    else:
        made["points"] = of.pixels("points", 2)
        of.length("length", "How far the two points are apart", measures.LENGTH)
        made["length"] = of.text("length", "How far the two points are apart")
    from hollowglow.analysis.site.placement import scaling_of

    try:
        scaling_of(Backdrop.model_validate(made))
    except ValueError as error:
        told = str(error).splitlines()[0]
        raise Refusal(f"This does not scale the picture: {told}.") from None
    return Change((Put(("place", "backdrop"), made),), "backdrop scaled")


_ACTS: dict[str, Callable[[PlaceForm], Change]] = {
    "move": _move,
    "points": _points,
    "back": _back,
    "vertex": _vertex,
    "line": _line,
    "set-out": _set_out,
    "shift": _shift,
    "mirror": _mirror,
    "copy": _copy,
    "at": _at,
    "drawn": _drawn,
    "scale": _scale,
}
