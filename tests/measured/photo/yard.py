"""Two kinds in a yard, and photographs of six props of them that are made: what they have to say is known beforehand."""

from __future__ import annotations

from pathlib import Path

from tests.measured.photo import made
from tests.measured.photo.made import Prop

KINDS = """\
kinds:
  float:
    shell: {shape: sphere, diameter: 150 mm, transmittance: 0.45, reflectance: 0.45}
    fill: {light: bullet-12mm-12v, count: 4}
  acorn:
    shell: {shape: sphere, diameter: 100 mm, transmittance: 0.45, reflectance: 0.45}
    fill: {light: bullet-12mm-12v, count: 2}
"""
SHAPE = (300, 900)
# Radii in pixels, and luminances.
PROPS = [Prop(150, 90 + 140 * i, (30, 20)[i % 2], (0.5, 0.3)[i % 2]) for i in range(6)]
LABELS = "1=float,2=acorn,3=float,4=acorn,5=float,6=acorn"


def shoot(
    path: Path, props: list[Prop] = PROPS, scale: float = 1.0, time_s: float = 1 / 60, noted: bool = True
) -> Path:
    """Make a photograph.

    Args:
        path: of its file.
        props: that are lit.
        scale: of its light, as another aperture gives.
        time_s: how long it was exposed, s.
        noted: whether the file says so.
    """
    light = made.noisy(scale * made.through_lens(made.radiance(SHAPE, props), 1.0), 5)
    path.write_bytes(made.as_jpeg(made.encoded(light), exif=made.exif(time_s) if noted else None))
    return path
