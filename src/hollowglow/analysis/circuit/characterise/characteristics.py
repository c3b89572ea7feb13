"""The three current-voltage characteristics as functions of a row of parameters, ready to be fitted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import Flags, Floats
from hollowglow.file.model.parts import ConstantCurrentLoad, ConstantPowerLoad, Load, ResistorLoad
from hollowglow.physics import loads

DEFAULT_SATURATION_V = 0.6
DEFAULT_EFFICIENCY = 0.85
_SHARE_DARK, _SHARE_ON, _SHARE_FULL = 0.05, 0.2, 0.95
_LEAST_SATURATION_V = 0.02
_LEAST = 1e-9


@dataclass(frozen=True)
class Bench:
    """Readings as arrays: voltage (V), which colours are on (n, c), current (A), last digit (A)."""

    volts: Floats
    mix: Floats
    amps: Floats
    step_a: Floats

    @property
    def colours(self) -> int:
        """Return how many colours the light has."""
        return int(self.mix.shape[1])


@dataclass(frozen=True)
class Model:
    """One characteristic before it is fitted; parameters stand in one row, those of a colour side by side.

    Attributes:
        characteristic: its class.
        keys: key of each parameter in a display file.
        colour: colour of each parameter, -1 where it belongs to the light.
        units: unit of each.
        start: where the fit starts.
        low, high: bounds.
        fallback: what a parameter is where the readings do not tell it.
        known: whether that comes from the catalogue.
        hinted: parameters that some reading can tell at all; the others are not fitted.
        give_up: order in which parameters are given up where the readings are too few.
        current: current of one light (A) from (parameters, bench).
        limits_v: cutoff between these voltages, where it has one.
        rest: further keys of the load that are not fitted.
    """

    characteristic: str
    keys: tuple[str, ...]
    colour: tuple[int, ...]
    units: tuple[str, ...]
    start: Floats
    low: Floats
    high: Floats
    fallback: Floats
    known: Flags
    hinted: Flags
    give_up: tuple[int, ...]
    current: Callable[[Floats, Bench], Floats]
    limits_v: tuple[float, float] | None
    rest: dict[str, float]


def _own(bench: Bench, idle_a: float, colour: int) -> tuple[Floats, Floats]:
    """Return voltages and net currents of the readings that tell most of one colour."""
    alone = (bench.mix[:, colour] > 0.0) & (bench.mix.sum(axis=1) == 1.0)
    if not alone.any():
        alone = bench.mix[:, colour] > 0.0
    share = bench.mix[alone].sum(axis=1)
    return bench.volts[alone], np.maximum(bench.amps[alone] - idle_a, 0.0) / share


def _idle(bench: Bench, catalogue: Load) -> tuple[float, bool]:
    """Return the idle current to start from, and whether a reading tells it."""
    off = bench.mix.sum(axis=1) == 0.0
    if off.any():
        return float(np.median(bench.amps[off])), True
    return min(catalogue.idle, float(bench.amps.min())), False


def constant_current(bench: Bench, catalogue: Load) -> Model:
    """Return the model of a constant-current driver."""
    c = bench.colours
    own = catalogue if isinstance(catalogue, ConstantCurrentLoad) else None
    idle_a, _ = _idle(bench, catalogue)
    saturation = own.saturation if own else DEFAULT_SATURATION_V
    full, turn_on, fallback, knees = np.zeros(c), np.zeros(c), np.zeros(c), np.zeros(c, dtype=np.int64)
    drawn = [_own(bench, idle_a, colour) for colour in range(c)]
    for colour, (_, i) in enumerate(drawn):
        full[colour] = max(float(i.max(initial=0.0)), _LEAST)
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
        drawn = loads.constant_current(b.volts, p[:c], p[c : 2 * c], p[2 * c : 2 * c + 1]).current
        total: Floats = (b.mix * drawn).sum(axis=1) + loads.idle(b.volts, p[2 * c + 1]).current
        return total

    colours = tuple(range(c))
    return Model(
        characteristic="constant-current",
        keys=("current",) * c + ("turn_on",) * c + ("saturation", "idle"),
        colour=(*colours, *colours, -1, -1),
        units=("A",) * c + ("V",) * c + ("V", "A"),
        start=np.r_[full, turn_on, saturation, idle_a],
        low=np.r_[np.full(c, _LEAST), np.zeros(c), _LEAST_SATURATION_V, 0.0],
        high=np.r_[np.full(c, np.inf), np.full(c + 1, 60.0), np.inf],
        fallback=np.r_[full, fallback, saturation, min(catalogue.idle, idle_a)],
        known=np.r_[np.zeros(c), np.full(c + 1, own is not None), 1.0].astype(bool),
        hinted=np.r_[np.ones(c), knees > 0, knees.sum() > (knees > 0).sum(), 1.0].astype(bool),
        give_up=(2 * c, *range(c, 2 * c), 2 * c + 1),
        current=current,
        limits_v=None,
        rest={},
    )


def resistor(bench: Bench, catalogue: Load) -> Model:
    """Return the model of LEDs behind resistors; how many stand in series and side by side no current tells."""
    c = bench.colours
    own = catalogue if isinstance(catalogue, ResistorLoad) else None
    series, parallel = (float(own.series), float(own.parallel)) if own else (1.0, 1.0)
    idle_a, _ = _idle(bench, catalogue)
    forward, ohm = np.zeros(c), np.zeros(c)
    for colour in range(c):
        v, i = _own(bench, idle_a, colour)
        lit = i > 0.05 * max(float(i.max(initial=0.0)), _LEAST)
        if np.ptp(v[lit]) > 0.0 if lit.any() else False:
            slope, at_zero = np.polyfit(v[lit], i[lit], 1)
        else:
            slope, at_zero = 0.0, 0.0
        guess = own.forward[colour] if own else 2.0
        rises = slope > 1e-6
        forward[colour] = np.clip(-at_zero / slope / series, 0.01, 60.0) if rises else guess
        mean_v, mean_i = (float(v[lit].mean()), float(i[lit].mean())) if lit.any() else (12.0, _LEAST)
        ohm[colour] = parallel / slope if rises else parallel * max(mean_v - series * guess, 0.1) / mean_i

    def current(p: Floats, b: Bench) -> Floats:
        drawn = loads.resistor(b.volts, np.array(series), np.array(parallel), p[c : 2 * c], p[:c]).current
        total: Floats = (b.mix * drawn).sum(axis=1) + loads.idle(b.volts, p[2 * c]).current
        return total

    colours = tuple(range(c))
    stated = np.array(own.forward) if own else forward
    return Model(
        characteristic="resistor",
        keys=("resistor",) * c + ("forward",) * c + ("idle",),
        colour=(*colours, *colours, -1),
        units=("ohm",) * c + ("V",) * c + ("A",),
        start=np.r_[ohm, forward, idle_a],
        low=np.r_[np.full(c, 1e-3), np.full(c, 1e-3), 0.0],
        high=np.r_[np.full(c, 1e9), np.full(c, 60.0), np.inf],
        fallback=np.r_[ohm, stated, min(catalogue.idle, idle_a)],
        known=np.r_[np.zeros(c), np.full(c, own is not None), 1.0].astype(bool),
        hinted=np.ones(2 * c + 1, dtype=bool),
        give_up=(*range(c, 2 * c), 2 * c),
        current=current,
        limits_v=None,
        rest={"series": series, "parallel": parallel},
    )


def constant_power(bench: Bench, catalogue: Load) -> Model:
    """Return the model of a switching driver; its cutoff lies between readings with it off and with it running."""
    c = bench.colours
    own = catalogue if isinstance(catalogue, ConstantPowerLoad) else None
    efficiency = own.efficiency if own else DEFAULT_EFFICIENCY
    idle_a, _ = _idle(bench, catalogue)
    lit = bench.mix.sum(axis=1) > 0.0
    power = np.zeros(c)
    for colour in range(c):
        v, i = _own(bench, idle_a, colour)
        power[colour] = max(float((v * i).max(initial=0.0)), _LEAST)
    drawn = np.maximum(bench.amps - idle_a, 0.0) * bench.volts
    running = lit & (drawn > _SHARE_ON * (bench.mix @ power))
    on_v = float(bench.volts[running].min(initial=np.inf))
    stopped = lit & ~running & (bench.volts < on_v)
    off_v = float(bench.volts[stopped].max(initial=0.0))
    for colour in range(c):
        v, i = _own(bench, idle_a, colour)
        power[colour] = max(float(np.median((v * i)[v >= on_v])) * efficiency if (v >= on_v).any() else 0.0, _LEAST)
    stated = own.cutoff if own else on_v
    cutoff = 0.5 * (off_v + on_v) if stopped.any() else min(stated, on_v)

    def current(p: Floats, b: Bench) -> Floats:
        running = b.volts >= cutoff
        drawn = loads.constant_power(b.volts, p[:c], np.array(efficiency), np.array(cutoff), running).current
        total: Floats = (b.mix * drawn).sum(axis=1) + loads.idle(b.volts, p[c]).current
        return total

    return Model(
        characteristic="constant-power",
        keys=("power",) * c + ("idle",),
        colour=(*range(c), -1),
        units=("W",) * c + ("A",),
        start=np.r_[power, idle_a],
        low=np.r_[np.full(c, 1e-9), 0.0],
        high=np.full(c + 1, np.inf),
        fallback=np.r_[power, min(catalogue.idle, idle_a)],
        known=np.r_[np.zeros(c), 1.0].astype(bool),
        hinted=np.ones(c + 1, dtype=bool),
        give_up=(c,),
        current=current,
        limits_v=(off_v, on_v) if stopped.any() else None,
        rest={"efficiency": efficiency, "cutoff": cutoff},
    )


MODELS: dict[str, Callable[[Bench, Load], Model]] = {
    "constant-current": constant_current,
    "resistor": resistor,
    "constant-power": constant_power,
}
