"""What counts as brightness: the eye's blur against a blur that is carried out, limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from hollowglow.analysis.match import MeasuredBrightness, Target
from hollowglow.analysis.match.targets import by_view, eye_area_m2, figure, weight

VALUES = st.floats(1e-3, 1e4)


def one(value: float) -> np.ndarray:
    return np.array([value])


@pytest.mark.parametrize("size", [4.0, 8.0, 16.0])
def test_the_eye_finds_what_is_left_of_a_gaussian_spot_after_its_blur(size: float) -> None:
    # A spot of peak L and variance size², blurred with variance eye²: areas are 2 pi sigma² in both.
    eye, pixels = 8.0, np.arange(-128, 129)
    spot = np.exp(-(pixels[:, None] ** 2 + pixels[None, :] ** 2) / (2.0 * size**2))
    blurred = float(gaussian_filter(spot, eye, truncate=8.0).max())
    viewing = 10.0
    per_pixel = eye_area_m2(viewing) / (2.0 * math.pi * eye**2)
    found = by_view(one(1.0), one(float(spot.sum()) * per_pixel), viewing)
    assert found[0] == pytest.approx(blurred, rel=1e-3)


@given(VALUES, VALUES)
def test_near_it_is_the_luminance_and_far_the_intensity(luminance: float, area_cm2: float) -> None:
    intensity = luminance * area_cm2 * 1e-4
    near = by_view(one(luminance), one(intensity), 1e-4 * math.sqrt(area_cm2))
    assert near[0] == pytest.approx(luminance, rel=1e-4)
    far_m = 1e5 * math.sqrt(area_cm2)
    far = by_view(one(luminance), one(intensity), far_m)
    assert far[0] * eye_area_m2(far_m) == pytest.approx(intensity, rel=1e-4)


def test_a_disc_of_the_eyes_own_size_counts_half() -> None:
    # 2 arcmin at 10 m are 5.818 mm across.
    assert eye_area_m2(10.0) == pytest.approx(math.pi * 0.005818**2 / 4.0, rel=1e-3)
    assert weight(1.0, eye_area_m2(10.0), 10.0) == pytest.approx(0.5)


def test_a_dark_colour_stays_dark() -> None:
    assert by_view(np.array([0.0, 2.0]), np.array([0.0, 0.0]), 10.0).tolist() == [0.0, 0.0]
    assert figure("intensity", one(1.0), one(3.0), 10.0)[0] == 3.0
    assert figure("luminance", one(1.0), one(3.0), 10.0)[0] == 1.0


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"share": 0.0}, "a share of 0 was asked for, expected more than 0 and at most 1"),
        ({"share": 1.5}, "a share of 1.5 was asked for"),
        ({"luminance_cd_m2": math.nan}, "a luminance of nan cd/m2 was asked for, expected more than 0"),
        ({"luminance_cd_m2": 5.0, "by": "intensity"}, "a luminance was asked for by intensity"),
    ],
)
def test_a_target_that_makes_no_sense_is_refused(wrong: dict[str, object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        Target(**wrong)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (("", 1.0, None, None, 0.0), "a reading needs the name of its kind"),
        (("a", None, None, None, 0.0), "neither luminance nor intensity"),
        (("a", -1.0, None, None, 0.0), "the luminance of a is -1.0; it must be a finite number, 0 or more"),
        (("a", 1.0, math.inf, None, 0.0), "the intensity of a is inf"),
        (("a", 1.0, None, (1.0, math.nan), 0.0), "the colour of a is nan"),
        (("a", 1.0, None, None, -0.1), "the spread of a is -0.1"),
    ],
)
def test_a_reading_that_is_none_is_refused(values: tuple[object, ...], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        MeasuredBrightness(*values)  # type: ignore[arg-type]
