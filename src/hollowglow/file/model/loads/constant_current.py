"""Constant current: a linear driver for each colour, as in single 5 V and 12 V lights."""

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
from hollowglow.quantity.units import IdleCurrent, LightCurrent, Voltage, VoltageOrZero

_DEFAULT_SATURATION_V = 0.6
_LEAST_SATURATION_V = 0.02
_SHARE_DARK, _SHARE_FULL = 0.05, 0.95


def constant_current(v: Floats, full_a: Floats, turn_on_v: Floats, saturation_v: Floats) -> LoadCurrent:
    """Return what a linear driver of constant current draws per colour.

    i = I s((v - turn_on) / saturation), s(u) = 0 for u <= 0, 2u - u^2 for 0 < u < 1, 1 for u >= 1: the square law
    of a MOS transistor below its compliance voltage.

    Args:
        v: voltage across the light, V, shape (n,).
        full_a: full current per colour, A, shape (n, c).
        turn_on_v: voltage at which a colour starts, V, shape (n, c).
        saturation_v: further voltage at which it is fully on, V, shape (n, 1).

    Returns:
        Current (A) and slope (S), shape (n, c).
    """
    u = np.clip((v[:, None] - turn_on_v) / saturation_v, 0.0, 1.0)
    return LoadCurrent(full_a * u * (2.0 - u), np.where(u > 0.0, full_a * 2.0 * (1.0 - u) / saturation_v, 0.0))


@dataclass(frozen=True)
class _ConstantCurrentLamp:
    full_a: Floats
    turn_on_v: Floats
    saturation_v: float

    @property
    def draws(self) -> Flags:
        return np.asarray(self.full_a != 0.0)

    def share(self, colour: int, v: Floats) -> Floats:
        u = np.clip((v - self.turn_on_v[colour]) / self.saturation_v, 0.0, 1.0)
        return np.asarray(u * (2.0 - u))

    def flat(self, duty: Floats) -> Floats:
        """Return the current of a saturated light, A."""
        return np.tensordot(self.full_a, duty, 1)

    def slope(self, duty: Floats) -> Floats | None:
        return None

    def node(self, v: Floats, lowest: float, lit: Lit) -> tuple[Floats, Floats | float]:
        if lowest >= float(self.turn_on_v.max()) + self.saturation_v:
            return lit.flat[lit.rows], 0.0
        current, slopes = np.zeros_like(v), np.zeros_like(v)
        for c in np.flatnonzero(self.full_a).tolist():
            full = lit.duty[c][lit.rows] * self.full_a[c]
            u = np.clip((v - self.turn_on_v[c]) / self.saturation_v, 0.0, 1.0)
            current += full * u * (2.0 - u)
            slopes += np.where(u > 0.0, full * 2.0 * (1.0 - u) / self.saturation_v, 0.0)
        return current, slopes

    def running(self, v: Floats, flat: Floats) -> Flags | None:
        return None


def _model(bench: Bench, stated: Any) -> Model:
    """Return the model of a constant-current driver."""
    c = bench.colours
    own = stated if isinstance(stated, ConstantCurrentLoad) else None
    idle_a = idle_current(bench, stated.idle)
    saturation = own.saturation if own else _DEFAULT_SATURATION_V
    full, turn_on, fallback, knees = np.zeros(c), np.zeros(c), np.zeros(c), np.zeros(c, dtype=np.int64)
    drawn = [own_readings(bench, idle_a, colour) for colour in range(c)]
    for colour, (_, i) in enumerate(drawn):
        full[colour] = max(float(i.max(initial=0.0)), LEAST)
    share = [i / full[colour] for colour, (_, i) in enumerate(drawn)]
    flat = [float(v[s >= _SHARE_FULL].min()) for (v, _), s in zip(drawn, share, strict=True)]
    dark = [float(v[s <= _SHARE_DARK].max(initial=0.0)) for (v, _), s in zip(drawn, share, strict=True)]
    saturation = max(min(saturation, *(f - d for f, d in zip(flat, dark, strict=True))), _LEAST_SATURATION_V)
    for colour, (v, _) in enumerate(drawn):
        highest = max(flat[colour] - saturation, 0.0)
        fallback[colour] = np.clip(own.turn_on[colour] if own else highest, min(dark[colour], highest), highest)
        part = (share[colour] > _SHARE_DARK) & (share[colour] < _SHARE_FULL)
        knees[colour] = np.count_nonzero(part)
        # Where a reading lies on the knee, it tells where the knee starts.
        on_knee = v[part] - saturation * (1.0 - np.sqrt(1.0 - share[colour][part]))
        turn_on[colour] = max(float(np.median(on_knee)), 0.0) if knees[colour] else fallback[colour]

    def current(p: Floats, b: Bench) -> Floats:
        drawn = constant_current(b.volts, p[:c], p[c : 2 * c], p[2 * c : 2 * c + 1]).current
        total: Floats = (b.mix * drawn).sum(axis=1) + idle(b.volts, p[2 * c + 1]).current
        return total

    colours = tuple(range(c))
    return Model(
        characteristic="constant-current",
        keys=("current",) * c + ("turn_on",) * c + ("saturation", "idle"),
        colour=(*colours, *colours, -1, -1),
        units=("A",) * c + ("V",) * c + ("V", "A"),
        start=np.r_[full, turn_on, saturation, idle_a],
        low=np.r_[np.full(c, LEAST), np.zeros(c), _LEAST_SATURATION_V, 0.0],
        high=np.r_[np.full(c, np.inf), np.full(c + 1, 60.0), np.inf],
        fallback=np.r_[full, fallback, saturation, min(stated.idle, idle_a)],
        known=np.r_[np.zeros(c), np.full(c + 1, own is not None), 1.0].astype(bool),
        hinted=np.r_[np.ones(c), knees > 0, knees.sum() > (knees > 0).sum(), 1.0].astype(bool),
        give_up=(2 * c, *range(c, 2 * c), 2 * c + 1),
        current=current,
        rest={},
    )


class ConstantCurrentLoad(Characteristic):
    """A linear constant-current driver for each colour."""

    TOLD = "a linear driver of constant current"
    COLUMNS: ClassVar[Mapping[str, Column]] = {
        "full_a": Column("current", by_colour=True, filler=0.0, power=1),
        "turn_on_v": Column("turn_on", by_colour=True, filler=0.0),
        "saturation_v": Column("saturation"),
    }

    characteristic: Literal["constant-current"] = key("`constant-current`", "constant-current", alias="class")
    current: Annotated[tuple[LightCurrent, ...], Colours] = key("full current of each colour")
    turn_on: Annotated[tuple[VoltageOrZero, ...], Colours] = key("voltage at which each colour starts")
    saturation: Voltage = key("further voltage at which a colour is fully on")
    idle: IdleCurrent = idle_key()

    @property
    def lowest_v(self) -> float:
        """Return the voltage at which the last colour is saturated, V."""
        return max(self.turn_on) + self.saturation

    @staticmethod
    def draw(v: Floats, running: Flags, *columns: Floats) -> LoadCurrent:
        """Return current and slope of each colour."""
        return constant_current(v, *columns)

    @staticmethod
    def plateau_v(*columns: Floats) -> Floats:
        """Return the voltage from which every colour is saturated, V."""
        full_a, turn_on_v, saturation_v = columns
        lit = np.where(full_a > 0.0, turn_on_v, -np.inf).max(axis=1)
        return np.asarray(lit + saturation_v[:, 0])

    @staticmethod
    def plateau_a(*columns: Floats) -> Floats | None:
        """Return the full current of each colour, A."""
        return columns[0]

    @staticmethod
    def lamp(row: Mapping[str, Floats]) -> _ConstantCurrentLamp:
        """Return one such light for many frames at once."""
        return _ConstantCurrentLamp(row["full_a"], row["turn_on_v"], float(row["saturation_v"]))

    @staticmethod
    def model(bench: Bench, stated: Any) -> Model:
        """Return what is to be fitted to readings."""
        return _model(bench, stated)
