"""Photographs of one scene on one scale: how each exposure relates to the others, checked where they overlap."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.measured.photo.caution import PWM_HZ, PWM_PERIODS, Caution, of_names
from hollowglow.measured.photo.exposure import gathered
from hollowglow.measured.photo.picture import Bools, Photograph, Single
from hollowglow.messages.refusal import Input, Refusal
from hollowglow.physics.colour import delta_uv_prime

COARSE_PIXELS = 2_000_000
# Below this share of the camera's range above black a stored value says too little.
NEAR_BLACK = 0.005
# Nominal times and stops are rounded (1/60 is 1/64 s, f/11 is f/11.3): up to this the overlap knows better.
ROUNDED_STOPS = 0.12
DOUBTFUL_STOPS = 0.2
_LEAST_OVERLAP = 30
_LEAST_OVERLAP_SHARE = 0.1
_SAME_SCENE = 0.7
_MOST_MOVED = 0.03
_SAME_EXPOSURE = 0.02
_WHITE_MOVED = 0.006


@dataclass(frozen=True, eq=False)
class SceneFrame:
    """One photograph within a scene.

    Attributes:
        photograph: itself.
        gain: the value that light gets in it over the value that the same light gets in the scene's first.
        shift: rows and columns by which its picture lies further down and right than the first one's.
        black: luminance where nothing is lit, 1 = white.
        noise: standard deviation of that over coarse squares.
    """

    photograph: Photograph
    gain: float
    shift: tuple[int, int]
    black: float
    noise: float


@dataclass(frozen=True, eq=False)
class Scene:
    """Photographs of the same props from the same place.

    Attributes:
        frames: the longest exposure last.
        side: of a coarse square, pixels.
        coarse: luminance of coarse squares above black, on the first photograph's scale, shape (rows, columns).
        noise: standard deviation of it where nothing is lit.
        cautions: what was noticed.
    """

    frames: tuple[SceneFrame, ...]
    side: int
    coarse: Single
    noise: float
    cautions: tuple[Caution, ...]

    @property
    def name(self) -> str:
        """Return the names of its photographs as words."""
        return of_names([f.photograph.name for f in self.frames])


@dataclass(frozen=True, eq=False)
class _Coarse:
    light: Single
    lost: Single
    black: float
    noise: float

    @property
    def good(self) -> Bools:
        return (self.lost <= 0.0) & (self.light - self.black > max(NEAR_BLACK, 5.0 * self.noise))


_EXPOSURE = '"1/60 s f/4 ISO 200"'


def exposures_known(photographs: Sequence[Photograph]) -> tuple[float, ...]:
    """Return the gain of each photograph over the first.

    Raises:
        Refusal: several photographs of which one does not tell its exposure; it says what to do.
    """
    if len(photographs) == 1:
        return (1.0,)
    unknown = [p.name for p in photographs if p.exposure is None]
    if unknown:
        raise Refusal(
            f"{of_names(unknown)}: found no exposure time in the photograph (EXIF), expected one where several are "
            "compared. Give the exposures in the order of the photographs, such as ",
            Input("exposure", _EXPOSURE),
            " once for each, or use one photograph alone.",
        )
    try:
        return gathered([p.exposure for p in photographs if p.exposure is not None])
    except ValueError as error:
        raise Refusal(
            f"{of_names([p.name for p in photographs])}: {error}, expected it for all or for none. "
            "Give the exposures, such as ",
            Input("exposure", _EXPOSURE),
            " once for each photograph.",
        ) from None


def scenes_of(photographs: Sequence[Photograph], pwm_hz: float = PWM_HZ) -> tuple[Scene, ...]:
    """Return the photographs as scenes: those that show the same lights at the same places belong together.

    Args:
        photographs: at least one.
        pwm_hz: rate at which the lights are pulsed, Hz.

    Raises:
        Refusal: exposures that cannot be put on one scale.
    """
    gains = exposures_known(photographs)
    coarse = [_coarse(p) for p in photographs]
    groups: list[list[int]] = []
    shifts: dict[int, tuple[int, int]] = {}
    for i, photograph in enumerate(photographs):
        for group in groups:
            first = group[0]
            if photographs[first].shape != photograph.shape:
                continue
            shift = _shift(coarse[first], coarse[i], gains[i] / gains[first], _side(photograph.shape))
            if shift is not None:
                group.append(i)
                shifts[i] = shift
                break
        else:
            groups.append([i])
            shifts[i] = (0, 0)
    about = _about_all(photographs, pwm_hz)
    made = []
    for number, group in enumerate(groups):
        made.append(
            _scene([(photographs[i], coarse[i], gains[i], shifts[i]) for i in group], about if not number else [])
        )
    return tuple(made)


def _side(shape: tuple[int, int]) -> int:
    return max(1, int(np.ceil(np.sqrt(shape[0] * shape[1] / COARSE_PIXELS))))


def _coarse(photograph: Photograph) -> _Coarse:
    light, lost = photograph.binned(_side(photograph.shape))
    black = float(np.median(light))
    # Stored values come in steps, and JPEG smooths noise away: the spread alone may look like none.
    steps = np.diff(photograph.table)
    step = float(steps[min(int(np.searchsorted(photograph.table, black)), len(steps) - 1)])
    below = (black - float(np.quantile(light, 0.023))) / 2.0
    noise = max(1.4826 * float(np.median(np.abs(light - black))), below, step / 2.0, 1e-5)
    return _Coarse(light, lost, black, noise)


def _shift(one: _Coarse, two: _Coarse, ratio: float, side: int) -> tuple[int, int] | None:
    """Return how far the second lies from the first, pixels; None where they do not show the same."""
    from skimage.registration import phase_cross_correlation

    a, b = one.light - one.black, (two.light - two.black) / ratio
    # Both are cut to the range that both can tell, so that exposure makes no difference between them.
    low = max(NEAR_BLACK, NEAR_BLACK / ratio, 5.0 * one.noise, 5.0 * two.noise / ratio)
    high = max(min(0.8, 0.8 / ratio), 2.0 * low)
    flat = [np.log(np.clip(image, low, high) / low).astype(np.float32) for image in (a, b)]
    if high > min(0.8, 0.8 / ratio):
        # What one tells the other has clipped or lost in the dark: only where there is light can be compared.
        marks = (0.25, 2.0 * NEAR_BLACK) if ratio < 1.0 else (2.0 * NEAR_BLACK, 0.25)
        flat = [(image > mark).astype(np.float32) for image, mark in zip((a, b * ratio), marks, strict=True)]
    if not all(image.any() for image in flat):
        return None
    moved, _, _ = phase_cross_correlation(flat[1], flat[0], upsample_factor=side, normalization=None)
    rows, columns = (int(v) for v in np.rint(moved))
    laid = np.roll(flat[1], (-rows, -columns), (0, 1))
    alike = float((flat[0] * laid).sum() / np.sqrt(float((flat[0] ** 2).sum()) * float((laid**2).sum())))
    shift = round(side * float(moved[0])), round(side * float(moved[1]))
    if alike < _SAME_SCENE or np.hypot(*shift) > _MOST_MOVED * side * np.hypot(*flat[0].shape):
        return None
    laid_two = _laid(two, shift, side)
    both = one.good & laid_two.good
    if abs(np.log2(ratio)) < _SAME_EXPOSURE and both.any():
        # Exposed alike and yet unlike in brightness: another prop stands in the same place.
        brighter = np.median((laid_two.light[both] - two.black) / (one.light[both] - one.black)) / ratio
        if abs(np.log2(brighter)) > ROUNDED_STOPS:
            return None
    return shift


def _scene(parts: list[tuple[Photograph, _Coarse, float, tuple[int, int]]], cautions: list[Caution]) -> Scene:
    parts = sorted(parts, key=lambda part: part[2])
    side = _side(parts[0][0].shape)
    origin = parts[0][3]
    told = [*cautions, *_moved([(p, (s[0] - origin[0], s[1] - origin[1])) for p, _, _, s in parts])]
    gains = [parts[0][2]]
    frames = [SceneFrame(parts[0][0], gains[0], (0, 0), parts[0][1].black, parts[0][1].noise)]
    laid = [parts[0][1]]
    for before, (photograph, coarse, gain, shift) in itertools.pairwise(parts):
        shift = shift[0] - origin[0], shift[1] - origin[1]
        laid.append(_laid(coarse, shift, side))
        step, found = _step(before[0], photograph, laid[-2], laid[-1], gain / before[2])
        told += found
        gains.append(gains[-1] * step)
        frames.append(SceneFrame(photograph, gains[-1], shift, coarse.black, coarse.noise))
    told += _white_moved(frames, laid, side)
    coarse_light, noise = _merged(laid, gains)
    return Scene(tuple(frames), side, coarse_light, noise, tuple(told))


def _laid(coarse: _Coarse, shift: tuple[int, int], side: int) -> _Coarse:
    rows, columns = round(shift[0] / side), round(shift[1] / side)
    if not rows and not columns:
        return coarse
    roll = (-rows, -columns)
    return _Coarse(np.roll(coarse.light, roll, (0, 1)), np.roll(coarse.lost, roll, (0, 1)), coarse.black, coarse.noise)


def _step(
    short: Photograph, long: Photograph, one: _Coarse, two: _Coarse, nominal: float
) -> tuple[float, list[Caution]]:
    """Return the gain from one exposure to the next longer one, and what is doubtful about it."""
    both = one.good & two.good
    names = (short.name, long.name)
    # Outlines alone, where JPEG rings, are no overlap.
    if int(both.sum()) < max(_LEAST_OVERLAP, _LEAST_OVERLAP_SHARE * int(one.good.sum())):
        message = (
            f"the exposures ({_words(short)} and {_words(long)}) share too few pixels that are neither clipped nor near "
            "black, so their ratio is taken from the camera unchecked."
        )
        return nominal, [
            Caution("no-overlap", names, message, "Add an exposure between them.")
        ] if nominal > 1.01 else []
    ratio = (two.light[both] - two.black) / (one.light[both] - one.black)
    measured = float(np.median(ratio))
    off = abs(np.log2(measured / nominal))
    if off <= ROUNDED_STOPS:
        return measured, []
    message = (
        f"by the camera's figures the second gathers {nominal:.3g} times the light of the first, in the pictures "
        f"{measured:.3g} times."
    )
    mend = (
        "The figures or the tone curve of the camera are not true: photograph in RAW, or at one fixed exposure."
        if off > DOUBTFUL_STOPS
        else "The pictures are followed; RAW would be surer."
    )
    return measured, [Caution("exposures-disagree", names, message, mend)]


def _words(photograph: Photograph) -> str:
    return photograph.exposure.words() if photograph.exposure else "unknown"


def _merged(laid: list[_Coarse], gains: list[float]) -> tuple[Single, float]:
    """Return the luminance of coarse squares: longer exposures weigh more, as they caught more light."""
    above: NDArray[np.float32] = np.zeros_like(laid[0].light)
    below: NDArray[np.float32] = np.zeros_like(laid[0].light)
    for coarse, gain in zip(laid, gains, strict=True):
        good = coarse.lost <= 0.0
        above += np.where(good, coarse.light - coarse.black, np.float32(0.0))
        below += np.where(good, np.float32(gain), np.float32(0.0))
    # Where every exposure is clipped the shortest tells at least how bright it is.
    shortest = (laid[0].light - laid[0].black) / gains[0]
    merged = np.where(below > 0.0, above / np.maximum(below, 1e-12), shortest).astype(np.float32)
    noise = float(np.sqrt(sum(c.noise**2 for c in laid))) / sum(gains)
    return merged, noise


def _moved(parts: list[tuple[Photograph, tuple[int, int]]]) -> list[Caution]:
    moved = [(p.name, s) for p, s in parts if max(abs(s[0]), abs(s[1])) > 1]
    if not moved:
        return []
    far = max(float(np.hypot(*s)) for _, s in moved)
    return [
        Caution(
            "camera-moved",
            tuple(name for name, _ in moved),
            f"the camera moved between the photographs, by up to {far:.0f} pixels; they were laid onto each other.",
            "Use a stand and a remote release.",
        )
    ]


def _white_moved(frames: list[SceneFrame], laid: list[_Coarse], side: int) -> list[Caution]:
    """Return a caution where the same props have another colour in another exposure."""
    told = []
    for i in range(1, len(frames)):
        both = np.argwhere(laid[i - 1].good & laid[i].good)
        if len(both) < _LEAST_OVERLAP:
            continue
        spots = both[:: max(1, len(both) // 400)]
        colours = [_mean_xyz(frames[j], spots, side) for j in (i - 1, i)]
        apart = float(delta_uv_prime(colours[0], colours[1]))
        if apart > _WHITE_MOVED:
            names = (frames[i - 1].photograph.name, frames[i].photograph.name)
            message = f"the same lights differ by {apart:.3f} Δu′v′ between the photographs."
            mend = "Set the camera's white balance to one fixed value (daylight), not automatic."
            told.append(Caution("white-balance-differs", names, message, mend))
    return told


def _mean_xyz(frame: SceneFrame, spots: NDArray[np.intp], side: int) -> NDArray[np.float64]:
    photograph = frame.photograph
    rows = np.clip(spots[:, 0] * side + side // 2 + frame.shift[0], 0, photograph.shape[0] - 1)
    columns = np.clip(spots[:, 1] * side + side // 2 + frame.shift[1], 0, photograph.shape[1] - 1)
    mean = photograph.table[photograph.codes[rows, columns]].mean(axis=0, dtype=np.float64)
    colour: NDArray[np.float64] = photograph.xyz_from_rgb @ (mean - frame.black)
    return colour


def _about_all(photographs: Sequence[Photograph], pwm_hz: float) -> list[Caution]:
    """Return cautions from what the camera noted."""
    told = []
    limit = PWM_PERIODS / pwm_hz
    short = [p for p in photographs if p.exposure is not None and p.exposure.time_s < limit]
    if short:
        times = of_names(sorted({p.exposure.words().split(" f/")[0].split(" ISO")[0] for p in short if p.exposure}))
        told.append(
            Caution(
                "pulses-seen",
                tuple(p.name for p in short),
                f"exposed for {times}, less than two periods of lights pulsed at {pwm_hz:g} Hz ({1e3 * limit:.3g} ms): a "
                "prop may be caught in the dark part.",
                f"Expose for 1/{pwm_hz / 8.0:.0f} s or longer, with a smaller aperture or speed.",
            )
        )
    balances = {p.white_balance for p in photographs if p.white_balance}
    automatic = [p.name for p in photographs if p.white_balance == "automatic"]
    if len(photographs) > 1 and automatic:
        what = "some of the photographs only" if len(balances) > 1 else "the photographs"
        told.append(
            Caution(
                "white-balance-automatic",
                tuple(automatic),
                f"the white balance was automatic for {what}, so colours may differ between them.",
                "Set it to one fixed value (daylight).",
            )
        )
    unknown = [p.name for p in photographs if p.exposure is None]
    if unknown:
        told.append(
            Caution(
                "exposure-unknown",
                tuple(unknown),
                "the photograph does not tell its exposure (EXIF), so it was not checked for pulsed lights.",
                "Use the file as the camera wrote it, or give its exposure.",
            )
        )
    few = [p.name for p in photographs if p.few_shades]
    if few:
        message = (
            "the file holds a few shades only (a palette), so brightness and colour are those of the nearest of them."
        )
        told.append(
            Caution("few-shades", tuple(few), message, "Take the picture as the camera wrote it, or save it as JPEG.")
        )
    for p in photographs:
        if p.profile:
            message = f'its colour profile is "{p.profile}" and is read as sRGB: colours are off, brightness less so.'
            told.append(Caution("colour-profile", (p.name,), message, "Save it in sRGB."))
    return told
