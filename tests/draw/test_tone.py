"""The tone curve: sRGB as the standard has it, true ratios below the shoulder, colour kept."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.draw.sheet.tone import Tone, in_gamut, shoulder, tone_for
from hollowglow.physics.colour import mix_xyz
from hollowglow.physics.srgb import linear_srgb, srgb_bytes, srgb_decode, srgb_encode
from tests.draw.glow_samples import RGB_XY

levels = st.floats(0.0, 1e4)

# IEC 61966-2-1: 8-bit values and their linear light.
IEC_8_BIT = (
    (1, 0.000303527),
    (10, 0.00303527),
    (16, 0.00518152),
    (64, 0.05126946),
    (128, 0.2158605),
    (192, 0.52711513),
)


@pytest.mark.parametrize(("value", "linear"), [*IEC_8_BIT, (0, 0.0), (255, 1.0)])
def test_screen_values_decode_as_in_iec_61966_2_1(value: int, linear: float) -> None:
    assert srgb_decode(value / 255) == pytest.approx(linear, rel=1e-5)
    assert int(srgb_bytes(linear)) == value


def test_middle_grey_is_118() -> None:
    # IEC 61966-2-1: linear 0.18 encodes to 117.65 of 255.
    assert 255 * float(srgb_encode(0.18)) == pytest.approx(117.65, abs=0.01)


@given(st.floats(0.0, 1.0))
def test_encoding_agrees_with_colour_science(linear: float) -> None:
    assert float(srgb_encode(linear)) == pytest.approx(float(colour.cctf_encoding(linear, "sRGB")), abs=1e-12)
    # At the break, 0.04045, which the standard rounds, its two branches lie 2.3e-9 apart.
    assert float(srgb_decode(linear)) == pytest.approx(float(colour.cctf_decoding(linear, "sRGB")), abs=3e-9)


@given(st.tuples(levels, levels, levels))
def test_linear_colours_agree_with_colour_science(xyz: tuple[float, float, float]) -> None:
    # Its matrix has the four decimals of IEC 61966-2-1:1999, ours the seven of amendment 1.
    ours = linear_srgb(xyz)
    theirs = np.array(xyz) @ colour.RGB_COLOURSPACES["sRGB"].matrix_XYZ_to_RGB.T
    assert ours == pytest.approx(theirs, abs=1e-4 * max(1.0, *xyz))


def test_the_matrix_undoes_that_of_the_primaries() -> None:
    # IEC 61966-2-1, equation for linear red, green, blue to XYZ.
    back = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    assert linear_srgb(back.T) == pytest.approx(np.eye(3), abs=1e-6)


def test_the_shoulder_is_straight_up_to_a_half_and_never_reaches_white() -> None:
    x = np.linspace(0.0, 6.0, 601)
    y = shoulder(x)
    assert y[x <= 0.5] == pytest.approx(x[x <= 0.5])
    assert (np.diff(y) > 0.0).all()
    assert (np.diff(y, 2) < 1e-12).all()
    assert y[-1] < 1.0
    # 1 - 0.5 exp(-1) one half further on.
    assert float(shoulder(1.0)) == pytest.approx(1.0 - 0.5 / np.e)


@given(st.floats(0.01, 1e4), st.floats(0.001, 0.25))
def test_twice_the_luminance_is_twice_the_light_below_the_shoulder(white: float, share: float) -> None:
    tone = Tone(white)
    one, two = (mix_xyz([[level]], ((0.3127, 0.3290),)) for level in (share * white, 2 * share * white))
    assert tone.light(two) == pytest.approx(2.0 * tone.light(one), rel=1e-9)


@given(st.tuples(levels, levels, levels), st.floats(0.01, 1e4))
def test_light_is_on_the_screen_and_has_the_luminance_of_the_curve(mix: tuple[float, ...], white: float) -> None:
    xyz = mix_xyz(mix, RGB_XY)
    light = Tone(white).light(xyz)
    assert ((light >= 0.0) & (light <= 1.0)).all()
    # IEC 61966-2-1 weights of linear red, green and blue.
    assert float(light @ [0.2126, 0.7152, 0.0722]) == pytest.approx(float(shoulder(xyz[1] / white)), abs=2e-6)


def test_a_colour_inside_the_screen_is_kept_and_one_outside_keeps_its_order() -> None:
    inside = np.array([0.2, 0.5, 0.3])
    luminance = np.array(inside @ [0.2126, 0.7152, 0.0722])
    assert in_gamut(inside, luminance) == pytest.approx(inside)
    red = Tone(100.0).light(mix_xyz([30.0, 0.0, 0.0], RGB_XY))
    assert red[0] > red[1] >= red[2] or red[0] > red[2] >= red[1]
    assert red.min() == pytest.approx(0.0, abs=1e-12) or red.max() == pytest.approx(1.0)


def test_the_brightest_99th_percentile_is_nine_tenths_of_white() -> None:
    dim, bright = np.linspace(0.0, 20.0, 1001), np.linspace(0.0, 80.0, 1001)
    tone = tone_for([dim, bright])
    assert float(shoulder(79.2 / tone.white_cd_m2)) == pytest.approx(0.9)
    assert tone_for([bright, dim]) == tone


def test_nothing_lit_still_has_a_tone() -> None:
    assert tone_for([]) == tone_for([np.zeros(4)]) == Tone(1.0)
    assert Tone(1.0).pixels(np.zeros((2, 3))).max() == 0


def test_the_curve_is_told_with_its_exposure() -> None:
    assert Tone(60.0).words == "tone: true ratios up to 30.0 cd/m², soft shoulder above; white at 60.0 cd/m²"


@pytest.mark.parametrize("white", [0.0, -1.0, float("nan"), float("inf")])
def test_a_white_that_is_none_is_refused(white: float) -> None:
    with pytest.raises(ValueError, match=r"^a tone with white at .* cd/m² was asked for, expected more than 0$"):
        Tone(white)
