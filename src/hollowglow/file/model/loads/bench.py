"""Readings of a light on the bench as arrays, and what of a characteristic is to be fitted to them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

LEAST = 1e-9


@dataclass(frozen=True)
class Bench:
    """Readings as arrays: voltage (V), which colours are on (n, c), current (A), last digit (A)."""

    volts: Floats
    mix: Floats
    amps: Floats
    step_a: Floats

    @property
    def colours(self) -> int:
        """Return how many colours the light has."""
        return int(self.mix.shape[1])


@dataclass(frozen=True)
class Model:
    """One characteristic before it is fitted; parameters stand in one row, those of a colour side by side.

    Attributes:
        characteristic: its class.
        keys: key of each parameter in a display file.
        colour: colour of each parameter, -1 where it belongs to the light.
        units: unit of each.
        start: where the fit starts.
        low, high: bounds.
        fallback: what a parameter is where the readings do not tell it.
        known: whether that comes from the catalogue.
        hinted: parameters that some reading can tell at all; the others are not fitted.
        give_up: order in which parameters are given up where the readings are too few.
        current: current of one light (A) from (parameters, bench).
        rest: further keys of the load that are not fitted, each with its value and unit.
        brackets: the values between which readings leave one of these.
    """

    characteristic: str
    keys: tuple[str, ...]
    colour: tuple[int, ...]
    units: tuple[str, ...]
    start: Floats
    low: Floats
    high: Floats
    fallback: Floats
    known: Flags
    hinted: Flags
    give_up: tuple[int, ...]
    current: Callable[[Floats, Bench], Floats]
    rest: dict[str, tuple[float, str]]
    brackets: dict[str, tuple[float, float]] = field(default_factory=dict)


def own_readings(bench: Bench, idle_a: float, colour: int) -> tuple[Floats, Floats]:
    """Return voltages and net currents of the readings that tell most of one colour."""
    alone = (bench.mix[:, colour] > 0.0) & (bench.mix.sum(axis=1) == 1.0)
    if not alone.any():
        alone = bench.mix[:, colour] > 0.0
    share = bench.mix[alone].sum(axis=1)
    return bench.volts[alone], np.maximum(bench.amps[alone] - idle_a, 0.0) / share


def idle_current(bench: Bench, stated_a: float) -> float:
    """Return the idle current to start from, A: what a reading with all colours off tells, else what is stated."""
    off = bench.mix.sum(axis=1) == 0.0
    if off.any():
        return float(np.median(bench.amps[off]))
    return min(stated_a, float(bench.amps.min()))
