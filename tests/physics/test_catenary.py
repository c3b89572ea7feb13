"""Catenaries against the worked examples of two textbooks on statics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.physics.catenary import heights_m, length_m, parameter_from_length, parameter_from_sag, pulls_n, sag_m


def test_hibbeler_cable_of_5_n_per_m_over_20_m_with_6_m_of_sag() -> None:
    # R. C. Hibbeler, Statics, 7.4: H 45.9 N, length 24.2 m, greatest pull 75.9 N.
    c = parameter_from_sag(20.0, 6.0)
    level, first, second = pulls_n(c, 20.0, 5.0)
    assert (round(level, 1), round(length_m(c, 20.0), 1), round(first, 1)) == (45.9, 24.2, 75.9)
    assert second == pytest.approx(first, rel=1e-12)


def test_beer_and_johnston_cable_of_3_lb_per_ft_over_500_ft_with_100_ft_of_sag() -> None:
    # F. P. Beer, E. R. Johnston, Vector Mechanics for Engineers: Statics, 7.10, sample problem: c 328 ft, pulls
    # 984 lb and 1284 lb, length 550 ft.
    c = parameter_from_sag(500.0, 100.0)
    level, most, _ = pulls_n(c, 500.0, 3.0)
    assert [round(v) for v in (c, level, most, length_m(c, 500.0))] == [328, 984, 1284, 550]


# The same book, 7.127, 7.128, 7.130: length, sag, distance of the supports, with closed forms c = (s^2 - h^2)/2h
# for half the length s; supports 12.36 ft, 412 ft and 49.86 m apart.
@pytest.mark.parametrize(
    ("cable", "sag", "apart", "digits"), [(25.0, 10.0, 12.36, 2), (500.0, 125.0, 412.0, 0), (50.0, 1.642, 49.86, 2)]
)
def test_beer_and_johnston_distance_of_supports(cable: float, sag: float, apart: float, digits: int) -> None:
    c = ((cable / 2.0) ** 2 - sag**2) / (2.0 * sag)
    span = 2.0 * c * math.asinh(cable / 2.0 / c)
    assert round(span, digits) == apart
    assert parameter_from_sag(span, sag) == pytest.approx(c, rel=1e-9)
    assert parameter_from_length(span, cable) == pytest.approx(c, rel=1e-7)


def test_greatest_pulls_of_beer_and_johnston() -> None:
    # 7.127: 30 lb over 25 ft, greatest pull 15.38 lb (w times c + h); 7.128: 2.8 lb/ft, 875 lb.
    for cable, sag, weight, most in ((25.0, 10.0, 30.0 / 25.0, 15.375), (500.0, 125.0, 2.8, 875.0)):
        c = ((cable / 2.0) ** 2 - sag**2) / (2.0 * sag)
        assert pulls_n(c, 2.0 * c * math.asinh(cable / 2.0 / c), weight)[1] == pytest.approx(most, rel=1e-9)


def test_a_cable_of_1002_54_ft_over_1000_ft_sags_30_9_ft() -> None:
    # The parabola's sqrt(3/8 L (S - L)) gives 30.86 ft; the catenary 30.89 ft.
    sag = sag_m(parameter_from_length(1000.0, 1002.54), 1000.0)
    assert sag == pytest.approx(math.sqrt(0.375 * 1000.0 * 2.54), rel=2e-3)


@given(
    span=st.floats(0.2, 50.0),
    share=st.floats(1e-3, 0.6),
    slope=st.floats(-2.0, 2.0),
)
def test_between_unequal_hooks_the_curve_has_the_length_and_the_sag_that_it_claims(
    span: float, share: float, slope: float
) -> None:
    rise = slope * span
    c = parameter_from_sag(span, share * span, rise)
    x = np.linspace(0.0, span, 20_001)
    y, _ = heights_m(c, span, x, rise)
    scale = max(span, abs(rise))
    assert y[[0, -1]] == pytest.approx([0.0, rise], abs=1e-7 * scale)
    assert rise / 2.0 - y[10_000] == pytest.approx(share * span, abs=1e-7 * scale)
    measured = float(np.hypot(np.diff(x), np.diff(y)).sum())
    assert length_m(c, span, rise) == pytest.approx(measured, rel=1e-6)
    assert parameter_from_length(span, length_m(c, span, rise), rise) == pytest.approx(c, rel=1e-3)
    # Balance: the vertical parts of both pulls carry the weight.
    level, first, second = pulls_n(c, span, 1.0, rise)
    slopes = [y[1] - y[0], y[-1] - y[-2]]
    lifts = [math.sqrt(max(pull**2 - level**2, 0.0)) for pull in (first, second)]
    total = math.copysign(lifts[1], slopes[1]) - math.copysign(lifts[0], slopes[0])
    assert total == pytest.approx(measured, rel=1e-3, abs=1e-3 * scale)


def test_what_cannot_hang_is_refused() -> None:
    for sag in (0.0, 1e-9, 1e6):
        with pytest.raises(ValueError, match="a sag of"):
            parameter_from_sag(10.0, sag)
    with pytest.raises(ValueError, match="expected a longer one"):
        parameter_from_length(10.0, 10.0)
