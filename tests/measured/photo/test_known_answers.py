"""Photographs of known lights give them back: brightness within 3 %, colour within 0.005 in u'v'."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from hollowglow.measured.photo import (
    CosFourth,
    Exposure,
    MeasuredProp,
    Photograph,
    Vignetting,
    even_surface,
    find,
    linear_photograph,
    measure,
    read_photograph,
    scenes_of,
)
from hollowglow.measured.photo.judge import SOFT
from hollowglow.physics.colour import uv_prime
from hollowglow.physics.srgb import XYZ_FROM_LINEAR
from tests.measured.photo import made
from tests.measured.photo.dng import BLACK, WHITE, dng, mosaic
from tests.measured.photo.made import Floats, Prop

AT = Exposure(1 / 60, 4.0, 200.0)
BRIGHTNESS = 0.03
COLOUR = 0.005
SHAPE = (420, 1500)
WARM, TEAL = (1.0, 0.62, 0.3), (0.35, 0.8, 0.9)

# Sizes, colours and luminances unlike each other, a hot middle among them; the brightest colour stays below white.
PROPS = [
    Prop(200.3, 100.2, 24, 0.60),
    Prop(205.0, 290.7, 24, 0.30, WARM),
    Prop(198.1, 480.0, 30, 0.20, TEAL),
    Prop(203.5, 680.5, 14, 0.50),
    Prop(200.0, 890.3, 40, 0.35, hot=0.4),
    Prop(210.4, 1110.0, 24, 0.10),
    Prop(195.0, 1300.6, 18, 0.25, WARM),
]


def measured(photographs: Sequence[Photograph], lens: Vignetting | None = None) -> tuple[MeasuredProp, ...]:
    (scene,) = scenes_of(photographs)
    return measure(scene, find(scene), lens)


def agree(found: Sequence[MeasuredProp], props: Sequence[Prop], squares: float = 1.0) -> None:
    """Props are as they were made, up to one factor; `squares` pixels of theirs make one of the photograph."""
    assert [p.number for p in found] == list(range(1, len(props) + 1))
    assert all(p.trouble == "" for p in found)
    true_l = np.array([p.luminance for p in props])
    true_i = true_l * np.array([np.pi * p.radius**2 for p in props]) / squares
    for value, true in (
        (np.array([p.luminance for p in found]), true_l),
        (np.array([p.intensity for p in found]), true_i),
    ):
        ratio = value / true
        relative = ratio / np.exp(np.log(ratio).mean())
        assert np.abs(relative - 1.0).max() < BRIGHTNESS, relative
    for one, prop in zip(found, props, strict=True):
        true_uv = uv_prime(np.array(XYZ_FROM_LINEAR) @ np.array(prop.colour))
        assert float(np.hypot(*(np.array(one.uv) - true_uv))) < COLOUR, (one.number, one.uv, true_uv)


def seen(blur: float = 1.0, falloff: Floats | None = None, background: float = 0.002) -> Floats:
    return made.through_lens(made.radiance(SHAPE, PROPS, background), blur, falloff)


@pytest.mark.parametrize("blur", [0.0, 1.0, 2.0])
def test_one_jpeg_with_blur_and_noise(blur: float) -> None:
    agree(measured([made.jpeg_photograph("a.jpg", made.noisy(seen(blur), 1))]), PROPS)


@pytest.mark.parametrize("blur", [3.0, 4.0])
def test_even_props_may_be_blurred_more(blur: float) -> None:
    props = [p for p in PROPS if p.radius >= 6.0 * blur and not p.hot]
    light = made.noisy(made.through_lens(made.radiance(SHAPE, props, 0.002), blur), 1)
    agree(measured([made.jpeg_photograph("a.jpg", light)]), props)


def test_intensity_holds_however_blurred() -> None:
    found = measured([made.jpeg_photograph("a.jpg", made.noisy(seen(8.0), 1))])
    ratio = np.array([p.intensity / (q.luminance * np.pi * q.radius**2) for p, q in zip(found, PROPS, strict=True)])
    assert np.abs(ratio / ratio.mean() - 1.0).max() < BRIGHTNESS, ratio
    assert max(p.blur for p in found) > SOFT


def test_one_prop_after_the_other_in_the_same_place() -> None:
    taken = [
        made.jpeg_photograph(f"{i}.jpg", made.noisy(made.radiance((300, 400), [Prop(150, 200, 20, light)]), i), AT)
        for i, light in enumerate((0.5, 0.3))
    ]
    scenes = scenes_of(taken)
    assert len(scenes) == 2
    light = [p.luminance for scene in scenes for p in measure(scene, find(scene))]
    assert light == pytest.approx([0.5, 0.3], rel=BRIGHTNESS)


def test_a_lit_background_does_not_count() -> None:
    agree(measured([made.jpeg_photograph("a.jpg", made.noisy(seen(background=0.03), 2))]), PROPS)


def test_linear_values_of_12_bits() -> None:
    light = made.noisy(seen(), 3)
    codes = np.clip(np.rint(BLACK + light * (WHITE - BLACK)), 0, WHITE)
    agree(measured([linear_photograph("a.raw", codes, BLACK, WHITE)]), PROPS)


def test_a_camera_raw_file(tmp_path: Path) -> None:
    path = tmp_path / "a.dng"
    path.write_bytes(dng(mosaic(made.noisy(seen(1.5), 4)), 1 / 30, 5.6, 400))
    photograph = read_photograph(path)
    assert photograph.raw
    assert photograph.shape == (SHAPE[0] // 2, SHAPE[1] // 2)
    exposure = photograph.exposure
    assert exposure is not None
    assert (exposure.time_s, exposure.f_number, exposure.iso) == pytest.approx((1 / 30, 5.6, 400.0), rel=1e-4)
    agree(measured([photograph]), PROPS, squares=4.0)


@pytest.mark.parametrize("vignetted_by", ["cos4", "even surface"])
def test_a_lens_that_darkens_the_corners(vignetted_by: str) -> None:
    # cos^4 of the angle off the axis, from the angle itself: half the diagonal of 24 mm x 36 mm film at 24 mm.
    y, x = np.mgrid[: SHAPE[0], : SHAPE[1]]
    from_middle = np.hypot(y - (SHAPE[0] - 1) / 2, x - (SHAPE[1] - 1) / 2) / (np.hypot(*SHAPE) / 2)
    falloff = np.cos(np.arctan(from_middle * np.hypot(12.0, 18.0) / 24.0)) ** 4
    photograph = made.jpeg_photograph("a.jpg", made.noisy(seen(1.0, falloff), 5))
    lens: Vignetting = CosFourth(24.0)
    if vignetted_by == "even surface":
        lens = even_surface(
            made.jpeg_photograph("paper.jpg", 0.7 * made.noisy(np.repeat(falloff[:, :, None], 3, 2), 6))
        )
    agree(measured([photograph], lens), PROPS)
    ends = [p.luminance for p in measured([photograph])]
    assert ends[0] / PROPS[0].luminance < 0.75 * ends[3] / PROPS[3].luminance


def brackets(
    times: Sequence[float], stored: str = "jpeg", scale: float = 1.0, seed: int = 10, blur: float = 1.0
) -> list[Photograph]:
    """The same props at several times, the first at `scale` of the camera's range for each unit of luminance."""
    taken = []
    for i, time_s in enumerate(times):
        light = made.noisy(scale * time_s / times[0] * seen(blur), seed + i)
        exposure = Exposure(time_s, 4.0, 200.0)
        if stored == "jpeg":
            taken.append(made.jpeg_photograph(f"{i}.jpg", light, exposure))
        else:
            codes = np.clip(np.rint(BLACK + light * (WHITE - BLACK)), 0, WHITE)
            taken.append(linear_photograph(f"{i}.raw", codes, BLACK, WHITE, exposure))
    return taken


@pytest.mark.parametrize("stored", ["jpeg", "12 bits"])
def test_brackets_where_no_single_exposure_catches_all(stored: str) -> None:
    taken = brackets([1 / 120, 1 / 30, 1 / 8], stored, scale=0.5)
    assert any(p.trouble == "clipped" for p in measured(taken[2:]))
    agree(measured(taken), PROPS)
    agree(measured(taken[::-1]), PROPS)


def test_times_that_the_camera_rounds_are_taken_from_the_overlap() -> None:
    # 1/60 and 1/30 on the dial are 1/64 and 1/32 s or not, as the camera pleases: here only one of them is.
    taken = brackets([1 / 64, 1 / 30], scale=0.8)
    taken[0] = replace(taken[0], exposure=Exposure(1 / 60, 4.0, 200.0))
    (scene,) = scenes_of(taken)
    assert [c.code for c in scene.cautions] == []
    assert scene.frames[1].gain == pytest.approx(64 / 30, rel=0.01)


def test_brackets_agree_with_a_second_opinion() -> None:
    """The radiance map of Debevec and Malik (1997) as OpenCV merges it, with the sRGB curve as the camera's response."""
    import cv2

    times = [1 / 120, 1 / 60, 1 / 30, 1 / 15]
    taken = brackets(times, scale=0.45)
    ours = measured(taken)
    table = np.maximum(np.array(taken[0].table), 1e-5).astype(np.float32)
    response = np.repeat(table[:, None, None], 3, axis=2)
    # OpenCV's order is blue, green, red.
    images = [np.ascontiguousarray(p.codes[:, :, ::-1]) for p in taken]
    radiance = cv2.createMergeDebevec().process(images, np.array(times, np.float32), response)
    luminance = radiance[:, :, ::-1].astype(float) @ np.array([0.2126, 0.7152, 0.0722])
    theirs = []
    for prop in PROPS:
        y, x = np.ogrid[: SHAPE[0], : SHAPE[1]]
        inside = np.hypot(y - prop.row, x - prop.column) < prop.radius - 5
        profile = 1.0 + prop.hot - 2.0 * prop.hot * (np.hypot(y - prop.row, x - prop.column) / prop.radius) ** 2
        theirs.append(float(luminance[inside].mean() / profile[inside].mean()))
    ratio = np.array([p.luminance for p in ours]) / np.array(theirs)
    assert np.abs(ratio / ratio.mean() - 1.0).max() < BRIGHTNESS, ratio / ratio.mean()


def test_a_camera_that_moved_is_noticed_and_laid_back() -> None:
    taken = brackets([1 / 60, 1 / 15], scale=0.9)
    moved = replace(taken[1], codes=np.roll(taken[1].codes, (7, -12), (0, 1)))
    (scene,) = scenes_of([taken[0], moved])
    assert scene.frames[1].shift == (7, -12)
    (caution,) = scene.cautions
    assert caution.text() == (
        "1.jpg: the camera moved between the photographs, by up to 14 pixels; they were laid onto each other. "
        "Use a stand and a remote release."
    )
    agree(measure(scene, find(scene)), PROPS)


def test_photographs_of_unlike_props_are_scenes_of_their_own_on_one_scale() -> None:
    one = made.radiance((300, 600), [Prop(150, 150, 20, 0.5), Prop(150, 400, 20, 0.25)])
    two = made.radiance((300, 600), [Prop(80, 300, 20, 0.4), Prop(220, 520, 20, 0.4)])
    taken = [
        made.jpeg_photograph("one.jpg", made.noisy(one, 1), Exposure(1 / 60, 4.0, 200.0)),
        made.jpeg_photograph("two.jpg", made.noisy(2.0 * two, 2), Exposure(1 / 30, 4.0, 200.0)),
    ]
    scenes = scenes_of(taken)
    assert len(scenes) == 2
    light = [p.luminance for scene in scenes for p in measure(scene, find(scene))]
    assert light == pytest.approx([0.5, 0.25, 0.4, 0.4], rel=BRIGHTNESS)


def test_props_whose_glow_touches_are_told_apart() -> None:
    props = [Prop(150, 100 + 56 * i, 22, (0.5, 0.3)[i % 2]) for i in range(8)]
    light = made.noisy(made.through_lens(made.radiance((300, 700), props), 3.0), 3)
    agree(measured([made.jpeg_photograph("a.jpg", light)]), props)


def test_numbers_run_in_reading_order_whatever_the_noise() -> None:
    props = [Prop(100 + 200 * r + 6 * (c % 2), 90 + 130 * c, 20, 0.4) for r in range(2) for c in range(5)]
    for seed in range(3):
        light = made.noisy(made.through_lens(made.radiance((400, 700), props), 1.0), seed)
        found = measured([made.jpeg_photograph("a.jpg", light)])
        assert [(round(p.row, -1), round(p.column, -1)) for p in found] == [
            (round(p.row, -1), round(p.column, -1)) for p in props
        ]


def test_a_dim_prop_is_still_found_and_a_glint_is_none() -> None:
    props = [Prop(150, 100 + 150 * i, 20, 0.5) for i in range(4)]
    props[2] = replace(props[2], luminance=0.06)
    glints = [Prop(250, 80, 1.0, 0.3), Prop(260, 400, 12, 0.008)]
    light = made.noisy(made.through_lens(made.radiance((300, 700), [*props, *glints]), 1.0), 3)
    agree(measured([made.jpeg_photograph("a.jpg", light)]), props)


@pytest.mark.parametrize("over", [1.02, 1.5, 4.0])
def test_clipped_cores_are_never_measured(over: float) -> None:
    props = [Prop(150, 150, 24, 0.5), Prop(150, 400, 24, over)]
    light = made.noisy(made.through_lens(made.radiance((300, 600), props), 1.0), 3)
    assert [p.trouble for p in measured([made.jpeg_photograph("a.jpg", light)])] == ["", "clipped"]


def test_one_clipped_colour_is_enough() -> None:
    # Luminance 0.3 only, but its red is at 0.3/0.2126 of white.
    props = [Prop(150, 150, 24, 0.5), Prop(150, 400, 24, 0.3, (1.0, 0.0, 0.0))]
    light = made.noisy(made.through_lens(made.radiance((300, 600), props), 1.0), 3)
    assert [p.trouble for p in measured([made.jpeg_photograph("a.jpg", light)])] == ["", "clipped"]


def test_clipping_on_the_sensor_is_seen_in_a_raw(tmp_path: Path) -> None:
    props = [Prop(150, 150, 24, 0.5), Prop(150, 400, 24, 1.1)]
    light = made.noisy(made.through_lens(made.radiance((300, 600), props), 1.0), 3)
    path = tmp_path / "a.dng"
    path.write_bytes(dng(mosaic(light), 1 / 30))
    assert [p.trouble for p in measured([read_photograph(path)])] == ["", "clipped"]
