"""Measures that stand in both units, told in one of them."""

from __future__ import annotations

import pytest

from hollowglow.book.one_measure import one_measure


@pytest.mark.parametrize(
    ("text", "metric", "us"),
    [
        ("lead 4.1 m / 13.3 ft", "lead 4.1 m", "lead 13.3 ft"),
        (
            "2 holes of 12.8 mm (0.50 in) at the base",
            "2 holes of 12.8 mm at the base",
            "2 holes of 0.50 in at the base",
        ),
        ("drill 4 mm or 5/32 in.", "drill 4 mm.", "drill 5/32 in."),
        ("a hole saw of 35 mm or 1 3/8 in", "a hole saw of 35 mm", "a hole saw of 1 3/8 in"),
        ("1.26 m / 4 ft 1 5/8 in of it", "1.26 m of it", "4 ft 1 5/8 in of it"),
        ("226 g (8.0 oz), 1.71 kg / 3.78 lb", "226 g, 1.71 kg", "8.0 oz, 3.78 lb"),
        ("cable of 0.831 mm2 (16 AWG)", "cable of 0.831 mm2 (16 AWG)", "cable of 0.831 mm2 (16 AWG)"),
        ("3 m / s or 5 min", "3 m / s or 5 min", "3 m / s or 5 min"),
    ],
)
def test_a_measure_stands_in_the_wanted_units_only(text: str, metric: str, us: str) -> None:
    assert one_measure(text, "metric") == metric
    assert one_measure(text, "us") == us
    assert one_measure(text, "both") == text
