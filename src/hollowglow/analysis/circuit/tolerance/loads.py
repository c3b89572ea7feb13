"""What lights draw and how they shine in many samples at once; only those off their plateau are evaluated one by one."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.circuit.power import drawer, nominal_voltage
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats, Ints, LoadCharacteristics
from hollowglow.file.model.loads import CHARACTERISTICS, Characteristic
from hollowglow.physics.colour import white_change
from hollowglow.physics.loads import IDLE_RAMP_V


def plateau_v(characteristics: LoadCharacteristics, characteristic: Ints) -> Floats:
    """Return the voltage from which each light's brightness is constant, V; infinite where it never is."""
    volts = np.full(len(characteristic), np.inf)
    for rows, one, columns in _by_characteristic(characteristics, characteristic):
        volts[rows] = one.plateau_v(*columns)
    return volts


def _flat(characteristics: LoadCharacteristics, characteristic: Ints) -> tuple[Floats, Floats]:
    """Return the voltage from which each light's current is constant, V, and that current by colour, A."""
    volts = np.full(len(characteristic), np.inf)
    amps = np.zeros((len(characteristic), characteristics.colours))
    for rows, one, columns in _by_characteristic(characteristics, characteristic):
        current = one.plateau_a(*columns)
        if current is not None:
            volts[rows], amps[rows] = one.plateau_v(*columns), current
    return volts, amps


def _by_characteristic(
    characteristics: LoadCharacteristics, characteristic: Ints
) -> Iterator[tuple[Ints, type[Characteristic], tuple[Floats, ...]]]:
    for place, one in enumerate(CHARACTERISTICS):
        rows = np.flatnonzero(characteristics.code[characteristic] == place)
        yield rows, one, characteristics.parameters(one, characteristic[rows])


class SampledLamps:
    """The current-voltage characteristics of some loads at a duty; arrays of voltages have shape (L, D)."""

    def __init__(self, characteristics: LoadCharacteristics, characteristic: Ints, duty: Floats) -> None:
        self._characteristics, self._characteristic, self._duty = characteristics, characteristic, duty[characteristic]
        self._idle_a = characteristics.idle_a[characteristic][:, None]
        flat_v, flat_a = _flat(characteristics, characteristic)
        self._flat_v = flat_v[:, None]
        self._flat_a = np.einsum("lc,lc->l", flat_a, self._duty)[:, None]

    def current(self, v: Floats, factor: Floats) -> Floats:
        """Return the current of one node of each load, A; `factor` multiplies all but its idle current."""
        drawn = np.broadcast_to(self._flat_a, v.shape).copy()
        off = v < self._flat_v
        if off.any():
            row = np.nonzero(off)[0]
            own = drawer(self._characteristics, self._characteristic[row]).per_colour(v[off])[0]
            drawn[off] = np.einsum("nc,nc->n", own, self._duty[row])
        idle: Floats = self._idle_a * np.clip(v / IDLE_RAMP_V, 0.0, 1.0)
        return drawn * factor + idle

    def current_and_slope(self, v: Floats, factor: Floats) -> tuple[Floats, Floats]:
        """Return the current (A) as `current` does, and its slope (S)."""
        row = np.repeat(np.arange(v.shape[0]), v.shape[1])
        per_colour = drawer(self._characteristics, self._characteristic[row]).per_colour(v.ravel())
        current, slope = (np.einsum("nc,nc->n", a, self._duty[row]).reshape(v.shape) * factor for a in per_colour)
        ramp = (v >= 0.0) & (v < IDLE_RAMP_V)
        idle = self._idle_a * np.clip(v / IDLE_RAMP_V, 0.0, 1.0)
        return current + idle, slope + np.where(ramp, self._idle_a / IDLE_RAMP_V, 0.0)


class Shine:
    """The light of some loads' white at given voltages, each against its own light at its nominal voltage."""

    def __init__(self, assembly: Assembly, loads: Ints) -> None:
        network, kinds = assembly.network, assembly.kinds
        self._characteristics, self._characteristic = network.characteristics, network.load_characteristic[loads]
        characteristic = self._characteristic
        self._nominal = drawer(self._characteristics, characteristic).light(nominal_voltage(assembly)[loads])
        lit = (self._nominal > 0.0) & (network.duty[characteristic] > 0.0)
        self._flux = np.where(lit, kinds.flux_lm[characteristic] * network.duty[characteristic], 0.0)
        self._xy = kinds.xy[characteristic]
        self._flat_v = plateau_v(self._characteristics, characteristic)[:, None]
        high = np.nan_to_num(self._flat_v[:, 0], posinf=0.0)
        self._flat = self._at(high, np.arange(len(characteristic)))

    def _at(self, v: Floats, row: Ints) -> tuple[Floats, Floats]:
        light = drawer(self._characteristics, self._characteristic[row]).light(v)
        light[
            self._characteristics.falls[self._characteristic[row]]
            & (v < self._characteristics.cutoff_v[self._characteristic[row]])
        ] = 0.0
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
