"""What a part of each sort must say about itself: lights, cables, joints, extensions, fuses, supplies, fittings."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import model_validator

from hollowglow.file.model.fields import BASES as BASES
from hollowglow.file.model.fields import Basis, Chroma, Colours, Frozen, Pair, Price, YesNo, whole
from hollowglow.file.model.keys import Assumed, key
from hollowglow.file.model.loads import Load
from hollowglow.file.model.orders import ColourOrder
from hollowglow.quantity.shown import refuse
from hollowglow.quantity.units import (
    Angle,
    BitTime,
    ConductorSize,
    Current,
    Flux,
    Length,
    Mass,
    Power,
    PulseRate,
    ResetTime,
    ResistanceOrZero,
    ResistancePerLength,
    Share,
    ShortLength,
    SupplyVoltage,
    Voltage,
)

DEFAULT_BEAM_DEG = 120.0
# Drivers in one-wire lights pulse at some 400 Hz to 2 kHz; the slowest is the one to fear.
DEFAULT_PWM_HZ = 400.0
Count = Annotated[int, whole(1, 1000, "a count")]


class DataTiming(Frozen):
    """How a driver chip is clocked."""

    bit_time: BitTime = key("time of one bit", 1.25e-6, assumed="time of one data bit")
    bits: Annotated[int, whole(8, 64, "data bits of one node")] | None = key(
        "data bits that one node takes; 8 for each colour where none are stated",
        None,
        assumed=Assumed("data bits that one node takes", value="8 for each colour"),
    )
    reset: ResetTime = key("pause that latches a frame", 300e-6, assumed="pause that latches a frame")


class Chromaticity(Frozen):
    """The light of each colour at its full current."""

    flux: Annotated[tuple[Flux, ...], Colours] = key("luminous flux of each colour")
    xy: Annotated[tuple[Chroma, ...], Colours] = key("CIE 1931 chromaticity of each colour")


class Light(Frozen):
    """A light: one driver chip, one node."""

    emitters: Annotated[int, whole(1, 1000, "the number of LED packages behind one driver")] = key(
        "LED packages behind the driver"
    )
    load: Load = key("what it draws at which voltage; its `class` says by which characteristic")
    voltage: Voltage | None = key(
        "nominal voltage, at which its light counts as 100 %",
        None,
        assumed=Assumed("voltage at which its light counts as 100 %", value="that of the string's supply"),
    )
    minimum: Voltage | None = key(
        "voltage below which it no longer does its full work; by its characteristic where none is stated",
        None,
        assumed=Assumed("voltage below which it no longer does its full work", value="by its load"),
    )
    data: DataTiming = key("how it is clocked", DataTiming())
    order: ColourOrder | None = key(
        "the order in which the driver chip takes its colours, like `grb`",
        None,
        assumed=Assumed(
            "order in which its driver chip takes its colours", value=lambda light, *_: "rgbw"[: light.colours]
        ),
    )
    colour: Chromaticity | None = key(
        "the light of each colour at its full current",
        None,
        assumed=Assumed("flux and colour of red, green and blue", value="a typical light"),
    )
    diameter: ShortLength | None = key("diameter of its hole or board", None)
    depth: ShortLength | None = key("depth behind its face", None)
    beam: Angle | None = key(
        "full angle at half intensity",
        None,
        assumed=Assumed("full width of its beam at half intensity", value=f"{DEFAULT_BEAM_DEG:g} deg"),
    )
    pwm: PulseRate = key(
        "rate at which its driver pulses the LEDs; photographs must expose for two periods of it",
        DEFAULT_PWM_HZ,
        assumed="rate at which it is pulsed, the slowest in use; photographs expose for two periods",
    )

    @property
    def colours(self) -> int:
        """Return how many colours (and so slots) one cell of this light has."""
        return len(getattr(self.load, self.load.by_colour()[0]))

    @model_validator(mode="after")
    def _same_colours(self) -> Light:
        n = self.colours
        lists = {f"load.{name}": len(getattr(self.load, name)) for name in self.load.by_colour()}
        if self.order is not None and len(self.order) != n:
            raise refuse(f"{len(self.order)} letters in order", f"{n} letters, one for each colour of the load")
        if self.colour is not None:
            lists |= {"colour.flux": len(self.colour.flux), "colour.xy": len(self.colour.xy)}
        for name, found in lists.items():
            if found != n:
                raise refuse(f"{found} values in {name}", f"{n} values, one for each colour of the load")
        return self


class Cable(Frozen):
    """A cable by the metre; `size` or `resistance` decides what it loses."""

    cores: Annotated[int, whole(2, 12, "cores")] = key("conductors", 3, assumed="V+, data and V-")
    size: ConductorSize | None = key("conductor size such as `18 AWG` or `0.75 mm2`", None)
    resistance: ResistancePerLength | None = key(
        "resistance of one conductor at 20 °C; counts before that of the size", None
    )
    strand: Literal["stranded", "solid"] = key(
        "`stranded` or `solid`",
        "stranded",
        assumed=Assumed(
            "2 % more resistance than solid wire",
            when=lambda cable, *_: cable.resistance is None and cable.size.awg is not None,
        ),
    )
    ampacity: Current | None = key(
        "current that it may carry for hours; that of its size where none is stated",
        None,
        assumed=Assumed(
            lambda cable, *_: "continuous current that it may carry" if cable.size else "it is not checked",
            value=lambda cable, *_: "by its size" if cable.size else "none",
        ),
    )
    diameter: ShortLength | None = key("outer diameter", None)

    @model_validator(mode="after")
    def _knows_its_resistance(self) -> Cable:
        if self.size is None and self.resistance is None:
            raise refuse("neither size nor resistance", 'size (like "20 AWG" or "0.75 mm2") or resistance in ohm/m')
        return self


class Joint(Frozen):
    """A joint: anything with contact resistance."""

    resistance: ResistanceOrZero = key("resistance of one core through one joint, in V+ and in V− alike")
    rating: Current | None = key("current that it may carry for hours", None, assumed="its current is not checked")
    sort: Literal["splice", "plug", "terminal"] = key(
        "`splice`, `plug` or `terminal`", "splice", assumed="made by hand as a splice"
    )
    mating: str | None = key("the shape that a plug fits; plugs of the same shape fit each other", None)


class Extension(Frozen):
    """A ready-made cable with a plug at each end."""

    cable: str = key("name of the cable part that it is made of")
    length: Length = key("its length from plug to plug")
    plug: str = key("name of the joint part at both its ends")


class Fuse(Frozen):
    """A fuse with its holder."""

    rating: Current = key("rated current")
    resistance: ResistanceOrZero = key("cold resistance, in V+", 0.0, assumed="a fuse that loses nothing")


class SupplyPart(Frozen):
    """A supply of the catalogue."""

    voltage: SupplyVoltage = key("voltage without load")
    rating: Power = key("power that it may deliver for hours")
    resistance: ResistanceOrZero = key("output resistance, in V+", 0.0, assumed="a supply that loses nothing")


class Gland(Frozen):
    """A cable gland."""

    thread: str = key("name of its thread")
    clamp: Annotated[tuple[ShortLength, ShortLength], Pair("[3 mm, 6.5 mm]")] = key(
        "least and greatest cable diameter that it holds"
    )
    hole: ShortLength = key("diameter of the hole that it needs")
    thread_diameter: ShortLength | None = key("outer diameter of the thread", None)
    pitch: ShortLength | None = key("pitch of the thread", None)


class Hook(Frozen):
    """Something to hang a prop by."""

    holds: Mass = key("mass that it holds")
    metal: YesNo = key("whether it is of metal", True)


class Consumable(Frozen):
    """A part that is only counted."""

    unit: str = key("what one of it is called", "piece")


ROLES = ("light", "cable", "joint", "extension", "fuse", "supply", "gland", "hook", "consumable")


class Part(Frozen):
    """One part; it says exactly one of the roles from `light` to `consumable`."""

    about: str = key("what it is, in the builder's own words", "")
    price: Price | None = key("price of one piece, of one metre for a cable", None)
    mass: Mass | None = key("mass of one piece, of one metre for a cable", None)
    failures: Share | None = key(
        "share of them that fails in a season; that of its sort in `spares` where none is stated", None
    )
    basis: Basis = key("where its numbers come from: `typical`, `standard` or `measured`, also key by key", "typical")
    source: str = key("the standard or the practice behind its numbers", "")
    light: Light | None = key("it is a light", None)
    cable: Cable | None = key("it is a cable by the metre", None)
    joint: Joint | None = key("it is a joint", None)
    extension: Extension | None = key("it is a ready-made cable with a plug at each end", None)
    fuse: Fuse | None = key("it is a fuse, with its holder", None)
    supply: SupplyPart | None = key("it is a supply", None)
    gland: Gland | None = key("it is a cable gland", None)
    hook: Hook | None = key("it is something to hang a prop by", None)
    consumable: Consumable | None = key("it is only counted", None)

    @property
    def role(self) -> str:
        """Return which of the roles this part has."""
        return next(r for r in ROLES if getattr(self, r) is not None)

    @model_validator(mode="after")
    def _one_role(self) -> Part:
        said = [r for r in ROLES if getattr(self, r) is not None]
        if len(said) != 1:
            found = "no role" if not said else "the roles " + " and ".join(said)
            raise refuse(found, "exactly one of " + ", ".join(ROLES))
        return self
