"""Ticks: steps of 1, 2 or 5, few enough, evenly apart, inside the range."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hollowglow.draw.sheet.axes import Scale, domain, tick_label, tick_step, ticks

spans = st.floats(1e-9, 1e9)
counts = st.integers(1, 20)


@given(spans, counts)
def test_a_step_is_1_2_or_5_times_a_power_of_ten(span: float, parts: int) -> None:
    digits = f"{tick_step(span, parts):.12e}"
    assert float(digits.split("e")[0]) in (1.0, 2.0, 5.0)


@given(spans, counts)
def test_a_step_cuts_the_span_into_at_most_the_parts_and_not_far_fewer(span: float, parts: int) -> None:
    step = tick_step(span, parts)
    assert span / step <= parts * (1 + 1e-6)
    assert span / step > parts / 2.5 * (1 - 1e-6)


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), counts)
def test_ticks_rise_by_one_step_inside_the_range(low: float, span: float, parts: int) -> None:
    high = low + span
    assume(high > low)
    step = tick_step(high - low, parts)
    found = ticks(low, high, parts)
    assert all(low - 1e-6 * step <= value <= high + 1e-6 * step for value in found)
    assert all(b - a == pytest.approx(step, rel=1e-5) for a, b in pairwise(found))
    assert len(found) <= parts + 1
    assert not found or (found[0] - low < step * (1 + 1e-6) and high - found[-1] < step * (1 + 1e-6))


@given(st.floats(-1e3, 1e3), st.floats(0.01, 1e3), counts)
def test_no_two_ticks_share_a_label(low: float, span: float, parts: int) -> None:
    step = tick_step(span, parts)
    labels = [tick_label(value, step) for value in ticks(low, low + span, parts)]
    assert len(set(labels)) == len(labels)


def test_ticks_include_both_ends_of_a_round_range() -> None:
    assert ticks(0.0, 0.3, 3) == (0.0, 0.1, 0.2, 0.3)
    assert ticks(-10.0, 10.0, 4) == (-10.0, -5.0, 0.0, 5.0, 10.0)


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [(12.0, 0.5, "12.0"), (-0.0, 1.0, "0"), (-2.5, 0.5, "−2.5"), (1200.0, 200.0, "1200")],
)
def test_labels_have_the_decimals_of_their_step(value: float, step: float, text: str) -> None:
    assert tick_label(value, step) == text


@pytest.mark.parametrize(("span", "parts"), [(0.0, 5), (-1.0, 5), (math.inf, 5), (math.nan, 5), (1.0, 0)])
def test_a_step_for_nothing_is_refused(span: float, parts: int) -> None:
    with pytest.raises(ValueError, match=r"expected both above zero$"):
        tick_step(span, parts)


def test_a_scale_maps_its_ends_and_its_middle() -> None:
    up = Scale(9.0, 12.0, 80.0, 20.0)
    assert (up.at(9.0), up.at(10.5), up.at(12.0)) == (80.0, 50.0, 20.0)


def test_a_scale_over_nothing_is_refused() -> None:
    with pytest.raises(
        ValueError, match=r"^a scale from 1\.0 to 1\.0 was asked for, expected finite and rising values$"
    ):
        Scale(1.0, 1.0, 0.0, 10.0)


@given(st.lists(st.floats(-1e6, 1e6) | st.just(math.nan), min_size=1), st.floats(1e-3, 10.0))
def test_a_domain_holds_all_finite_values_and_its_least_span(values: list[float], least: float) -> None:
    finite = [value for value in values if math.isfinite(value)]
    assume(finite)
    low, high = domain(values, least)
    assert all(low <= value <= high for value in finite)
    assert high - low >= least * (1 - 1e-6)


def test_a_domain_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match=r"expected at least one$"):
        domain([math.nan], 1.0)
