"""From photographs of a display's props to readings of its kinds, kept beside its file, as a person does it."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from hollowglow.cli.terminal.words import of_error
from hollowglow.file import load
from hollowglow.jobs.matching.kept import computed_light, doubts, keep_photographed, taking_of
from hollowglow.jobs.matching.light_meter import keep_metered, meter_kinds
from hollowglow.jobs.matching.light_meter import taking_of as metered
from hollowglow.jobs.matching.measured import by_colour, kept_readings
from hollowglow.jobs.matching.photographs import photograph_kinds, see, slowest_pwm, write_overlay
from hollowglow.measured.photo import PWM_HZ
from hollowglow.measured.readings import KeptReading, Taking, kept, store_path
from hollowglow.messages.refusal import Refusal
from hollowglow.physics.colour import GENERIC_XY, mix_xyz
from tests.cli.running import no_traceback, run
from tests.measured.photo.made import Prop
from tests.measured.photo.yard import KINDS, LABELS, PROPS, SHAPE, shoot

DISPLAY = f"display: Two kinds\n{KINDS}"


@pytest.fixture
def display(tmp_path: Path) -> Path:
    path = tmp_path / "two.yaml"
    path.write_text(DISPLAY, encoding="utf-8")
    return path


def test_kinds_are_measured_and_kept_and_correct_the_model(display: Path, tmp_path: Path) -> None:
    before = display.read_bytes()
    seen = see([shoot(tmp_path / "a.jpg"), shoot(tmp_path / "b.jpg", scale=0.5, time_s=1 / 120)])
    done = photograph_kinds(load(display), seen, LABELS)
    floats, acorns = done.readings
    assert (floats.kind, acorns.kind) == ("float", "acorn")
    assert floats.luminance is not None
    assert acorns.luminance is not None
    assert floats.intensity is not None
    assert acorns.intensity is not None
    assert floats.luminance / acorns.luminance == pytest.approx(0.5 / 0.3, rel=0.03)
    assert floats.intensity / acorns.intensity == pytest.approx(0.5 / 0.3 * (30 / 20) ** 2, rel=0.03)
    assert max(floats.spread, acorns.spread) < 0.02
    keep_photographed(display, load(display), done)
    (taking,) = kept(display)
    assert (taking.how, taking.sources, taking.absolute) == ("photograph", ("b.jpg", "a.jpg"), False)
    # Two kinds on a free scale: their factors multiply to 1, and corrected the model has the ratio of the photograph.
    factor = measured_corrections(display)
    model = {kind: float(light.mean_cd_m2.sum()) for kind, light in computed_light(load(display)).items() if light}
    assert factor["float"] * factor["acorn"] == pytest.approx(1.0)
    corrected = factor["float"] * model["float"] / (factor["acorn"] * model["acorn"])
    assert corrected == pytest.approx(0.5 / 0.3, rel=0.03)
    assert display.read_bytes() == before


def measured_corrections(path: Path) -> dict[str, float]:
    return {kind: one.luminance for kind, one in kept_readings(path, load(path)).kinds.items()}


def test_a_changed_kind_is_no_longer_corrected(display: Path, tmp_path: Path) -> None:
    seen = see([shoot(tmp_path / "a.jpg")])
    keep_photographed(display, load(display), photograph_kinds(load(display), seen, LABELS))
    assert set(measured_corrections(display)) == {"float", "acorn"}
    display.write_text(DISPLAY.replace("count: 2", "count: 3"), encoding="utf-8")
    assert "acorn" not in measured_corrections(display)


def test_a_meter_corrects_the_model_to_what_it_showed(display: Path) -> None:
    readings, doubts = meter_kinds(load(display), ["float=0.5 lux at 2 m", "acorn=40 cd/m2"])
    assert doubts == ()
    keep_metered(display, load(display), readings, levels="50 %")
    light = computed_light(load(display))
    factor = measured_corrections(display)
    assert light["float"] is not None
    assert light["acorn"] is not None
    # 0.5 lx at 2 m are 2 cd (CIE 070), at half duty.
    assert kept_readings(display, load(display)).kinds["float"].shares is None
    assert factor["float"] * 0.5 * float(light["float"].intensity_cd.sum()) == pytest.approx(2.0)
    assert factor["acorn"] * 0.5 * float(light["acorn"].mean_cd_m2.sum()) == pytest.approx(40.0)


def test_a_reading_that_is_far_from_the_model_is_doubted(display: Path) -> None:
    light = computed_light(load(display))["float"]
    assert light is not None
    model = float(light.mean_cd_m2.sum())
    for factor, doubted in ((2.9, False), (3.1, True), (0.35, False), (0.32, True)):
        readings, _ = meter_kinds(load(display), [f"float={factor * model} cd/m2"])
        said = doubts(metered(load(display), readings))
        assert [words.split(":")[0] for words in said] == (["float"] if doubted else [])


def test_one_kind_alone_in_photographs_tells_nothing_of_its_brightness(display: Path, tmp_path: Path) -> None:
    done = photograph_kinds(load(display), see([shoot(tmp_path / "a.jpg")]), LABELS.replace("acorn", "-"))
    (words,) = doubts(taking_of(load(display), done))
    assert "tell of float alone: its brightness corrects nothing" in words
    both = taking_of(load(display), photograph_kinds(load(display), see([tmp_path / "a.jpg"]), LABELS))
    assert doubts(both) == ()


def test_a_kind_without_a_shell_is_told_that_its_reading_corrects_nothing_yet(display: Path) -> None:
    text = display.read_text(encoding="utf-8")
    display.write_text(text + "  bare: {fill: {light: puck-3led-12v}}\n", encoding="utf-8")
    readings, _ = meter_kinds(load(display), ["bare=3 lux at 1 m"])
    (words,) = doubts(metered(load(display), readings))
    assert words.startswith("What was measured of bare corrects nothing yet, because the model gives it no light")
    assert "State the shell" in words


def test_kinds_that_were_swapped_look_like_a_slip(display: Path) -> None:
    light = computed_light(load(display))
    at = {kind: float(one.mean_cd_m2.sum()) for kind, one in light.items() if one is not None}
    rows = tuple(
        KeptReading(kind, 1, times * at[kind], None, None, 0.0, at[kind], None, "")
        for kind, times in (("float", 4.0), ("acorn", 1.0))
    )
    (words,) = doubts(Taking("2026-11-25T17:00:00+00:00", "photograph", ("a.jpg",), False, rows))
    assert words.startswith("float against acorn: 4.00 times what the model gives.")


def test_a_meter_too_near_is_told(display: Path) -> None:
    _, doubts = meter_kinds(load(display), ["float=12 lux at 50 cm"])
    assert doubts == (
        "float: measured from 0.50 m, expected 0.75 m (2.5 ft) or more, five times the prop's size: nearer, it is no point "
        "and the inverse square does not hold. Measure from farther away.",
    )


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        (["flaot=1 lux at 2 m"], '--meter: found "flaot", expected a kind of the display. Did you mean "float"?'),
        (
            ["float=1 cd/m2", "float=2 cd/m2"],
            "--meter: found float twice, expected it once. Type the mean of the readings.",
        ),
    ],
)
def test_meters_that_do_not_fit(display: Path, typed: list[str], words: str) -> None:
    with pytest.raises(Refusal) as refused:
        meter_kinds(load(display), typed)
    assert of_error(refused.value) == words


def test_colours_are_told_apart_by_what_they_mix_to(display: Path) -> None:
    shares = np.array([1.3, 2.2, 0.6])
    xyz = mix_xyz(shares, GENERIC_XY[:3])  # CIE 15: channels add
    found = by_colour(load(display), "float", 0.5, xyz)
    assert found is not None
    stated = load(display).parts["bullet-12mm-12v"].light
    assert stated is not None
    if stated.colour is None:
        assert found == pytest.approx(0.5 * shares / shares.sum())
    assert sum(found) == pytest.approx(0.5)


def test_the_numbered_picture_shows_what_is_measured(tmp_path: Path) -> None:
    props = [*PROPS[:5], Prop(150, 790, 20, 3.0)]
    seen = see([shoot(tmp_path / "a.jpg", props)])
    assert [c.code for c in seen.cautions] == ["clipped-props"]
    write_overlay(seen, tmp_path / "numbered.png")
    with Image.open(tmp_path / "numbered.png") as picture:
        pixels = np.asarray(picture.convert("RGB")).astype(int)
        assert picture.info["Title"] == "Lit props, numbered"
        places = [
            tuple(map(int, place.split(": ")[1].split(", "))) for place in picture.info["Description"].split("; ")
        ]
    assert [(round(x, -1), round(y, -1)) for x, y in places] == [(round(p.column, -1), round(p.row, -1)) for p in props]
    head = pixels.shape[0] - SHAPE[0]
    for prop in props:
        colour = (255, 200, 0) if prop.luminance < 1.0 else (255, 70, 70)
        box = pixels[
            head + int(prop.row - prop.radius) - 4 : head + int(prop.row + prop.radius) + 5,
            int(prop.column - prop.radius) - 4 : int(prop.column + prop.radius) + 5,
        ]
        marked = (box == colour).all(axis=2)
        # Its outline is about as long as a circle of its size; the number's own frame lies above it.
        assert 0.7 < marked.sum() / (2 * np.pi * prop.radius) < 2.0
    write_overlay(seen, tmp_path / "again.png")
    assert (tmp_path / "again.png").read_bytes() == (tmp_path / "numbered.png").read_bytes()


def test_a_prop_that_the_edge_cuts_off_is_told(tmp_path: Path) -> None:
    cut = [*PROPS[:5], Prop(150, 890, 20, 0.3)]
    (told,) = see([shoot(tmp_path / "a.jpg", cut)]).cautions
    assert told.text() == (
        "a.jpg: the picture's edge cuts off prop 6: not all of its light is in it. Leave it out (-), or photograph it whole."
    )
    assert see([shoot(tmp_path / "b.jpg", [*PROPS[:5], Prop(150, 872, 20, 0.3)])]).cautions == ()


@pytest.mark.parametrize(
    ("labels", "words"),
    [
        ("1-6=flaot", '--label: found "flaot", expected a kind of the display. Did you mean "float"?'),
        ("1-4=float", "--label: found 6 lit props and labels for 4 of them; expected one for each, 5, 6 has none."),
    ],
)
def test_labels_that_do_not_fit(display: Path, tmp_path: Path, labels: str, words: str) -> None:
    seen = see([shoot(tmp_path / "a.jpg")])
    with pytest.raises(Refusal) as refused:
        photograph_kinds(load(display), seen, labels)
    assert of_error(refused.value).startswith(words)


def test_labels_for_one_of_two_scenes_are_told_that_there_are_two(display: Path, tmp_path: Path) -> None:
    # Exposed alike by their notes and yet half as bright: these cannot be the same lights.
    seen = see([shoot(tmp_path / "a.jpg"), shoot(tmp_path / "b.jpg", scale=0.5)])
    with pytest.raises(Refusal) as refused:
        photograph_kinds(load(display), seen, LABELS)
    words = of_error(refused.value)
    assert words.startswith("--label: found 12 lit props and labels for 6 of them")
    assert "the photographs show 2 scenes, whose props are numbered through" in words


def test_photographs_without_a_lit_prop(tmp_path: Path) -> None:
    with pytest.raises(Refusal) as refused:
        see([shoot(tmp_path / "a.jpg", [])])
    assert of_error(refused.value) == (
        "a.jpg: found no lit prop, expected patches that are brighter than the dark around them. Photograph them lit, at "
        "night, without other lights in the picture, and expose longer."
    )


def test_exposures_may_be_typed(tmp_path: Path) -> None:
    taken = [shoot(tmp_path / "a.jpg", noted=False), shoot(tmp_path / "b.jpg", scale=0.5, noted=False)]
    with pytest.raises(Refusal, match=r"a\.jpg and b\.jpg: found no exposure time"):
        see(taken)
    assert see(taken, ["1/60 s", "1/120 s"]).cautions == ()
    with pytest.raises(Refusal, match="exposure: found 1, expected 2, one for each photograph in its order"):
        see(taken, ["1/60 s"])
    with pytest.raises(Refusal, match='exposure: found "soon", expected a time and'):
        see(taken, ["1/60 s", "soon"])


def test_a_lens_is_corrected_only_where_it_is_known(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="vignetting cos4: found no focal length in the photographs, expected one"):
        see([shoot(tmp_path / "a.jpg", noted=False)], vignetting="cos4")
    with pytest.raises(Refusal, match=r"a\.jpg: it is nearly black somewhere"):
        see([shoot(tmp_path / "a.jpg")], vignetting=str(tmp_path / "a.jpg"))
    corrected, plain = (see([shoot(tmp_path / "a.jpg")], vignetting=how).all_props for how in ("cos4", None))
    assert corrected[0].luminance > 1.05 * plain[0].luminance


def test_the_command_numbers_first_and_measures_then(display: Path, tmp_path: Path) -> None:
    before = display.read_bytes()
    photo = shoot(tmp_path / "a.jpg")
    first = run("match", display, "--photo", photo, "--json", "-")
    no_traceback(first)
    assert first.returncode == 0, first.stderr
    assert (tmp_path / "a-numbered.png").exists()
    assert 'Next: look at the numbered picture and add --label "1-6=float"' in first.stderr
    assert [p["kind"] for p in json.loads(first.stdout)["photographs"]["props"]] == [None] * 6
    assert not store_path(display).exists()
    overlay = tmp_path / "own.png"
    second = run("match", display, "--photo", photo, "--label", LABELS, "--overlay", overlay, "--json", "-")
    assert second.returncode == 0, second.stderr
    assert overlay.exists()
    document = json.loads(second.stdout)
    assert [k["kind"] for k in document["photographs"]["kinds"]] == ["float", "acorn"]
    assert [p["kind"] for p in document["photographs"]["props"]] == ["float", "acorn"] * 3
    assert [row["kind"] for row in document["levels"]] == ["float", "acorn"]
    assert f"kept in {store_path(display)}" in second.stderr
    third = run("match", display, "--photo", photo, "--label", LABELS, "--no-keep")
    assert "acorn" in third.stdout
    assert len(kept(display)) == 1
    assert display.read_bytes() == before


def test_exposures_and_a_lens_are_stated_with_the_command(display: Path, tmp_path: Path) -> None:
    taken = [shoot(tmp_path / "a.jpg", noted=False), shoot(tmp_path / "b.jpg", scale=0.5, noted=False)]
    done = run("match", display, "--photo", *taken, "--exposure", "1/60 s", "--exposure", "1/120 s", "--label", LABELS)
    assert done.returncode == 0, done.stderr
    lens = run("match", display, "--photo", taken[0], "--vignetting", "cos4")
    assert "--vignetting cos4: found no focal length" in lens.stderr
    alone = run("match", display, "--label", LABELS)
    assert alone.returncode == 2
    assert "are about photographs: add --photo." in alone.stderr


def test_banding_is_judged_by_the_rate_of_the_lights(display: Path, tmp_path: Path) -> None:
    assert slowest_pwm(load(display)) == PWM_HZ
    fast = "parts: {bulb: {extends: bullet-12mm-12v, light: {pwm: 2 kHz}}}\n"
    display.write_text(DISPLAY.replace("light: bullet-12mm-12v", "light: bulb") + fast, encoding="utf-8")
    assert slowest_pwm(load(display)) == 2000.0
    photo = shoot(tmp_path / "a.jpg", time_s=1 / 250)
    for rate, told in ((400.0, ["pulses-seen"]), (2000.0, [])):
        assert [c.code for c in see([photo], pwm_hz=rate).cautions] == told


def test_the_command_tells_what_is_wrong_in_one_line(display: Path, tmp_path: Path) -> None:
    done = run("match", display, "--photo", tmp_path / "none.jpg")
    no_traceback(done)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "found no file of this name, expected a photograph" in done.stderr
