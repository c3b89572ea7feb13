"""One recipe for a prop as the person states it: shell, carrier, fill and fittings."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, WithJsonSchema, model_validator

from hollowglow.file.model.fields import Colours, Frozen, Pair, Price, Several, YesNo
from hollowglow.file.model.parts import Count
from hollowglow.quantity.shown import refuse, show
from hollowglow.quantity.units import Fit, LengthOrZero, Mass, Offset, Ratio, ShortLength

DEFAULT_CABLE = "cable-3x18awg"
# A milky plastic wall, where nothing is stated; of what a wall does not do as stated, a tenth is absorbed.
MILKY = 0.45
_KEPT = 0.9
DEFAULT_WALL_M = 0.002
Point = Annotated[tuple[LengthOrZero, LengthOrZero], Pair("[40 mm, 120 mm]")]


@dataclass(frozen=True, slots=True)
class Cells:
    """The battery cells that a prop is sold with."""

    count: int
    size: Literal["AA", "AAA"]


_CELLS = re.compile(r"\s*(\d{1,2})\s*[*x×]\s*(AAA?)\s*")


def _read_cells(value: object) -> Cells:
    match = _CELLS.fullmatch(value) if isinstance(value, str) else None
    if match is None or not 1 <= int(match.group(1)) <= 12:
        raise refuse(show(value), 'a count and a size of cell like "3 * AA" (AA or AAA, up to 12)')
    return Cells(int(match.group(1)), "AA" if match.group(2) == "AA" else "AAA")


BatteriesField = Annotated[
    Cells, BeforeValidator(_read_cells), WithJsonSchema({"type": "string", "pattern": "^ *[0-9]+ *[*x×] *AAA? *$"})
]
Place = Literal["base", "side", "tip"]


class Switch(Frozen):
    """The old switch: its opening, where it sits, how far it reaches in, and whether rain can pass it."""

    diameter: ShortLength
    at: Place = "base"
    depth: ShortLength = 0.015
    sealed: YesNo = False


class Carrier(Frozen):
    """What the lights mount on: a disc across the axis, a plate or box along it, or a closed tube around it."""

    shape: Literal["disc", "plate", "box", "tube"]
    diameter: ShortLength | None = None
    width: ShortLength | None = None
    depth: ShortLength | None = None
    height: ShortLength | None = None
    thickness: ShortLength = 0.003
    above_base: LengthOrZero | None = None
    reflectance: Ratio = 0.8
    price: Price | None = None
    mass: Mass | None = None

    @model_validator(mode="after")
    def _measured(self) -> Carrier:
        needs = {
            "disc": ("diameter",),
            "plate": ("width", "height"),
            "box": ("width", "depth", "height"),
            "tube": ("diameter", "height"),
        }[self.shape]
        missing = [k for k in needs if getattr(self, k) is None]
        if missing:
            raise refuse(
                f"a {self.shape} without " + " and ".join(missing), " and ".join(needs) + f" for a {self.shape}"
            )
        return self


class Drain(Frozen):
    """The hole that lets water out."""

    at: Literal["lowest", "base", "side", "tip", "none"] = "lowest"
    diameter: ShortLength = 0.004


class Shell(Frozen):
    """The hollow translucent body."""

    shape: Literal["sphere", "cylinder", "cone", "lathe", "box"]
    diameter: ShortLength | None = None
    height: ShortLength | None = None
    width: ShortLength | None = None
    depth: ShortLength | None = None
    profile: Annotated[tuple[Point, ...], Several(2, 10_000)] | None = None
    transmittance: Ratio | None = None
    reflectance: Ratio | None = None
    tint: Annotated[tuple[Ratio, ...], Colours] | None = None
    wall: ShortLength | None = None
    opening: ShortLength | None = None
    boss: LengthOrZero = 0.0
    switch: Switch | None = None
    batteries: BatteriesField | None = None
    price: Price | None = None
    mass: Mass | None = None

    @model_validator(mode="after")
    def _makes_sense(self) -> Shell:
        needs = {
            "sphere": ("diameter",),
            "cylinder": ("diameter", "height"),
            "cone": ("diameter", "height"),
            "lathe": ("profile",),
            "box": ("width", "height", "depth"),
        }[self.shape]
        missing = [k for k in needs if getattr(self, k) is None]
        if missing:
            raise refuse(
                f"a {self.shape} without " + " and ".join(missing),
                " and ".join(needs) + f" for a {self.shape}",
            )
        total = (self.transmittance or 0.0) + (self.reflectance or 0.0)
        if total > 1.0 + 1e-9:
            raise refuse(
                f"transmittance and reflectance that add up to {total:.2f}",
                "a sum of at most 1, because the wall cannot give back more light than it gets",
            )
        return self

    @property
    def wall_m(self) -> float:
        """Return the thickness of the wall, m."""
        return DEFAULT_WALL_M if self.wall is None else self.wall

    @property
    def optics(self) -> tuple[float, float]:
        """Return (transmittance, reflectance) of the wall, with what is not stated filled in."""
        through, back = self.transmittance, self.reflectance
        if through is None and back is None:
            return MILKY, MILKY
        if through is None:
            through = _KEPT * (1.0 - (back or 0.0))
        if back is None:
            back = _KEPT * (1.0 - through)
        return through, back


Arrangement = Literal["stand-off", "one face", "two faces", "ring", "up a tube", "by hand"]
Triple = Annotated[tuple[Offset, Offset, Offset], Several(3, 3)]


def _read_direction(value: object) -> tuple[float, float, float]:
    if isinstance(value, list) and len(value) == 3 and not any(isinstance(v, bool) for v in value):
        x, y, z = (float(v) if isinstance(v, (int, float)) else math.nan for v in value)
        if all(abs(v) <= 1e6 for v in (x, y, z)) and any(abs(v) > 1e-6 for v in (x, y, z)):
            return (x, y, z)
    raise refuse(show(value), "a direction like [0, 0, 1]: three numbers, not all of them 0")


Direction = Annotated[
    tuple[float, float, float],
    BeforeValidator(_read_direction),
    WithJsonSchema({"type": "array", "items": {"type": "number"}, "minItems": 3, "maxItems": 3}),
]


class Wiring(Frozen):
    """Cable between neighbouring lights inside one prop."""

    cable: str = DEFAULT_CABLE
    length: ShortLength


class Fill(Frozen):
    """The lights inside a kind: one module, or several single lights, ganged or each on its own."""

    light: str
    count: Count = 1
    gang: YesNo = True
    wiring: Wiring | None = None
    arrangement: Arrangement | None = None
    stand_off: LengthOrZero = 0.01
    fit: Fit = 0.0002
    positions: Annotated[tuple[Triple, ...], Several(1, 1000)] | None = None
    axes: Annotated[tuple[Direction, ...], Several(1, 1000)] | None = None

    @model_validator(mode="after")
    def _placed(self) -> Fill:
        if self.arrangement == "by hand" and self.positions is None:
            raise refuse("an arrangement by hand without positions", "positions, one [x, y, z] for each light")
        for key in ("positions", "axes"):
            given = getattr(self, key)
            if given is not None and len(given) != self.count:
                raise refuse(f"{len(given)} {key} for {self.count} lights", f"one of {key} for each light")
        if self.axes is not None and self.positions is None:
            raise refuse("axes without positions", "positions too, one for each light")
        return self


class Pigtail(Frozen):
    """The cable that leaves a prop, one in and one out."""

    cable: str = DEFAULT_CABLE
    length: ShortLength
    plug: str | None = None


class Gland(Frozen):
    """Which gland closes the cable holes, how many, and where they sit."""

    part: str
    count: Count = 1
    at: Place = "base"


class Kind(Frozen):
    """One recipe for a prop: shell, fill, fittings."""

    about: str = ""
    shell: Shell | None = None
    carrier: Carrier | None = None
    fill: Fill
    hangs: Literal["tip down", "tip up", "on its side"] = "tip down"
    pigtail: Pigtail | None = None
    gland: Gland | None = None
    drain: Drain = Drain()
    hook: str | None = None
