"""Photographs of kinds that were set unlike, stood unlike far away, or both: what is kept is what they give at full."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from hollowglow.assembly.kinds import light_of
from hollowglow.cli.terminal.words import of_error
from hollowglow.file import load
from hollowglow.jobs import plan_document
from hollowglow.jobs.matching.conditions import read_distances, read_levels
from hollowglow.jobs.matching.kept import keep_photographed, setting_doubts, taking_of
from hollowglow.jobs.matching.light_meter import keep_metered, meter_kinds
from hollowglow.jobs.matching.measured import kept_readings
from hollowglow.jobs.matching.photographs import Photographed, photograph_kinds, see
from hollowglow.measured.readings import store_path
from hollowglow.messages.refusal import Refusal
from tests.cli.running import no_traceback, run
from tests.measured.photo import made
from tests.measured.photo.made import Prop

# Resistor lights on a thin cable: at full they lose a tenth, at lower levels less.
YARD = """\
display: Two kinds on a weak rail
supplies: {shed: {voltage: 12 V, rating: 150 W}}
controllers: {box: {outputs: 1}}
parts: {thin: {cable: {resistance: 0.2 ohm/m}}}
kinds:
  ball:
    shell: {shape: sphere, diameter: 150 mm, transmittance: 0.45, reflectance: 0.45}
    fill: {light: puck-6led-12v}
  drum:
    shell: {shape: cylinder, diameter: 80 mm, height: 160 mm, transmittance: 0.45, reflectance: 0.45}
    fill: {light: puck-3led-12v}
strings:
  rail:
    {output: box/1, supply: shed, props: [3 * ball, 3 * drum], lead: {cable: thin, length: 2 m}, span: {cable: thin,
     length: 1 m}, fuse: 5 A}
levels: {ball: 40 %, drum: 80 %}
trims: {drum: [1, 0.9, 0.8]}
"""
SHAPE = (300, 1000)
LABELS = "1-3=ball,4-6=drum"
# In the picture: pixels by which something a metre across at 1 m is wide.
SCALE = 2000.0


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    path = tmp_path / "yard.yaml"
    path.write_text(YARD, encoding="utf-8")
    return path


def shoot(path: Path, luminances: dict[str, float], far_m: dict[str, float], colours: dict[str, object]) -> Path:
    """A photograph of three balls and three drums (drawn as discs of the same area) at their distances."""
    radius = {"ball": 0.075, "drum": (0.08 * 0.16 / np.pi) ** 0.5}
    props = [
        Prop(150.3, 90.2 + 160 * i, SCALE * radius[kind] / far_m[kind], luminances[kind], colours[kind])  # type: ignore[arg-type]
        for i, kind in enumerate(["ball"] * 3 + ["drum"] * 3)
    ]
    light = made.noisy(made.through_lens(made.radiance(SHAPE, props), 1.0), 5)
    path.write_bytes(made.as_jpeg(made.encoded(light), quality=95, exif=made.exif(1 / 60)))
    return path


def measured(yard: Path, photo: Path, levels: str | None = None, distances: str | None = None) -> Photographed:
    return photograph_kinds(load(yard), see([photo]), LABELS, levels, distances)


WHITES = {"ball": made.WHITE, "drum": made.WHITE}


def test_light_in_all_follows_from_luminance_and_size_wherever_props_stand(yard: Path, tmp_path: Path) -> None:
    # A ball of 150 mm shows 0.0177 m2, a drum of 80 mm by 160 mm 0.0128 m2: I = L A.
    truth = 0.3 * np.pi * 0.075**2 / (0.5 * 0.08 * 0.16)
    for ball_m, drum_m in ((6.0, 6.0), (5.0, 8.0), (8.0, 4.0)):
        photo = shoot(tmp_path / "a.jpg", {"ball": 0.3, "drum": 0.5}, {"ball": ball_m, "drum": drum_m}, WHITES)
        by_size = measured(yard, photo)
        by_distance = measured(yard, photo, None, f"ball={ball_m} m, drum={100 * drum_m} cm")
        for done, across in ((by_size, "size"), (by_distance, "distance")):
            assert done.across == across
            balls, drums = (reading.intensity for reading in done.readings)
            assert balls is not None
            assert drums is not None
            assert balls / drums == pytest.approx(truth, rel=0.03)
        assert by_distance.cautions == ()


def test_distances_that_do_not_go_with_the_sizes_are_told(yard: Path, tmp_path: Path) -> None:
    photo = shoot(tmp_path / "a.jpg", {"ball": 0.3, "drum": 0.5}, {"ball": 5.0, "drum": 8.0}, WHITES)
    (told,) = measured(yard, photo, None, "1-6=7 m").cautions
    assert told.code == "distances-doubtful"
    # 8 m over 5 m are 1.6 times.
    assert told.message.startswith(
        "by their outlines and the sizes in the file, the ratio of their distances is off by 6"
    )
    assert "drum looks too small for its distance, ball too large" in told.message


def test_kinds_without_a_shell_compare_by_distance_or_not_at_all(yard: Path, tmp_path: Path) -> None:
    text = "\n".join(line for line in YARD.splitlines() if "shell:" not in line)
    yard.write_text(text, encoding="utf-8")
    photo = shoot(tmp_path / "a.jpg", {"ball": 0.3, "drum": 0.5}, {"ball": 5.0, "drum": 8.0}, WHITES)
    assert measured(yard, photo).across == ""
    done = measured(yard, photo, None, "ball=5 m,drum=8 m")
    balls, drums = (reading.intensity for reading in done.readings)
    assert balls is not None
    assert drums is not None
    assert balls / drums == pytest.approx(0.3 * np.pi * 0.075**2 / (0.5 * 0.08 * 0.16), rel=0.03)


def corrections(yard: Path) -> dict[str, float]:
    return {kind: one.luminance for kind, one in kept_readings(yard, load(yard)).kinds.items()}


@pytest.mark.parametrize("levels", ["file", "ball=70 %, drum=25 %", "30 %"])
def test_a_photograph_that_shows_what_the_model_says_at_those_levels_corrects_nothing(
    yard: Path, tmp_path: Path, levels: str
) -> None:
    """The plan of a file with these levels says what the camera would see; measured at them, the model must be right."""
    own = {"ball=70 %, drum=25 %": "{ball: 70 %, drum: 25 %}", "30 %": "{ball: 30 %, drum: 30 %}"}
    seen = tmp_path / "seen.yaml"
    text = YARD if levels == "file" else YARD.split("levels:")[0] + f"levels: {own[levels]}\n"
    seen.write_text(text, encoding="utf-8")
    rows = {row["kind"]: row for row in plan_document(seen)["levels"]}
    highest = max(row["luminance"] for row in rows.values())
    luminances = {kind: 0.8 * row["luminance"] / highest for kind, row in rows.items()}
    photo = shoot(tmp_path / "a.jpg", luminances, {"ball": 6.0, "drum": 6.0}, WHITES)
    keep_photographed(yard, load(yard), measured(yard, photo, levels))
    # The made photograph is grey: only the luminance is held against the model.
    assert corrections(yard) == pytest.approx({"ball": 1.0, "drum": 1.0}, rel=0.04)
    store_path(yard).unlink()
    # As if at full, it would be off by the ratio of the levels and of what the cable leaves.
    keep_photographed(yard, load(yard), measured(yard, photo))
    wrong = corrections(yard)
    assert abs(np.log(wrong["ball"] / wrong["drum"])) > (0.03 if levels == "30 %" else 0.3)


def test_a_photograph_that_shows_what_the_model_gives_in_all_corrects_no_intensity(yard: Path, tmp_path: Path) -> None:
    """The camera sees I/A, with A in closed form: then the computed intensities are right, though a drum is brighter seen
    than on average over its wall, and a ball is not.
    """
    rows = {row["kind"]: row for row in plan_document(yard)["levels"]}
    shown = {"ball": np.pi * 0.075**2, "drum": 0.08 * 0.16}
    seen = {kind: row["intensity"] / shown[kind] for kind, row in rows.items()}
    photo = shoot(
        tmp_path / "a.jpg",
        {kind: 0.8 * light / max(seen.values()) for kind, light in seen.items()},
        {"ball": 5.0, "drum": 7.0},
        WHITES,
    )
    keep_photographed(yard, load(yard), measured(yard, photo, "file"))
    found = {kind: one.intensity for kind, one in kept_readings(yard, load(yard)).kinds.items()}
    assert found == pytest.approx({"ball": 1.0, "drum": 1.0}, rel=0.02)
    by_luminance = corrections(yard)
    assert abs(by_luminance["ball"] / by_luminance["drum"] - 1.0) > 0.05


def test_trims_of_the_file_are_taken_off_colour_by_colour(yard: Path, tmp_path: Path) -> None:
    """A kind photographed under its trims is kept with the colour that it has without them."""
    stated = light_of(load(yard), "drum")
    assert stated.colours == 3
    plain = measured(
        yard, shoot(tmp_path / "a.jpg", {"ball": 0.3, "drum": 0.5}, {"ball": 6.0, "drum": 6.0}, WHITES), "file"
    )
    kept = taking_of(load(yard), plain).kinds[1]
    assert kept.uv is not None
    assert plain.judged.kinds[1].uv != kept.uv
    # Blue was at 0.8 and green at 0.9 of red: at full it is bluer, so v' falls.
    assert kept.uv[1] < plain.judged.kinds[1].uv[1] - 0.005


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        (None, {"ball": (1.0, 1.0, 1.0), "drum": (1.0, 1.0, 1.0)}),
        ("40", {"ball": (0.4, 0.4, 0.4), "drum": (0.4, 0.4, 0.4)}),
        ("0.4", {"ball": (0.4, 0.4, 0.4), "drum": (0.4, 0.4, 0.4)}),
        ("ball = 66 %", {"ball": (0.66, 0.66, 0.66), "drum": (1.0, 1.0, 1.0)}),
        ("file", {"ball": (0.4, 0.4, 0.4), "drum": (0.8, 0.72, 0.64)}),
    ],
)
def test_levels_are_read_as_a_person_writes_them(
    yard: Path, typed: str | None, expected: dict[str, tuple[float, ...]]
) -> None:
    found = read_levels(load(yard), typed)
    assert found.keys() == expected.keys()
    for kind, duties in expected.items():
        assert found[kind] == pytest.approx(duties)


def test_a_name_with_an_equals_sign_is_told_from_what_follows_it(yard: Path) -> None:
    yard.write_text(YARD.replace("ball", '"b=l"').replace('3 * "b=l"', '"3 * b=l"'), encoding="utf-8")
    assert read_levels(load(yard), "b=l = 66 %")["b=l"] == pytest.approx((0.66, 0.66, 0.66))
    (reading,), _ = meter_kinds(load(yard), ["b=l=40 cd/m2"])
    assert (reading.kind, reading.luminance) == ("b=l", 40.0)


@pytest.mark.parametrize(("typed", "told"), [("40 %", 2), ("ball=40 %", 1), (None, 0), ("file", 0), ("100 %", 0)])
def test_a_level_that_may_be_a_setting_of_a_curved_controller_is_told(yard: Path, typed: str | None, told: int) -> None:
    assert setting_doubts(load(yard), typed) == ()
    yard.write_text(YARD.replace("outputs: 1", "outputs: 1, curve: gamma 2.2"), encoding="utf-8")
    said = setting_doubts(load(yard), typed)
    assert len(said) == told
    # 0.4 to the power of 2.2 is 0.133.
    assert all("a setting of 40 % makes a level of 13 %" in words for words in said)


AT = 'Write a level for all, such as "40 %", one for each kind, such as "float=66 %,acorn=40 %", or file.'
FAR = 'Write one for all, such as "12 m", or "1-6=12 m,7=40 ft", or "float=12 m,acorn=40 ft".'


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("0 %", f'found "0 %", expected a level above 0 and up to 100 %. {AT}'),
        ("ball=101 %", f'found "101 %", expected a level above 0 and up to 100 %. {AT}'),
        ("nan", f'found "nan", expected a level above 0 and up to 100 %. {AT}'),
        ("dull", f'found "dull", expected a level above 0 and up to 100 %. {AT}'),
        ("bal=4 %", 'found "bal", expected a kind of the display. Did you mean "ball"?'),
        ("ball=4 %,ball=5 %", f"found ball twice, expected it once. {AT}"),
        ("ball=4 %,drum", f'found "drum", expected KIND=VALUE. {AT}'),
    ],
)
def test_levels_that_are_none(yard: Path, typed: str, words: str) -> None:
    with pytest.raises(Refusal) as told:
        read_levels(load(yard), typed)
    assert of_error(told.value) == f"--at: {words}"


def test_distances_are_read_for_all_by_number_or_by_kind(yard: Path) -> None:
    labels = {1: "ball", 2: "ball", 4: "drum"}
    assert read_distances(load(yard), labels, "12 ft") == pytest.approx({1: 3.6576, 2: 3.6576, 4: 3.6576})
    assert read_distances(load(yard), labels, "1-3=5 m, 4=8 m") == pytest.approx({1: 5.0, 2: 5.0, 4: 8.0})
    assert read_distances(load(yard), labels, "ball=5 m,drum=8 m") == pytest.approx({1: 5.0, 2: 5.0, 4: 8.0})
    assert read_distances(load(yard), labels, " ") is None


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("ball=5 m", "found none for 4, expected one for each prop that counts: without all of them intensities do not "
         f"compare. {FAR}"),
        ("12", 'found "12" without a unit, expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m). ' + FAR),
        ("bell=5 m", 'found "bell", expected a kind of the display. Did you mean "ball"?'),
        ("1=5 m,1=6 m,4=2 m", f"found the number 1 twice, expected one distance for each number. {FAR}"),
    ],
)  # fmt: skip
def test_distances_that_are_none(yard: Path, typed: str, words: str) -> None:
    with pytest.raises(Refusal) as told:
        read_distances(load(yard), {1: "ball", 2: "ball", 4: "drum"}, typed)
    assert of_error(told.value) == f"--distance: {words}"


def test_a_kind_that_is_lit_was_not_at_nothing(yard: Path, tmp_path: Path) -> None:
    yard.write_text(YARD.replace("drum: 80 %", "drum: 0 %"), encoding="utf-8")
    photo = shoot(tmp_path / "a.jpg", {"ball": 0.3, "drum": 0.5}, {"ball": 6.0, "drum": 6.0}, WHITES)
    with pytest.raises(Refusal, match=r"at: found drum at 0 %, expected a level above it, because it is lit"):
        measured(yard, photo, "file")
    readings, _ = meter_kinds(load(yard), ["drum=40 cd/m2"])
    with pytest.raises(Refusal, match=r"at: found drum at 0 %, expected a level above it, because a meter saw it"):
        keep_metered(yard, load(yard), readings, "file")


def test_the_command_takes_levels_and_distances(yard: Path, tmp_path: Path) -> None:
    photo = shoot(tmp_path / "a.jpg", {"ball": 0.3, "drum": 0.5}, {"ball": 5.0, "drum": 8.0}, WHITES)
    asked = ("match", yard, "--photo", photo, "--label", LABELS, "--no-keep")
    done = run(*asked, "--at", "file", "--distance", "ball=5 m,drum=8 m")
    no_traceback(done)
    assert done.returncode == 0, done.stderr
    row = next(line.split() for line in done.stdout.splitlines() if line.startswith("ball "))
    assert row[-4:-2] == ["40", "%"]
    assert "Intensity is reckoned to one distance" in done.stdout
    document = json.loads(run(*asked, "--at", "file", "--json", "-").stdout)["photographs"]
    assert document["intensities_by"] == "size"
    assert [kind["duties"] for kind in document["kinds"]] == [[0.4, 0.4, 0.4], [0.8, 0.72, 0.64]]
    ball, drum = document["kinds"]
    # At full the balls are brighter by what 80 % (less trims) over 40 % makes.
    assert ball["full_luminance"] / drum["full_luminance"] > 1.5 * ball["luminance"] / drum["luminance"]
    for option, value in (("--at", "40 %"), ("--distance", "6 m")):
        alone = run("match", yard, option, value)
        assert alone.returncode == 2
        assert "add --photo" in alone.stderr
