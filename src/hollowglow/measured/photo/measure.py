"""The light of each prop in a scene: gathered over its own zone, background off, every exposure used where it is good."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hollowglow.measured.photo.find import FoundProps
from hollowglow.measured.photo.picture import Bools
from hollowglow.measured.photo.scene import NEAR_BLACK, Scene, SceneFrame
from hollowglow.measured.photo.vignetting import Vignetting
from hollowglow.physics.colour import uv_prime

Floats = NDArray[np.float64]
Light = NDArray[np.floating[Any]]

# So much of a core may be clipped (a dead pixel, a glint) before its sum is no longer a measurement.
CLIPPED_SHARE = 0.005
_SIGMAS = 4.0
_MOST_AROUND = 5000
_MOST_BLUR = 0.12


@dataclass(frozen=True, eq=False)
class MeasuredProp:
    """One prop in a photograph; light on the scale of the scene's first photograph, per pixel.

    Attributes:
        number: as on the overlay.
        row: of the middle of its lit area, pixels from the top.
        column: of it, pixels from the left.
        area: that is lit, pixels, without what blur adds or takes.
        outline: that area within its box, shape (rows, columns).
        corner: top and left of that box, pixels.
        luminance: mean over the area, relative.
        intensity: sum over its zone, relative, were all props equally far away.
        rgb: that sum in linear red, green and blue of the photograph, shape (3,).
        xyz: that sum as tristimulus values, shape (3,).
        clipped: share of its area that every exposure clips.
        blur: standard deviation of its blur over its radius.
        best: luminance in the longest exposure that does not clip it, share of the camera's range.
    """

    number: int
    row: float
    column: float
    area: float
    outline: Bools
    corner: tuple[int, int]
    luminance: float
    intensity: float
    rgb: Floats
    xyz: Floats
    clipped: float
    blur: float
    best: float

    @property
    def trouble(self) -> str:
        """Return why it cannot be measured, "" where it can: "clipped" or "dark"."""
        if self.clipped > CLIPPED_SHARE:
            return "clipped"
        return "dark" if self.best < NEAR_BLACK else ""

    @property
    def uv(self) -> tuple[float, float]:
        """Return its CIE 1976 u'v'."""
        u, v = uv_prime(self.xyz).tolist()
        return u, v


def measure(scene: Scene, found: FoundProps, vignetting: Vignetting | None = None) -> tuple[MeasuredProp, ...]:
    """Return what each prop of a scene gives.

    The sum over a prop's zone counts the light that blur carried out of its outline, so props of unlike sizes stay
    comparable; its luminance is that sum over its area.

    Args:
        scene: the photographs.
        found: its props.
        vignetting: what share of the light reaches each place; None: all of it everywhere.
    """
    return tuple(_prop(scene, found, i, vignetting) for i in range(len(found)))


def _prop(scene: Scene, found: FoundProps, index: int, vignetting: Vignetting | None) -> MeasuredProp:
    side = scene.side
    top, left, below, right = (int(v) for v in found.boxes[index])
    pad = 2
    box = (
        slice(max(0, top - pad), min(found.zones.shape[0], below + pad)),
        slice(max(0, left - pad), min(found.zones.shape[1], right + pad)),
    )
    zone = _fine(found.zones[box] == index + 1, side)
    core = _fine(found.cores[box] == index + 1, side)
    free = _fine(found.zones[box] == 0, side)
    corner = box[0].start * side, box[1].start * side
    light, lost, best = _merged(scene, corner, zone.shape)
    if vignetting is not None:
        rows = corner[0] + np.arange(zone.shape[0], dtype=np.float64)[:, None]
        columns = corner[1] + np.arange(zone.shape[1], dtype=np.float64)[None, :]
        light = light / vignetting.share(rows, columns, scene.frames[0].photograph.shape)[:, :, None]
    around = light[free & ~lost]
    around = around[:: max(1, len(around) // _MOST_AROUND)]
    background = np.median(around, axis=0) if len(around) >= 32 else np.zeros(3, np.float32)
    light = light - background
    matrix = scene.frames[0].photograph.xyz_from_rgb
    luminance = light @ matrix[1].astype(np.float32)
    level = _edge_level(luminance, zone)
    area = zone & (luminance > level)
    if not area.any():
        area = core
    rgb = light[zone].sum(axis=0, dtype=np.float64)
    xyz = matrix @ rgb
    pixels = float(area.sum())
    lost_to_blur = _lost_to_blur(luminance, area, 2.0 * level)
    y, x = np.nonzero(area)
    return MeasuredProp(
        number=index + 1,
        row=corner[0] + float(y.mean()),
        column=corner[1] + float(x.mean()),
        area=pixels + lost_to_blur,
        outline=area,
        corner=corner,
        luminance=float(xyz[1]) / (pixels + lost_to_blur),
        intensity=float(xyz[1]),
        rgb=rgb,
        xyz=xyz,
        blur=float(np.sqrt(lost_to_blur / (pixels + lost_to_blur))),
        clipped=float((lost & area).sum()) / pixels,
        best=float(np.median(best[area])),
    )


def _fine(mask: Bools, side: int) -> Bools:
    fine: Bools = np.repeat(np.repeat(mask, side, axis=0), side, axis=1)
    return fine


def _edge_level(luminance: Light, zone: Bools) -> float:
    """Return the luminance at which a prop ends: that of the steepest places, which blur leaves at half height."""
    down, right = np.gradient(luminance)
    weight = np.where(zone, (down**2 + right**2) ** 2, 0.0)
    return float((weight * luminance).sum() / max(float(weight.sum()), 1e-300))


def _lost_to_blur(luminance: Light, area: Bools, level: float) -> float:
    """Return by how many pixels blur made an outline's area smaller.

    A line of half brightness moves by s²/2 times its curvature towards the inside, s being the standard deviation of
    the blur. All around any outline the curvature adds up to 2 pi, so the area shrinks by pi s². A straight edge blurred
    like that has the slope L/(s sqrt(2 pi)). Differences over two pixels widen s² by 1/3.

    Args:
        luminance: of the prop's surroundings.
        area: that is lit.
        level: luminance just inside its outline, L.
    """
    from scipy import ndimage

    rim = area & ~ndimage.binary_erosion(area)
    down, right = np.gradient(luminance)
    slope = float(np.median(np.hypot(down, right)[rim]))
    if slope <= 0.0:
        return 0.0
    square = level**2 / (2.0 * np.pi * slope**2) - 1.0 / 3.0
    return float(np.pi * min(max(square, 0.0), _MOST_BLUR * float(area.sum()) / np.pi))


def _merged(scene: Scene, corner: tuple[int, int], shape: tuple[int, ...]) -> tuple[Light, Bools, Light]:
    """Return light on the first photograph's scale, which pixels no exposure caught, and the best luminance of each.

    Exposures count with what they gathered, which is how photon noise weighs them. A clipped pixel does not count; nor
    does one near black, except in the longest exposure, where nothing tells more about it.
    """
    if len(scene.frames) == 1:
        (only,) = scene.frames
        light, clipped = _part(only, corner, shape)
        return light / np.float32(only.gain), clipped, light @ only.photograph.xyz_from_rgb[1].astype(np.float32)
    above = np.zeros((*shape, 3), np.float32)
    below = np.zeros(shape, np.float32)
    best = np.zeros(shape, np.float32)
    every = np.ones(shape, np.bool_)
    for frame in scene.frames:
        light, clipped = _part(frame, corner, shape)
        luminance = light @ frame.photograph.xyz_from_rgb[1].astype(np.float32)
        good = ~clipped
        every &= clipped
        best = np.where(good, luminance, best)
        if frame is not scene.frames[-1]:
            good &= luminance > max(NEAR_BLACK, _SIGMAS * frame.noise)
        above += np.where(good[:, :, None], light, 0.0)
        below += np.where(good, frame.gain, 0.0)
    # Bright for the longest exposure, near black in all others: the shortest that is not clipped must do.
    for frame in reversed(scene.frames[:-1]):
        missing = (below == 0.0) & ~every
        if not missing.any():
            break
        light, clipped = _part(frame, corner, shape)
        use = missing & ~clipped
        above[use] = light[use]
        below[use] = frame.gain
    if every.any():
        # Clipped in all: at least so bright, which keeps the outline whole until the prop is judged.
        light, _ = _part(scene.frames[0], corner, shape)
        above[every] = light[every]
        below[every] = scene.frames[0].gain
    return above / np.maximum(below, 1e-12)[:, :, None], every, best


def _part(frame: SceneFrame, corner: tuple[int, int], shape: tuple[int, ...]) -> tuple[Light, Bools]:
    photograph = frame.photograph
    top, left = corner[0] + frame.shift[0], corner[1] + frame.shift[1]
    rows = np.clip(np.arange(top, top + shape[0]), 0, photograph.shape[0] - 1)
    columns = np.clip(np.arange(left, left + shape[1]), 0, photograph.shape[1] - 1)
    inside = slice(int(rows[0]), int(rows[-1]) + 1), slice(int(columns[0]), int(columns[-1]) + 1)
    if inside[0].stop - inside[0].start == shape[0] and inside[1].stop - inside[1].start == shape[1]:
        return photograph.linear(*inside) - np.float32(frame.black), photograph.clipped(*inside)
    pick = np.ix_(rows - rows[0], columns - columns[0])
    light = photograph.linear(*inside)[pick] - np.float32(frame.black)
    return light, photograph.clipped(*inside)[pick]
