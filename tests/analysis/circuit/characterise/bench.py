"""A bench supply with known lights on it: the characteristics written once more, in plain Python, and known noise."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from hollowglow.analysis.circuit.characterise import BenchReading
from hollowglow.file import load_text
from hollowglow.file.model.parts import Light
from tests.assembly.samples import CONSTANT_CURRENT, CONSTANT_POWER, RESISTOR, Stated, stated
from tests.outside.displays import dump

CHANNELS = ("red", "green", "blue", "off")
IDLE_A = 0.001
ON: dict[str, tuple[int, ...]] = {
    "red": (0,),
    "green": (1,),
    "blue": (2,),
    "white": (0, 1, 2),
    "all": (0, 1, 2),
    "off": (),
}
Own = Callable[[float, int], float]


def constant_current(v: float, colour: int) -> float:
    """18.5 mA from (2.0, 3.0, 3.1) V over a knee of 0.6 V."""
    u = min(max((v - (2.0, 3.0, 3.1)[colour]) / 0.6, 0.0), 1.0)
    return 0.0185 * u * (2.0 - u)


def resistor(v: float, colour: int) -> float:
    """Three chains of three LEDs of (2.0, 3.0, 3.1) V behind (330, 150, 150) ohm."""
    return 3 * max(0.0, v - 3 * (2.0, 3.0, 3.1)[colour]) / (330.0, 150.0, 150.0)[colour]


def constant_power(v: float, colour: int) -> float:
    """(0.10, 0.12, 0.12) W at 85 % from 7 V."""
    return (0.10, 0.12, 0.12)[colour] / 0.85 / v if v >= 7.0 else 0.0


def light(load: Stated) -> Light:
    found = load_text(dump(stated(load))).parts["light"].light
    assert found is not None
    return found


LIGHTS = {
    "constant-current": light(CONSTANT_CURRENT),
    "resistor": light(RESISTOR),
    "constant-power": light(CONSTANT_POWER),
}
CHARACTERISTICS: dict[str, Own] = {
    "constant-current": constant_current,
    "resistor": resistor,
    "constant-power": constant_power,
}


def readings(
    own: Own,
    at_v: Sequence[float],
    noise_a: float = 0.0,
    seed: int = 0,
    channels: Sequence[str] = CHANNELS,
    step_a: float = 1e-6,
) -> list[BenchReading]:
    """What the supply shows for a light, each number with normal noise."""
    rng = np.random.default_rng(seed)
    made = []
    for number, v in enumerate(at_v, 1):
        for channel in channels:
            on = ON[channel]
            amps = IDLE_A * min(v, 1.0) + sum(own(v, c) for c in on) + noise_a * rng.standard_normal()
            made.append(BenchReading(v, channel, float(amps), step_a, f"reading {number}"))
    return made
