"""Which characteristic a light's readings follow: each is fitted, the best is chosen, and what contradicts all is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.circuit.characterise.fit import CharacteristicFit, fit
from hollowglow.analysis.circuit.characterise.readings import COLOURS, BenchReading, mix
from hollowglow.file.model.loads import CHARACTERISTICS, Load
from hollowglow.file.model.loads.bench import Bench
from hollowglow.file.model.parts import Light
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.words import amps, volts

SURE = 4.0
_LOOSE_SHARE, _LOOSE_STEPS = 0.02, 3.0
_MOST_MISS = 0.05


@dataclass(frozen=True)
class Parameter:
    """One parameter of the characteristic that was found.

    Attributes:
        key: its key in a display file.
        colour: "red" and so on, empty where it belongs to the light.
        unit: SI unit.
        value: what it is.
        low, high: 95 % limits, None where the readings are too few for any.
        catalogue: what the catalogue or the file said, None where that is of another characteristic.
        source: "measured", "catalogue", or "assumed" where neither says.
    """

    key: str
    colour: str
    unit: str
    value: float
    low: float | None
    high: float | None
    catalogue: float | None
    source: str


@dataclass(frozen=True)
class JudgedCharacteristic:
    """How well one characteristic fits: greatest miss of a reading, A, and AICc less that of the best one.

    `behind` is None where the characteristic is out of question, or the readings are too few to compare it.
    """

    characteristic: str
    miss_a: float
    possible: bool
    behind: float | None


@dataclass(frozen=True)
class FittedCharacteristic:
    """What the readings of a light say.

    Attributes:
        characteristic: the class that they follow.
        stated_characteristic: the class that the catalogue or the file states.
        sure: whether they tell this class from the others; else it is the stated one for want of readings.
        parameters: those of the characteristic.
        characteristics: how well each fits, the best first.
        worst: reading farthest from the characteristic, and by how much, A.
    """

    characteristic: str
    stated_characteristic: str
    sure: bool
    parameters: tuple[Parameter, ...]
    characteristics: tuple[JudgedCharacteristic, ...]
    worst: tuple[BenchReading, float]


def analyse(readings: Sequence[BenchReading], light: Light) -> FittedCharacteristic:
    """Return the characteristic that a light's readings follow.

    Args:
        readings: of one light.
        light: what the catalogue or the file says about it.

    Raises:
        Refusal: when the readings tell too little, or contradict every characteristic.
    """
    colours = light.colours
    bench = _bench(readings, colours)
    _monotonic(readings, bench)
    stated = light.load.characteristic
    fits = {one.name(): fit(one.model(bench, light.load), bench) for one in CHARACTERISTICS}
    sane = {name: one for name, one in fits.items() if _close(one, bench)}
    if not sane:
        robust = [fit(one.model, bench, robust=True) for one in fits.values()]
        raise _contradiction(readings, min(robust, key=lambda f: float(np.abs(f.residual_a).sum())))
    judged = sorted((one for one in sane.values() if np.isfinite(one.aicc)), key=lambda f: f.aicc)
    best = judged[0].aicc if judged else 0.0
    # Where a characteristic is as good as the stated one but for chance, what is stated stands.
    level = [name for name, one in sane.items() if not judged or one.aicc - best < SURE or not np.isfinite(one.aicc)]
    rivals = [name for name in level if np.isfinite(sane[name].aicc)] or level
    characteristic = stated if stated in level else judged[0].model.characteristic if judged else next(iter(sane))
    sure = len(level) == 1 or (
        len(rivals) == 1 and characteristic == rivals[0] and np.isfinite(sane[characteristic].aicc)
    )
    chosen = sane[characteristic]
    worst = int(np.argmax(np.abs(chosen.residual_a)))
    order = sorted(
        fits.values(), key=lambda f: (f.model.characteristic not in sane, f.aicc, float((f.residual_a**2).sum()))
    )
    return FittedCharacteristic(
        characteristic=characteristic,
        stated_characteristic=stated,
        sure=bool(sure),
        parameters=_parameters(chosen, light.load),
        characteristics=tuple(
            JudgedCharacteristic(
                f.model.characteristic,
                float(np.abs(f.residual_a).max()),
                f.model.characteristic in sane,
                _behind(f, best, f.model.characteristic in sane),
            )
            for f in order
        ),
        worst=(readings[worst], float(chosen.residual_a[worst])),
    )


def _behind(one: CharacteristicFit, best: float, sane: bool) -> float | None:
    return one.aicc - best if sane and np.isfinite(one.aicc) else None


def _bench(readings: Sequence[BenchReading], colours: int) -> Bench:
    rows: list[tuple[float, ...]] = []
    for one in readings:
        try:
            rows.append(mix(one.channel, colours))
        except (KeyError, ValueError):
            have = ", ".join(COLOURS[:colours])
            raise Refusal(f"{one.where}: found {one.channel}, expected one of {have}, all, off.") from None
    mixes = np.array(rows, dtype=np.float64).reshape(len(rows), colours)
    lit = mixes.sum(axis=1) > 0.0
    if np.linalg.matrix_rank(mixes[lit]) < colours if lit.any() else True:
        missing = [
            name
            for name, seen in zip(COLOURS, (mixes[mixes.sum(axis=1) == 1.0] > 0).any(axis=0), strict=False)
            if not seen
        ]
        raise Refusal(
            f"The readings do not tell the current of {' and '.join(missing)}, expected each of the {colours} colours "
            f"alone at one voltage at least. Add a reading with only {missing[0]} fully on."
        )
    return Bench(
        volts=np.array([one.volts for one in readings]),
        mix=mixes,
        amps=np.array([one.amps for one in readings]),
        step_a=np.array([one.step_a for one in readings]),
    )


def _monotonic(readings: Sequence[BenchReading], bench: Bench) -> None:
    """Refuse a colour whose current falls and then rises again with the voltage: no characteristic does that."""
    loose = _LOOSE_SHARE * float(bench.amps.max(initial=0.0)) + _LOOSE_STEPS * float(bench.step_a.min())
    for channel in dict.fromkeys(one.channel for one in readings):
        own = sorted((one for one in readings if one.channel == channel), key=lambda r: r.volts)
        peak, valley = own[0], None
        for one in own[1:]:
            if valley is not None and one.volts > valley.volts and one.amps > valley.amps + loose:
                raise Refusal(
                    f"The readings contradict every characteristic: {channel} falls from {amps(peak.amps)} at "
                    f"{volts(peak.volts)} to {amps(valley.amps)} at {volts(valley.volts)} ({valley.where}) and rises again to "
                    f"{amps(one.amps)} at {volts(one.volts)} ({one.where}). A constant current and a resistor never draw less "
                    "at more volts, a switching driver that runs never draws more. "
                    f"Measure {channel} at {volts(valley.volts)} again."
                )
            if one.amps < peak.amps - loose and one.volts > peak.volts:
                valley = one if valley is None or one.amps < valley.amps else valley
            elif valley is None and one.amps > peak.amps:
                peak = one


def _close(one: CharacteristicFit, bench: Bench) -> bool:
    """Return whether no reading is farther from a characteristic than bad contacts and rounding explain."""
    most = _MOST_MISS * float(bench.amps.max(initial=0.0)) + _LOOSE_STEPS * bench.step_a
    return bool((np.abs(one.residual_a) <= most).all())


def _contradiction(readings: Sequence[BenchReading], best: CharacteristicFit) -> Refusal:
    worst = int(np.argmax(np.abs(best.residual_a)))
    one, off = readings[worst], float(best.residual_a[worst])
    return Refusal(
        f"The readings contradict every characteristic: the nearest is {best.model.characteristic}, and "
        f"{one.shown} is {amps(one.amps)} where it says {amps(one.amps - off)}. Measure "
        "that again with every colour at full level; if it stays so, this light is none of those that can be computed here."
    )


def _parameters(chosen: CharacteristicFit, load: Load) -> tuple[Parameter, ...]:
    model = chosen.model
    same = load.characteristic == model.characteristic
    made: list[Parameter] = []
    for at, key in enumerate(model.keys):
        colour = model.colour[at]
        stated = _stated(load, key, colour) if same or key == "idle" else None
        value, half = float(chosen.values[at]), float(chosen.half[at])
        told = bool(chosen.told[at])
        low, high = (max(value - half, 0.0), value + half) if told and np.isfinite(half) else (None, None)
        source = "measured" if told else "catalogue" if model.known[at] and value == stated else "assumed"
        made.append(
            Parameter(key, COLOURS[colour] if colour >= 0 else "", model.units[at], value, low, high, stated, source)
        )
    for key, (value, unit) in model.rest.items():
        stated = _stated(load, key, -1) if same else None
        bracket = model.brackets.get(key)
        source = "measured" if bracket else "catalogue" if stated is not None and stated == value else "assumed"
        low, high = bracket if bracket else (None, None)
        made.append(Parameter(key, "", unit, value, low, high, stated, source))
    return tuple(made)


def _stated(load: Load, key: str, colour: int) -> float | None:
    value = getattr(load, key, None)
    if value is None:
        return None
    return float(value[colour]) if isinstance(value, tuple) else float(value)
