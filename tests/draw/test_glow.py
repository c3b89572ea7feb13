"""Lit props side by side: one exposure, one scale, true ratios of brightness and of size."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.draw.prop.glow import GlowPicture, glow_row, glow_tone
from hollowglow.draw.scale_bars import scale_bars
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Drawing, Image, Line, Rect, Text
from hollowglow.physics.srgb import srgb_decode
from hollowglow.quantity.inches import drill_in, inch_words
from hollowglow.quantity.numbers import figure
from tests.draw.glow_samples import WHITE_XY, disc, glow


def props(drawing: Drawing) -> list[Image]:
    """The images of props, without the strip that shows the curve."""
    return [r for r in drawing.records if isinstance(r, Image)][:-1]


def middle(image: Image) -> float:
    """Linear light of the pixel in the middle."""
    at = 3 * (image.rows // 2 * image.columns + image.columns // 2)
    return float(srgb_decode(image.pixels[at + 1] / 255))


def words(drawing: Drawing) -> list[str]:
    return [record.text for record in drawing.records if isinstance(record, Text)]


def test_half_the_luminance_is_half_the_light() -> None:
    bright = glow("bright", 200.0)
    dim, dimmer = glow("dim", 40.0), glow("dimmer", 20.0)
    assert 0.5 * glow_tone([bright, dim, dimmer]).white_cd_m2 > 40.0
    shown = [middle(image) for image in props(glow_row([bright, dim, dimmer]))]
    # Eight bits: half a step of the coarser one, at most 1 % here.
    assert shown[1] / shown[2] == pytest.approx(2.0, rel=0.02)
    assert shown[0] > shown[1]


def test_a_brighter_neighbour_darkens_all_alike() -> None:
    alone = middle(props(glow_row([glow("a", 20.0)]))[0])
    beside = middle(props(glow_row([glow("a", 20.0), glow("b", 200.0)]))[0])
    assert beside < 0.2 * alone


@given(st.lists(st.floats(20.0, 900.0), min_size=1, max_size=7))
@settings(max_examples=25, deadline=None)
def test_props_keep_their_relative_sizes_and_match_the_bar(sizes: list[float]) -> None:
    drawing = glow_row([glow("p", 10.0, size) for size in sizes])
    # Cut to the lit rows and columns, one pixel of night added on each side.
    lit = int((disc(1.0) > 0.0).any(axis=(1, 2)).sum())
    scales = [image.width / (size * (lit + 2) / 24) for image, size in zip(props(drawing), sizes, strict=True)]
    assert scales == pytest.approx([scales[0]] * len(sizes))
    bars = [r for r in drawing.records if isinstance(r, Line) and r.role == "edge" and r.y1 == r.y2]
    labels = [text.split()[0] for text in words(drawing) if text.endswith(" mm")]
    assert (bars[0].x2 - bars[0].x1) / float(labels[0]) == pytest.approx(scales[0])


@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(1, 30), st.floats(0.0, 1e4)), min_size=1, max_size=12),
    st.text(max_size=60),
    st.sampled_from([150.0, 180.0, 260.0]),
)
@settings(max_examples=25, deadline=None)
def test_any_pictures_stay_on_the_page_and_on_the_night(
    shapes: list[tuple[int, int, float]], name: str, width: float
) -> None:
    pictures = [
        GlowPicture(name, np.full((rows, columns, 1), level), WHITE_XY, 0.004, level, math.nan, math.nan, note=name)
        for rows, columns, level in shapes
    ]
    drawing = glow_row(pictures, width_mm=width)
    page = PageBox(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    assert all(record_box(record).inside(page) for record in drawing.records)
    nights = [record_box(r) for r in drawing.records if isinstance(r, Rect) and r.role == "night"]
    assert all(any(record_box(image).inside(night) for night in nights) for image in props(drawing))


def test_the_night_around_a_prop_is_the_colour_of_the_ground() -> None:
    image = props(glow_row([glow("a", 20.0)]))[0]
    assert image.pixels[:3] == bytes.fromhex("070a0f")


def test_colours_of_channels_reach_the_picture() -> None:
    values = np.zeros((5, 5, 3))
    values[..., 0] = 10.0
    xy = ((0.695, 0.305), (0.18, 0.71), (0.135, 0.06))
    image = props(glow_row([GlowPicture("red", values, xy, 0.01, 10.0, 1.0, 0.0)]))[0]
    at = 3 * (3 * image.columns + 3)
    red, green, blue = image.pixels[at : at + 3]
    assert red > 200
    assert red > green
    assert red > blue


def test_figures_tone_and_distance_are_printed() -> None:
    found = words(glow_row([glow("float", 40.0, seen_cd_m2=disc(30.0))], viewing_m=12.0))
    assert {"float", "mean 40.0 cd/m²", "uniformity 1.00", "hot spot +0 %", "from close by"} <= set(found)
    assert "as the eye resolves it from 12 m / 39 ft" in found
    assert any(text.startswith("tone: true ratios up to") and "white at" in text for text in found)


def test_figures_that_are_not_known_are_said_to_be() -> None:
    found = words(glow_row([GlowPicture("a", disc(1.0), WHITE_XY, 0.01, math.nan, math.nan, math.nan)]))
    assert {"mean not known cd/m²", "uniformity not known", "hot spot not known"} <= set(found)


@pytest.mark.parametrize(
    ("values", "message"),
    [
        (np.zeros((3, 3)), "has the shape"),
        (np.zeros((3, 3, 2)), "1 channels"),
        (np.full((3, 3, 1), -1.0), "below 0"),
        (np.full((3, 3, 1), np.nan), "not finite"),
    ],
)
def test_arrays_that_are_no_pictures_are_refused(values: np.ndarray, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        GlowPicture("a", values, WHITE_XY, 0.01, 1.0, 1.0, 0.0)


def test_a_row_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match=r"expected at least one$"):
        glow_row([])


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (0.38412, "0.384"), (9.996, "10.0"), (1218.88, "1220"), (-3.456, "−3.46"), (math.inf, "not known")],
)
def test_figures_have_three_places(value: float, text: str) -> None:
    assert figure(value) == text


@pytest.mark.parametrize(
    ("mm", "inches"),
    # Fractional drills, ASME B94.11M: 31/64 in is 12.3031 mm, 5/32 in 3.9688 mm, 1/2 in 12.7 mm; a 1 3/8 in hole saw 34.925.
    [(12.3, "31/64 in"), (4.0, "5/32 in"), (12.7, "1/2 in"), (35.0, "1 3/8 in"), (25.4, "1 in"), (0.05, "1/64 in")],
)
def test_the_nearest_inch_drill(mm: float, inches: str) -> None:
    assert inch_words(drill_in(1e-3 * mm)) == inches


@given(st.floats(0.005, 20.0))
def test_scale_bars_are_as_long_as_they_say(page_per_mm: float) -> None:
    bars = scale_bars(5.0, 5.0, page_per_mm)
    levels = [r for r in bars if isinstance(r, Line) and r.y1 == r.y2]
    labels = [r.text for r in bars if isinstance(r, Text)]
    assert levels[0].x2 - levels[0].x1 == pytest.approx(page_per_mm * float(labels[0].split()[0]))
    assert levels[0].x2 - levels[0].x1 <= 42.0
