"""One recipe for a prop as the person states it: shell, carrier, fill and fittings."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, WithJsonSchema, model_validator

from hollowglow.file.model.fields import Colours, Frozen, Pair, Price, Several, YesNo
from hollowglow.file.model.keys import Assumed, key
from hollowglow.file.model.parts import Count
from hollowglow.quantity import measures
from hollowglow.quantity.shown import refuse, show
from hollowglow.quantity.units import Fit, LengthOrZero, Mass, Offset, Ratio, ShortLength
from hollowglow.quantity.written import stated

DEFAULT_CABLE = "cable-3x18awg"
# A milky plastic wall, where nothing is stated; of what a wall does not do as stated, a tenth is absorbed.
MILKY = 0.45
_KEPT = 0.9
DEFAULT_WALL_M = 0.002
Point = Annotated[tuple[LengthOrZero, LengthOrZero], Pair("[40 mm, 120 mm]")]


@dataclass(frozen=True, slots=True)
class Batteries:
    """The battery cells that a prop is sold with."""

    count: int
    size: Literal["AA", "AAA"]


_CELLS = re.compile(r"\s*(\d{1,2})\s*[*x×]\s*(AAA?)\s*")


def _read_cells(value: object) -> Batteries:
    match = _CELLS.fullmatch(value) if isinstance(value, str) else None
    if match is None or not 1 <= int(match.group(1)) <= 12:
        raise refuse(show(value), 'a count and a size of cell like "3 * AA" (AA or AAA, up to 12)')
    return Batteries(int(match.group(1)), "AA" if match.group(2) == "AA" else "AAA")


BatteriesField = Annotated[
    Batteries, BeforeValidator(_read_cells), WithJsonSchema({"type": "string", "pattern": "^ *[0-9]+ *[*x×] *AAA? *$"})
]
Place = Literal["base", "side", "tip"]


class Switch(Frozen):
    """The old switch of a prop."""

    diameter: ShortLength = key("diameter of its opening")
    at: Place = key("where it sits: `base`, `side` or `tip`", "base", assumed="where the old switch sits")
    depth: ShortLength = key("how far it reaches into the shell", 0.015, assumed="how far the old switch reaches in")
    sealed: YesNo = key("whether it keeps rain out", False, assumed="rain can pass the old switch")


class Carrier(Frozen):
    """A carrier."""

    shape: Literal["disc", "plate", "box", "tube"] = key(
        "`disc` across the axis, `plate` or `box` along it, or closed `tube` around it"
    )
    diameter: ShortLength | None = key("diameter of a disc or tube", None)
    width: ShortLength | None = key("width of a plate or box, across the axis", None)
    depth: ShortLength | None = key("depth of a box, across the axis and its width", None)
    height: ShortLength | None = key("height of a plate, box or tube along the axis", None)
    thickness: ShortLength = key(
        "thickness of a disc or plate, or of the wall of a box or tube",
        0.003,
        assumed=Assumed("thickness of the carrier", when=lambda carrier, kind, *_: kind.shell is not None),
    )
    above_base: LengthOrZero | None = key(
        "height of its lower end above the base",
        None,
        assumed=Assumed(
            "where the carrier sits along the axis",
            value="in the middle",
            when=lambda carrier, kind, *_: kind.shell is not None,
        ),
    )
    reflectance: Ratio = key(
        "light that it throws back",
        0.8,
        assumed=Assumed("a white carrier", when=lambda carrier, kind, *_: kind.shell is not None),
    )
    price: Price | None = key("price of one piece", None)
    mass: Mass | None = key("mass of one piece", None)

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
    """The drain of one prop."""

    at: Literal["lowest", "base", "side", "tip", "none"] = key(
        "`lowest`, `base`, `side`, `tip`, or `none`",
        "lowest",
        assumed=Assumed("place of the hole that lets water out", when=lambda drain, kind, *_: kind.shell is not None),
    )
    diameter: ShortLength = key(
        "its diameter",
        0.004,
        assumed=Assumed("diameter of the drain", when=lambda drain, kind, *_: kind.shell is not None),
    )


# Outer lengths that a shell of each shape must state; one of no lengths is drawn by its profile.
SHELL_LENGTHS: Mapping[str, tuple[str, ...]] = {
    "sphere": ("diameter",),
    "cylinder": ("diameter", "height"),
    "cone": ("diameter", "height"),
    "lathe": (),
    "box": ("width", "height", "depth"),
}


class Shell(Frozen):
    """A shell."""

    shape: Literal["sphere", "cylinder", "cone", "lathe", "box"] = key("`sphere`, `cylinder`, `cone`, `lathe` or `box`")
    diameter: ShortLength | None = key("outer diameter", None)
    height: ShortLength | None = key("outer height", None)
    width: ShortLength | None = key("outer width of a box", None)
    depth: ShortLength | None = key("outer depth of a box", None)
    profile: Annotated[tuple[Point, ...], Several(2, 10_000)] | None = key(
        "pairs of radius and height along a lathe's outline", None
    )
    transmittance: Ratio | None = key(
        "light that the wall lets through",
        None,
        assumed=Assumed(
            "share of the light that the wall lets through, as milky plastic does",
            value=lambda shell, *_: f"{shell.optics[0]:.2g}",
        ),
    )
    reflectance: Ratio | None = key(
        "light that the wall throws back inside",
        None,
        assumed=Assumed(
            "share of the light that the wall throws back inside, as milky plastic does",
            value=lambda shell, *_: f"{shell.optics[1]:.2g}",
        ),
    )
    tint: Annotated[tuple[Ratio, ...], Colours] | None = key(
        "for each colour, what the wall lets through and throws back of it beside those shares",
        None,
        assumed="the wall does the same to every colour",
    )
    wall: ShortLength | None = key(
        "thickness of the wall",
        None,
        assumed=Assumed("thickness of the wall", value=stated(DEFAULT_WALL_M, measures.SHORT_LENGTH)),
    )
    opening: ShortLength | None = key(
        "diameter of the opening through which lights and carrier must go",
        None,
        assumed="everything goes in through the cut shell",
    )
    boss: LengthOrZero = key(
        "height of a raised area inside, under the cable holes",
        0.0,
        assumed=Assumed("no raised area under the cable holes", value="0 mm"),
    )
    switch: Switch | None = key("the old switch", None)
    batteries: BatteriesField | None = key("the battery cells that it is sold with, such as `3 * AA`", None)
    price: Price | None = key("price of one piece", None)
    mass: Mass | None = key("mass of one empty shell, without cells", None)

    @model_validator(mode="after")
    def _makes_sense(self) -> Shell:
        needs = self.lengths or ("profile",)
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
    def lengths(self) -> tuple[str, ...]:
        """Return the keys of the outer lengths that its shape must state."""
        return SHELL_LENGTHS[self.shape]

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

    cable: str = key(
        "name of a cable part; `cable-3x18awg` where none is stated",
        DEFAULT_CABLE,
        assumed="wiring inside the prop of the usual cable",
    )
    length: ShortLength = key("length of one piece")


class Fill(Frozen):
    """A fill: one module, or several single lights."""

    light: str = key("name of the light part")
    count: Count = key("how many of it", 1, assumed="one light in each prop")
    gang: YesNo = key(
        "whether they show one colour together",
        True,
        assumed=Assumed("all lights of a prop show one colour", when=lambda fill, *_: fill.count > 1),
    )
    wiring: Wiring | None = key(
        "the cable between neighbouring lights inside",
        None,
        assumed=Assumed("all lights of a prop sit at one point of the cable", when=lambda fill, *_: fill.count > 1),
    )
    arrangement: Arrangement | None = key(
        "where they sit: `stand-off`, `one face`, `two faces`, `ring`, `up a tube` or `by hand`",
        None,
        assumed=Assumed(
            "where the lights sit inside",
            value="by count and carrier",
            when=lambda fill, kind, *_: kind.shell is not None,
        ),
    )
    stand_off: LengthOrZero = key(
        "height of a single light over what it stands on",
        0.01,
        assumed=Assumed(
            "height of the light over what it stands on",
            when=lambda fill, kind, *_: kind.shell is not None and fill.positions is None and fill.count == 1,
        ),
    )
    fit: Fit = key(
        "by how much a hole in the carrier is wider than the light's body",
        0.0002,
        assumed=Assumed(
            "a hole is this much wider than the light's body",
            when=lambda fill, kind, *_: kind.shell is not None and kind.carrier is not None,
        ),
    )
    positions: Annotated[tuple[Triple, ...], Several(1, 1000)] | None = key(
        "for each light, [x, y, z] from the middle of the base, z towards the tip", None
    )
    axes: Annotated[tuple[Direction, ...], Several(1, 1000)] | None = key(
        "for each light, the direction in which it looks",
        None,
        assumed=Assumed(
            "lights look away from the middle",
            value="outward",
            when=lambda fill, kind, *_: kind.shell is not None and fill.positions is not None,
        ),
    )

    @model_validator(mode="after")
    def _placed(self) -> Fill:
        if self.arrangement == "by hand" and self.positions is None:
            raise refuse("an arrangement by hand without positions", "positions, one [x, y, z] for each light")
        for name in ("positions", "axes"):
            given = getattr(self, name)
            if given is not None and len(given) != self.count:
                raise refuse(f"{len(given)} {name} for {self.count} lights", f"one of {name} for each light")
        if self.axes is not None and self.positions is None:
            raise refuse("axes without positions", "positions too, one for each light")
        return self


class Pigtail(Frozen):
    """A pigtail."""

    cable: str = key(
        "name of a cable part; `cable-3x18awg` where none is stated",
        DEFAULT_CABLE,
        assumed="pigtails of the usual cable",
    )
    length: ShortLength = key("length of each of the two")
    plug: str | None = key("name of the joint part whose half sits at its end", None)


class PropGlands(Frozen):
    """The glands of one prop."""

    part: str = key("name of the gland part")
    count: Count = key("how many of it", 1, assumed="one gland in each prop")
    at: Place = key(
        "where they sit: `base`, `side` or `tip`",
        "base",
        assumed=Assumed("where the cable holes sit", when=lambda gland, kind, *_: kind.shell is not None),
    )


class Kind(Frozen):
    """One kind: a recipe for a prop."""

    about: str = key("what it is, in the builder's own words", "")
    shell: Shell | None = key("the hollow translucent body", None)
    carrier: Carrier | None = key("what the lights mount on inside the shell", None)
    fill: Fill = key("the lights inside")
    hangs: Literal["tip down", "tip up", "on its side"] = key(
        "which way up it hangs: `tip down`, `tip up` or `on its side`; the base is the tip's other end",
        "tip down",
        assumed=Assumed(
            "which way up it hangs, and so where water runs to", when=lambda kind, *_: kind.shell is not None
        ),
    )
    pigtail: Pigtail | None = key(
        "the cable that leaves the prop, one in and one out",
        None,
        assumed="spans end inside the prop, no cable of its own counted",
    )
    gland: PropGlands | None = key("the glands in its cable holes", None)
    drain: Drain = key("the hole that lets water out", Drain())
    hook: str | None = key("name of the hook part that it hangs by", None)
