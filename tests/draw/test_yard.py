"""The yard picture: everything at its place and to scale, by day and at night."""

from __future__ import annotations

import numpy as np
import pytest

from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Circle, Image, Line, Rect, Text
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.yard import Strand, YardMark, YardPicture, YardProp, yard

WHITE = (95.0, 100.0, 109.0)
RED = (41.2, 21.3, 1.9)


def picture(*spots: YardProp) -> YardPicture:
    marks = (YardMark("shed", 0.0, 0.0, supply=True), YardMark("box", 0.1, 0.0, supply=False))
    return YardPicture("Yard", spots, (Strand("rail", tuple((s.x_m, s.y_m) for s in spots)),), marks)


SPOTS = (YardProp(0.0, 2.0, 0.07, WHITE), YardProp(4.0, 2.0, 0.07, RED), YardProp(10.0, 5.0, 0.3, None))


def test_props_stand_at_their_places_to_the_scale_of_the_bar() -> None:
    drawing = yard(picture(*SPOTS))
    props = [r for r in drawing.records if isinstance(r, Circle)]
    mm_a_m = (props[1].x - props[0].x) / 4.0
    assert props[2].x - props[0].x == pytest.approx(10.0 * mm_a_m)
    assert props[0].y - props[2].y == pytest.approx(3.0 * mm_a_m)  # up is up
    assert props[2].radius == pytest.approx(0.3 * mm_a_m)
    for word, unit_m in (("m", 1.0), ("ft", 0.3048)):
        label = next(r for r in drawing.records if isinstance(r, Text) and r.text.endswith(f" {word}"))
        bar = next(r for r in drawing.records if isinstance(r, Line) and r.y1 == r.y2 == pytest.approx(label.y - 0.9))
        assert bar.x2 - bar.x1 == pytest.approx(float(label.text.split()[0]) * unit_m * mm_a_m)


def test_discs_show_the_colour_of_the_light_and_none_where_it_is_not_known() -> None:
    white, red, unknown = (r.colour for r in yard(picture(*SPOTS)).records if isinstance(r, Circle))
    assert unknown == ""
    levels = [[int(c[at : at + 2], 16) for at in (1, 3, 5)] for c in (white, red)]
    assert max(levels[0]) - min(levels[0]) <= 6
    assert levels[1][0] > levels[1][1] + 100
    assert f'style="fill:{white}"' in to_svg(yard(picture(*SPOTS)))


def test_names_cover_neither_props_nor_each_other() -> None:
    drawing = yard(picture(*SPOTS))
    names = [record_box(r) for r in drawing.records if isinstance(r, Text) and r.text in ("shed", "box", "rail")]
    props = [record_box(r) for r in drawing.records if isinstance(r, Circle)]
    assert len(names) == 3
    for i, one in enumerate(names):
        others: list[PageBox] = [*names[:i], *props]
        assert not any(one.overlaps(other) for other in others)


def test_a_name_that_has_to_stand_away_from_its_point_has_a_line_to_it() -> None:
    # Supplies and controllers side by side in one cabinet leave no room for every name.
    marks = tuple(YardMark(f"supply-{n}", 0.1 * n, 0.0, supply=True) for n in range(5))
    drawing = yard(YardPicture("Yard", SPOTS, (), marks))
    boxes = {r.text: record_box(r) for r in drawing.records if isinstance(r, Text) and r.text.startswith("supply-")}
    squares = [r for r in drawing.records if isinstance(r, Rect) and r.role == "box"]
    leaders = [r for r in drawing.records if isinstance(r, Line) and r.role == "leader"]
    assert 0 < len(leaders) < 5
    for square, (_, box) in zip(squares, sorted(boxes.items()), strict=True):
        x, y = square.x + square.width / 2, square.y + square.height / 2
        away = np.hypot(max(box.left - x, 0.0, x - box.right), max(box.top - y, 0.0, y - box.bottom))
        led = [r for r in leaders if np.hypot(r.x2 - x, r.y2 - y) <= 1.0 + 1e-9]
        assert bool(led) == bool(away > 2.4)


def test_at_night_a_prop_twice_as_bright_is_brighter_where_it_hangs_and_far_away_it_is_dark() -> None:
    spots = (YardProp(0.0, 2.0, 0.07, (9.5, 10.0, 10.9)), YardProp(10.0, 2.0, 0.07, (19.0, 20.0, 21.8)))
    drawing = yard(picture(*spots), night=True)
    image = next(r for r in drawing.records if isinstance(r, Image))
    pixels = np.frombuffer(image.pixels, dtype=np.uint8).reshape(image.rows, image.columns, 3).astype(int)
    day = [r for r in yard(picture(*spots)).records if isinstance(r, Circle)]
    seen = []
    for one in day:
        row = round((one.y - image.y) / image.height * image.rows)
        column = round((one.x - image.x) / image.width * image.columns)
        seen.append(int(pixels[row, column, 1]))
    assert seen[1] > seen[0] > 100
    assert pixels[3, 3].max() < 25
    assert "Computed luminance" in " ".join(r.text for r in drawing.records if isinstance(r, Text))


def test_a_yard_without_a_prop_is_refused() -> None:
    with pytest.raises(ValueError, match="without a prop"):
        yard(picture())
