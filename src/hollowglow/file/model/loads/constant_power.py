"""Constant power: a switching driver, which draws less current at more voltage while it runs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Literal

import numpy as np

from hollowglow.file.model.fields import Colours
from hollowglow.file.model.keys import key
from hollowglow.file.model.loads.bench import LEAST, Bench, Model, idle_current, own_readings
from hollowglow.file.model.loads.characteristic import Characteristic, Column, Flags, Floats, Lit, idle_key
from hollowglow.physics.loads import LoadCurrent, idle
from hollowglow.quantity.units import CutoffVoltage, Efficiency, IdleCurrent, LightPower

_DEFAULT_EFFICIENCY = 0.85
_SHARE_ON = 0.2


def constant_power(v: Floats, power_w: Floats, efficiency: Floats, cutoff_v: Floats, running: Flags) -> LoadCurrent:
    """Return what a switching driver of constant power draws per colour.

    i = (power / efficiency) / v while it runs. Whether it runs (v at or above its cutoff) is for the caller to say,
    because near the cutoff that is a property of the network and not of the driver alone. Below the cutoff the
    hyperbola is continued by its tangent, so that an iterate that strays there still finds its way back.

    Args:
        v: voltage across the light, V, shape (n,).
        power_w: power per colour delivered to the LEDs, W, shape (n, c).
        efficiency: of the driver, shape (n, 1).
        cutoff_v: lowest running voltage, V, shape (n, 1).
        running: whether the driver runs, shape (n,).

    Returns:
        Current (A) and slope (S), shape (n, c).
    """
    held = np.maximum(v[:, None], cutoff_v)
    drawn = np.where(running[:, None], power_w / efficiency, 0.0)
    slope = -drawn / held**2
    return LoadCurrent(drawn / held + slope * (v[:, None] - held), slope)


@dataclass(frozen=True)
class _ConstantPowerLamp:
    power_w: Floats  # drawn
    cutoff_v: float

    @property
    def draws(self) -> Flags:
        return np.asarray(self.power_w != 0.0)

    def share(self, colour: int, v: Floats) -> Floats:
        return np.asarray(v >= self.cutoff_v, dtype=np.float64)

    def flat(self, duty: Floats) -> Floats:
        """Return the power of a running light, W."""
        return np.tensordot(self.power_w, duty, 1)

    def slope(self, duty: Floats) -> Floats | None:
        return None

    def node(self, v: Floats, lowest: float, lit: Lit) -> tuple[Floats, Floats | float]:
        """Return current and slope as if it ran.

        Below its cutoff the hyperbola goes on to half of it, so that a frame in which one stays there is seen and not
        smoothed over.
        """
        held = np.maximum(v, 0.5 * self.cutoff_v)
        drawn = lit.flat[lit.rows] / held
        return drawn, -drawn / held

    def running(self, v: Floats, flat: Floats) -> Flags | None:
        if not self.power_w.any():
            return None
        return np.asarray(((v >= self.cutoff_v) | (flat == 0.0)).all(axis=0))


def _model(bench: Bench, stated: Any) -> Model:
    """Return the model of a switching driver; its cutoff lies between readings with it off and with it running."""
    c = bench.colours
    own = stated if isinstance(stated, ConstantPowerLoad) else None
    efficiency = own.efficiency if own else _DEFAULT_EFFICIENCY
    idle_a = idle_current(bench, stated.idle)
    lit = bench.mix.sum(axis=1) > 0.0
    power = np.zeros(c)
    for colour in range(c):
        v, i = own_readings(bench, idle_a, colour)
        power[colour] = max(float((v * i).max(initial=0.0)), LEAST)
    drawn = np.maximum(bench.amps - idle_a, 0.0) * bench.volts
    running = lit & (drawn > _SHARE_ON * (bench.mix @ power))
    on_v = float(bench.volts[running].min(initial=np.inf))
    stopped = lit & ~running & (bench.volts < on_v)
    off_v = float(bench.volts[stopped].max(initial=0.0))
    for colour in range(c):
        v, i = own_readings(bench, idle_a, colour)
        power[colour] = max(float(np.median((v * i)[v >= on_v])) * efficiency if (v >= on_v).any() else 0.0, LEAST)
    known = own.cutoff if own else on_v
    cutoff = 0.5 * (off_v + on_v) if stopped.any() else min(known, on_v)

    def current(p: Floats, b: Bench) -> Floats:
        running = b.volts >= cutoff
        drawn = constant_power(b.volts, p[:c], np.array(efficiency), np.array(cutoff), running).current
        total: Floats = (b.mix * drawn).sum(axis=1) + idle(b.volts, p[c]).current
        return total

    return Model(
        characteristic="constant-power",
        keys=("power",) * c + ("idle",),
        colour=(*range(c), -1),
        units=("W",) * c + ("A",),
        start=np.r_[power, idle_a],
        low=np.r_[np.full(c, 1e-9), 0.0],
        high=np.full(c + 1, np.inf),
        fallback=np.r_[power, min(stated.idle, idle_a)],
        known=np.r_[np.zeros(c), 1.0].astype(bool),
        hinted=np.ones(c + 1, dtype=bool),
        give_up=(c,),
        current=current,
        rest={"efficiency": (efficiency, ""), "cutoff": (cutoff, "V")},
        brackets={"cutoff": (off_v, on_v)} if stopped.any() else {},
    )


class ConstantPowerLoad(Characteristic):
    """A switching driver of constant power."""

    TOLD = "a switching driver"
    COLUMNS: ClassVar[Mapping[str, Column]] = {
        "power_w": Column("power", by_colour=True, filler=0.0, power=1),
        "efficiency": Column("efficiency"),
        "cutoff_v": Column("cutoff"),
    }
    FALLS = True
    LIGHT_OF_POWER = True
    NEVER_MEASURED = ("efficiency",)

    characteristic: Literal["constant-power"] = key("`constant-power`", "constant-power", alias="class")
    power: Annotated[tuple[LightPower, ...], Colours] = key("power of each colour delivered to the LEDs")
    efficiency: Efficiency = key("power to the LEDs over power drawn")
    cutoff: CutoffVoltage = key("voltage below which the driver is off")
    idle: IdleCurrent = idle_key()

    @property
    def lowest_v(self) -> float:
        """Return the cutoff, V."""
        return self.cutoff

    @staticmethod
    def draw(v: Floats, running: Flags, *columns: Floats) -> LoadCurrent:
        """Return current and slope of each colour."""
        power_w, efficiency, cutoff_v = columns
        return constant_power(v, power_w, efficiency, cutoff_v, running)

    @staticmethod
    def plateau_v(*columns: Floats) -> Floats:
        """Return the cutoff, above which the power is constant, V."""
        return columns[2][:, 0]

    @staticmethod
    def lamp(row: Mapping[str, Floats]) -> _ConstantPowerLamp:
        """Return one such light for many frames at once."""
        return _ConstantPowerLamp(row["power_w"] / row["efficiency"], float(row["cutoff_v"]))

    @staticmethod
    def model(bench: Bench, stated: Any) -> Model:
        """Return what is to be fitted to readings."""
        return _model(bench, stated)
