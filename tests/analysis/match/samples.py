"""Displays of two or more kinds in the documented form, small enough to be worked out by hand."""

from __future__ import annotations

from typing import Any

from hollowglow.analysis.match import Match, Target, solve
from hollowglow.analysis.prop.optics import Optics, analyse
from hollowglow.assembly import Assembly
from tests.assembly.samples import CONSTANT_CURRENT, Stated, built, stated

SHELL: Stated = {"shape": "sphere", "diameter": "150 mm", "transmittance": 0.45, "reflectance": 0.45}
FLUX = ["1.3 lm", "2.2 lm", "0.6 lm"]
PRIMARIES = [[0.695, 0.305], [0.18, 0.71], [0.135, 0.06]]


def light(flux: list[str] = FLUX, xy: list[list[float]] = PRIMARIES, load: Stated = CONSTANT_CURRENT) -> Stated:
    return {"light": {"emitters": 1, "load": load, "colour": {"flux": flux, "xy": xy}}}


def lumens(*values: float) -> list[str]:
    return [f"{v:.9f} lm" for v in values]


def times(factor: float) -> Stated:
    """A light like the others, so many times as bright."""
    return light(lumens(1.3 * factor, 2.2 * factor, 0.6 * factor))


def kind(part: str, count: int = 1, **more: Any) -> Stated:
    return {"shell": SHELL, "fill": {"light": part, "count": count}, **more}


def two(one: Stated, other: Stated, *, wire: str = "0.000001 ohm/m", steps: str | int = 255, **top: Any) -> Stated:
    """One string of two `dim` and two `bright` props, on wire that loses next to nothing."""
    made = stated(
        props=["2 * dim", "2 * bright"],
        parts={"one": one, "other": other, "wire": {"cable": {"cores": 3, "resistance": wire}}},
    )
    made["kinds"] = {"dim": kind("one"), "bright": kind("other")}
    made["controllers"]["box"]["steps"] = steps
    return {**made, **top}


def matched(display: Stated, target: Target | None = None) -> tuple[Assembly, Optics, Match]:
    assembly = built(display)
    lit = analyse(assembly)
    return assembly, lit, solve(assembly, lit, target)
