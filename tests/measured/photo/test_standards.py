"""The arithmetic that photographs rest on agrees with its standards."""

import numpy as np
import pytest

from hollowglow.measured.photo.exposure import (
    Exposure,
    aperture_value,
    exposure_value,
    gathered,
    mean_luminance_cd_m2,
    parse_exposure,
    speed_value,
    time_value,
)
from hollowglow.measured.photo.picture import XYZ_FROM_P3, srgb_table
from hollowglow.physics.srgb import XYZ_FROM_LINEAR
from tests.measured.photo.made import encoded


@pytest.mark.parametrize(
    ("code", "linear"),
    # IEC 61966-2-1: the formula at 8-bit values, worked by hand; 10/255 is the last but one on the straight part.
    [
        (0, 0.0),
        (10, 10 / 255 / 12.92),
        (11, ((11 / 255 + 0.055) / 1.055) ** 2.4),
        (118, 0.1812),
        (188, 0.5029),
        (255, 1.0),
    ],
)
def test_stored_values_become_light_as_iec_61966_2_1_says(code: int, linear: float) -> None:
    assert srgb_table()[code] == pytest.approx(linear, rel=3e-4, abs=1e-9)


def test_every_8_bit_value_comes_back_to_itself() -> None:
    assert (encoded(srgb_table().astype(float)) == np.arange(256)).all()


def test_the_white_of_both_colour_spaces_is_d65() -> None:
    # CIE 15: D65 has x = 0.3127, y = 0.3290.
    for matrix in (XYZ_FROM_LINEAR, XYZ_FROM_P3):
        xyz = np.array(matrix).sum(axis=1)
        assert xyz[:2] / xyz.sum() == pytest.approx([0.3127, 0.3290], abs=1e-4)


def test_the_primaries_of_display_p3_are_those_of_smpte_eg_432_1() -> None:
    columns = np.array(XYZ_FROM_P3).T
    xy = columns[:, :2] / columns.sum(axis=1, keepdims=True)
    assert xy == pytest.approx(np.array([[0.680, 0.320], [0.265, 0.690], [0.150, 0.060]]), abs=1e-6)


@pytest.mark.parametrize(
    ("f_number", "time_s", "ev"),
    # log2(N²/t): ISO 2720.
    [(8.0, 1 / 60, 11.9069), (4.0, 1 / 30, 8.9069), (2.8, 1 / 15, 6.8777), (16.0, 1 / 125, 14.9658), (1.0, 1.0, 0.0)],
)
def test_exposure_values(f_number: float, time_s: float, ev: float) -> None:
    assert exposure_value(f_number, time_s) == pytest.approx(ev, abs=5e-5)


def test_apex_values_of_the_camera_data_standard() -> None:
    # Exif 2.3 annex C: Av = 2 log2 N, Tv = -log2 t, Sv = log2(S/3.125).
    assert aperture_value(2.8) == pytest.approx(2.9709, abs=5e-5)
    assert time_value(1 / 64) == pytest.approx(6.0)
    assert speed_value(100.0) == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("f_number", "time_s", "iso", "cd_m2"),
    # L = K N²/(t S) with K = 12.5, ISO 2720.
    [
        (8.0, 1 / 60, 100.0, 480.0),
        (4.0, 1 / 30, 400.0, 15.0),
        (2.8, 1 / 15, 800.0, 1.8375),
        (16.0, 1 / 125, 100.0, 4000.0),
    ],
)
def test_luminance_of_a_metered_exposure(f_number: float, time_s: float, iso: float, cd_m2: float) -> None:
    assert mean_luminance_cd_m2(Exposure(time_s, f_number, iso)) == pytest.approx(cd_m2, rel=1e-9)


def test_light_gathered_grows_with_time_and_speed_and_falls_with_the_square_of_the_f_number() -> None:
    base = Exposure(1 / 60, 4.0, 200.0)
    others = [Exposure(1 / 30, 4.0, 200.0), Exposure(1 / 60, 8.0, 200.0), Exposure(1 / 60, 4.0, 800.0)]
    assert gathered([base, *others]) == pytest.approx([1.0, 2.0, 0.25, 4.0])


def test_an_aperture_that_only_some_know_is_no_scale() -> None:
    with pytest.raises(ValueError, match="the aperture is known for some of the photographs only"):
        gathered([Exposure(1.0, 4.0), Exposure(1.0)])


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("1/60 s f/4 ISO 200", Exposure(1 / 60, 4.0, 200.0)),
        ("0.5s, f2.8", Exposure(0.5, 2.8)),
        ("2 s", Exposure(2.0)),
        ("ISO100 1/30 s", Exposure(1 / 30, None, 100.0)),
    ],
)
def test_exposures_as_typed(text: str, meant: Exposure) -> None:
    assert parse_exposure(text) == meant


@pytest.mark.parametrize("text", ["", "f/4", "1/60", "1/60 s and a bit", "0 s", "1/0 s f/0"])
def test_what_is_no_exposure(text: str) -> None:
    with pytest.raises(ValueError, match="expected a time"):
        parse_exposure(text)
