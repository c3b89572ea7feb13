"""What all lights of a display draw in many frames at once: the characteristics of physics.loads, one kind after the other.

With the duties known, most of a law is a number: a saturated sink draws a fixed current, a conducting ballast lies on a
straight line, a running switching driver takes a fixed power. Only where a voltage leaves that range is the law itself
worked out, so the common case costs a few operations for each light and frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Floats, Ints, LoadCharacteristics
from hollowglow.physics.loads import CONSTANT_CURRENT, IDLE_RAMP_V, RESISTOR


@dataclass(frozen=True)
class _Kind:
    """One kind's law: rows of its lights, and its parameters as numbers or by colour."""

    rows: Ints | slice
    code: int
    idle_a: float
    full_a: Floats
    turn_on_v: Floats
    saturation_v: float
    forward_v: Floats
    siemens: Floats
    power_w: Floats
    cutoff_v: float

    def share(self, colour: int, v: Floats) -> Floats | float:
        """Return how much of its full current (or power) a colour takes at these voltages; a ballast's is in A."""
        if self.code == CONSTANT_CURRENT:
            u = np.clip((v - self.turn_on_v[colour]) / self.saturation_v, 0.0, 1.0)
            return np.asarray(u * (2.0 - u))
        if self.code == RESISTOR:
            return np.asarray(self.siemens[colour] * np.maximum(v - self.forward_v[colour], 0.0))
        return np.asarray(v >= self.cutoff_v, dtype=np.float64)


class Lamps:
    """The lights of a network, ready to be evaluated at any duties; the last axis counts the frames."""

    def __init__(self, characteristics: LoadCharacteristics, characteristic: Ints, count: Floats) -> None:
        """Sort the lights by kind.

        Args:
            laws: the table of laws.
            law: row of each light in it, shape (L,).
            count: equal nodes at each light, shape (L,).
        """
        self.count = count[:, None]
        self.kinds = [
            _Kind(
                rows=together(np.flatnonzero(characteristic == k)),
                code=int(characteristics.code[k]),
                idle_a=float(characteristics.idle_a[k]),
                full_a=characteristics.full_a[k],
                turn_on_v=characteristics.turn_on_v[k],
                saturation_v=float(characteristics.saturation_v[k]),
                forward_v=characteristics.series[k] * characteristics.forward_v[k],
                siemens=characteristics.parallel[k] / characteristics.resistor_ohm[k],
                power_w=characteristics.power_w[k] / characteristics.efficiency[k],
                cutoff_v=float(characteristics.cutoff_v[k]),
            )
            for k in np.unique(characteristic).tolist()
        ]

    def at(self, duty: Floats) -> LitLamps:
        """Return the lights at the duties of some frames, shape (4, L, D)."""
        flat = np.zeros(duty.shape[1:])
        slope = np.zeros_like(flat) if any(k.code == RESISTOR for k in self.kinds) else None
        for kind in self.kinds:
            own = duty[:, kind.rows]
            if kind.code == CONSTANT_CURRENT:
                flat[kind.rows] = np.tensordot(kind.full_a, own, 1)
            elif kind.code == RESISTOR:
                assert slope is not None
                slope[kind.rows] = np.tensordot(kind.siemens, own, 1)
                flat[kind.rows] = -np.tensordot(kind.siemens * kind.forward_v, own, 1)
            else:
                flat[kind.rows] = np.tensordot(kind.power_w, own, 1)
        return LitLamps(self, duty, flat, slope)


def together(rows: Ints) -> Ints | slice:
    """Return rows as a slice where they lie together, which saves copies."""
    if len(rows) and int(rows[-1] - rows[0]) == len(rows) - 1:
        return slice(int(rows[0]), int(rows[-1]) + 1)
    return rows


@dataclass(frozen=True)
class LitLamps:
    """Lights at the duties of some frames.

    Attributes:
        lamps: the lights.
        duty: of each colour, shape (4, L, D).
        flat: of one node: current of a saturated sink (A), of a conducting ballast at 0 V (A, negative), power of a
            switching driver (W), shape (L, D).
        slope: conductance of a ballast with all colours conducting, S, shape (L, D); None where there is none.
    """

    lamps: Lamps
    duty: Floats
    flat: Floats
    slope: Floats | None

    def keep(self, frames: Ints) -> LitLamps:
        """Return the lights in some of the frames."""
        slope = self.slope[:, frames] if self.slope is not None else None
        return LitLamps(self.lamps, self.duty[:, :, frames], self.flat[:, frames], slope)

    def node(self, v: Floats) -> tuple[Floats, Floats]:
        """Return current (A) and slope (S) of one node at voltages of shape (L, D), idle current included.

        A switching driver counts as running: below its cutoff the hyperbola goes on to half of it, so that a frame in
        which one stays there is seen and not smoothed over.
        """
        current, slope = np.empty_like(v), np.zeros_like(v)
        for kind in self.lamps.kinds:
            rows = kind.rows
            own = v[rows]
            lowest = float(own.min(initial=np.inf))
            if kind.code == CONSTANT_CURRENT:
                current[rows], slope[rows] = self._constant_current(kind, own, lowest)
            elif kind.code == RESISTOR:
                current[rows], slope[rows] = self._resistor(kind, own, lowest)
            else:
                held = np.maximum(own, 0.5 * kind.cutoff_v)
                drawn = self.flat[rows] / held
                current[rows], slope[rows] = drawn, -drawn / held
            if kind.idle_a > 0.0:
                ramp = 1.0 if lowest >= IDLE_RAMP_V else np.clip(own / IDLE_RAMP_V, 0.0, 1.0)
                current[rows] += kind.idle_a * ramp
                if lowest < IDLE_RAMP_V:
                    slope[rows] += np.where((own >= 0.0) & (own < IDLE_RAMP_V), kind.idle_a / IDLE_RAMP_V, 0.0)
        return current, slope

    def _constant_current(self, kind: _Kind, v: Floats, lowest: float) -> tuple[Floats, Floats | float]:
        if lowest >= float(kind.turn_on_v.max()) + kind.saturation_v:
            return self.flat[kind.rows], 0.0
        current, slope = np.zeros_like(v), np.zeros_like(v)
        for c in np.flatnonzero(kind.full_a).tolist():
            full = self.duty[c][kind.rows] * kind.full_a[c]
            u = np.clip((v - kind.turn_on_v[c]) / kind.saturation_v, 0.0, 1.0)
            current += full * u * (2.0 - u)
            slope += np.where(u > 0.0, full * 2.0 * (1.0 - u) / kind.saturation_v, 0.0)
        return current, slope

    def _resistor(self, kind: _Kind, v: Floats, lowest: float) -> tuple[Floats, Floats]:
        assert self.slope is not None
        if lowest >= float(kind.forward_v.max()):
            slope = self.slope[kind.rows]
            return self.flat[kind.rows] + slope * v, slope
        current, slope = np.zeros_like(v), np.zeros_like(v)
        for c in np.flatnonzero(kind.siemens).tolist():
            own = self.duty[c][kind.rows] * kind.siemens[c]
            over = v - kind.forward_v[c]
            current += own * np.maximum(over, 0.0)
            slope += np.where(over > 0.0, own, 0.0)
        return current, slope

    def running(self, v: Floats) -> np.ndarray:
        """Return which frames have every lit switching driver at or above its cutoff, shape (D,)."""
        fine = np.ones(v.shape[1], dtype=bool)
        for kind in self.lamps.kinds:
            if kind.power_w.any():
                fine &= ((v[kind.rows] >= kind.cutoff_v) | (self.flat[kind.rows] == 0.0)).all(axis=0)
        return fine

    def light(self, v: Floats, nominal_v: Floats, flux_lm: Floats) -> tuple[Floats, Floats]:
        """Return the light of each lamp as its voltage leaves it, and as it would be at its nominal voltage, lm.

        Args:
            v: voltage across each lamp, V, shape (L, D).
            nominal_v: its nominal voltage, V, shape (L,).
            flux_lm: of each colour of one node at full duty and nominal voltage, lm, shape (L, 4).
        """
        left, full = np.zeros_like(v), np.zeros_like(v)
        for kind in self.lamps.kinds:
            rows = kind.rows
            for c in range(self.duty.shape[0]):
                nominal = np.asarray(kind.share(c, nominal_v[rows]))
                weight = np.where(nominal > 0.0, flux_lm[rows, c] * self.lamps.count[rows, 0], 0.0)
                if not weight.any() or not (kind.full_a[c] or kind.siemens[c] or kind.power_w[c]):
                    continue
                asked = self.duty[c][rows] * weight[:, None]
                full[rows] += asked
                left[rows] += asked * (kind.share(c, v[rows]) / np.where(nominal > 0.0, nominal, 1.0)[:, None])
        return left, full
