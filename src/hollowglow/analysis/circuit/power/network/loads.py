"""What the loads of a network draw at given voltages: their characteristics applied row by row."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Flags, Floats, Ints, LoadCharacteristics
from hollowglow.file.model.loads import CHARACTERISTICS, Characteristic
from hollowglow.physics import loads

_NONE: Flags = np.zeros(0, dtype=bool)


@dataclass(frozen=True)
class _Group:
    """The loads that share one characteristic, with its parameters spread over them."""

    of: type[Characteristic]
    rows: Ints
    parameters: tuple[Floats, ...]


@dataclass(frozen=True)
class Drawer:
    """Loads ready to be evaluated.

    Attributes:
        characteristic: row of each load in the table of characteristics.
        idle_a: its idle current, A.
        groups: the loads by characteristic, those without any left out.
        falling: the loads whose current falls with the voltage.
        running: which of these run.
        colours: how many columns the table has.
    """

    characteristic: Ints
    idle_a: Floats
    groups: tuple[_Group, ...]
    falling: Ints
    running: Flags
    colours: int

    def per_colour(self, v: Floats) -> tuple[Floats, Floats]:
        """Return full-duty current (A) and slope (S) of one node per colour, shape (n, c)."""
        current = np.zeros((len(v), self.colours))
        slope = np.zeros_like(current)
        for group in self.groups:
            running = self.running if group.of.FALLS else _NONE
            current[group.rows], slope[group.rows] = group.of.draw(v[group.rows], running, *group.parameters)
        return current, slope

    def light(self, v: Floats) -> Floats:
        """Return what each colour's light is proportional to, shape (n, c).

        That is its current, or the power of a switching driver, whose LEDs do not notice its input voltage.
        """
        return self._light(v, self.per_colour(v)[0])

    def _light(self, v: Floats, current: Floats) -> Floats:
        for group in self.groups:
            if group.of.LIGHT_OF_POWER:
                current[group.rows] *= v[group.rows][:, None]
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
    """Return the evaluator for loads whose characteristics are the given rows of the table."""
    code = characteristics.code[characteristic]
    groups = []
    for place, one in enumerate(CHARACTERISTICS):
        rows = np.flatnonzero(code == place)
        if len(rows):
            groups.append(_Group(one, rows, characteristics.parameters(one, characteristic[rows])))
    falling = np.flatnonzero(characteristics.falls[characteristic])
    return Drawer(
        characteristic=characteristic,
        idle_a=characteristics.idle_a[characteristic],
        groups=tuple(groups),
        falling=falling,
        running=np.ones(len(falling), dtype=bool),
        colours=characteristics.colours,
    )
