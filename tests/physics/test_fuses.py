"""Opening times of blade fuses against the time-current points of ISO 8820-3."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.physics.fuses import multiple_for, opening_times_s

# ISO 8820-3, type C as published for 35 A and 40 A: multiple, shortest and longest time to open, s.
TYPE_C = [(1.35, 0.75, 600.0), (1.60, 0.25, 50.0), (2.00, 0.15, 5.0), (3.50, 0.08, 0.5)]
# ISO 8820-3, type E.
TYPE_E = [(1.35, 60.0, 1800.0), (2.00, 2.0, 50.0), (3.50, 0.2, 7.0), (6.00, 0.04, 1.0)]


@pytest.mark.parametrize(("rating", "points"), [(5.0, TYPE_C), (40.0, TYPE_C), (60.0, TYPE_E)])
def test_a_fuse_opens_at_the_times_of_the_standard(rating: float, points: list[tuple[float, float, float]]) -> None:
    for multiple, shortest, longest in points:
        after, within = opening_times_s(multiple, rating)
        assert (float(after), float(within)) == pytest.approx((shortest, longest), rel=1e-9)


def test_a_blade_fuse_opens_within_150_ms_from_six_times_its_rating_on() -> None:
    # ISO 8820-3, type C: 600 %, at most 0.15 s.
    assert float(opening_times_s(6.0, 10.0)[1]) == pytest.approx(0.15)
    assert float(opening_times_s(60.0, 10.0)[1]) == pytest.approx(0.15)


def test_below_135_percent_it_need_not_open_and_at_its_rating_it_holds_for_100_hours() -> None:
    assert np.isinf(opening_times_s(1.349, 5.0)[1])
    assert float(opening_times_s(1.0, 5.0)[0]) == pytest.approx(360_000.0)  # ISO 8820-3: 100 h at 100 %
    assert np.isinf(opening_times_s(0.99, 5.0)[0])


def test_between_two_points_the_time_lies_on_a_straight_line_in_double_logarithms() -> None:
    middle = np.sqrt(2.0 * 3.5)
    assert float(opening_times_s(middle, 5.0)[1]) == pytest.approx(np.sqrt(5.0 * 0.5), rel=1e-12)


@given(st.floats(1.35, 6.0), st.sampled_from([1.0, 7.5, 30.0, 60.0]))
def test_the_multiple_for_a_time_gives_that_time(multiple: float, rating: float) -> None:
    within = float(opening_times_s(multiple, rating)[1])
    assert multiple_for(within, rating) == pytest.approx(multiple, rel=1e-6)


@given(st.floats(0.5, 40.0), st.floats(1.0, 1.5), st.sampled_from([2.0, 80.0]))
def test_more_current_never_opens_it_later_and_the_shortest_time_is_the_shorter(
    multiple: float, factor: float, rating: float
) -> None:
    after, within = opening_times_s(np.array([multiple, multiple * factor]), rating)
    assert (after <= within).all()
    assert after[1] <= after[0]
    assert within[1] <= within[0]


def test_a_time_shorter_than_any_is_never_kept() -> None:
    assert np.isinf(multiple_for(0.1, 5.0))
