"""TIFF photographs of 16 bits are taken whole; others and those that only pillow reads come to 8 bits."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import Image, ImageOps

from hollowglow.measured.photo import find, measure, read_photograph, scenes_of
from tests.measured.photo import made
from tests.measured.photo.test_bad_photographs import light

ALL = (slice(None), slice(None))


def ramp(rows: int = 24, columns: int = 40) -> np.ndarray[Any, np.dtype[np.uint16]]:
    """Every pixel and colour another value, so that a turn or a lost bit shows."""
    return (np.arange(rows * columns * 3, dtype=np.uint32) * 22).astype(np.uint16).reshape(rows, columns, 3)


def decoded(codes: np.ndarray) -> np.ndarray:
    """Linear light by IEC 61966-2-1, written out."""
    share = codes / 65535.0
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


@pytest.mark.parametrize("how", [{}, {"compression": "zlib"}, {"planarconfig": "contig", "rowsperstrip": 5}])
def test_no_bit_is_lost(tmp_path: Path, how: dict[str, Any]) -> None:
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, ramp(), photometric="rgb", **how)
    photograph = read_photograph(path)
    assert photograph.codes.dtype == np.uint16
    assert photograph.linear(*ALL) == pytest.approx(decoded(ramp()), abs=1e-6)


def test_grey_of_sixteen_bits_is_taken_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, ramp()[:, :, 0], photometric="minisblack")
    assert read_photograph(path).linear(*ALL)[:, :, 1] == pytest.approx(decoded(ramp()[:, :, 0]), abs=1e-6)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_it_stands_upright_as_pillow_turns_it(tmp_path: Path, orientation: int) -> None:
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, ramp(), photometric="rgb", extratags=[(274, "H", 1, orientation, True)])
    with Image.open(path) as image:
        pillow = np.asarray(ImageOps.exif_transpose(image))
    codes = read_photograph(path).codes
    assert codes.dtype == np.uint16
    assert (codes >> 8 == pillow).all()


def test_what_cannot_be_taken_whole_comes_to_eight_bits(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, ramp(), photometric="rgb")

    def refuse(*_arguments: object, **_options: object) -> None:
        raise ValueError("<COMPRESSION.LZW: 5> requires the 'imagecodecs' package")

    monkeypatch.setattr(tifffile, "imread", refuse)
    codes = read_photograph(path).codes
    assert codes.dtype == np.uint8
    assert (codes == ramp() >> 8).all()


def test_props_are_measured_from_sixteen_bits(tmp_path: Path) -> None:
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, made.encoded(light()).astype(np.uint16) * 257, photometric="rgb")
    (scene,) = scenes_of([read_photograph(path)])
    assert [p.luminance for p in measure(scene, find(scene))] == pytest.approx([0.4] * 6, rel=0.05)


def test_only_values_at_the_limit_count_as_clipped(tmp_path: Path) -> None:
    codes = np.full((20, 30, 3), 0.9 * 65535, dtype=np.uint16)
    codes[:, 15:, 1] = 65535
    path = tmp_path / "a.tif"
    tifffile.imwrite(path, codes, photometric="rgb")
    clipped = read_photograph(path).clipped(*ALL)
    assert not clipped[:, :15].any()
    assert clipped[:, 15:].all()
