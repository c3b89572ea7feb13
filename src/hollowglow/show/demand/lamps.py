"""What all lights of a display draw in many frames at once, one kind after the other.

With the duties known, most of a characteristic is a number: saturated it is a fixed current, with resistors a straight
line, with a running switching driver a fixed power. Only where a voltage leaves that range is the characteristic itself
worked out, so the common case costs a few operations for each light and frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Floats, Ints, LoadCharacteristics
from hollowglow.file.model.loads import CHARACTERISTICS, Lamp
from hollowglow.file.model.loads.characteristic import Lit
from hollowglow.physics.loads import IDLE_RAMP_V


@dataclass(frozen=True)
class _Kind:
    """The lights of one kind: their rows, their idle current, and their characteristic."""

    rows: Ints | slice
    idle_a: float
    lamp: Lamp


class FrameLamps:
    """The lights of a network, ready to be evaluated at any duties; the last axis counts the frames."""

    def __init__(self, characteristics: LoadCharacteristics, characteristic: Ints, count: Floats) -> None:
        """Sort the lights by kind.

        Args:
            characteristics: their table.
            characteristic: row of each light in it, shape (L,).
            count: equal nodes at each light, shape (L,).
        """
        self.count = count[:, None]
        self.kinds = [
            _Kind(
                rows=together(np.flatnonzero(characteristic == k)),
                idle_a=float(characteristics.idle_a[k]),
                lamp=CHARACTERISTICS[int(characteristics.code[k])].lamp(
                    {name: values[k] for name, values in characteristics.columns.items()}
                ),
            )
            for k in np.unique(characteristic).tolist()
        ]

    def at(self, duty: Floats) -> LitLamps:
        """Return the lights at the duties of some frames, shape (4, L, D)."""
        flat = np.zeros(duty.shape[1:])
        slope: Floats | None = None
        for kind in self.kinds:
            own = duty[:, kind.rows]
            flat[kind.rows] = kind.lamp.flat(own)
            rising = kind.lamp.slope(own)
            if rising is not None:
                slope = np.zeros_like(flat) if slope is None else slope
                slope[kind.rows] = rising
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
        flat: of one node, what its characteristic makes of the duties, shape (L, D).
        slope: at good voltage, S, shape (L, D); None where no kind has any.
    """

    lamps: FrameLamps
    duty: Floats
    flat: Floats
    slope: Floats | None

    def keep(self, frames: Ints) -> LitLamps:
        """Return the lights in some of the frames."""
        slope = self.slope[:, frames] if self.slope is not None else None
        return LitLamps(self.lamps, self.duty[:, :, frames], self.flat[:, frames], slope)

    def node(self, v: Floats) -> tuple[Floats, Floats]:
        """Return current (A) and slope (S) of one node at voltages of shape (L, D), idle current included.

        Lights that can stop count as running.
        """
        current, slope = np.empty_like(v), np.zeros_like(v)
        for kind in self.lamps.kinds:
            rows = kind.rows
            own = v[rows]
            lowest = float(own.min(initial=np.inf))
            lit = Lit(rows, self.duty, self.flat, self.slope)
            current[rows], slope[rows] = kind.lamp.node(own, lowest, lit)
            if kind.idle_a > 0.0:
                ramp = 1.0 if lowest >= IDLE_RAMP_V else np.clip(own / IDLE_RAMP_V, 0.0, 1.0)
                current[rows] += kind.idle_a * ramp
                if lowest < IDLE_RAMP_V:
                    slope[rows] += np.where((own >= 0.0) & (own < IDLE_RAMP_V), kind.idle_a / IDLE_RAMP_V, 0.0)
        return current, slope

    def running(self, v: Floats) -> np.ndarray:
        """Return which frames have every lit light running that can stop, shape (D,)."""
        fine = np.ones(v.shape[1], dtype=bool)
        for kind in self.lamps.kinds:
            running = kind.lamp.running(v[kind.rows], self.flat[kind.rows])
            if running is not None:
                fine &= running
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
                nominal = np.asarray(kind.lamp.share(c, nominal_v[rows]))
                weight = np.where(nominal > 0.0, flux_lm[rows, c] * self.lamps.count[rows, 0], 0.0)
                if not weight.any() or not kind.lamp.draws[c]:
                    continue
                asked = self.duty[c][rows] * weight[:, None]
                full[rows] += asked
                left[rows] += asked * (kind.lamp.share(c, v[rows]) / np.where(nominal > 0.0, nominal, 1.0)[:, None])
        return left, full
