"""What lights draw and how they shine in many draws at once; only those off their plateau are evaluated one by one."""

from __future__ import annotations

import numpy as np

from hollowglow.analysis.circuit.power import drawer, nominal_voltage
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats, Ints, LoadLaws
from hollowglow.physics.colour import white_change
from hollowglow.physics.loads import CONSTANT_CURRENT, CONSTANT_POWER, IDLE_RAMP_V, RESISTOR


def plateau_v(laws: LoadLaws, law: Ints) -> Floats:
    """Return the voltage from which each light's brightness is constant, V; infinite where it never is."""
    colours = np.where(laws.full_a[law] > 0.0, laws.turn_on_v[law], -np.inf).max(axis=1)
    volts = np.where(laws.code[law] == CONSTANT_CURRENT, colours + laws.saturation_v[law], np.inf)
    return np.where(laws.code[law] == CONSTANT_POWER, laws.cutoff_v[law], volts)


class Lamps:
    """The load laws of some loads at a duty; arrays of voltages have shape (L, D)."""

    def __init__(self, laws: LoadLaws, law: Ints, duty: Floats) -> None:
        self._laws, self._law, self._duty = laws, law, duty[law]
        self._idle_a = laws.idle_a[law][:, None]
        # A saturated sink draws the same at any voltage, a running driver does not: only for sinks is there a plateau.
        self._flat_v = np.where(laws.code[law] == CONSTANT_CURRENT, plateau_v(laws, law), np.inf)[:, None]
        self._flat_a = np.einsum("lc,lc->l", laws.full_a[law], self._duty)[:, None]

    def current(self, v: Floats, factor: Floats) -> Floats:
        """Return the current of one node of each load, A; `factor` multiplies all but its idle current."""
        drawn = np.broadcast_to(self._flat_a, v.shape).copy()
        off = v < self._flat_v
        if off.any():
            row = np.nonzero(off)[0]
            own = drawer(self._laws, self._law[row]).per_colour(v[off])[0]
            drawn[off] = np.einsum("nc,nc->n", own, self._duty[row])
        idle: Floats = self._idle_a * np.clip(v / IDLE_RAMP_V, 0.0, 1.0)
        return drawn * factor + idle

    def current_and_slope(self, v: Floats, factor: Floats) -> tuple[Floats, Floats]:
        """Return the current (A) as `current` does, and its slope (S)."""
        row = np.repeat(np.arange(v.shape[0]), v.shape[1])
        per_colour = drawer(self._laws, self._law[row]).per_colour(v.ravel())
        current, slope = (np.einsum("nc,nc->n", a, self._duty[row]).reshape(v.shape) * factor for a in per_colour)
        ramp = (v >= 0.0) & (v < IDLE_RAMP_V)
        idle = self._idle_a * np.clip(v / IDLE_RAMP_V, 0.0, 1.0)
        return current + idle, slope + np.where(ramp, self._idle_a / IDLE_RAMP_V, 0.0)


class Shine:
    """The light of some loads' white at given voltages, each against its own light at its nominal voltage."""

    def __init__(self, assembly: Assembly, loads: Ints) -> None:
        network, kinds = assembly.network, assembly.kinds
        self._laws, self._law = network.laws, network.load_characteristic[loads]
        law = self._law
        self._nominal = drawer(self._laws, law).light(nominal_voltage(assembly)[loads])
        lit = (self._nominal > 0.0) & (network.duty[law] > 0.0)
        self._flux = np.where(lit, kinds.flux_lm[law] * network.duty[law], 0.0)
        self._xy = kinds.xy[law]
        self._flat_v = plateau_v(self._laws, law)[:, None]
        high = np.where(self._laws.code[law] == RESISTOR, 0.0, np.nan_to_num(self._flat_v[:, 0], posinf=0.0))
        self._flat = self._at(high, np.arange(len(law)))

    def _at(self, v: Floats, row: Ints) -> tuple[Floats, Floats]:
        light = drawer(self._laws, self._law[row]).light(v)
        light[(self._laws.code[self._law[row]] == CONSTANT_POWER) & (v < self._laws.cutoff_v[self._law[row]])] = 0.0
        nominal = self._nominal[row]
        relative = np.divide(light, nominal, out=np.zeros_like(light), where=nominal > 0.0)
        change = white_change(relative, self._flux[row], self._xy[row])
        return change.light, change.chromaticity_shift

    def light_and_shift(self, v: Floats) -> tuple[Floats, Floats]:
        """Return light over nominal light, and shift in u'v' (NaN where dark), both of the shape of `v`."""
        light = np.broadcast_to(self._flat[0][:, None], v.shape).copy()
        shift = np.broadcast_to(self._flat[1][:, None], v.shape).copy()
        off = v < self._flat_v
        if off.any():
            light[off], shift[off] = self._at(v[off], np.nonzero(off)[0])
        return light, shift
