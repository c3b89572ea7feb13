"""The light and the chromaticity shift along a sagging string, against colour-science."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pytest

from hollowglow.analysis.circuit.power import analyse
from tests.assembly.samples import CONSTANT_CURRENT, RESISTOR, Stated, built, stated

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

FLUX_LM = [1.1, 2.4, 0.5]
XY = [[0.69, 0.305], [0.19, 0.71], [0.14, 0.05]]
SAGGING = {
    **CONSTANT_CURRENT,
    "turn_on": ["5.7 V", "8.9 V", "9.2 V"],
    "saturation": "1.4 V",
    "current": ["60 mA"] * 3,
}


def with_colour(load: Stated, **top: Any) -> Stated:
    display = stated(load, props="18 * float", string={"span": {"cable": "wire", "length": "1.2 m"}}, **top)
    light = display["parts"]["light"]["light"]
    light["colour"] = {"flux": [f"{flux} lm" for flux in FLUX_LM], "xy": XY}
    light["voltage"] = "12 V"
    return display


def current(load: Stated, v: float) -> np.ndarray:
    """Current of each colour at full duty, by the characteristics of the documented form."""
    if load["class"] == "resistor":
        forward = [float(text.split()[0]) for text in load["forward"]]
        ohm = [float(text.split()[0]) for text in load["resistor"]]
        return np.array([3 * max(0.0, v - 3 * f) / r for f, r in zip(forward, ohm, strict=True)])
    turn_on = [float(text.split()[0]) for text in load["turn_on"]]
    u = np.clip((v - np.array(turn_on)) / float(load["saturation"].split()[0]), 0.0, 1.0)
    return 0.06 * (2 * u - u * u)


def mixed(relative: np.ndarray) -> np.ndarray:
    """XYZ of three channels at these shares of their flux."""
    xyz = [share * flux * colour.xy_to_XYZ(xy) for share, flux, xy in zip(relative, FLUX_LM, XY, strict=True)]
    total: np.ndarray = np.sum(xyz, axis=0)
    return total


def uv(xyz: np.ndarray) -> np.ndarray:
    made: np.ndarray = np.asarray(colour.xy_to_Luv_uv(colour.XYZ_to_xy(xyz)))
    return made


@pytest.mark.parametrize("load", [RESISTOR, SAGGING], ids=["resistor", "constant-current"])
@pytest.mark.parametrize("level", [100, 40])
def test_light_and_tint_of_every_node_are_those_of_colour_science(load: Stated, level: int) -> None:
    power = analyse(built(with_colour(load, levels={"float": f"{level} %"})))
    nominal = mixed(np.ones(3))
    full = current(load, 12.0)
    for node, v in enumerate(power.across_v):
        now = mixed(current(load, float(v)) / full)
        assert power.light[node] == pytest.approx(now[1] / nominal[1], rel=1e-9)
        assert power.chromaticity_shift[node] == pytest.approx(np.linalg.norm(uv(now) - uv(nominal)), abs=1e-9)
        star = colour.lightness(100 * now[1] / nominal[1], method="CIE 1976", Y_n=100.0)
        assert power.lightness[node] == pytest.approx(float(star), rel=1e-6)
    if level == 100:
        assert power.light[-1] < 0.75
        assert power.chromaticity_shift[-1] > 0.006


def test_white_turns_warm_towards_the_end_of_a_sagging_string() -> None:
    power = analyse(built(with_colour(SAGGING)))
    shift = uv(mixed(current(SAGGING, float(power.across_v[-1])) / 0.06)) - uv(mixed(np.ones(3)))
    assert shift[0] > 0.0
    assert (np.diff(power.light) <= 1e-12).all()


def test_at_its_nominal_voltage_a_light_is_white_and_whole() -> None:
    display = with_colour(RESISTOR)
    display["parts"]["wire"]["cable"]["resistance"] = "0.000001 ohm/m"
    power = analyse(built(display))
    assert power.light == pytest.approx(np.ones(18), abs=1e-4)
    assert power.chromaticity_shift == pytest.approx(np.zeros(18), abs=1e-5)
