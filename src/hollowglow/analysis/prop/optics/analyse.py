"""From an Assembly to the light of every kind, and of every prop with what low voltage leaves of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside.hollow import OpticsError
from hollowglow.analysis.prop.optics.lamp import PropLamp, lamp_of
from hollowglow.analysis.prop.optics.radiosity import Glow
from hollowglow.analysis.prop.optics.refine import Refinement, Settled
from hollowglow.analysis.prop.optics.seen import directions, intensity
from hollowglow.assembly import Assembly
from hollowglow.assembly.kinds import light_of
from hollowglow.assembly.tables import Floats
from hollowglow.file.model.kind import Kind

# How fine the patches of a plan may become, from how many directions people look, and how fine their pictures are.
STEPS = (200, 400, 800, 1600, 3200)
AZIMUTHS = 6
ABOVE_AND_BELOW = 3
PIXELS = 64
LIMIT = 0.01
_LEVEL = 16


@dataclass(frozen=True)
class KindLight:
    """The light of one prop of a kind at full duty and nominal current, one entry a colour where it says shape (c,).

    Attributes:
        lamp: the prop as the optics see it.
        settled: the answer, with how far it still moves.
        mean_cd_m2: luminance averaged over the whole wall, shape (c,).
        intensity_cd: towards viewers at its own height, averaged all round, shape (c,).
        flux_out_lm: what leaves, shape (c,).
    """

    lamp: PropLamp
    settled: Settled
    mean_cd_m2: Floats
    intensity_cd: Floats
    flux_out_lm: Floats

    @property
    def glow(self) -> Glow:
        """Return what the lights make of the shell."""
        return self.settled.glow


@dataclass(frozen=True)
class MeasuredLight:
    """What readings say of one kind.

    Attributes:
        luminance, intensity: measured over computed, all colours together.
        shares: of each colour in the measured light, adding up to 1; None where colours were not told apart.
        source: how and when, such as "photograph of 2026-11-30".
    """

    luminance: float
    intensity: float
    shares: tuple[float, ...] | None
    source: str


@dataclass(frozen=True)
class Optics:
    """The light of each kind, in the Assembly's order.

    Attributes:
        kinds: None where a kind has no shell, or where its light could not be computed.
        trouble: why it could not, empty where it could or need not.
        measured: what corrected the light of a kind, None where it is as computed; empty where nothing was measured.
        outdated: (kind, how and when it was measured) of kinds that are stated otherwise since.
    """

    kinds: tuple[KindLight | None, ...]
    trouble: tuple[str, ...]
    measured: tuple[MeasuredLight | None, ...] = ()
    outdated: tuple[tuple[str, str], ...] = ()


def viewers(hangs: str) -> Floats:
    """Return the directions of viewers all round, level with a prop and 30 degrees above and below, in its own frame.

    Args:
        hangs: "tip down", "tip up" (both alike: the axis is upright) or "on its side" (the axis is level).
    """
    around = [directions(AZIMUTHS, (0.0,)), directions(ABOVE_AND_BELOW, (-30.0, 30.0))]
    return _turned(np.concatenate(around), hangs)


def level_ring(hangs: str) -> Floats:
    """Return directions all round at a prop's own height, in its own frame, shape (k, 3)."""
    return _turned(directions(_LEVEL, (0.0,)), hangs)


def _turned(ways: Floats, hangs: str) -> Floats:
    # On its side a prop's own z lies level: what is up for the viewer is its x.
    return ways[:, [2, 0, 1]] if hangs == "on its side" else ways


def ladder_of(lamp: PropLamp, hangs: str) -> Refinement:
    """Return the shell and carrier of a lamp at several finenesses; lamps that share both can share it."""
    return Refinement(
        lamp.shell,
        lamp.carrier,
        lamp.wall,
        viewers(hangs),
        carrier_reflectance=lamp.carrier_reflectance,
        steps=STEPS,
        pixels=PIXELS,
    )


def light_up(lamp: PropLamp, hangs: str, viewing_m: float, ladder: Refinement | None = None) -> KindLight:
    """Return the light of one prop.

    Args:
        lamp: the prop.
        hangs: which way up.
        viewing_m: distance of the viewer, m.
        ladder: of the same shell and carrier, where there is one already.

    Raises:
        OpticsError: lights that do not fit into the shell.
    """
    settled = (ladder or ladder_of(lamp, hangs)).settle(lamp.lights, viewing_m, LIMIT)
    glow = settled.glow
    area = glow.room.wall.area
    return KindLight(
        lamp=lamp,
        settled=settled,
        mean_cd_m2=area @ glow.luminance_cd_m2 / float(area.sum()),
        intensity_cd=intensity(glow, level_ring(hangs)).mean(axis=0),
        flux_out_lm=glow.flux_out_lm,
    )


def analyse(
    assembly: Assembly,
    progress: Callable[[str], None] = lambda _kind: None,
    before: tuple[Assembly, Optics] | None = None,
) -> Optics:
    """Return the light of every kind of an Assembly.

    Args:
        build: the display expanded.
        progress: called with the name of each kind as it begins.
        before: an earlier Assembly with its light; kinds that are stated alike in both keep theirs.
    """
    kinds: list[KindLight | None] = []
    trouble: list[str] = []
    for name, kind in assembly.display.kinds.items():
        progress(name)
        made, why = _as_before(assembly, name, before) or _kind(assembly, name, kind)
        kinds.append(made)
        trouble.append(why)
    return Optics(tuple(kinds), tuple(trouble))


def _kind(assembly: Assembly, name: str, kind: Kind) -> tuple[KindLight | None, str]:
    try:
        lamp = lamp_of(kind, light_of(assembly.display, name))
        if lamp is None or not lamp.flux_lm.any():
            return None, ""
        return light_up(lamp, kind.hangs, assembly.display.viewing), ""
    except OpticsError as error:
        return None, str(error)


def _as_before(
    assembly: Assembly, name: str, before: tuple[Assembly, Optics] | None
) -> tuple[KindLight | None, str] | None:
    """Return the light of a kind from an earlier Assembly where nothing that it depends on has changed."""
    if before is None:
        return None
    now, then = assembly.display, before[0].display
    if name not in then.kinds or then.kinds[name] != now.kinds[name] or then.viewing != now.viewing:
        return None
    if light_of(then, name) != light_of(now, name):
        return None
    row = list(then.kinds).index(name)
    return before[1].kinds[row], before[1].trouble[row]


@dataclass(frozen=True)
class PropLight:
    """The light of every prop at full white, its kind's level, and the voltage that reaches it.

    NaN where the kind's light is not known or no steady voltage exists.

    Attributes:
        flux_out_lm: what leaves it, shape (props,).
        mean_cd_m2: its luminance averaged over the whole wall, shape (props,).
        intensity_cd: towards viewers at its own height, averaged all round, shape (props,).
    """

    flux_out_lm: Floats
    mean_cd_m2: Floats
    intensity_cd: Floats


def of_props(assembly: Assembly, optics: Optics, relative: Floats) -> PropLight:
    """Return the light of every prop; the lights of one prop count with the mean of what their voltages leave.

    Args:
        build: the display expanded.
        optics: the light of its kinds.
        relative: light of each colour over its nominal light by load of the network, shape (G, c).
    """
    network = assembly.network
    count = len(assembly.props.kind)
    nodes = np.bincount(assembly.load_prop, weights=network.load_count, minlength=count)
    share = (
        np.stack(
            [
                np.bincount(assembly.load_prop, weights=network.load_count * column, minlength=count)
                for column in (relative * network.duty[network.load_characteristic]).T
            ],
            axis=1,
        )
        / np.maximum(nodes, 1.0)[:, None]
    )
    columns = []
    for figure in ("flux_out_lm", "mean_cd_m2", "intensity_cd"):
        table = np.full((len(optics.kinds), share.shape[1]), np.nan)
        for row, kind in enumerate(optics.kinds):
            if kind is not None:
                values = getattr(kind, figure)
                table[row] = 0.0
                table[row, : len(values)] = values
        columns.append(np.einsum("pc,pc->p", share, table[assembly.props.kind]))
    return PropLight(*columns)
