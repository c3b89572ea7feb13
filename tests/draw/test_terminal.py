"""Terminal pictures: dots where the lines are, words over dots, nothing past the border."""

from __future__ import annotations

import pytest

from hollowglow.draw.sheet.records import Circle, Drawing, Line, Polyline, Rect, Text
from hollowglow.draw.sheet.terminal import to_cells, to_text
from tests.draw.samples import ladder


def heights(picture: str) -> list[int]:
    """The row of dots (0 at the top) of the topmost dot in each column of dots that has one."""
    bits = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
    lines = picture.split("\n")[1:]
    found = []
    for column in range(2 * len(lines[0])):
        for row in range(4 * len(lines)):
            if (ord(lines[row // 4][column // 2]) - 0x2800) & bits[column % 2][row % 4] and lines[row // 4][
                column // 2
            ] != " ":
                found.append(row)
                break
    return found


def test_a_falling_profile_falls_in_dots() -> None:
    profile = ladder(30)
    points = tuple((x, 10.0 * (12.0 - v)) for x, v in zip(profile.distance_m, profile.v_across, strict=True))
    drawing = Drawing(60.0, 100.0, "Falling", (Polyline(points, "across"),))
    tops = heights(to_text(drawing, 60, 16))
    assert tops == sorted(tops)
    assert tops[0] == 0
    assert tops[-1] == 4 * 15 - 1


def test_the_title_stands_on_top_once() -> None:
    drawing = Drawing(50.0, 50.0, "Rail", (Text(5.0, 5.0, "Rail", 4.0, "title"), Line(0.0, 20.0, 50.0, 20.0, "axis")))
    lines = to_text(drawing, 20, 5).split("\n")
    assert lines[0] == "Rail".ljust(20)
    assert "Rail" not in "".join(lines[1:])


def test_words_win_over_dots() -> None:
    across = (Text(25.0, 25.9, "here", 3.0, "label", "middle"), Line(0.0, 25.0, 50.0, 25.0, "axis"))
    box = Rect(0.0, 0.0, 50.0, 50.0, "axis")
    lines = to_text(Drawing(50.0, 50.0, "", (*across, box)), 20, 12).split("\n")
    row = next(line for line in lines if "here" in line)
    assert all(char != " " for char in row)


def test_a_word_past_the_border_is_moved_inside_and_then_cut_off() -> None:
    frame = Rect(0.0, 0.0, 50.0, 50.0, "axis")
    short = to_text(Drawing(50.0, 50.0, "", (frame, Text(49.0, 20.0, "far out", 3.0, "label"))), 20, 12)
    assert any(line.endswith("far out") for line in short.split("\n"))
    long = to_text(Drawing(50.0, 50.0, "", (frame, Text(25.0, 20.0, "x" * 50, 3.0, "label"))), 20, 12)
    assert "x" * 20 in long.split("\n")


def test_words_for_one_spot_step_aside_and_ticks_are_left_out() -> None:
    frame = Rect(0.0, 0.0, 50.0, 50.0, "axis")
    words = (
        Text(5.0, 20.0, "one", 3.0, "label"),
        Text(5.0, 20.0, "two", 3.0, "label"),
        Text(5.0, 20.0, "3", 3.0, "tick"),
    )
    text = to_text(Drawing(50.0, 50.0, "", (frame, *words)), 20, 12)
    assert "one" in text
    assert "two" in text
    assert "3" not in text


def test_a_warning_takes_its_spot_before_other_words() -> None:
    frame = Rect(0.0, 0.0, 50.0, 50.0, "axis")
    words = (Text(5.0, 20.0, "calm", 3.0, "label"), Text(5.0, 20.0, "low", 3.0, "warn"))
    alone = to_text(Drawing(50.0, 50.0, "", (frame, words[1])), 20, 12).split("\n")
    both = to_text(Drawing(50.0, 50.0, "", (frame, *words)), 20, 12).split("\n")
    assert [at for at, line in enumerate(alone) if "low" in line] == [
        at for at, line in enumerate(both) if "low" in line
    ]


def test_dashes_are_told_apart_in_dots() -> None:
    rows = {}
    for role in ("plus", "minus", "coincident", "limit"):
        records = (Line(0.0, 5.0, 100.0, 5.0, role), Line(0.0, 0.0, 0.0, 10.0, "axis"))
        rows[role] = to_text(Drawing(100.0, 10.0, "", records), 40, 4)
    assert len(set(rows.values())) == 4
    assert " " not in rows["plus"].split("\n")[2]


def test_a_shape_filled_with_paper_hides_what_is_behind_it() -> None:
    drawing = Drawing(50.0, 50.0, "", (Line(0.0, 25.0, 50.0, 25.0, "axis"), Circle(25.0, 25.0, 15.0, "prop")))
    middle = to_text(drawing, 20, 11).split("\n")[6]
    assert middle[9:11] == "  "
    assert middle[0] != " "


def test_a_bar_filled_with_ink_is_solid() -> None:
    drawing = Drawing(50.0, 50.0, "", (Rect(0.0, 0.0, 50.0, 50.0, "axis"), Rect(20.0, 20.0, 20.0, 20.0, "joint")))
    assert "⣿⣿⣿⣿" in to_text(drawing, 20, 11)


def test_double_width_characters_keep_the_row_length() -> None:
    cells = to_cells(Drawing(50.0, 50.0, "灯り", ()), 10, 2)
    assert [cell.char for cell in cells[0][:5]] == ["灯", "", "り", "", " "]
    assert len(cells[0]) == 10


def test_plain_text_spells_signs_out() -> None:
    assert to_text(Drawing(50.0, 50.0, "V− 5 Ω × é 灯", ()), 20, 1, unicode=False) == "V- 5 ohm x e ?".ljust(20)


def test_cells_name_the_role_they_were_drawn_for() -> None:
    cells = to_cells(Drawing(50.0, 50.0, "Rail", (Line(0.0, 0.0, 0.0, 50.0, "plus"),)), 10, 5)
    assert cells[0][0].role == "title"
    assert cells[2][0].role == "plus"
    assert cells[2][5].role is None


@pytest.mark.parametrize(("columns", "rows"), [(0, 5), (5, 0)])
def test_a_picture_without_cells_is_refused(columns: int, rows: int) -> None:
    with pytest.raises(ValueError, match=r"expected at least 1 each$"):
        to_text(Drawing(50.0, 50.0, "Rail", ()), columns, rows)
