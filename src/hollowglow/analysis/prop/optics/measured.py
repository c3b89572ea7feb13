"""Light as measured on props that were built, in place of what the model makes of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hollowglow.analysis.prop.optics.analyse import KindLight, MeasuredLight, Optics
from hollowglow.assembly.tables import Floats


@dataclass(frozen=True)
class KindReadings:
    """What readings say of kinds: by kind what corrects its light, and when kinds were measured that changed since."""

    kinds: Mapping[str, MeasuredLight]
    outdated: Mapping[str, str]


NO_READINGS = KindReadings({}, {})


def corrected(optics: Optics, names: Sequence[str], readings: KindReadings) -> Optics:
    """Return the light of kinds, that of measured ones multiplied so that it agrees with the readings.

    Args:
        optics: the light by the model, not corrected yet.
        names: of the kinds, in its order.
        readings: what was measured.

    Raises:
        ValueError: the light has been corrected already.
    """
    if any(one is not None for one in optics.measured):
        raise ValueError("the light of a kind is corrected once only")
    if not readings.kinds and not readings.outdated:
        return optics
    found = tuple(readings.kinds.get(n) if k is not None else None for n, k in zip(names, optics.kinds, strict=True))
    kinds = tuple(
        multiplied(kind, one) if kind is not None and one is not None else kind
        for kind, one in zip(optics.kinds, found, strict=True)
    )
    outdated = tuple((name, readings.outdated[name]) for name in names if name in readings.outdated)
    return replace(optics, kinds=kinds, measured=found, outdated=outdated)


def multiplied(kind: KindLight, by: MeasuredLight) -> KindLight:
    """Return the light of one kind with its luminance and intensity multiplied; how it is spread stays as computed.

    The light that leaves goes with the luminance, since the wall's area is stated.
    """
    luminance, intensity = (
        _factors(own, one, by.shares)
        for own, one in ((kind.mean_cd_m2, by.luminance), (kind.intensity_cd, by.intensity))
    )
    glow, seen = kind.glow, kind.settled.appearance
    glow = replace(
        glow, luminance_cd_m2=glow.luminance_cd_m2 * luminance, flux_out_lm=glow.flux_out_lm * luminance, gain=luminance
    )
    seen = replace(seen, mean_cd_m2=seen.mean_cd_m2 * by.luminance, peak_cd_m2=seen.peak_cd_m2 * by.luminance)
    return replace(
        kind,
        settled=replace(kind.settled, glow=glow, appearance=seen),
        mean_cd_m2=kind.mean_cd_m2 * luminance,
        intensity_cd=kind.intensity_cd * intensity,
        flux_out_lm=kind.flux_out_lm * luminance,
    )


def _factors(own: Floats, factor: float, shares: tuple[float, ...] | None) -> Floats:
    """Return the factor of each colour: the sum of the colours takes the one factor, their shares are the measured ones."""
    if shares is None or len(shares) != len(own):
        return np.full(len(own), factor)
    wanted = factor * float(own.sum()) * np.array(shares)
    made: Floats = np.divide(wanted, own, out=np.full(len(own), factor), where=own > 0.0)
    return made
