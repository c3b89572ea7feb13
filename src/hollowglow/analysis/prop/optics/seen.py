"""How even, how spotty and how strong a lit shell is to a viewer."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Flags, Floats, OpticsError
from hollowglow.analysis.prop.optics.enclosure.mesh import points
from hollowglow.analysis.prop.optics.enclosure.sight import past_outside
from hollowglow.analysis.prop.optics.look import View
from hollowglow.analysis.prop.optics.radiosity import Glow

EYE_RAD = math.radians(1.0 / 60.0)
_FWHM = 2.0 * math.sqrt(2.0 * math.log(2.0))


def directions(azimuths: int = 8, elevations_deg: Sequence[float] = (-30.0, 0.0, 30.0)) -> Floats:
    """Return unit vectors towards viewers all around at some heights above the horizon, shape (k, 3)."""
    turn = np.arange(azimuths) * 2.0 * math.pi / azimuths
    made = []
    for elevation in np.radians(elevations_deg):
        level = math.cos(elevation)
        made.append(
            np.stack([level * np.cos(turn), level * np.sin(turn), np.full(azimuths, math.sin(elevation))], axis=1)
        )
    return np.concatenate(made)


@dataclass(frozen=True)
class Appearance:
    """How a lit shell looks from the direction that is worst in each respect, all colours together.

    Attributes:
        uniformity: lowest over mean luminance of the covered area, 1 is even.
        spread: 95th over 5th percentile of the luminance of the covered area, 1 is even.
        hot_spot: highest over mean luminance less 1 after the eye's blur, 0 is even.
        mean_cd_m2: mean luminance from the direction where the uniformity is worst.
        peak_cd_m2: highest luminance from any direction, before the blur.
        uniformity_from: direction of the worst uniformity, shape (3,).
        hot_spot_from: direction of the worst hot spot, shape (3,).
    """

    uniformity: float
    spread: float
    hot_spot: float
    mean_cd_m2: float
    peak_cd_m2: float
    uniformity_from: Floats
    hot_spot_from: Floats


def appearance(
    glow: Glow, views: Sequence[View], distance_m: float, straight: Sequence[Floats] | None = None
) -> Appearance:
    """Return how a lit shell looks at worst.

    Args:
        glow: what the lights make of the shell.
        views: at least one, made for the same enclosure.
        distance_m: from the viewer to the shell.
        straight: of each view, what its `straight` returns for the lights, where it is known.

    Raises:
        OpticsError: no views, or a distance that is not positive.
    """
    if not views:
        raise OpticsError("there is no direction to look from")
    known = straight if straight is not None else [v.straight(glow.lights) for v in views]
    pictures = [v.picture(glow, own).sum(axis=2) for v, own in zip(views, known, strict=True)]
    seen = [p[v.shown] for p, v in zip(pictures, views, strict=True)]
    even = [_share(float(s.min()), float(s.mean())) for s in seen]
    spots = [hot_spot(p, v.shown, v.pixel_m, distance_m) for p, v in zip(pictures, views, strict=True)]
    worst, spotty = int(np.argmin(even)), int(np.argmax(spots))
    return Appearance(
        uniformity=even[worst],
        spread=max(_spread(s) for s in seen),
        hot_spot=spots[spotty],
        mean_cd_m2=float(seen[worst].mean()),
        peak_cd_m2=max(float(s.max()) for s in seen),
        uniformity_from=views[worst].direction,
        hot_spot_from=views[spotty].direction,
    )


def _share(low: float, high: float) -> float:
    return low / high if high > 0.0 else 1.0


def _spread(values: Floats) -> float:
    low, high = np.percentile(values, [5.0, 95.0]).tolist()
    if high <= 0.0:
        return 1.0
    return high / low if low > 0.0 else math.inf


def hot_spot(picture: Floats, shown: Flags, pixel_m: float, distance_m: float) -> float:
    """Return the highest over the mean luminance, less 1, of a picture as the eye resolves it.

    Args:
        picture: luminances, cd/m², shape (h, w).
        shown: the pixels that the shell covers, shape (h, w).
        pixel_m: width of a pixel, m.
        distance_m: of the viewer, m.
    """
    mean = float(picture[shown].mean())
    if mean <= 0.0:
        return 0.0
    return float(blurred(picture, shown, pixel_m, distance_m)[shown].max()) / mean - 1.0


def blurred(picture: Floats, shown: Flags, pixel_m: float, distance_m: float) -> Floats:
    """Return a picture blurred by one arcminute, the width at half height of a Gaussian, within the shell's outline.

    The dark beside the shell is left out of each average, so that it does not pass for non-uniformity of the shell.

    Args:
        picture: luminances, cd/m², shape (h, w).
        shown: the pixels that the shell covers, shape (h, w).
        pixel_m: width of a pixel, m.
        distance_m: of the viewer, m.

    Raises:
        OpticsError: a distance that is not positive.
    """
    if not distance_m > 0.0:
        raise OpticsError(f"the viewer is {distance_m:g} m away, but must be more than 0")
    sigma = EYE_RAD * distance_m / _FWHM / pixel_m
    covered = shown.astype(np.float64)
    if sigma > 4.0 * max(picture.shape):
        return np.where(shown, picture[shown].mean(), 0.0)
    down, along = (_bell(n, sigma) for n in picture.shape)
    weight = down @ covered @ along
    value = down @ (picture * covered) @ along
    return np.divide(value, weight, out=np.zeros_like(value), where=shown)


def _bell(count: int, sigma: float) -> Floats:
    """Return what each of so many pixels in a row gives to each other, shape (count, count); not normalised."""
    place = np.arange(count) / sigma
    bell: Floats = np.exp(-0.5 * (place[:, None] - place[None, :]) ** 2)
    return bell


def intensity(glow: Glow, ways: Floats) -> Floats:
    """Return the luminous intensity of a shell in some directions, cd: the integral of L cos(theta) over what is seen.

    Args:
        glow: what the lights make of the shell.
        ways: from the shell, of any length, shape (k, 3).

    Returns:
        For each direction and colour, shape (k, c).
    """
    wall, shell = glow.room.wall, glow.room.shell
    unit = ways / np.linalg.norm(ways, axis=1)[:, None]
    facing = np.maximum(-wall.normal @ unit.T, 0.0) * wall.area[:, None]
    if not shell.convex:
        rows = np.arange(len(wall.area))
        spots = points(wall, rows, 2) - 1e-4 * shell.reach_m * wall.normal[:, None, :]
        for k, way in enumerate(unit):
            out = np.flatnonzero(facing[:, k] > 0.0)
            free = past_outside(shell, spots[out].reshape(-1, 3), way).reshape(len(out), -1)
            facing[out, k] *= free.mean(axis=1)
    strength: Floats = facing.T @ glow.luminance_cd_m2
    return strength


def polar_curve(glow: Glow, azimuth_deg: float = 0.0, step_deg: float = 5.0) -> tuple[Floats, Floats]:
    """Return the intensity around a vertical circle, angles from straight down over one side up and back.

    Args:
        glow: what the lights make of the shell.
        azimuth_deg: direction of the first side, from x towards y.
        step_deg: between angles.

    Returns:
        The angles from straight down, degrees, shape (k,), and the intensities of all colours together, cd, shape (k,).
    """
    angle = np.arange(0.0, 360.0, step_deg)
    down, side = np.radians(angle), math.radians(azimuth_deg)
    level = np.sin(down)
    ways = np.stack([level * math.cos(side), level * math.sin(side), -np.cos(down)], axis=1)
    return angle, intensity(glow, ways).sum(axis=1)


def illuminance_at(glow: Glow, place: Floats) -> float:
    """Return the illuminance of all colours at a place outside a convex shell, facing the shell's middle, lx.

    Args:
        glow: what the lights make of the shell.
        place: m, shape (3,).
    """
    wall = glow.room.wall
    rows = np.arange(len(wall.area))
    spots = points(wall, rows, 2)
    way = place - spots
    square = np.einsum("npk,npk->np", way, way)
    towards = place - glow.room.shell.middle
    towards = towards / float(np.linalg.norm(towards))
    leave = np.maximum(-np.einsum("npk,nk->np", way, wall.normal), 0.0)
    arrive = np.maximum(way @ towards, 0.0)
    share = (leave * arrive / square**2).mean(axis=1) * wall.area
    return float(share @ glow.luminance_cd_m2.sum(axis=1))
