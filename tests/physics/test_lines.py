"""Props set out along lines: pitch, count, copies and mirror images."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hollowglow.physics.lines import along, copy, fitting, marks_m, mirror, set_out, stops_m

COORDINATE = st.floats(-50.0, 50.0).map(lambda v: round(v, 3))
LINES = st.lists(st.tuples(COORDINATE, COORDINATE, COORDINATE), min_size=2, max_size=8)


def test_a_line_of_3_4_5_triangles_measures_as_euclid_says() -> None:
    line = [[0.0, 0.0], [3.0, 4.0], [3.0, 10.0], [11.0, 16.0]]
    assert marks_m(line).tolist() == [0.0, 5.0, 11.0, 21.0]
    assert along(line, [2.5, 8.0, 16.0]).tolist() == [[1.5, 2.0], [3.0, 7.0], [7.0, 13.0]]


def test_by_pitch_as_many_as_fit_and_by_count_evenly_to_the_end() -> None:
    line = [[0.0, 0.0], [3.0, 0.0], [3.0, 2.0]]
    assert set_out(line, pitch_m=1.2).tolist() == pytest.approx(
        np.array([[0, 0], [1.2, 0], [2.4, 0], [3, 0.6], [3, 1.8]])
    )
    assert set_out(line, count=3, start_m=1.0).tolist() == [[1.0, 0.0], [3.0, 0.0], [3.0, 2.0]]
    assert set_out(line, count=2, pitch_m=0.5, start_m=0.25).tolist() == [[0.25, 0.0], [0.75, 0.0]]
    assert set_out(line, count=1).tolist() == [[0.0, 0.0]]
    assert fitting(1.5, 0.5) == 4  # the end of the line counts


@given(line=LINES, pitch=st.floats(0.05, 5.0), share=st.floats(0.0, 0.9))
def test_set_out_by_pitch_neighbours_are_a_pitch_apart_along_the_line(
    line: list[tuple[float, ...]], pitch: float, share: float
) -> None:
    length = float(marks_m(line)[-1])
    assume(length > 0.1)
    stops = stops_m(length, pitch_m=pitch, start_m=share * length)
    assert np.diff(stops) == pytest.approx(np.full(len(stops) - 1, pitch), abs=2e-6)
    assert stops[-1] <= length < stops[-1] + pitch + 2e-6
    # Between two props the line itself, with its own points in between, is a pitch long.
    marks = marks_m(line)
    for a, b in pairwise(stops[:20].tolist()):
        way = along(line, np.concatenate([[a], marks[(marks > a) & (marks < b)], [b]]))
        assert marks_m(way)[-1] == pytest.approx(b - a, abs=1e-6)


@given(line=LINES, count=st.integers(1, 60), at=COORDINATE, by=st.tuples(COORDINATE, COORDINATE, COORDINATE))
def test_mirrored_and_copied_strings_keep_their_number_and_all_their_distances(
    line: list[tuple[float, ...]], count: int, at: float, by: tuple[float, ...]
) -> None:
    assume(float(marks_m(line)[-1]) > 0.1)
    spots = set_out(line, count=count)
    assert len(spots) == count
    for made in (mirror(spots, at), copy(spots, by), set_out(mirror(line, at), count=count)):
        assert np.linalg.norm(np.diff(made, axis=0), axis=1) == pytest.approx(
            np.linalg.norm(np.diff(spots, axis=0), axis=1), abs=1e-9
        )
    assert mirror(mirror(spots, at), at) == pytest.approx(spots, abs=1e-9)


def test_what_cannot_be_set_out_is_refused_with_what_fits() -> None:
    with pytest.raises(ValueError, match="has room for 3"):
        stops_m(1.0, count=4, pitch_m=0.5)
    with pytest.raises(ValueError, match="neither count nor pitch"):
        stops_m(1.0)
    with pytest.raises(ValueError, match="expected a place on it"):
        stops_m(1.0, count=1, start_m=1.5)
    with pytest.raises(ValueError, match="count 0"):
        stops_m(1.0, count=0)
    with pytest.raises(ValueError, match="a line has the shape"):
        marks_m([[0.0, 0.0]])
