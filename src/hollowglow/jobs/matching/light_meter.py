"""How bright the kinds of a display are by a light meter, from what a person types."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from hollowglow.analysis.match.readings import MeasuredBrightness
from hollowglow.analysis.prop.inside import frame_of
from hollowglow.file import Display
from hollowglow.jobs.matching.conditions import read_levels
from hollowglow.jobs.matching.kept import computed_light, kept_row, now
from hollowglow.jobs.matching.measured import recipes
from hollowglow.measured.meter import MeterReading, far_enough, parse_meter
from hollowglow.measured.readings import Taking, keep
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import nearest_or_all
from hollowglow.quantity.sizes import FOOT_M


def meter_kinds(display: Display, typed: Sequence[str]) -> tuple[tuple[MeasuredBrightness, ...], tuple[str, ...]]:
    """Return readings in cd/m2 and cd, and what is doubtful about them.

    Args:
        display: whose kinds were measured, all at one setting.
        typed: "float=12 lux at 2 m" or "float=850 cd/m2"; a kind may come once in lux and once in cd/m2.

    Raises:
        Refusal: something that is no reading, an unknown kind, or one quantity of a kind twice.
    """
    parsed = [_parsed(display, text) for text in typed]
    readings = []
    doubts = []
    for kind in dict.fromkeys(p.kind for p in parsed):
        own = [p for p in parsed if p.kind == kind]
        luminance = [p.luminance_cd_m2 for p in own if p.luminance_cd_m2 is not None]
        intensity = [p.intensity_cd for p in own if p.intensity_cd is not None]
        if max(len(luminance), len(intensity)) > 1:
            raise Refusal(f"found {kind} twice, expected it once. Type the mean of the readings.", field="meter")
        first = [values[0] if values else None for values in (luminance, intensity)]
        readings.append(MeasuredBrightness(kind, first[0], first[1], None, 0.0))
        doubts += [words for p in own for words in _too_near(display, p)]
    return tuple(readings), tuple(doubts)


def _parsed(display: Display, text: str) -> MeterReading:
    try:
        reading = parse_meter(text)
    except ValueError as error:
        raise Refusal(f'found "{text[:60]}", {error}.', field="meter") from None
    if reading.kind not in display.kinds:
        hint = nearest_or_all(reading.kind, list(display.kinds), "kinds")
        raise Refusal(f'found "{reading.kind}", expected a kind of the display. {hint}', field="meter")
    return reading


def _too_near(display: Display, reading: MeterReading) -> list[str]:
    shell = display.kinds[reading.kind].shell
    if shell is None or reading.distance_m is None:
        return []
    size = _size_m(display, reading.kind)
    if far_enough(reading.distance_m, size):
        return []
    least = 5.0 * size
    return [
        f"{reading.kind}: measured from {reading.distance_m:.2f} m, expected {least:.2f} m ({least / FOOT_M:.1f} ft) or "
        "more, five times the prop's size: nearer, it is no point and the inverse square does not hold. "
        "Measure from farther away."
    ]


def _size_m(display: Display, kind: str) -> float:
    shell = display.kinds[kind].shell
    assert shell is not None
    return max(frame_of(shell).sides_m)


def taking_of(display: Display, readings: Sequence[MeasuredBrightness], levels: str | None = None) -> Taking:
    """Return what a meter showed as it is kept.

    Args:
        display: whose kinds were measured.
        readings: in cd/m2 and cd.
        levels: that the kinds had, as typed, see `read_levels`; None: full.

    Raises:
        Refusal: levels that are none, or a metered kind at 0 %.
    """
    light, recipe, duties = computed_light(display), recipes(display), read_levels(display, levels)
    dark = [r.kind for r in readings if not any(duties[r.kind])]
    if dark:
        raise Refusal(
            f"found {dark[0]} at 0 %, expected a level above it, because a meter saw it lit. State the levels that "
            "the kinds had.",
            field="at",
        )
    kinds = tuple(
        kept_row(r.kind, 1, r.luminance, r.intensity, None, r.spread, light, recipe, duties[r.kind]) for r in readings
    )
    return Taking(now(), "meter", (), True, kinds)


def keep_metered(
    path: Path | str, display: Display, readings: Sequence[MeasuredBrightness], levels: str | None = None
) -> Path:
    """Keep what a meter showed beside a display file, and return where; raises Refusal where it cannot be written."""
    return keep(path, taking_of(display, readings, levels))
