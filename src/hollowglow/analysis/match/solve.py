"""The levels that match: lower levels raise the voltages, so light and levels are worked out in turn until they rest."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hollowglow.analysis.circuit.power import Relight, Relit
from hollowglow.analysis.match.grid import SettingGrid, level_for, quantised
from hollowglow.analysis.match.light import Lights, Row, grids, left_by_voltage, lights, row_at
from hollowglow.analysis.match.targets import Target
from hollowglow.analysis.match.white import LEAST, channels, mixture, xyz_of
from hollowglow.analysis.prop.optics import Optics
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Flags, Floats
from hollowglow.messages.refusal import Job, Refusal
from hollowglow.physics.colour import delta_uv_prime, mix_xyz
from hollowglow.quantity.words import several

# Levels rest when none moves by more than this from one round to the next; so many rounds are tried.
AT_REST = 1e-6
ROUNDS = 25
# Two whites nearer than this in u'v' pass for one: half of what can be seen side by side. Nobody types trims for less.
NOT_SEEN_UV = 0.002


@dataclass(frozen=True)
class SupplyDraw:
    """What all supplies together deliver: W, and A from each supply added up; NaN without a steady state."""

    power_w: float
    current_a: float


@dataclass(frozen=True)
class Match:
    """The levels that make the kinds alike.

    Attributes:
        target: what was asked for.
        wanted: the figure that every kind was to reach, cd/m² (by intensity: cd).
        white_xy: CIE 1931 chromaticity of the white that every kind was to show.
        reference: the kind that is the dimmest at full, whose white is the common one unless another was asked for.
        rows: one for each kind that takes part.
        left_out: (kind, reason) of those that do not.
        surface: how much the eye sees of each kind in `rows` as a surface and not as a point, 0 to 1.
        left_now, left: what the voltages leave of each colour of each kind in `rows` at the file's levels, and matched.
        settled: whether the levels came to rest.
        rounds: how often the circuit was solved for that.
        moved: by how much a level still moved in the last round.
        unsolved: kinds without a steady voltage, taken at their nominal one.
        now, matched, full: what the supplies deliver at full white: at the file's levels, matched, all levels at 100 %.
    """

    target: Target
    wanted: float
    white_xy: tuple[float, float]
    reference: str
    rows: tuple[Row, ...]
    left_out: tuple[tuple[str, str], ...]
    surface: tuple[float, ...]
    left_now: tuple[tuple[float, ...], ...]
    left: tuple[tuple[float, ...], ...]
    settled: bool
    rounds: int
    moved: float
    unsolved: tuple[str, ...]
    now: SupplyDraw
    matched: SupplyDraw
    full: SupplyDraw


@dataclass(frozen=True)
class _Choice:
    """What stays as it is once chosen, so that the rounds can come to rest: the dimmest kind, and who is trimmed."""

    reference: int
    trimmed: Flags


@dataclass(frozen=True)
class _Exact:
    """Levels before any rounding: duties (K, c), the wanted figure, its white, the most that each kind can give."""

    duty: Floats
    wanted: float
    white_xyz: Floats
    most: Floats
    reached: Flags


def solve(
    assembly: Assembly,
    optics: Optics,
    target: Target | None = None,
    rounds: int = ROUNDS,
) -> Match:
    """Return the levels that make the kinds of an Assembly alike.

    Args:
        build: the display expanded.
        optics: the light of its kinds.
        target: what is asked for.
        rounds: how often at most the circuit is solved before the levels are rounded.

    Raises:
        Refusal: when no kind's light is known, or none gives any.
    """
    target = target or Target()
    light = lights(assembly, optics, target.by)
    if not light.taking_part.any():
        raise Refusal(
            f"There is nothing to match: no kind that hangs somewhere has a known light. {_way_out(assembly, optics, light)}"
        )
    relight = Relight(assembly)
    stated = assembly.network.duty
    share = np.ones_like(stated)
    first = _exact(assembly, light, target, share, None)
    share, lost = _share(assembly, relight.at(_with(stated, light, first.duty)))
    light = _without_dark(assembly, light, share)
    choice = _choose(assembly, light, target, share)
    duty, moved, done = first.duty, np.inf, 1
    while True:
        exact = _exact(assembly, light, target, share, choice)
        moved = float(np.abs(exact.duty - duty).max())
        duty = exact.duty
        if moved <= AT_REST or done >= rounds:
            break
        share, lost = _share(assembly, relight.at(_with(stated, light, duty)))
        done += 1
    chosen = {
        row: _rounded(assembly, light, exact, choice, row, share) for row in np.flatnonzero(light.taking_part).tolist()
    }
    typed = np.zeros_like(duty)
    for row, (level, trims) in chosen.items():
        typed[row, : len(trims)] = level * np.array(trims)
    final = relight.at(_with(stated, light, typed))
    share, lost = _share(assembly, final)
    rows = tuple(
        row_at(
            assembly, light, row, level, trims, share[row], exact.wanted, exact.white_xyz,
            short=bool(exact.most[row] < exact.wanted * (1.0 - 1e-9)), white_reached=bool(exact.reached[row]),
        )
        for row, (level, trims) in chosen.items()
    )  # fmt: skip
    white = exact.white_xyz / exact.white_xyz.sum()
    now = relight.at(stated)
    before = _share(assembly, now)[0]
    return Match(
        target=target,
        wanted=exact.wanted,
        white_xy=(float(white[0]), float(white[1])),
        reference=assembly.kinds.names[choice.reference],
        rows=rows,
        left_out=light.left_out,
        surface=tuple(light.surface[list(chosen)].tolist()),
        left_now=tuple(tuple(before[row].tolist()) for row in chosen),
        left=tuple(tuple(share[row].tolist()) for row in chosen),
        settled=moved <= AT_REST,
        rounds=done,
        moved=moved,
        unsolved=tuple(n for n, gone in zip(assembly.kinds.names, lost.tolist(), strict=True) if gone),
        now=_drawn(now),
        matched=_drawn(final),
        full=_drawn(relight.at(_full(assembly))),
    )


def _way_out(assembly: Assembly, optics: Optics, light: Lights) -> str:
    """Return what to do where no light is known: mend what could not be computed or is dark, or else state a shell."""
    for name, trouble in zip(assembly.kinds.names, optics.trouble, strict=True):
        if trouble:
            return f"That of {name} cannot be computed: {trouble}. Mend this first; hollowglow check says how."
    if all(kind.shell is not None for kind in assembly.display.kinds.values()):
        return f"{'; '.join(f'{name}: {why}' for name, why in light.left_out)}. Mend this first."
    return "State the shell of each kind, such as shell: {shape: sphere, diameter: 150 mm}."


def _without_dark(assembly: Assembly, light: Lights, share: Floats) -> Lights:
    """Return the kinds' lights without those that are dark, which no other kind can be made like."""
    dark = light.taking_part & ((light.figure * share).sum(axis=1) <= 0.0)
    if not dark.any():
        return light
    why = "it gets too little voltage to give any light"
    names = [assembly.kinds.names[row] for row in np.flatnonzero(dark).tolist()]
    if (light.taking_part == dark).all():
        raise Refusal(
            f"There is nothing to match. Of {several(names)}: {why}. ", Job("check", "FILE"), " tells the mend."
        )
    return replace(
        light, taking_part=light.taking_part & ~dark, left_out=(*light.left_out, *((name, why) for name in names))
    )


def _with(stated: Floats, light: Lights, duty: Floats) -> Floats:
    """Return the duties with those of the kinds that take part; the others burn on as the file says."""
    return np.where(light.taking_part[:, None], duty, stated)


def _full(assembly: Assembly) -> Floats:
    return (np.arange(assembly.network.duty.shape[1]) < assembly.kinds.colours[:, None]).astype(np.float64)


def _share(assembly: Assembly, relit: Relit) -> tuple[Floats, Flags]:
    return left_by_voltage(assembly, relit.relative, relit.alive)


def _drawn(relit: Relit) -> SupplyDraw:
    return SupplyDraw(relit.power_w, float(relit.current_a.sum()))


def _choose(assembly: Assembly, light: Lights, target: Target, share: Floats) -> _Choice:
    figures = light.figure * share
    total = figures.sum(axis=1)
    reference = int(np.argmin(np.where(light.taking_part, total, np.inf)))
    if target.white_xy is not None:
        return _Choice(reference, light.taking_part)
    own = np.array([mix_xyz(f, xy) for f, xy in zip(figures, assembly.kinds.xy, strict=True)])
    apart = np.nan_to_num(delta_uv_prime(own, own[reference]))
    return _Choice(reference, light.taking_part & (apart > NOT_SEEN_UV))


def _exact(assembly: Assembly, light: Lights, target: Target, share: Floats, choice: _Choice | None) -> _Exact:
    """Return the duties in closed form: for each kind its mixture of the white, as bright as the dimmest allows."""
    choice = choice or _choose(assembly, light, target, share)
    figures = light.figure * share
    if target.white_xy is None:
        own = mix_xyz(figures[choice.reference], assembly.kinds.xy[choice.reference])
        white = own / own[1]
    else:
        white = xyz_of(target.white_xy)
    unit, reached = np.zeros_like(figures), np.ones(len(figures), dtype=bool)
    for row in np.flatnonzero(light.taking_part).tolist():
        mixed = mixture(channels(figures[row], assembly.kinds.xy[row]), white, LEAST) if choice.trimmed[row] else None
        reached[row] = mixed is not None or not choice.trimmed[row]
        if mixed is None:
            mixed = _full(assembly)[row] / max(float(figures[row].sum()), 1e-300)
        unit[row] = mixed
    most = np.where(light.taking_part, 1.0 / np.maximum(unit.max(axis=1), 1e-300), np.inf)
    wanted = target.luminance_cd_m2 if target.luminance_cd_m2 is not None else target.share * float(most.min())
    return _Exact(unit * np.minimum(wanted, most)[:, None], wanted, white, most, reached)


def _rounded(
    assembly: Assembly, light: Lights, exact: _Exact, choice: _Choice, row: int, share: Floats
) -> tuple[float, tuple[float, ...]]:
    """Return the level and trims of a kind that its controller can be told."""
    colours = int(assembly.kinds.colours[row])
    places = grids(assembly, row)
    grid = places[0][1] if places else SettingGrid()
    figures = light.figure[row] * share[row]
    if not (choice.trimmed[row] and exact.reached[row]):
        return grid.duty(level_for(grid, float(figures.sum()), exact.wanted)), (1.0,) * colours
    columns = channels(figures, assembly.kinds.xy[row])[:, :colours]
    wanted = min(exact.wanted, float(exact.most[row])) * exact.white_xyz
    level, trims = quantised(grid, columns, exact.duty[row, :colours], wanted)
    return grid.duty(level), tuple(grid.duty(t) for t in trims)


def at_file(assembly: Assembly, optics: Optics, relative: Floats, alive: Flags) -> tuple[Row, ...]:
    """Return every kind at the levels and trims of the file, measured against the dimmest that hangs and is lit.

    Args:
        build: the display expanded.
        optics: the light of its kinds.
        relative: light of each colour over its nominal light by load, at the file's levels, shape (G, c).
        alive: loads that some supply reaches, shape (G,).
    """
    light = lights(assembly, optics, "view")
    share, _ = left_by_voltage(assembly, relative, alive)
    display, duty = assembly.display, assembly.network.duty
    seen = light.figure * share * duty
    total = np.where(light.taking_part, seen.sum(axis=1), 0.0)
    lit = np.flatnonzero(total > 0.0)
    reference = int(lit[np.argmin(total[lit])]) if len(lit) else 0
    wanted = float(total[reference]) if len(lit) else np.nan
    white = mix_xyz(seen[reference], assembly.kinds.xy[reference]) if len(duty) else np.zeros(3)
    rows = []
    for row, name in enumerate(assembly.kinds.names):
        colours = int(assembly.kinds.colours[row])
        trims = display.trims.get(name, (1.0,) * colours)
        rows.append(row_at(assembly, light, row, display.level(name), trims, share[row], wanted, white))
    return tuple(rows)
