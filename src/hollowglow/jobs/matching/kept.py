"""What photographs and a meter showed as it is kept: at nominal voltage, beside what the model says of the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from hollowglow.analysis.circuit.power import Relight
from hollowglow.analysis.match.light import grids, left_by_voltage
from hollowglow.analysis.prop import optics
from hollowglow.analysis.prop.optics import KindLight as Computed
from hollowglow.assembly import expand
from hollowglow.file import Display
from hollowglow.jobs.matching.conditions import AS_FILE, read_levels, table_of
from hollowglow.jobs.matching.measured import recipes
from hollowglow.measured.readings import KeptReading, Taking, factors, keep
from hollowglow.physics.colour import mix_xyz, uv_prime
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import percent, several

if TYPE_CHECKING:
    from hollowglow.jobs.matching.photographs import Photographed

# A colour of which the voltages leave less than this is not told from dark in a photograph.
_LEAST_LEFT = 0.05
# Lights of one data sheet differ two- or threefold; what is farther from the model is a slip more often than a light.
_DOUBTED = 3.0


def computed_light(display: Display) -> dict[str, Computed | None]:
    """Return the light of each kind by the model, uncorrected, at full and nominal voltage."""
    assembly = expand(display)
    return dict(zip(assembly.kinds.names, optics.analyse(assembly).kinds, strict=True))


def taking_of(display: Display, done: Photographed) -> Taking:
    """Return what photographs said as it is kept: at full and nominal voltage.

    The kinds hung where the file has them, at the duties that were stated. These, and what the voltages that come of them
    leave of each colour, are taken off again.
    """
    assembly = expand(display)
    duties = table_of(assembly, done.duties)
    relit = Relight(assembly).at(duties)
    left, _ = left_by_voltage(assembly, relit.relative, relit.alive)
    light = dict(zip(assembly.kinds.names, optics.analyse(assembly).kinds, strict=True))
    recipe = recipes(display)
    kinds = []
    for k, reading in zip(done.judged.kinds, done.readings, strict=True):
        row = assembly.kinds.names.index(k.kind)
        share = np.maximum(left[row], _LEAST_LEFT) * duties[row]
        uv: tuple[float, float] | None = k.uv
        model = light[k.kind]
        if reading.by_colour is not None and (share[:3] > 0.0).all():
            nominal = np.array(reading.by_colour) / share[:3]
            gain = float(nominal.sum()) / k.luminance
            u, v = uv_prime(mix_xyz(nominal, assembly.kinds.xy[row, :3])).tolist()
            uv = (u, v)
        else:
            # Colours that were not told apart take the model's shares; their mixture at full is not known then.
            amount = np.ones(int(assembly.kinds.colours[row])) if model is None else model.mean_cd_m2
            gain = float(amount.sum() / (amount @ share[: len(amount)]))
            uv = k.uv if np.ptp(duties[row, : len(amount)]) == 0.0 else None
        total = None if reading.intensity is None else gain * reading.intensity
        kinds.append(kept_row(k.kind, len(k.numbers), gain * k.luminance, total, uv, k.spread, light, recipe))
    names = tuple(f.photograph.name for scene in done.seen.scenes for f in scene.frames)
    return Taking(now(), "photograph", names, False, tuple(kinds), done.across)


def keep_photographed(path: Path | str, display: Display, done: Photographed) -> Path:
    """Keep what photographs said beside a display file, and return where; raises Refusal where it cannot be written."""
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
    duty: Sequence[float] | None = None,
) -> KeptReading:
    """Return a reading with what the model says at the same duty of each colour; None: full."""
    model = light[kind]
    weight = np.ones(0 if model is None else len(model.mean_cd_m2)) if duty is None else np.array(duty)
    return KeptReading(
        kind,
        props,
        luminance,
        intensity,
        uv,
        spread,
        None if model is None else float(model.mean_cd_m2 @ weight),
        None if model is None else float(model.intensity_cd @ weight),
        recipe[kind],
    )


def doubts(taking: Taking) -> tuple[str, ...]:
    """Return in sentences what a taking cannot tell, and what in it looks like a slip."""
    dark = [k.kind for k in taking.kinds if not (k.computed_luminance or k.computed_intensity)]
    told = [k.kind for k in taking.kinds if k.kind not in dark]
    said = []
    if dark:
        said.append(
            f"What was measured of {several(dark)} corrects nothing yet, because the model gives {_it(dark)} no light to "
            "compare it with. State the shell, such as shell: {shape: sphere, diameter: 150 mm}, and measure again."
        )
    if not taking.absolute and len(told) == 1:
        said.append(
            f"Photographs tell how kinds differ from each other, and these tell of {told[0]} alone: its brightness corrects "
            "nothing. Have another kind in the picture, or type what a meter shows."
        )
    over = factors((taking,))
    if taking.absolute:
        said += [
            f"{kind}: {number(factor)} times the light that the model gives it. See whether the number, its unit, the "
            "distance and the level that it had are right."
            for kind, factor in over.items()
            if not 1.0 / _DOUBTED <= factor <= _DOUBTED
        ]
    elif len(over) > 1:
        bright, dim = max(over, key=lambda kind: over[kind]), min(over, key=lambda kind: over[kind])
        if over[bright] > _DOUBTED * over[dim]:
            said.append(
                f"{bright} against {dim}: {number(over[bright] / over[dim])} times what the model gives. See whether the "
                "numbers were given to the right kinds, and which levels they had."
            )
    return tuple(said)


def setting_doubts(display: Display, typed: str | None) -> tuple[str, ...]:
    """Return in sentences where a stated level may be a controller's setting, which makes another duty by its curve.

    Args:
        display: whose kinds were measured.
        typed: the levels as typed, see `read_levels`.
    """
    if not (typed or "").strip() or (typed or "").strip() == AS_FILE:
        return ()
    assembly, duties = expand(display), read_levels(display, typed)
    said = []
    for row, kind in enumerate(assembly.kinds.names):
        level = max(duties[kind])
        for name, grid in grids(assembly, row) if level < 1.0 else ():
            if grid.curve.gamma != 1.0:
                made = grid.curve.duty(level)
                said.append(
                    f"A level is a share of duty, as in the file. On {name} (curve {grid.curve}) a setting of {percent(level)} "
                    f"makes a level of {percent(made)}: state that if {percent(level)} was the setting of {kind}."
                )
    return tuple(said)


def _it(names: Sequence[str]) -> str:
    return "it" if len(names) == 1 else "them"


def now() -> str:
    """Return the time, ISO 8601 in UTC."""
    return datetime.now(UTC).isoformat(timespec="seconds")
