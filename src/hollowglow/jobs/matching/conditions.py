"""How the lights were set, and how far away they stood, when they were photographed or metered: as a person types it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from pydantic_core import PydanticCustomError

from hollowglow.analysis.prop.inside import frame_of
from hollowglow.analysis.prop.optics import OpticsError, level_ring, seen_areas_m2
from hollowglow.assembly import Assembly
from hollowglow.assembly.kinds import light_of
from hollowglow.assembly.tables import Floats
from hollowglow.file import Display
from hollowglow.file.model.kind import Kind
from hollowglow.measured.photo import parse_labels, ranges
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity import measures
from hollowglow.quantity.shown import nearest_or_all
from hollowglow.quantity.units import parse

AS_FILE = "file"
_NUMBERS = re.compile(r"[\d\s.–-]+=")
# By size a prop is as far away as its outline says; from here on a typed distance is doubted.
_DOUBTED = 1.2
_AT = 'Write a level for all, such as "40 %", one for each kind, such as "float=66 %,acorn=40 %", or file.'
_DISTANCE = 'Write one for all, such as "12 m", or "1-6=12 m,7=40 ft", or "float=12 m,acorn=40 ft".'

# Duty of each colour of each kind.
Duties = Mapping[str, tuple[float, ...]]


def read_levels(display: Display, typed: str | None) -> Duties:
    """Return the duty that each colour of each kind had.

    Args:
        display: whose kinds they are.
        typed: "40 %" for all; "float=66 %,acorn=40 %", the others at full; "file": the file's levels and trims; empty or
            None: full.

    Raises:
        Refusal: something else, an unknown kind, one twice, or a level that is not above 0 and at most 100 %.
    """
    colours = {kind: light_of(display, kind).colours for kind in display.kinds}
    text = (typed or "").strip()
    if text == AS_FILE:
        return {kind: display.duties(kind, count) for kind, count in colours.items()}
    if "=" not in text:
        one = _level(text) if text else 1.0
        return {kind: (one,) * count for kind, count in colours.items()}
    levels = {kind: _level(words) for kind, words in _by_kind(display, text, "at", _AT).items()}
    return {kind: (levels.get(kind, 1.0),) * count for kind, count in colours.items()}


def _level(text: str) -> float:
    bare = text.removesuffix("%").strip()
    try:
        value = float(bare) / (100.0 if text.endswith("%") or float(bare) > 1.0 else 1.0)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= 1.0:
        raise Refusal(f'found "{text[:40]}", expected a level above 0 and up to 100 %. {_AT}', field="at")
    return value


def _by_kind(display: Display, text: str, field: str, example: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for piece in filter(str.strip, text.split(",")):
        kind, sign, words = (part.strip() for part in piece.rpartition("="))
        if not (sign and kind and words):
            raise Refusal(f'found "{piece.strip()[:40]}", expected KIND=VALUE. {example}', field=field)
        if kind not in display.kinds:
            hint = nearest_or_all(kind, list(display.kinds), "kinds")
            raise Refusal(f'found "{kind[:60]}", expected a kind of the display. {hint}', field=field)
        if kind in found:
            raise Refusal(f"found {kind} twice, expected it once. {example}", field=field)
        found[kind] = words
    return found


def table_of(assembly: Assembly, duties: Duties) -> Floats:
    """Return duties as the network wants them, one row a kind, 0 where a kind has no such colour."""
    table = np.zeros_like(assembly.network.duty)
    for row, kind in enumerate(assembly.kinds.names):
        table[row, : len(duties[kind])] = duties[kind]
    return table


def read_distances(display: Display, labels: Mapping[int, str], typed: str | None) -> dict[int, float] | None:
    """Return how far away each labelled prop stood, m; None where nothing was typed.

    Args:
        display: whose kinds they are.
        labels: kind of each number that counts.
        typed: "12 m" for all, by number ("1-6=12 m,7=40 ft") or by kind ("float=12 m,acorn=40 ft").

    Raises:
        Refusal: no length, or a prop that none of them is for.
    """
    text = (typed or "").strip()
    if not text:
        return None
    if "=" not in text:
        return dict.fromkeys(labels, _length(text))
    if all(_NUMBERS.match(piece) for piece in text.split(",") if piece.strip()):
        try:
            by_number = parse_labels(text)
        except Refusal as error:
            raise Refusal(
                f"found {error.found}, expected one distance for each number. {_DISTANCE}", field="distance"
            ) from None
        found = {number: _length(words) for number, words in by_number.items() if number in labels}
    else:
        by_kind = {k: _length(words) for k, words in _by_kind(display, text, "distance", _DISTANCE).items()}
        found = {number: by_kind[kind] for number, kind in labels.items() if kind in by_kind}
    missing = [number for number in labels if number not in found]
    if missing:
        raise Refusal(
            f"found none for {ranges(missing)}, expected one for each prop that counts: without all of them "
            f"intensities do not compare. {_DISTANCE}",
            field="distance",
        )
    return found


def _length(text: str) -> float:
    try:
        return parse(text, measures.LENGTH)
    except PydanticCustomError as error:
        raise Refusal(f"{error.message()}. {_DISTANCE}", field="distance") from None


@dataclass(frozen=True, slots=True)
class Area:
    """The area that a kind's shell shows to viewers at its own height, m²: the least, the mean all round, the most."""

    least_m2: float
    mean_m2: float
    most_m2: float


def area_of(kind: Kind) -> Area | None:
    """Return the area that a kind shows, None where it states no shell that can be."""
    if kind.shell is None:
        return None
    try:
        areas = seen_areas_m2(frame_of(kind.shell).hollow(), level_ring(kind.hangs))
    except OpticsError:
        return None
    return Area(float(areas.min()), float(areas.mean()), float(areas.max()))


def out_of_place(spans: Mapping[str, tuple[float, Area]]) -> tuple[str, str, float] | None:
    """Return two kinds whose distances do not go with their sizes, and how much nearer the first is to the second by these.

    Args:
        spans: of each kind, pixels times the square of the distance (m²), and its area.

    Returns:
        The kind that looks smallest for its distance, the one that looks largest, and by what the ratio of their
        distances would have to differ at least; None where all go together.
    """
    # Pixels times d² over area is one number for the whole picture; a flat prop turned aside shows less.
    low = {kind: span / area.most_m2 for kind, (span, area) in spans.items()}
    high = {kind: span / area.least_m2 for kind, (span, area) in spans.items()}
    if len(spans) < 2:
        return None
    large, small = max(low, key=lambda k: low[k]), min(high, key=lambda k: high[k])
    off = (low[large] / high[small]) ** 0.5
    return (small, large, off) if large != small and off > _DOUBTED else None
