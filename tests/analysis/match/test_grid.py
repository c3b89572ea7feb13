"""What a controller can be told, against every setting that there is."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.analysis.match.grid import SettingGrid, fade, level_for, quantised, steps_left
from hollowglow.analysis.match.white import channels, difference
from hollowglow.file.model.setting import LINEAR, Curve
from hollowglow.physics.colour import GENERIC_XY

CURVES = st.sampled_from([LINEAR, Curve(2.2), Curve(1.8)])
XY = np.array(GENERIC_XY[:3])


@given(st.sampled_from([20, 100, 255]), CURVES, st.floats(0.5, 200.0), st.floats(0.01, 300.0))
def test_no_setting_is_nearer_than_the_one_that_is_named(steps: int, curve: Curve, full: float, wanted: float) -> None:
    grid = SettingGrid(steps, curve)
    named = level_for(grid, full, wanted)
    every = [abs(full * (n / steps) ** curve.gamma - wanted) for n in range(1, steps + 1)]
    assert 1 <= named <= steps
    assert abs(full * grid.duty(named) - wanted) == pytest.approx(min(every), rel=1e-9, abs=1e-12)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(0.5, 20.0), min_size=3, max_size=3),
    st.lists(st.floats(0.4, 1.0), min_size=3, max_size=3),
    st.integers(0, 2),
    CURVES,
)
def test_level_and_trims_are_the_best_of_all_that_can_be_typed(
    amounts: list[float], trims: list[float], top: int, curve: Curve
) -> None:
    grid = SettingGrid(20, curve)
    columns = channels(np.array(amounts), XY)
    wanted = np.array(trims)
    wanted[top] = 1.0
    duty = 0.8 * wanted
    target = columns @ duty
    level, found = quantised(grid, columns, duty, target)
    ours = float(difference(grid.duty(level) * columns @ [grid.duty(t) for t in found], target))
    table = grid.duties()
    pairs = np.array(list(product(range(21), repeat=2)))
    every = np.insert(pairs, int(np.argmax(duty)), 20, axis=1)
    mixed = table[every] @ columns.T
    brute = min(float(difference(table[n] * mixed, target).min()) for n in range(1, 21))
    assert ours == pytest.approx(brute, abs=1e-9)
    assert max(found) == 20


@given(st.integers(0, 255))
def test_a_linear_level_leaves_as_many_steps_as_it_has_255ths(n: int) -> None:
    # Closed form: round(255 duty), as every value between is passed.
    assert steps_left(n / 255, LINEAR) == n


def test_a_fade_by_hand() -> None:
    # At 2 % the chip has 5.1 steps of 1/255 to give: it ends at 5, and each of them is used.
    assert steps_left(0.02, LINEAR) == 5
    assert sorted(set((255 * fade(0.02, LINEAR)).round().astype(int).tolist())) == [0, 1, 2, 3, 4, 5]


@given(st.floats(0.0, 1.0), CURVES)
def test_a_fade_rises_from_dark_to_the_level(duty: float, curve: Curve) -> None:
    made = fade(duty, curve)
    assert made[0] == 0.0
    assert (np.diff(made) >= 0.0).all()
    assert made[-1] == pytest.approx(duty, abs=0.5 / 255 + 1e-12)


def test_a_gamma_curve_leaves_fewer_steps_than_a_straight_one() -> None:
    # Counted one by one: (k/255)^2.2 in 255ths, rounded half up.
    counted = len({int(255 * (k / 255) ** 2.2 + 0.5) for k in range(256)}) - 1
    assert steps_left(1.0, Curve(2.2)) == counted < 255
