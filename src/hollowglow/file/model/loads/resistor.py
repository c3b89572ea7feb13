"""Resistor: LEDs in series behind a resistor, several such chains side by side."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

import numpy as np

from hollowglow.file.model.fields import Colours, whole
from hollowglow.file.model.keys import key
from hollowglow.file.model.loads.bench import LEAST, Bench, Model, idle_current, own_readings
from hollowglow.file.model.loads.characteristic import Characteristic, Column, Flags, Floats, Lit, idle_key
from hollowglow.physics.loads import LoadCurrent, idle
from hollowglow.quantity.units import IdleCurrent, Resistance, Voltage


def resistor(v: Floats, series: Floats, parallel: Floats, forward_v: Floats, resistor_ohm: Floats) -> LoadCurrent:
    """Return what LEDs in series behind a resistor draw per colour.

    i = parallel max(0, v - series forward) / resistor (Ohm's law with a constant LED forward voltage).

    Args:
        v: voltage across the light, V, shape (n,).
        series: LEDs in series per chain, shape (n, 1).
        parallel: chains side by side, shape (n, 1).
        forward_v: forward voltage of one LED, V, shape (n, c).
        resistor_ohm: resistor of one chain, ohm, shape (n, c).

    Returns:
        Current (A) and slope (S), shape (n, c).
    """
    over = v[:, None] - series * forward_v
    slope = parallel / resistor_ohm
    return LoadCurrent(slope * np.maximum(over, 0.0), np.where(over > 0.0, slope, 0.0))


@dataclass(frozen=True)
class _ResistorLamp:
    forward_v: Floats  # of a whole chain
    siemens: Floats

    @property
    def draws(self) -> Flags:
        return np.asarray(self.siemens != 0.0)

    def share(self, colour: int, v: Floats) -> Floats:
        """Return the current of a colour at full duty, A."""
        return np.asarray(self.siemens[colour] * np.maximum(v - self.forward_v[colour], 0.0))

    def flat(self, duty: Floats) -> Floats:
        """Return the current of a conducting light at 0 V, A, negative."""
        return -np.tensordot(self.siemens * self.forward_v, duty, 1)

    def slope(self, duty: Floats) -> Floats | None:
        """Return the conductance with all colours conducting, S."""
        return np.tensordot(self.siemens, duty, 1)

    def node(self, v: Floats, lowest: float, lit: Lit) -> tuple[Floats, Floats | float]:
        assert lit.slope is not None
        if lowest >= float(self.forward_v.max()):
            slope = lit.slope[lit.rows]
            return lit.flat[lit.rows] + slope * v, slope
        current, slopes = np.zeros_like(v), np.zeros_like(v)
        for c in np.flatnonzero(self.siemens).tolist():
            own = lit.duty[c][lit.rows] * self.siemens[c]
            over = v - self.forward_v[c]
            current += own * np.maximum(over, 0.0)
            slopes += np.where(over > 0.0, own, 0.0)
        return current, slopes

    def running(self, v: Floats, flat: Floats) -> Flags | None:
        return None


def _model(bench: Bench, stated: Any) -> Model:
    """Return the model of LEDs behind resistors; how many stand in series and side by side no current tells."""
    c = bench.colours
    own = stated if isinstance(stated, ResistorLoad) else None
    series, parallel = (float(own.series), float(own.parallel)) if own else (1.0, 1.0)
    idle_a = idle_current(bench, stated.idle)
    forward, ohm = np.zeros(c), np.zeros(c)
    for colour in range(c):
        v, i = own_readings(bench, idle_a, colour)
        lit = i > 0.05 * max(float(i.max(initial=0.0)), LEAST)
        if np.ptp(v[lit]) > 0.0 if lit.any() else False:
            slope, at_zero = np.polyfit(v[lit], i[lit], 1)
        else:
            slope, at_zero = 0.0, 0.0
        guess = own.forward[colour] if own else 2.0
        rises = slope > 1e-6
        forward[colour] = np.clip(-at_zero / slope / series, 0.01, 60.0) if rises else guess
        mean_v, mean_i = (float(v[lit].mean()), float(i[lit].mean())) if lit.any() else (12.0, LEAST)
        ohm[colour] = parallel / slope if rises else parallel * max(mean_v - series * guess, 0.1) / mean_i

    def current(p: Floats, b: Bench) -> Floats:
        drawn = resistor(b.volts, np.array(series), np.array(parallel), p[c : 2 * c], p[:c]).current
        total: Floats = (b.mix * drawn).sum(axis=1) + idle(b.volts, p[2 * c]).current
        return total

    colours = tuple(range(c))
    known = np.array(own.forward) if own else forward
    return Model(
        characteristic="resistor",
        keys=("resistor",) * c + ("forward",) * c + ("idle",),
        colour=(*colours, *colours, -1),
        units=("ohm",) * c + ("V",) * c + ("A",),
        start=np.r_[ohm, forward, idle_a],
        low=np.r_[np.full(c, 1e-3), np.full(c, 1e-3), 0.0],
        high=np.r_[np.full(c, 1e9), np.full(c, 60.0), np.inf],
        fallback=np.r_[ohm, known, min(stated.idle, idle_a)],
        known=np.r_[np.zeros(c), np.full(c, own is not None), 1.0].astype(bool),
        hinted=np.ones(2 * c + 1, dtype=bool),
        give_up=(*range(c, 2 * c), 2 * c),
        current=current,
        rest={"series": (series, ""), "parallel": (parallel, "")},
    )


class ResistorLoad(Characteristic):
    """LEDs in series behind a resistor."""

    TOLD = "LEDs behind resistors"
    COLUMNS: ClassVar[Mapping[str, Column]] = {
        "series": Column("series"),
        "parallel": Column("parallel"),
        "forward_v": Column("forward", by_colour=True, filler=0.0),
        "resistor_ohm": Column("resistor", by_colour=True, filler=np.inf, power=-1),
    }

    NEVER_MEASURED = ("series", "parallel")

    characteristic: Literal["resistor"] = key("`resistor`", "resistor", alias="class")
    series: Annotated[int, whole(1, 100, "LEDs in series")] = key("LEDs in one chain")
    parallel: Annotated[int, whole(1, 100, "chains side by side")] = key("chains side by side")
    forward: Annotated[tuple[Voltage, ...], Colours] = key("forward voltage of one LED of each colour")
    resistor: Annotated[tuple[Resistance, ...], Colours] = key("resistor of one chain of each colour")
    idle: IdleCurrent = idle_key()

    @property
    def lowest_v(self) -> float:
        """Return the voltage at which the highest colour conducts, V."""
        return self.series * max(self.forward)

    @staticmethod
    def draw(v: Floats, running: Flags, *columns: Floats) -> LoadCurrent:
        """Return current and slope of each colour."""
        return resistor(v, *columns)

    @staticmethod
    def lamp(row: Mapping[str, Floats]) -> _ResistorLamp:
        """Return one such light for many frames at once."""
        return _ResistorLamp(row["series"] * row["forward_v"], row["parallel"] / row["resistor_ohm"])

    @staticmethod
    def model(bench: Bench, stated: Any) -> Model:
        """Return what is to be fitted to readings."""
        return _model(bench, stated)
