"""What photographs and a meter showed as it is kept: at nominal voltage, beside what the model says of the same."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from strandwright import optics
from strandwright.build import expand
from strandwright.display import Display
from strandwright.jobs.measured import recipes
from strandwright.match.light import left_by_voltage
from strandwright.optics import KindLight as Computed
from strandwright.physics.colour import mix_xyz, uv_prime
from strandwright.power import Relight
from strandwright.readings import Kept, Taking, keep

if TYPE_CHECKING:
    from strandwright.jobs.photo import Photographed

# A colour of which the voltages leave less than this is not told from dark in a photograph.
_LEAST_LEFT = 0.05


def computed_light(display: Display) -> dict[str, Computed | None]:
    """Return the light of each kind by the model, uncorrected, at full and nominal voltage."""
    build = expand(display)
    return dict(zip(build.kinds.names, optics.analyse(build).kinds, strict=True))


def taking_of(display: Display, done: Photographed) -> Taking:
    """Return what photographs said as it is kept: all props were at one setting, and hung where the file has them.

    What the voltages there leave of each colour is taken off again, so that it is kept as at nominal voltage.
    """
    build = expand(display)
    full = (np.arange(build.network.duty.shape[1]) < build.kinds.colours[:, None]).astype(np.float64)
    relit = Relight(build).at(full)
    left, _ = left_by_voltage(build, relit.relative, relit.alive)
    light = dict(zip(build.kinds.names, optics.analyse(build).kinds, strict=True))
    recipe = recipes(display)
    kinds = []
    for k, reading in zip(done.judged.kinds, done.readings, strict=True):
        row = build.kinds.names.index(k.kind)
        share = np.maximum(left[row], _LEAST_LEFT)
        uv, gain = k.uv, 1.0
        model = light[k.kind]
        if reading.by_colour is not None:
            nominal = np.array(reading.by_colour) / share[:3]
            gain = float(nominal.sum()) / k.luminance
            u, v = uv_prime(mix_xyz(nominal, build.kinds.xy[row, :3])).tolist()
            uv = (u, v)
        elif model is not None:
            gain = float(model.mean_cd_m2.sum() / (model.mean_cd_m2 @ share[: len(model.mean_cd_m2)]))
        kinds.append(
            kept_row(k.kind, len(k.numbers), gain * k.luminance, gain * k.intensity, uv, k.spread, light, recipe)
        )
    names = tuple(f.photograph.name for scene in done.seen.scenes for f in scene.frames)
    return Taking(now(), "photograph", names, False, tuple(kinds))


def keep_photographed(path: Path | str, display: Display, done: Photographed) -> Path:
    """Keep what photographs said beside a display file, and return where; raises UseError where it cannot be written."""
    return keep(path, taking_of(display, done))


def kept_row(
    kind: str,
    props: int,
    luminance: float | None,
    intensity: float | None,
    uv: tuple[float, float] | None,
    spread: float,
    light: Mapping[str, Computed | None],
    recipe: Mapping[str, str],
    level: float = 1.0,
) -> Kept:
    """Return a reading with what the model says at the same level."""
    model = light[kind]
    return Kept(
        kind,
        props,
        luminance,
        intensity,
        uv,
        spread,
        None if model is None else level * float(model.mean_cd_m2.sum()),
        None if model is None else level * float(model.intensity_cd.sum()),
        recipe[kind],
    )


def now() -> str:
    """Return the time, ISO 8601 in UTC."""
    return datetime.now(UTC).isoformat(timespec="seconds")
