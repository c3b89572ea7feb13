"""Readings that were kept beside a display file, as what corrects the light of its kinds."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from hollowglow.analysis.prop.optics import NO_READINGS, KindReadings, MeasuredLight
from hollowglow.assembly.kinds import light_of
from hollowglow.assembly.tables import Floats
from hollowglow.file import Display
from hollowglow.measured.readings import KeptReading, Taking, factors, kept, newest, store_path
from hollowglow.physics.colour import GENERIC_XY


def kept_readings(path: Path | str, display: Display) -> KindReadings:
    """Return what readings kept beside a display file say of its kinds, as far as these are still stated as then.

    Raises:
        Refusal: the readings cannot be read.
    """
    return as_readings(kept(path), display) if store_path(path).exists() else NO_READINGS


def kept_and(path: Path | str, display: Display, takings: Sequence[Taking]) -> KindReadings:
    """Return what kept readings say together with newer takings that are not kept."""
    return as_readings((*kept(path), *takings), display)


def as_readings(takings: Sequence[Taking], display: Display) -> KindReadings:
    """Return what takings, the oldest first, say of the kinds of a display."""
    recipe = recipes(display)
    by_luminance, by_intensity = (factors(takings, recipe, f) for f in ("luminance", "intensity"))
    now = newest(takings, recipe)
    kinds = {
        kind: MeasuredLight(
            by_luminance[kind], by_intensity[kind], _shares(display, now[kind][1]), _source(now[kind][0])
        )
        for kind in by_luminance
    }
    outdated = {
        kind: _source(taking)
        for kind, (taking, _) in newest(takings).items()
        if kind in display.kinds and kind not in now
    }
    return KindReadings(kinds, outdated)


def _source(taking: Taking) -> str:
    return f"{taking.how} of {taking.at[:10]}"


def _shares(display: Display, one: KeptReading) -> tuple[float, ...] | None:
    if one.uv is None:
        return None
    u, v = one.uv
    # CIE 1976 u'v' to tristimulus values at Y = 1.
    return by_colour(display, one.kind, 1.0, np.array([9.0 * u, 4.0 * v, 12.0 - 3.0 * u - 20.0 * v]) / (4.0 * v))


def by_colour(display: Display, kind: str, luminance: float, xyz: Floats) -> tuple[float, ...] | None:
    """Return the luminance of each colour of a kind's light, from what its props' tristimulus values are mixed of.

    Args:
        display: what the person stated.
        kind: name of the kind.
        luminance: of all its colours together, on any scale.
        xyz: tristimulus values, on any scale, shape (3,).

    Returns:
        Luminance of red, green and blue, on the scale of the kind's luminance. None for a light that has not three
        colours, whose parts are not told by three numbers, and where the mixture would need less than no light.
    """
    light = light_of(display, kind)
    if light.colours != 3:
        return None
    xy = np.array(light.colour.xy if light.colour is not None else GENERIC_XY[:3])
    columns = np.stack([xy[:, 0] / xy[:, 1], np.ones(3), (1.0 - xy.sum(axis=1)) / xy[:, 1]])
    shares = np.linalg.solve(columns, xyz / xyz[1])
    if (shares < 0.0).any():
        return None
    red, green, blue = (luminance * shares).tolist()
    return red, green, blue


def recipes(display: Display) -> dict[str, str]:
    """Return a fingerprint of everything that the light of each kind depends on."""
    made = {}
    for name, kind in display.kinds.items():
        text = kind.model_dump_json() + light_of(display, name).model_dump_json(exclude={"pwm"})
        made[name] = hashlib.sha256(text.encode()).hexdigest()[:16]
    return made
