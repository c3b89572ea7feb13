"""What is done with places becomes edits of the file, and the file then says what was meant."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from PIL import Image

from hollowglow.file import Display
from hollowglow.file.reading.drawn_lengths import positions
from hollowglow.file.reading.load import load_text
from hollowglow.file.text.edit import edited
from hollowglow.jobs.site.backdrops import for_screen, size_of, take_in
from hollowglow.jobs.site.moves import change_of
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.written import Units

TEXT = """\
display: Wall
supplies: {shed: {voltage: 12 V, rating: 60 W, at: [1 m, 0 m]}}
controllers: {box: {outputs: 2, nodes_per_output: 100, at: [0 m, 0 m]}}
kinds:
  globe: {fill: {light: puck-3led-12v}}
strings:
  eaves:
    output: box/1
    supply: shed
    props: 5 * globe          # counted twice
    lead: {length: 3 m}
    span: {length: 900 mm}
    place: {line: [[0 m, 3 m], [4 m, 3 m, 0.5 m]]}   # under the gutter
"""


def after(text: str, units: Units = "metric", **form: str) -> str:
    change = change_of(text, "wall.yaml", form, units)
    made = edited(text, change.edits, "wall.yaml")
    load_text(made, "wall.yaml")
    return made


def places(text: str, string: str = "eaves") -> list[list[float]]:
    display: Display = load_text(text, "wall.yaml")
    return [[round(v, 4) + 0.0 for v in spot] for spot in positions(display)[string].tolist()]


def test_a_prop_moves_goes_back_and_keeps_its_third_length() -> None:
    once = after(TEXT, act="move", string="eaves", prop="5", x="13 ft", y="2.9 m")
    assert places(once)[4] == [3.9624, 2.9, 0.5]
    twice = after(once, act="move", string="eaves", prop="2", x="1.1 m", y="2.5 m")
    assert places(twice)[1] == [1.1, 2.5, 0.125]
    assert "# under the gutter" in twice
    assert "# counted twice" in twice
    assert places(after(twice, act="back", string="eaves", prop="5")) == [
        *(places(TEXT)[:1]), places(twice)[1], *(places(TEXT)[2:]),
    ]  # fmt: skip
    assert after(twice, act="back", string="eaves") == TEXT


def test_props_are_set_out_evenly_by_pitch_by_count_and_as_many_as_fit() -> None:
    # 4.03 m of line: 4 m across, half a metre towards the viewer.
    pitched = after(TEXT, act="set-out", string="eaves", way="pitch", pitch="80 cm")
    assert places(pitched)[1] == pytest.approx([0.8 * 4 / 4.0311, 3, 0.8 * 0.5 / 4.0311], abs=1e-4)
    full = after(TEXT, act="set-out", string="eaves", way="fill", pitch="0.5 m")
    assert 'props: "9 * globe"' in full
    assert len(places(full)) == 9
    counted = after(full, act="set-out", string="eaves", way="count", count="3")
    assert [p[0] for p in places(counted)] == [0, 2, 4]


def test_a_string_is_mirrored_shifted_and_copied() -> None:
    moved = after(TEXT, act="move", string="eaves", prop="1", x="0.5 m", y="2 m")
    flipped = after(moved, act="mirror", string="eaves")
    # Its own middle lies halfway between its outermost props, at 2.25 m.
    assert [p[0] for p in places(flipped)] == [4.0, 3.5, 2.5, 1.5, 0.5]
    assert places(after(moved, act="shift", string="eaves", x="1 m", y="-1 ft"))[0] == [1.5, 1.6952, 0.0]
    copied = after(moved, act="copy", string="eaves", to="porch", x="0 m", y="-2 m")
    assert places(copied, "porch") == [[x, y - 2, z] for x, y, z in places(moved)]
    assert load_text(copied, "").strings["porch"].output.number == 2
    with pytest.raises(Refusal, match=r"^All 2 outputs of box are taken, so third would have none\.$"):
        after(copied, act="copy", string="eaves", to="third", x="0 m", y="0 m")
    again = after(copied, act="copy", string="eaves", to="porch", mirror="5 m")
    assert places(again, "porch")[4] == [6.0, 3.0, 0.5]


def test_lengths_follow_the_drawing_once_they_are_asked_to() -> None:
    display = load_text(after(TEXT, act="drawn", string="eaves"), "")
    string = display.strings["eaves"]
    assert string.span is not None
    assert string.lead.length == pytest.approx(3.0)
    # One quarter each of the line's length, Pythagoras over 4 m and 0.5 m.
    assert string.span.length == pytest.approx([16.25**0.5 / 4] * 4)


def test_what_is_drawn_is_written_in_the_units_that_the_person_chose() -> None:
    line = "[[0, 1.8288], [3.9635, -1.3716]]"
    drawn = after(TEXT, "us", act="line", string="eaves", line=line, way="pitch", pitch="2 ft")
    assert "line: [[0 ft, 6 ft], [13 ft 1/16 in, -4 ft 6 in]], pitch: 2 ft" in drawn
    # The line is 5.0943 m long, Pythagoras, and every prop lies 2 ft farther along it.
    assert places(drawn)[1] == pytest.approx([0.6096 * 3.9635 / 5.0943, 1.8288 - 0.6096 * 3.2004 / 5.0943, 0], abs=2e-3)
    assert "[2 ft, 6 ft], [15 ft 1/16 in, -4 ft 6 in]" in after(
        drawn, "us", act="shift", string="eaves", x="2 ft", y="0 m"
    )
    again = after(drawn, "metric", act="line", string="eaves", line="[[0, 1], [4, 1]]", way="keep")
    assert "line: [[0 m, 1 m], [4 m, 1 m]], pitch: 2 ft" in again
    typed = "[[0 ft, 6 ft 6 in], [4 m, 2]]"
    assert "[[0 m, 1.9812 m], [4 m, 2 m]]" in after(TEXT, act="line", string="eaves", line=typed, way="even")


def test_what_the_file_says_of_other_props_stays_as_it_is_written() -> None:
    once = after(TEXT, "us", act="move", string="eaves", prop="5", x="13 ft", y="2.9 m")
    assert "moved: [{prop: 5, at: [13 ft, 2.9 m, 1 ft 7 11/16 in]}]" in once.replace('"', "")
    both = after(once, act="points", string="eaves", **{"x:1": "1 m", "y:1": "3 m", "x:2": "5 ft", "y:2": "3 m"})
    assert "[13 ft, 2.9 m, 1 ft 7 11/16 in]" in both.replace('"', "")
    assert "[13 ft, 2.9 m, 1 ft 7 11/16 in]" in after(both, act="back", string="eaves", prop="2").replace('"', "")


def test_what_a_form_does_not_ask_stays_as_it_was() -> None:
    assert places(after(TEXT, act="move", string="eaves", prop="5", x="3 m"))[4] == [3.0, 3.0, 0.5]
    assert places(after(TEXT, act="vertex", string="eaves", number="2", y="2 m"))[4] == [4.0, 2.0, 0.5]
    assert load_text(after(TEXT, act="at", table="supplies", name="shed", y="1 m"), "").supplies["shed"].at == (1, 1, 0)


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({"act": "jump"}, "The form does not say what is to be done with places. Load the page again."),
        ({"act": "move", "string": "eves"}, 'There is no string "eves".'),
        (
            {"act": "move", "string": "eaves", "prop": "6", "x": "0 m", "y": "0 m"},
            'The prop: found "6", expected a whole',
        ),
        ({"act": "move", "string": "eaves", "prop": "1", "x": "far", "y": "0 m"}, 'How far across: found "far"'),
        ({"act": "line", "string": "eaves", "line": "[[1, 2]]"}, "The line was not understood. Draw it again"),
        (
            {"act": "line", "string": "eaves", "line": "[[0 m, 2 cows], [1 m, 2 m]]"},
            'A length of the line: found "2 cows"',
        ),
        ({"act": "scale", "points": "[[0, 0], [1, 1]]", "length": "1 m"}, "There is no backdrop to scale."),
    ],
)
def test_what_cannot_be_done_is_told_in_words(form: dict[str, str], words: str) -> None:
    with pytest.raises(Refusal) as told:
        after(TEXT, **form)
    assert str(told.value).startswith(words)


def test_a_backdrop_is_scaled_by_two_points_or_four_corners() -> None:
    text = TEXT + "place: {backdrop: {picture: wall.jpg, points: [[0, 9], [16, 9]], length: 10 m}}\n"
    two = after(text, act="scale", points="[[1.26, 5], [11, 5]]", length="6 ft")
    assert "{picture: wall.jpg, points: [[1.3, 5.0], [11.0, 5.0]], length: 6 ft}" in two
    four = after(two, act="scale", corners="[[0,9],[9,9],[9,0],[0,0]]", width="1 m", height="1 m")
    assert "corners" in four
    assert "points" not in four.partition("place: {backdrop")[2]
    with pytest.raises(Refusal, match=r"^This does not scale the picture: both points .* are in one place"):
        after(text, act="scale", points="[[1, 5], [1, 5]]", length="6 ft")


def test_a_picture_is_taken_in_once_turned_as_its_camera_was(tmp_path: Path) -> None:
    stream = io.BytesIO()
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF 2.3: the camera lay on its side
    Image.new("RGB", (40, 20), "red").save(stream, "JPEG", exif=exif)
    for _ in range(2):
        stream.seek(0)
        assert take_in(stream, "../My wall?.JPG", tmp_path) == ("My-wall.jpg", (20, 40))
    assert [p.name for p in tmp_path.iterdir()] == ["My-wall.jpg"]
    assert size_of(tmp_path / "My-wall.jpg") == (20, 40)
    assert Image.open(io.BytesIO(for_screen(tmp_path / "My-wall.jpg", 10))).size == (5, 10)
    other = io.BytesIO()
    Image.new("RGB", (8, 8)).save(other, "PNG")
    other.seek(0)
    assert take_in(other, "My-wall.jpg", tmp_path)[0] == "My-wall.png"
    with pytest.raises(Refusal, match=r"^note is not a picture that can be read"):
        take_in(io.BytesIO(b"GIF89a nothing more"), "note", tmp_path)
