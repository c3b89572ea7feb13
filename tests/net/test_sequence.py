"""The sequence rule is the standard's, in eight bits, wherever the counter stands."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.net.packets.sequence import is_old, step

# ANSI E1.31-2018 clause 6.7.2: discard if -20 < B - A <= 0 in signed arithmetic of eight bits. Worked out by hand.
DECISIONS = (
    (100, 101, 1, False),
    (100, 100, 0, True),
    (100, 81, -19, True),
    (100, 80, -20, False),
    (255, 0, 1, False),
    (0, 255, -1, True),
    (5, 245, -16, True),
    (10, 246, -20, False),
    (0, 128, -128, False),
)


@pytest.mark.parametrize(("last", "new", "ahead", "old"), DECISIONS)
def test_the_decisions_are_those_of_the_standard(last: int, new: int, ahead: int, old: bool) -> None:
    assert step(last, new) == ahead
    assert is_old(last, new) is old


def test_of_the_256_numbers_that_may_follow_twenty_are_old_wherever_the_counter_stands() -> None:
    for last in range(256):
        assert {new for new in range(256) if is_old(last, new)} == {(last - k) % 256 for k in range(20)}


@given(st.integers(0, 255), st.integers(0, 255))
def test_a_step_is_the_difference_as_a_signed_number_of_eight_bits(last: int, new: int) -> None:
    assert step(last, new) == int.from_bytes(((new - last) % 256).to_bytes(1, "big"), "big", signed=True)
