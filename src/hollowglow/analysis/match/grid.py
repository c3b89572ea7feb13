"""What a controller can be told: the nearest setting to a wanted level and trims, and the fade that it leaves."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from hollowglow.analysis.match.white import difference
from hollowglow.assembly.tables import Floats, Ints
from hollowglow.file.model.setting import LINEAR, PERCENT, Curve

# How far round the exact answer settings are tried, in steps; what a show sends, and what a driver chip can do.
REACH = 4
SHOW = DRIVER = 255


@dataclass(frozen=True)
class SettingGrid:
    """The settings of a controller: n/steps for n from 0 to `steps`, and the duty that its curve makes of one."""

    steps: int = PERCENT
    curve: Curve = LINEAR

    def duties(self) -> Floats:
        """Return the duty of every setting, shape (steps + 1,)."""
        return np.asarray((np.arange(self.steps + 1) / self.steps) ** self.curve.gamma, dtype=np.float64)

    def around(self, duty: float, reach: int = REACH) -> Ints:
        """Return the settings within so many steps of a duty, never 0."""
        at = self.steps * self.curve.setting(min(max(duty, 0.0), 1.0))
        low, high = int(np.floor(at)) - reach + 1, int(np.ceil(at)) + reach - 1
        return np.arange(max(low, 1), max(min(high, self.steps), 1) + 1)

    def nearest(self, duty: float) -> int:
        """Return the setting whose duty is nearest, at least 1."""
        tried = self.around(duty)
        return int(tried[np.argmin(np.abs((tried / self.steps) ** self.curve.gamma - duty))])

    def duty(self, setting: int) -> float:
        """Return the duty of a setting."""
        return self.curve.duty(setting / self.steps)


def level_for(grid: SettingGrid, full: float, wanted: float) -> int:
    """Return the setting whose brightness is nearest to a wanted one, of a light that has `full` at full duty."""
    return grid.nearest(wanted / full) if full > 0.0 else grid.steps


def quantised(grid: SettingGrid, columns: Floats, duty: Floats, target_xyz: Floats) -> tuple[int, tuple[int, ...]]:
    """Return the settings of level and trims that come nearest to a target in ΔE*uv, one trim being full.

    Args:
        grid: of the controller.
        columns: tristimulus values of the channels at full duty, shape (3, c).
        duty: the exact duties, shape (c,), at most 1.
        target_xyz: what they make together, shape (3,).
    """
    top = int(np.argmax(duty))
    level = float(duty[top])
    choices = [
        np.array([grid.steps]) if i == top else grid.around(d / level) if d > 0.0 else np.array([0])
        for i, d in enumerate(duty.tolist())
    ]
    trims = np.array(list(product(*(c.tolist() for c in choices))), dtype=np.int64)
    table = grid.duties()
    mixed = table[trims] @ columns.T
    levels = grid.around(level)
    every = table[levels][:, None, None] * mixed
    best = int(np.argmin(difference(every, target_xyz)))
    row, column = divmod(best, len(trims))
    return int(levels[row]), tuple(int(v) for v in trims[column])


def fade(duty: float, curve: Curve) -> Floats:
    """Return the duty that a driver of 8 bits gives for every value of a show, 0 to 255, under a level.

    The controller scales the show's value by the setting of the level, and its curve makes the duty of that; the
    chip rounds it to 1/255.

    Args:
        duty: of the level (times a colour's trim) at full, 0 to 1.
        curve: of the controller.
    """
    wanted = duty * (np.arange(SHOW + 1) / SHOW) ** curve.gamma
    rounded: Floats = np.floor(DRIVER * wanted + 0.5) / DRIVER
    return rounded


def steps_left(duty: float, curve: Curve) -> int:
    """Return how many different duties above dark are left to fade with under a level."""
    return int(len(np.unique(fade(duty, curve))) - 1)
