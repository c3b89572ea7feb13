"""One characteristic fitted to readings: least squares, confidence limits, and which parameters the readings cannot tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares
from scipy.stats import t as student

from hollowglow.assembly.tables import Flags, Floats, Ints
from hollowglow.file.model.loads.bench import Bench, Model

CONFIDENCE = 0.95
_RANK = 1e-6
_STEP = 1e-6


@dataclass(frozen=True)
class CharacteristicFit:
    """A fitted characteristic.

    Attributes:
        model: the characteristic.
        values: its parameters.
        told: which of them the readings tell, shape (p,).
        half: half widths of their 95 % limits, NaN where there is none.
        residual_a: reading less characteristic, A, shape (n,).
        deviation_a: standard deviation of the readings about the characteristic, A; NaN where they are too few to tell.
        aicc: Akaike's criterion corrected for few readings, infinite where they are too few for it.
    """

    model: Model
    values: Floats
    told: Flags
    half: Floats
    residual_a: Floats
    deviation_a: float
    aicc: float


def fit(model: Model, bench: Bench, robust: bool = False) -> CharacteristicFit:
    """Return a characteristic fitted to readings.

    A parameter that no reading depends on, or that they cannot tell apart from others, is given up: it falls back to
    what the catalogue says. The limits are those of Student's t with the covariance of the linearised problem. The
    deviation is never taken as less than rounding to the last digit gives (a width of one step, so step/sqrt(12)).

    Args:
        model: the characteristic.
        bench: the readings.
        robust: give readings far away little weight, so that they stand out; the limits then mean nothing.

    Source: D. M. Bates and D. G. Watts, Nonlinear Regression Analysis (1988), 2.2; C. M. Hurvich and C.-L. Tsai,
    Biometrika 76 (1989) 297 (AICc).
    """
    values = model.start.copy()
    free = model.hinted.copy()
    values[~free] = model.fallback[~free]
    n = len(bench.amps)
    scale = np.maximum(np.abs(model.start), 1e-3 * max(float(bench.amps.max(initial=0.0)), 1e-6))
    while True:
        values = _least(model, bench, values, free, scale, robust)
        slopes = _slopes(model, bench, values, scale)[:, free]
        drop = _give_up(model, slopes, np.flatnonzero(free), n)
        if drop is None:
            break
        free[drop] = False
        values[drop] = model.fallback[drop]
        if not free.any():
            slopes = slopes[:, :0]
            break
    residual = bench.amps - model.current(values, bench)
    k = int(free.sum())
    floor = float((bench.step_a**2).sum()) / 12.0
    squares = max(float((residual**2).sum()), floor)
    deviation = float(np.sqrt(squares / (n - k))) if n > k else np.nan
    half = np.full(len(values), np.nan)
    if n > k > 0:
        covariance = np.linalg.inv(slopes.T @ slopes) * deviation**2
        width = student.ppf(0.5 + 0.5 * CONFIDENCE, n - k)
        half[free] = width * np.sqrt(np.diag(covariance)) * scale[free]
    all_k = k + 1  # the deviation itself is one more
    few = n - all_k - 1
    aicc = n * float(np.log(squares / n)) + 2 * all_k + (2 * all_k * (all_k + 1) / few if few > 0 else np.inf)
    return CharacteristicFit(model, values, free, half, residual, deviation, aicc)


def _least(model: Model, bench: Bench, values: Floats, free: Flags, scale: Floats, robust: bool) -> Floats:
    if not free.any():
        return values
    unit = max(float(bench.amps.max(initial=0.0)), 1e-9) * 1e-3
    made = values.copy()

    def misses(moved: Floats) -> Floats:
        made[free] = moved * scale[free]
        missed: Floats = (model.current(made, bench) - bench.amps) / unit
        return missed

    low, high = model.low[free] / scale[free], model.high[free] / scale[free]
    start = np.clip(values[free] / scale[free], low, high)
    found = least_squares(
        misses,
        start,
        bounds=(low, high),
        xtol=1e-11,
        ftol=1e-11,
        gtol=1e-11,
        max_nfev=100,
        loss="soft_l1" if robust else "linear",
    )
    result = values.copy()
    result[free] = found.x * scale[free]
    return result


def _slopes(model: Model, bench: Bench, values: Floats, scale: Floats) -> Floats:
    """Return the derivatives of the currents by the scaled parameters, by central differences, shape (n, p)."""
    slopes = np.empty((len(bench.amps), len(values)))
    for at in range(len(values)):
        step = np.zeros(len(values))
        step[at] = _STEP * scale[at]
        slopes[:, at] = (model.current(values + step, bench) - model.current(values - step, bench)) / (2.0 * _STEP)
    return slopes


def _give_up(model: Model, slopes: Floats, at: Ints, n: int) -> int | None:
    """Return a parameter that the readings do not tell, None where they tell all that are left."""
    sizes = np.linalg.norm(slopes, axis=0)
    if sizes.max(initial=0.0) == 0.0:
        return int(at[0]) if len(at) else None
    order = [p for p in model.give_up if p in at] or [int(p) for p in at]
    idle = [p for p in order if sizes[list(at).index(p)] <= _RANK * sizes.max()]
    if idle:
        return idle[0]
    if len(at) > n:
        return order[0]
    _, singular, rows = np.linalg.svd(slopes / sizes, full_matrices=False)
    if singular[-1] > _RANK * singular[0]:
        return None
    part = np.abs(rows[-1])
    return next((p for p in order if part[list(at).index(p)] > 0.1), order[0])
