"""What is no good photograph is told in one message that says what to do, or as a caution with its reason."""

import builtins
import io
import struct
import sys
import zlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageCms

from hollowglow.cli.terminal.words import of_error
from hollowglow.measured.photo import (
    Exposure,
    MeasuredProp,
    even_surface,
    find,
    judge,
    measure,
    parse_labels,
    read_photograph,
    scenes_of,
)
from hollowglow.measured.photo.labels import check_labels, ranges
from hollowglow.measured.photo.picture import Photograph
from hollowglow.messages.refusal import Refusal
from tests.measured.photo import made
from tests.measured.photo.dng import dng, mosaic
from tests.measured.photo.made import Prop

SHAPE = (300, 700)
PROPS = [Prop(150, 100 + 100 * i, 22, 0.4) for i in range(6)]


def light(props: Sequence[Prop] = PROPS, scale: float = 1.0, read: float = 1e-3) -> made.Floats:
    return made.noisy(scale * made.through_lens(made.radiance(SHAPE, props), 1.0), 1, read)


def refusal(path: Path) -> str:
    with pytest.raises(Refusal) as refused:
        read_photograph(path)
    return of_error(refused.value)


def test_not_there_a_folder_empty(tmp_path: Path) -> None:
    want = "expected a photograph: JPEG, PNG, TIFF or camera RAW"
    missing, empty = tmp_path / "no.jpg", tmp_path / "empty.jpg"
    empty.touch()
    assert refusal(missing) == f"{missing}: found no file of this name, {want}. Check the name."
    assert refusal(tmp_path) == f"{tmp_path}: found a folder, {want}. Name the file inside it."
    assert refusal(empty) == f"{empty}: found an empty file, {want}. Copy it from the camera again."


@pytest.mark.parametrize(
    "content", [b"display: Jetty\n", b"GIF89a" + bytes(40), bytes(200), b"\x00\x00\x00\x18ftypheic" + bytes(50)]
)
def test_not_an_image(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(content)
    assert refusal(path) == (
        f"{path}: found no picture that can be read, expected a photograph: JPEG, PNG, TIFF or camera RAW. Save it as JPEG."
    )


@pytest.mark.parametrize("form", ["JPEG", "PNG", "TIFF"])
def test_cut_off_files(tmp_path: Path, form: str) -> None:
    out = io.BytesIO()
    Image.fromarray(made.encoded(light())).save(out, form)
    path = tmp_path / f"a.{form.lower()}"
    path.write_bytes(out.getvalue()[: len(out.getvalue()) // 2])
    assert refusal(path).startswith(f"{path}: found a damaged or cut-off picture (")
    assert refusal(path).endswith("), expected a whole one. Copy it from the camera again.")


@pytest.mark.parametrize("side", [12_000, 100_000])
def test_a_picture_that_would_burst_the_memory_is_refused_unopened(tmp_path: Path, side: int) -> None:
    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    path = tmp_path / "bomb.png"
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0))
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(1000))) + chunk(b"IEND", b""))
    words = refusal(path)
    assert words.endswith("megapixels, expected at most 120. Save it smaller.") or words == (
        f"{path}: found a picture of 12,000 by 12,000 pixels, expected at most 120 megapixels. Save it smaller."
    )


def test_too_small(tmp_path: Path) -> None:
    path = tmp_path / "a.png"
    Image.new("RGB", (8, 300)).save(path)
    assert refusal(path) == (
        f"{path}: found a picture of 8 by 300 pixels, expected at least 16 each way. "
        "Take the photograph at the camera's full size."
    )


def test_a_raw_that_is_none(tmp_path: Path) -> None:
    path = tmp_path / "a.nef"
    path.write_bytes(b"II*\0" + bytes(500))
    assert refusal(path).startswith(f"{path}: found a camera RAW file that cannot be read (")
    assert refusal(path).endswith("), expected one of a known camera, whole. Save it as JPEG or DNG.")


def test_a_raw_without_the_package_for_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.dng"
    path.write_bytes(dng(mosaic(light()), 1 / 30))
    real = builtins.__import__

    def without(name: str, *more: Any, **others: Any) -> Any:
        if name == "rawpy":
            raise ImportError(name)
        return real(name, *more, **others)

    monkeypatch.delitem(sys.modules, "rawpy", raising=False)
    monkeypatch.setattr(builtins, "__import__", without)
    assert refusal(path) == (
        f"{path}: camera RAW needs the package rawpy, which is not installed. "
        "Install it with: pip install 'hollowglow[raw]', or save the photograph as JPEG."
    )


@pytest.mark.parametrize(("orientation", "turned"), [(1, 0), (3, 2), (6, 3), (8, 1)])
def test_pictures_are_turned_upright(tmp_path: Path, orientation: int, turned: int) -> None:
    props = [Prop(60, 80, 14, 0.5), Prop(150, 260, 20, 0.5)]
    upright = made.radiance((200, 400), props)
    stored = np.ascontiguousarray(np.rot90(upright, -turned))  # the camera's own way round
    noted = Image.Exif()
    noted[0x0112] = orientation
    jpeg, raw = tmp_path / "a.jpg", tmp_path / "a.dng"
    jpeg.write_bytes(made.as_jpeg(made.encoded(stored), exif=noted))
    raw.write_bytes(dng(mosaic(stored), 1 / 30, orientation=orientation))
    for path, size in ((jpeg, 1), (raw, 2)):
        (scene,) = scenes_of([read_photograph(path)])
        places = [(round(size * p.row / 10), round(size * p.column / 10)) for p in measure(scene, find(scene))]
        assert places == [(6, 8), (15, 26)]


def test_what_the_camera_noted_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    path.write_bytes(made.as_jpeg(made.encoded(light()), exif=made.exif(1 / 60, 5.6, 400, balance=0, focal=50)))
    photograph = read_photograph(path)
    assert photograph.exposure == Exposure(pytest.approx(1 / 60, rel=1e-6), pytest.approx(5.6, rel=1e-6), 400.0)
    assert (photograph.white_balance, photograph.focal_35mm) == ("automatic", 50.0)


@pytest.mark.parametrize("mode", ["L", "RGBA", "P", "I;16", "CMYK"])
def test_other_kinds_of_pictures_are_read_too(tmp_path: Path, mode: str) -> None:
    codes = made.encoded(light())
    deep = Image.fromarray(codes[:, :, 1].astype(np.uint16) * 257)
    image = deep if mode == "I;16" else Image.fromarray(codes).convert(mode)
    path = tmp_path / ("a.tif" if mode == "CMYK" else "a.png")
    image.save(path)
    (scene,) = scenes_of([read_photograph(path)])
    found = [p.luminance for p in measure(scene, find(scene))]
    assert found == pytest.approx([0.4] * 6, rel=0.05)


@pytest.mark.parametrize(("mode", "codes"), [("RGB", []), ("P", ["few-shades"]), ("1", ["few-shades"])])
def test_a_picture_of_a_few_shades_is_told(tmp_path: Path, mode: str, codes: list[str]) -> None:
    path = tmp_path / "a.png"
    Image.fromarray(made.encoded(light())).convert(mode).save(path)
    (scene,) = scenes_of([read_photograph(path)])
    assert [c.code for c in scene.cautions if c.code == "few-shades"] == codes


def test_a_colour_profile_that_is_not_followed_is_told(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
    Image.fromarray(made.encoded(light())).save(path, icc_profile=profile.tobytes())
    (scene,) = scenes_of([read_photograph(path)])
    assert "colour-profile" in [c.code for c in scene.cautions]


def photograph(name: str, time_s: float | None = None, balance: str = "", **more: Any) -> Photograph:
    exposure = None if time_s is None else Exposure(time_s, 4.0, 200.0)
    return replace(made.jpeg_photograph(name, light(**more)), exposure=exposure, white_balance=balance)


def test_several_photographs_without_exposure() -> None:
    with pytest.raises(Refusal) as refused:
        scenes_of([photograph("a.jpg", 1 / 60), photograph("b.jpg")])
    assert of_error(refused.value) == (
        "b.jpg: found no exposure time in the photograph (EXIF), expected one where several are compared. Give the "
        'exposures in the order of the photographs, such as --exposure "1/60 s f/4 ISO 200" once for each, or use one '
        "photograph alone."
    )


def codes_of(*photographs: Photograph, pwm_hz: float = 400.0) -> list[str]:
    return [c.code for scene in scenes_of(photographs, pwm_hz) for c in scene.cautions]


def test_good_brackets_raise_no_caution() -> None:
    assert codes_of(photograph("a.jpg", 1 / 60, "set"), photograph("b.jpg", 1 / 30, "set", scale=2.0)) == []


def test_one_photograph_without_exposure_is_taken_with_a_word() -> None:
    assert codes_of(photograph("a.jpg")) == ["exposure-unknown"]


def test_pulsed_lights_need_two_periods() -> None:
    # Two periods at 400 Hz are 5 ms, at 2 kHz 1 ms.
    assert codes_of(photograph("a.jpg", 1 / 250)) == ["pulses-seen"]
    assert codes_of(photograph("a.jpg", 1 / 180)) == []
    assert codes_of(photograph("a.jpg", 1 / 250), pwm_hz=2000.0) == []
    (scene,) = scenes_of([photograph("a.jpg", 1 / 250)])
    assert scene.cautions[0].text() == (
        "a.jpg: exposed for 1/250 s, less than two periods of lights pulsed at 400 Hz (5 ms): a prop may be caught in the "
        "dark part. Expose for 1/50 s or longer, with a smaller aperture or speed."
    )


def test_white_balance_that_differs() -> None:
    automatic = [photograph("a.jpg", 1 / 60, "automatic"), photograph("b.jpg", 1 / 30, "set", scale=2.0)]
    assert codes_of(*automatic) == ["white-balance-automatic"]
    tinted = light(scale=2.0) * np.array([0.9, 1.0, 1.12])
    seen = replace(made.jpeg_photograph("b.jpg", tinted), exposure=Exposure(1 / 30, 4.0, 200.0))
    assert codes_of(photograph("a.jpg", 1 / 60), seen) == ["white-balance-differs"]


def test_exposures_that_disagree_with_the_pictures() -> None:
    told = codes_of(photograph("a.jpg", 1 / 60, scale=0.5), photograph("b.jpg", 1 / 15, scale=1.5))
    assert told == ["exposures-disagree"]


def test_exposures_that_do_not_overlap() -> None:
    assert "no-overlap" in codes_of(photograph("a.jpg", 1 / 60, scale=0.03), photograph("b.jpg", 8.0, scale=14.4))


def found(props: list[Prop], read: float = 1e-3) -> tuple[MeasuredProp, ...]:
    (scene,) = scenes_of([made.jpeg_photograph("a.jpg", light(props, read=read))])
    return measure(scene, find(scene))


def test_no_lit_prop() -> None:
    assert found([]) == ()


def test_clipped_cores_are_refused_with_their_numbers() -> None:
    props = [*PROPS[:3], replace(PROPS[3], luminance=1.6), *PROPS[4:]]
    with pytest.raises(Refusal) as refused:
        judge(found(props), parse_labels("1-6=float"), "a.jpg")
    words = of_error(refused.value)
    assert words.startswith("a.jpg: found clipped cores in prop 4 (up to 9")
    assert words.endswith(
        "% of the lit area is at the camera's limit), expected every core below it. Add a photograph with a quarter of the "
        "exposure time, all else the same."
    )
    assert judge(found(props), parse_labels("1-3=float,4=-,5-6=float"), "a.jpg").kinds[0].numbers == (1, 2, 3, 5, 6)


def test_props_that_are_nearly_black_are_refused() -> None:
    props = [replace(p, luminance=0.003) for p in PROPS]
    with pytest.raises(Refusal, match="nearly black in every exposure"):
        judge(found(props, read=1e-4), parse_labels("1-6=float"), "a.jpg")


def test_a_prop_that_stands_farther_away_is_not_taken_for_one_with_a_light_out() -> None:
    # As bright as the others, with 0.9 times their radius: it shows 19 % less light.
    props = [replace(p, luminance=0.4, radius=p.radius * (0.9 if i == 2 else 1.0)) for i, p in enumerate(PROPS)]
    (far,) = judge(found(props), parse_labels("1-6=float"), "a.jpg").outliers
    assert -0.21 < far.off < -0.17
    assert far.text() == (
        f"the third float (number 3) is {-100 * far.off:.0f} % weak, more by its area than its luminance: farther away, or "
        "partly dark?"
    )


def test_a_dim_prop_is_named() -> None:
    props = [replace(p, luminance=q) for p, q in zip(PROPS, (0.4, 0.405, 0.312, 0.395, 0.4, 0.3), strict=True)]
    judged = judge(found(props), parse_labels("1-5=float,6=acorn"), "a.jpg")
    (dim,) = judged.outliers
    assert dim.text() == "the third float (number 3) is 22 % dim: a light out?"
    floats, acorns = judged.kinds
    assert floats.luminance / acorns.luminance == pytest.approx(4 / 3, rel=0.03)
    assert floats.spread == pytest.approx(np.std([0.4, 0.405, 0.395, 0.4], ddof=1) / 0.4, abs=0.004)
    assert acorns.spread == 0.0


def test_a_bright_prop_far_along_is_named() -> None:
    props = [Prop(70 + 160 * (i // 12), 30 + 56 * (i % 12), 15, 0.3) for i in range(24)]
    props[22] = replace(props[22], luminance=0.39)
    judged = judge(found(props), parse_labels("1-24=float"), "a.jpg")
    assert [o.text() for o in judged.outliers] == [
        "the 23rd float (number 23) is 30 % bright: another kind, or another setting?"
    ]


def test_labels_as_typed() -> None:
    assert parse_labels("1=float, 2 = acorn,4-5=my kind") == {1: "float", 2: "acorn", 4: "my kind", 5: "my kind"}
    assert ranges([7, 1, 2, 3, 9, 10]) == "1 to 3, 7, 9, 10"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "--label: found nothing, expected the kind of every number. Write"),
        ("float", '--label: found "float", expected NUMBER=KIND. Write'),
        ("0=float", '--label: found "0=float", expected numbers from 1 upwards. Write'),
        ("5-2=float", '--label: found "5-2=float", expected numbers from 1 upwards. Write'),
        ("1-999999=float", '--label: found "1-999999=float", expected numbers from 1 upwards. Write'),
        ("1=float,1=acorn", "--label: found the number 1 twice, expected it once. Write"),
    ],
)
def test_labels_that_are_none(text: str, words: str) -> None:
    with pytest.raises(Refusal) as refused:
        parse_labels(text)
    assert of_error(refused.value) == f'{words} --label "1-6=float,7=acorn,8=-" (- leaves one out).'


def test_more_props_than_labels_and_the_other_way_round() -> None:
    with pytest.raises(Refusal) as refused:
        check_labels({1: "float", 2: "float"}, 5)
    assert of_error(refused.value) == (
        "--label: found 5 lit props and labels for 2 of them; expected one for each, 3 to 5 has none. Look at the numbered "
        'picture and add them, such as --label "1-6=float,7=acorn,8=-" (- leaves one out).'
    )
    with pytest.raises(Refusal, match="found labels for 6, expected 1 to 5: there are 5 lit props"):
        check_labels(dict.fromkeys(range(1, 7), "float"), 5)
    with pytest.raises(Refusal, match="found labels for 2, expected 1: there is 1 lit prop\\. Look"):
        check_labels({1: "float", 2: "float"}, 1)


def test_an_uneven_surface_is_no_map() -> None:
    with pytest.raises(ValueError, match="nearly black somewhere"):
        even_surface(made.jpeg_photograph("a.jpg", light()))
    with pytest.raises(ValueError, match="is clipped"):
        even_surface(made.jpeg_photograph("a.jpg", np.full((300, 400, 3), 1.2)))
