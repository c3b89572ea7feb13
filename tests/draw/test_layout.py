"""Words: their boxes, and moving them apart."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.draw.sheet.layout import PageBox, fit_text, record_box, spread, stack_rows, text_width
from hollowglow.draw.sheet.records import Text

places = st.lists(st.floats(0.0, 100.0), min_size=1, max_size=12)


@given(places, st.floats(0.1, 5.0))
def test_spread_labels_are_apart_in_order_and_inside(wanted: list[float], gap: float) -> None:
    placed = spread(wanted, gap, 0.0, 100.0)
    order = sorted(range(len(wanted)), key=lambda index: (wanted[index], index))
    assert all(placed[b] - placed[a] >= gap - 1e-9 for a, b in pairwise(order))
    assert all(-1e-9 <= place <= 100.0 + 1e-9 for place in placed)


def test_labels_that_are_apart_already_stay_where_they_are() -> None:
    assert spread([30.0, 10.0, 20.0], 4.0, 0.0, 40.0) == pytest.approx([30.0, 10.0, 20.0])


def test_two_labels_on_one_spot_part_evenly() -> None:
    assert spread([10.0, 10.0], 4.0, 0.0, 40.0) == pytest.approx([8.0, 12.0])


@given(st.lists(st.tuples(st.floats(0.0, 100.0), st.floats(1.0, 40.0)), max_size=12))
def test_flags_cover_no_flag_and_no_pole(flags: list[tuple[float, float]]) -> None:
    spans = [(pole, pole + width) for pole, width in flags]
    rows = stack_rows(spans)
    for one, (pole, right) in enumerate(spans):
        for other, (other_pole, _) in enumerate(spans):
            if one != other and pole < other_pole <= right:
                assert rows[one] > rows[other]
    same = [(row, pole) for row, (pole, _) in zip(rows, spans, strict=True)]
    assert len(set(same)) == len(same)


@pytest.mark.parametrize(("anchor", "left"), [("start", 10.0), ("middle", 4.5), ("end", -1.0)])
def test_a_text_box_follows_its_anchor(anchor: str, left: float) -> None:
    box = record_box(Text(10.0, 5.0, "four", 5.0, "label", anchor))  # type: ignore[arg-type]
    assert box.left == pytest.approx(left)
    assert box.right - box.left == pytest.approx(0.55 * 5.0 * 4)


@given(st.text(max_size=40), st.floats(3.0, 60.0))
def test_fitted_text_fits_and_short_text_is_left_alone(text: str, width: float) -> None:
    fitted = fit_text(text, width, 3.0)
    assert text_width(fitted, 3.0) <= max(width, text_width("…", 3.0))
    if not any(letter.isupper() or letter == "@" for letter in text):
        assert fitted == text or text_width(text, 3.0) > width
    assert fitted == text or 1.8 * text_width(text, 3.0) > width


def test_capitals_are_given_the_room_that_they_take() -> None:
    # In common sans-serif faces W is 0.94 of the size wide and an ellipsis 1.0; small letters are 0.5 on average.
    shown = fit_text("W" * 40, 38.0, 3.0)
    assert shown.endswith("…")
    assert 0.94 * 3.0 * (len(shown) - 1) + 3.0 <= 38.0
    assert fit_text("w" * 20, 38.0, 3.0) == "w" * 20


def test_a_segment_crosses_a_box_or_passes_it() -> None:
    box = PageBox(1.0, 1.0, 3.0, 2.0)
    assert box.crossed_by((0.0, 0.0, 4.0, 3.0))
    assert box.crossed_by((2.0, -5.0, 2.0, 5.0))
    assert not box.crossed_by((0.0, 0.0, 0.5, 0.5))
    assert not box.crossed_by((0.0, 3.0, 4.0, 3.0))
