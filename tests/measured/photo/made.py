"""Photographs with known answers: props of known luminance and colour, through a known lens, noise and file format."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

from hollowglow.measured.photo import Exposure, Photograph, srgb_photograph

Floats = NDArray[np.float64]

WHITE = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class Prop:
    """A lit disc: middle (row, column), radius in pixels, luminance relative to the scale, linear sRGB colour.

    `hot` > 0 adds a bright middle: the luminance falls from 1 + hot to 1 - hot/3 over the radius, its mean kept.
    """

    row: float
    column: float
    radius: float
    luminance: float
    colour: tuple[float, float, float] = WHITE
    hot: float = 0.0


def radiance(shape: tuple[int, int], props: Sequence[Prop], background: float = 0.0) -> Floats:
    """Return linear light, each prop drawn with edges that cover pixels in part, shape (rows, columns, 3)."""
    light = np.full((*shape, 3), background)
    for prop in props:
        top, left = int(prop.row - prop.radius) - 2, int(prop.column - prop.radius) - 2
        size = int(2 * prop.radius) + 6
        rows, columns = slice(max(0, top), top + size), slice(max(0, left), left + size)
        y, x = np.mgrid[rows.start : min(rows.stop, shape[0]), columns.start : min(columns.stop, shape[1])]
        far = np.hypot(y - prop.row, x - prop.column)
        cover = np.clip(prop.radius + 0.5 - far, 0.0, 1.0)
        # Mean over a disc of 1 + hot - k r²/R² is 1 + hot - k/2: with k = 2 hot it is 1.
        profile = 1.0 + prop.hot - 2.0 * prop.hot * np.minimum(far / prop.radius, 1.0) ** 2
        colour = np.array(prop.colour)
        colour = colour / (colour @ np.array([0.2126, 0.7152, 0.0722]))  # its luminance is 1 (IEC 61966-2-1)
        light[rows, columns] += (prop.luminance * cover * profile)[:, :, None] * colour
    return light


def through_lens(light: Floats, blur: float = 0.0, falloff: Floats | None = None) -> Floats:
    """Return what reaches the sensor: blurred (standard deviation in pixels), darker where the lens is."""
    if blur:
        light = ndimage.gaussian_filter(light, (blur, blur, 0.0))
    return light if falloff is None else light * falloff[:, :, None]


def noisy(light: Floats, seed: int, read: float = 0.001, full_well: float = 20_000.0) -> Floats:
    """Return light with photon noise (electrons at white) and read noise (share of white)."""
    rng = np.random.default_rng(seed)
    photons = rng.normal(light, np.sqrt(np.maximum(light, 0.0) / full_well))
    noise: Floats = photons + rng.normal(0.0, read, light.shape)
    return noise


def encoded(light: Floats) -> NDArray[np.uint8]:
    """Return 8-bit sRGB values by the formula of IEC 61966-2-1, written out here a second time."""
    c = np.clip(light, 0.0, 1.0)
    return np.rint(255.0 * np.where(c <= 0.0031308, 12.92 * c, 1.055 * c ** (1 / 2.4) - 0.055)).astype(np.uint8)


def as_jpeg(codes: NDArray[np.uint8], quality: int = 90, exif: Image.Exif | None = None) -> bytes:
    """Return a JPEG file with colour at half resolution, as cameras write it."""
    out = io.BytesIO()
    Image.fromarray(codes).save(out, "JPEG", quality=quality, **({} if exif is None else {"exif": exif}))
    return out.getvalue()


def exif(time_s: float, f_number: float = 4.0, iso: float = 200.0, balance: int = 1, focal: int = 35) -> Image.Exif:
    """Return what a camera notes."""
    noted = Image.Exif()
    noted.get_ifd(0x8769).update({33434: time_s, 33437: f_number, 34855: int(iso), 41987: balance, 41989: focal})
    return noted


def jpeg_photograph(name: str, light: Floats, exposure: Exposure | None = None, quality: int = 90) -> Photograph:
    """Return linear light as it comes back from a JPEG file."""
    with Image.open(io.BytesIO(as_jpeg(encoded(light), quality))) as image:
        return replace(srgb_photograph(name, np.asarray(image)), exposure=exposure)


def row_of(count: int, shape: tuple[int, int], radius: float, luminances: Sequence[float]) -> list[Prop]:
    """Return props side by side, across the middle."""
    pitch = shape[1] / count
    return [
        Prop(shape[0] / 2 + 0.3, (i + 0.5) * pitch + 0.2, radius, luminances[i % len(luminances)]) for i in range(count)
    ]
