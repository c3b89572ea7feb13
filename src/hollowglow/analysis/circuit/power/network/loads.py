"""What the loads of a network draw at given voltages: the laws of physics.loads applied row by row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Flags, Floats, Ints, LoadCharacteristics
from hollowglow.physics import loads


@dataclass(frozen=True)
class _Group:
    """The loads that share one law, with that law's parameters spread over them."""

    rows: Ints
    parameters: tuple[Floats, ...]


@dataclass(frozen=True)
class Drawer:
    """Loads ready to be evaluated; `law` is each load's row in the table of laws, `running` tells of the bucks."""

    characteristic: Ints
    idle_a: Floats
    constant_currents: _Group
    resistors: _Group
    constant_powers: _Group
    running: Flags
    colours: int

    def per_colour(self, v: Floats) -> tuple[Floats, Floats]:
        """Return full-duty current (A) and slope (S) of one node per colour, shape (n, c)."""
        current = np.zeros((len(v), self.colours))
        slope = np.zeros_like(current)
        constant_currents, resistors, constant_powers = self.constant_currents, self.resistors, self.constant_powers
        power, efficiency, cutoff = constant_powers.parameters
        for group, drawn in (
            (constant_currents, loads.constant_current(v[constant_currents.rows], *constant_currents.parameters)),
            (resistors, loads.resistor(v[resistors.rows], *resistors.parameters)),
            (constant_powers, loads.constant_power(v[constant_powers.rows], power, efficiency, cutoff, self.running)),
        ):
            current[group.rows], slope[group.rows] = drawn
        return current, slope

    def light(self, v: Floats) -> Floats:
        """Return what each colour's light is proportional to, shape (n, c).

        That is the LED current of a sink or a ballast, and the power of a constant-power driver, whose LEDs do not
        notice its input voltage.
        """
        return self._light(v, self.per_colour(v)[0])

    def _light(self, v: Floats, current: Floats) -> Floats:
        current[self.constant_powers.rows] *= v[self.constant_powers.rows][:, None]
        return current

    def node(self, v: Floats, duty: Floats) -> tuple[Floats, Floats]:
        """Return current (A) and slope (S) of one node at a duty per colour (shape (n, c)), idle current included."""
        current, slope = self.per_colour(v)
        still = loads.idle(v, self.idle_a)
        return (
            np.einsum("nc,nc->n", current, duty) + still.current,
            np.einsum("nc,nc->n", slope, duty) + still.slope,
        )

    def drawn_and_lit(self, v: Floats, duty: Floats) -> tuple[Floats, Floats]:
        """Return the current (A) of one node as `node` does, and the light of its colours as `light` does."""
        current, _ = self.per_colour(v)
        drawn = np.einsum("nc,nc->n", current, duty) + loads.idle(v, self.idle_a).current
        return drawn, self._light(v, current)


def drawer(characteristics: LoadCharacteristics, characteristic: Ints) -> Drawer:
    """Return the evaluator for loads whose laws are the given rows of the table."""

    def group(code: int, *tables: Floats) -> _Group:
        rows = np.flatnonzero(characteristics.code[characteristic] == code)
        own = characteristic[rows]
        return _Group(rows, tuple(t[own] if t.ndim == 2 else t[own][:, None] for t in tables))

    return Drawer(
        characteristic=characteristic,
        idle_a=characteristics.idle_a[characteristic],
        constant_currents=group(
            loads.CONSTANT_CURRENT, characteristics.full_a, characteristics.turn_on_v, characteristics.saturation_v
        ),
        resistors=group(
            loads.RESISTOR,
            characteristics.series,
            characteristics.parallel,
            characteristics.forward_v,
            characteristics.resistor_ohm,
        ),
        constant_powers=group(
            loads.CONSTANT_POWER, characteristics.power_w, characteristics.efficiency, characteristics.cutoff_v
        ),
        running=np.ones(int((characteristics.code[characteristic] == loads.CONSTANT_POWER).sum()), dtype=bool),
        colours=characteristics.full_a.shape[1],
    )
