"""Lengths and masses in the words that a hand measures by."""

import pytest

from hollowglow.book.measures import Measures
from hollowglow.quantity.reader import Units


@pytest.mark.parametrize(
    ("length_m", "units", "words"),
    [
        (0.3048, "us", "1 ft"),
        (0.0254, "us", "1 in"),
        (0.003175, "us", "1/8 in"),
        (0.0, "us", "0 in"),
        (0.3048 * 6 + 0.0254 * 2.5, "us", "6 ft 2 1/2 in"),
        (0.9999, "metric", "1.00 m"),
        (0.25, "metric", "250 mm"),
        (1.8288, "both", "1.83 m / 6 ft"),
    ],
)
def test_runs(length_m: float, units: Units, words: str) -> None:
    assert Measures(units).run(length_m) == words


def test_small_lengths_masses_and_drills() -> None:
    both, metric, us = Measures("both"), Measures("metric"), Measures("us")
    assert both.small(0.0127) == "12.7 mm / 0.50 in"
    assert us.mass(0.45359237) == "1.00 lb"  # the international pound
    assert metric.mass(0.2264) == "226 g"
    assert both.drill("13 mm", "1/2 in") == "13 mm or 1/2 in"
    assert us.drill("13 mm", None) == "13 mm"
    assert metric.drill("13 mm", "1/2 in") == "13 mm"
