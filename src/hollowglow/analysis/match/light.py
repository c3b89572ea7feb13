"""The light of each kind as the voltages of its props leave it, and what is told about it at given duties."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.match.grid import SettingGrid, steps_left
from hollowglow.analysis.match.targets import By, figure, weight
from hollowglow.analysis.prop.optics import Optics
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags, Floats
from hollowglow.physics.colour import delta_uv_prime, lightness, mix_xyz


@dataclass(frozen=True)
class Lights:
    """What every kind gives at full duty and nominal voltage, one row a kind.

    Attributes:
        luminance_cd_m2, intensity_cd: of each colour, 0 where there is none, shape (K, c).
        figure: what counts of both, shape (K, c).
        surface: how much the eye sees of it as a surface and not as a point, 0 to 1, shape (K,).
        taking_part: kinds that hang somewhere (all, where none does) and whose light is known, shape (K,).
        left_out: (kind, reason) of the others.
    """

    luminance_cd_m2: Floats
    intensity_cd: Floats
    figure: Floats
    surface: Floats
    taking_part: Flags
    left_out: tuple[tuple[str, str], ...]


def lights(assembly: Assembly, optics: Optics, by: By) -> Lights:
    """Return what every kind of an Assembly gives.

    Args:
        build: the display expanded.
        optics: the light of its kinds.
        by: what counts.
    """
    table = assembly.kinds
    shape = assembly.network.duty.shape
    luminance, total = np.zeros(shape), np.zeros(shape)
    known = np.zeros(shape[0], dtype=bool)
    for row, kind in enumerate(optics.kinds):
        if kind is not None:
            count = len(kind.mean_cd_m2)
            luminance[row, :count], total[row, :count] = kind.mean_cd_m2, kind.intensity_cd
            known[row] = kind.mean_cd_m2.sum() > 0.0
    hung = np.bincount(assembly.props.kind, minlength=len(known)) > 0
    used = hung if hung.any() else ~hung
    left_out = []
    for row, name in enumerate(table.names):
        if not used[row]:
            left_out.append((name, "no string carries it"))
        elif not known[row]:
            left_out.append((name, _why_unknown(assembly, optics, row)))
    viewing = assembly.display.viewing
    pairs = zip(luminance.sum(axis=1).tolist(), total.sum(axis=1).tolist(), strict=True)
    return Lights(
        luminance,
        total,
        figure(by, luminance, total, viewing),
        np.array([weight(a, b, viewing) for a, b in pairs]),
        known & used,
        tuple(left_out),
    )


def _why_unknown(assembly: Assembly, optics: Optics, row: int) -> str:
    """Return why no light is known of a kind (by row)."""
    if optics.trouble[row]:
        return optics.trouble[row]
    if optics.kinds[row] is not None:
        return "no light leaves its shell"
    if assembly.display.kinds[assembly.kinds.names[row]].shell is None:
        return "no light is known of it, because it states no shell"
    return "its light states a flux of 0 lm"


def left_by_voltage(assembly: Assembly, relative: Floats, alive: Flags) -> tuple[Floats, Flags]:
    """Return what the voltages leave of each kind and colour, averaged over its lights, and of which that is unknown.

    Args:
        build: the display expanded.
        relative: light of each colour over its nominal light by load, NaN where there is no steady state, shape (G, c).
        alive: loads that some supply reaches, shape (G,).

    Returns:
        Shares, 1 for a kind without a light that is known, shape (K, c); kinds that hang but have no steady voltage.
    """
    network = assembly.network
    kinds = len(assembly.kinds.names)
    good = alive & np.isfinite(relative).all(axis=1)
    characteristic, count = network.load_characteristic[good], network.load_count[good]
    number = np.bincount(characteristic, weights=count, minlength=kinds)
    sums = [np.bincount(characteristic, weights=count * column, minlength=kinds) for column in relative[good].T]
    share = np.ones((kinds, relative.shape[1]))
    np.divide(np.stack(sums, axis=1), number[:, None], out=share, where=number[:, None] > 0.0)
    return share, (number == 0.0) & (np.bincount(network.load_characteristic, minlength=kinds) > 0)


@dataclass(frozen=True)
class Setting:
    """What to type into one controller; trims are None where all colours stay at full."""

    controller: str
    grid: SettingGrid
    level: int
    trims: tuple[int, ...] | None


@dataclass(frozen=True)
class Row:
    """One kind at a level.

    Attributes:
        kind: its name.
        level: duty of its strongest colour over full, 0 to 1.
        trims: of its colours under the level, 0 to 1.
        luminance_cd_m2, intensity_cd: at that level and the voltages that come of it; NaN where not known.
        figure: what counts of both.
        residual: figure over the wanted one, less 1.
        residual_lightness: CIE 1976 L* of the figure less that of the wanted one, which is 100.
        chromaticity_shift: distance from the wanted white in u'v'.
        fade_steps: different duties above dark that are left to fade with, at the level, on the controller that leaves fewest.
        fade_steps_by_colour: the same of each colour under its trim.
        settings: what to type.
        short: whether it cannot reach what is wanted at full.
        white_reached: whether its colours can mix the wanted white.
    """

    kind: str
    level: float
    trims: tuple[float, ...]
    luminance_cd_m2: float
    intensity_cd: float
    figure: float
    residual: float
    residual_lightness: float
    chromaticity_shift: float
    fade_steps: int
    fade_steps_by_colour: tuple[int, ...]
    settings: tuple[Setting, ...]
    short: bool = False
    white_reached: bool = True


def grids(assembly: Assembly, row: int) -> list[tuple[str, SettingGrid]]:
    """Return the controllers that carry a kind with their grids, the one with the fewest steps first."""
    strings = np.unique(assembly.props.string[assembly.props.kind == row])
    carrying = np.unique(assembly.strings.controller[strings]).tolist()
    stated = [(assembly.controllers[c], assembly.display.controllers[assembly.controllers[c]]) for c in carrying]
    return sorted(((name, SettingGrid(c.steps, c.curve)) for name, c in stated), key=lambda pair: pair[1].steps)


def row_at(
    assembly: Assembly,
    light: Lights,
    row: int,
    level: float,
    trims: tuple[float, ...],
    share: Floats,
    wanted: float,
    white_xyz: Floats,
    *,
    short: bool = False,
    white_reached: bool = True,
) -> Row:
    """Return what one kind gives at a level and trims.

    Args:
        build: the display expanded.
        light: what its kinds give.
        row: of the kind.
        level, trims: its duties.
        share: what the voltages leave of its colours, shape (c,).
        wanted: the figure asked for, NaN where there is none.
        white_xyz: tristimulus values of the white asked for, shape (3,).
        short, white_reached: as in `Row`.
    """
    colours = int(assembly.kinds.colours[row])
    duty = np.zeros(len(share))
    duty[:colours] = level * np.array(trims)
    left = duty * share
    figures = light.figure[row] * left
    total = float(figures.sum())
    ratio = total / wanted if wanted > 0.0 else np.nan
    known = bool(light.figure[row].any())
    places = grids(assembly, row)
    curves = {grid.curve for _, grid in places} or {SettingGrid().curve}
    shift = float(delta_uv_prime(mix_xyz(figures, assembly.kinds.xy[row]), white_xyz)) if total > 0.0 else np.nan
    return Row(
        kind=assembly.kinds.names[row],
        level=level,
        trims=trims,
        luminance_cd_m2=float(light.luminance_cd_m2[row] @ left) if known else np.nan,
        intensity_cd=float(light.intensity_cd[row] @ left) if known else np.nan,
        figure=total if known else np.nan,
        residual=ratio - 1.0 if known else np.nan,
        residual_lightness=float(lightness(ratio)) - 100.0 if known else np.nan,
        chromaticity_shift=shift,
        fade_steps=min(steps_left(level, curve) for curve in curves),
        fade_steps_by_colour=tuple(min(steps_left(level * t, curve) for curve in curves) for t in trims),
        settings=tuple(_typed(name, grid, level, trims) for name, grid in places),
        short=short,
        white_reached=white_reached,
    )


def _typed(controller: str, grid: SettingGrid, level: float, trims: tuple[float, ...]) -> Setting:
    plain = all(t == 1.0 for t in trims)
    told = None if plain else tuple(grid.nearest(t) if t > 0.0 else 0 for t in trims)
    return Setting(controller, grid, grid.nearest(level) if level > 0.0 else 0, told)
