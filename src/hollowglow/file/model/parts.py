"""What a part of each sort must say about itself: lights, cables, joints, extensions, fuses, supplies, fittings."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, model_validator

from hollowglow.file.model.fields import BASES as BASES
from hollowglow.file.model.fields import Basis, Chroma, Colours, Frozen, Pair, Price, YesNo, whole
from hollowglow.file.model.orders import ColourOrder
from hollowglow.quantity.shown import refuse
from hollowglow.quantity.units import (
    Angle,
    BitTime,
    ConductorSize,
    Current,
    CutoffVoltage,
    Efficiency,
    Flux,
    IdleCurrent,
    Length,
    LightCurrent,
    LightPower,
    Mass,
    Power,
    PulseRate,
    ResetTime,
    Resistance,
    ResistanceOrZero,
    ResistancePerLength,
    Share,
    ShortLength,
    SupplyVoltage,
    Voltage,
    VoltageOrZero,
)

DEFAULT_BEAM_DEG = 120.0
# Drivers in one-wire lights pulse at some 400 Hz to 2 kHz; the slowest is the one to fear.
DEFAULT_PWM_HZ = 400.0
Count = Annotated[int, whole(1, 1000, "a count")]


def _class_is_required(schema: dict[str, Any]) -> None:
    schema["required"] = ["class", *schema.get("required", [])]


class _Law(Frozen):
    """Base of the current-voltage characteristics: which one must be said, so that a file gets none by default."""

    model_config = ConfigDict(json_schema_extra=_class_is_required)


class ConstantCurrentLoad(_Law):
    """A linear current sink for each colour; the classic chip inside a single 5 V or 12 V light."""

    characteristic: Literal["constant-current"] = Field(alias="class", default="constant-current")
    current: Annotated[tuple[LightCurrent, ...], Colours]
    turn_on: Annotated[tuple[VoltageOrZero, ...], Colours]
    saturation: Voltage
    idle: IdleCurrent = 0.0


class ResistorLoad(_Law):
    """LEDs in series behind a resistor, several such chains side by side."""

    characteristic: Literal["resistor"] = Field(alias="class", default="resistor")
    series: Annotated[int, whole(1, 100, "LEDs in series")]
    parallel: Annotated[int, whole(1, 100, "chains side by side")]
    forward: Annotated[tuple[Voltage, ...], Colours]
    resistor: Annotated[tuple[Resistance, ...], Colours]
    idle: IdleCurrent = 0.0


class ConstantPowerLoad(_Law):
    """A switching driver: constant power while its voltage is at or above the cutoff."""

    characteristic: Literal["constant-power"] = Field(alias="class", default="constant-power")
    power: Annotated[tuple[LightPower, ...], Colours]
    efficiency: Efficiency
    cutoff: CutoffVoltage
    idle: IdleCurrent = 0.0


Load = ConstantCurrentLoad | ResistorLoad | ConstantPowerLoad


class DataTiming(Frozen):
    """How the driver chip is clocked: one bit's time, bits for one node, and the pause that latches a frame."""

    bit_time: BitTime = 1.25e-6
    bits: Annotated[int, whole(8, 64, "data bits of one node")] | None = None
    reset: ResetTime = 280e-6


class Chromaticity(Frozen):
    """Light of each colour at its full current: luminous flux and CIE 1931 chromaticity."""

    flux: Annotated[tuple[Flux, ...], Colours]
    xy: Annotated[tuple[Chroma, ...], Colours]


class Light(Frozen):
    """One driver chip with its LED packages: one node of the data chain."""

    emitters: Annotated[int, whole(1, 1000, "the number of LED packages behind one driver")]
    load: Load = Field(discriminator="characteristic")
    voltage: Voltage | None = None
    minimum: Voltage | None = None
    data: DataTiming = DataTiming()
    order: ColourOrder | None = None
    colour: Chromaticity | None = None
    diameter: ShortLength | None = None
    depth: ShortLength | None = None
    beam: Angle | None = None
    pwm: PulseRate = DEFAULT_PWM_HZ

    @property
    def colours(self) -> int:
        """Return how many colours (and so slots) one cell of this light has."""
        load = self.load
        if isinstance(load, ConstantCurrentLoad):
            return len(load.current)
        return len(load.forward) if isinstance(load, ResistorLoad) else len(load.power)

    @model_validator(mode="after")
    def _same_colours(self) -> Light:
        n = self.colours
        load = self.load
        lists: dict[str, int] = {}
        if isinstance(load, ConstantCurrentLoad):
            lists = {"load.turn_on": len(load.turn_on)}
        elif isinstance(load, ResistorLoad):
            lists = {"load.resistor": len(load.resistor)}
        if self.order is not None and len(self.order) != n:
            raise refuse(f"{len(self.order)} letters in order", f"{n} letters, one for each colour of the load")
        if self.colour is not None:
            lists |= {"colour.flux": len(self.colour.flux), "colour.xy": len(self.colour.xy)}
        for key, found in lists.items():
            if found != n:
                raise refuse(f"{found} values in {key}", f"{n} values, one for each colour of the load")
        return self


class Cable(Frozen):
    """A cable by the metre; size or resistance decides what it loses."""

    cores: Annotated[int, whole(2, 12, "cores")] = 3
    size: ConductorSize | None = None
    resistance: ResistancePerLength | None = None
    strand: Literal["stranded", "solid"] = "stranded"
    ampacity: Current | None = None
    diameter: ShortLength | None = None

    @model_validator(mode="after")
    def _knows_its_resistance(self) -> Cable:
        if self.size is None and self.resistance is None:
            raise refuse("neither size nor resistance", 'size (like "20 AWG" or "0.75 mm2") or resistance in ohm/m')
        return self


class Joint(Frozen):
    """Anything with contact resistance between two cable ends; a plug names the shape that it mates with."""

    resistance: ResistanceOrZero
    rating: Current | None = None
    sort: Literal["splice", "plug", "terminal"] = "splice"
    mating: str | None = None


class Extension(Frozen):
    """A ready-made cable with a plug at each end, sold in one length."""

    cable: str
    length: Length
    plug: str


class Fuse(Frozen):
    """A fuse (with its holder) in V+: rating and cold resistance."""

    rating: Current
    resistance: ResistanceOrZero = 0.0


class SupplyPart(Frozen):
    """A constant-voltage supply: open-circuit voltage, rated output, output resistance."""

    voltage: SupplyVoltage
    rating: Power
    resistance: ResistanceOrZero = 0.0


class Gland(Frozen):
    """A cable gland: clamping range and the hole that it needs."""

    thread: str
    clamp: Annotated[tuple[ShortLength, ShortLength], Pair("[3 mm, 6.5 mm]")]
    hole: ShortLength
    thread_diameter: ShortLength | None = None
    pitch: ShortLength | None = None


class Hook(Frozen):
    """Something to hang a prop by."""

    holds: Mass
    metal: YesNo = True


class Consumable(Frozen):
    """A small part that is only counted: sealant, ties, tape."""

    unit: str = "piece"


ROLES = ("light", "cable", "joint", "extension", "fuse", "supply", "gland", "hook", "consumable")


class Part(Frozen):
    """One entry of the parts catalogue; it says exactly one of the roles."""

    about: str = ""
    price: Price | None = None
    mass: Mass | None = None
    failures: Share | None = None
    basis: Basis = "typical"
    source: str = ""
    light: Light | None = None
    cable: Cable | None = None
    joint: Joint | None = None
    extension: Extension | None = None
    fuse: Fuse | None = None
    supply: SupplyPart | None = None
    gland: Gland | None = None
    hook: Hook | None = None
    consumable: Consumable | None = None

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
