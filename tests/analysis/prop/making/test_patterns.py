"""Patterns of holes: the small ones by hand, and what holds for all of them."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.prop.inside import patterns


def apart(spots: np.ndarray) -> float:
    step = np.linalg.norm(spots[:, None] - spots[None], axis=2)
    np.fill_diagonal(step, np.inf)
    return float(step.min())


def web_round(spots: np.ndarray, radius: float, hole: float) -> float:
    edge = radius - np.linalg.norm(spots, axis=1).max() - hole / 2
    return float(min(edge, apart(spots) - hole)) if len(spots) > 1 else float(edge)


def web_rectangle(spots: np.ndarray, width: float, height: float, hole: float) -> float:
    edge = min(width / 2 - np.abs(spots[:, 0]).max(), height / 2 - np.abs(spots[:, 1]).max()) - hole / 2
    return float(min(edge, apart(spots) - hole)) if len(spots) > 1 else float(edge)


# A face of radius 50, holes of 10. n holes on a ring of radius r: 2 r sin(π/n) - 10 = 50 - r - 5.
@pytest.mark.parametrize(
    ("count", "web"),
    [
        (1, 45.0),
        (2, 80.0 / 3.0),  # three webs share 100 - 20
        (3, 55.0 / (1.0 + math.sqrt(3.0)) * math.sqrt(3.0) - 10.0),
        (4, 55.0 / (1.0 + math.sqrt(2.0)) * math.sqrt(2.0) - 10.0),
        (7, 17.5),  # five webs... three holes in line leave (100 - 30) / 4
    ],
)
def test_webs_on_a_round_face(count: int, web: float) -> None:
    spots = patterns.on_round(count, 50.0, 10.0)
    assert len(spots) == count
    assert web_round(spots, 50.0, 10.0) == pytest.approx(web)
    np.testing.assert_allclose(spots.mean(axis=0), [0.0, 0.0], atol=1e-9)


def test_six_on_a_round_face_are_five_round_one() -> None:
    spots = patterns.on_round(6, 50.0, 10.0)
    assert sorted(np.linalg.norm(spots, axis=1).round(6)) == pytest.approx([0.0] + [27.5] * 5)


# A square of 100, holes of 10: c holes in a row leave (100 - 10 c) / (c + 1).
@pytest.mark.parametrize(
    ("count", "web", "rows"),
    [(1, 45.0, [1]), (3, 80.0 / 3.0, [2, 1]), (4, 80.0 / 3.0, [2, 2]), (5, 17.5, [2, 1, 2]), (9, 17.5, [3, 3, 3])],
)
def test_webs_on_a_square_face(count: int, web: float, rows: list[int]) -> None:
    spots = patterns.on_rectangle(count, 100.0, 100.0, 10.0)
    assert web_rectangle(spots, 100.0, 100.0, 10.0) == pytest.approx(web)
    levels, counts = np.unique(spots[:, 1].round(6), return_counts=True)
    assert counts.tolist() == rows
    assert levels.mean() == pytest.approx(0.0, abs=1e-6)


def test_two_lie_along_the_longer_side_and_six_in_two_rows_of_three() -> None:
    assert patterns.on_rectangle(2, 60.0, 100.0, 10.0)[:, 0].tolist() == [0.0, 0.0]
    six = patterns.on_rectangle(6, 120.0, 80.0, 10.0)
    assert np.unique(six[:, 1].round(6), return_counts=True)[1].tolist() == [3, 3]


@given(st.integers(1, 40), st.floats(1.0, 12.0), st.floats(20.0, 200.0), st.floats(20.0, 200.0))
def test_a_face_of_the_least_size_has_the_least_web(count: int, hole: float, width: float, height: float) -> None:
    web = 2.0
    across = patterns.least_round_m(count, hole, web)
    spots = patterns.on_round(count, across / 2.0, hole)
    assert len(spots) == count
    assert web_round(spots, across / 2.0, hole) == pytest.approx(web, abs=1e-6)
    wide, high = patterns.least_rectangle_m(count, width, height, hole, web)
    wide, high = max(wide, width), max(high, height)
    assert web_rectangle(patterns.on_rectangle(count, wide, high, hole), wide, high, hole) >= web - 1e-6


@given(st.integers(2, 60), st.floats(1.0, 40.0))
def test_things_side_by_side_touch_and_do_not_overlap(count: int, pitch: float) -> None:
    assert apart(patterns.tight(count, pitch)) >= pitch * (1 - 1e-9)


def test_seven_pack_as_a_hexagon_does() -> None:
    # Six coins fit round a seventh: the whole is three diameters across.
    spots = patterns.tight(7, 12.0)
    assert np.linalg.norm(spots, axis=1).max() == pytest.approx(12.0)


def test_a_thousand_holes_are_placed() -> None:
    assert len(patterns.on_round(1000, 500.0, 5.0)) == 1000
    assert patterns.on_round(0, 50.0, 10.0).shape == (0, 2)
    assert patterns.on_rectangle(0, 50.0, 50.0, 10.0).shape == (0, 2)
