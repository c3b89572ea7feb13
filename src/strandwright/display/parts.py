"""What a part of each sort must say about itself: lights, cables, joints, extensions, fuses, supplies, fittings."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from strandwright.display import units
from strandwright.display.units import (
    Angle,
    ConductorSize,
    Current,
    CurrentOrZero,
    Flux,
    Length,
    Mass,
    Power,
    PowerOrZero,
    Resistance,
    ResistanceOrZero,
    ResistancePerLength,
    Time,
    Voltage,
    VoltageOrZero,
    show,
)


class Frozen(BaseModel):
    """Base of everything a display file states: frozen, and closed to keys it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


def refuse(found: str, expected: str, mend: str = "") -> PydanticCustomError:
    """Return the error that carries "found" and "expected" to the person."""
    context = {"found": found, "expected": expected, "mend": mend}
    return PydanticCustomError("quantity", "{found}|{expected}|{mend}", context)


def _read_ratio(value: object) -> float:
    number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if isinstance(value, str):
        return units.parse(value, units.SHARE)
    if not number or not 0.0 <= float(value) <= 1.0:  # type: ignore[arg-type]
        raise refuse(show(value), 'a share like 0.85 or "85 %" (from 0 to 1)')
    return float(value)  # type: ignore[arg-type]


Ratio = Annotated[float, BeforeValidator(_read_ratio), WithJsonSchema({"type": ["number", "string"]})]

BASES = ("typical", "standard", "measured")


def _read_basis(value: object) -> object:
    words = value.values() if isinstance(value, dict) else (value,)
    for word in words:
        if word not in BASES:
            raise refuse(show(word), "one of " + ", ".join(BASES))
    return value


Basis = Annotated[
    Any,
    BeforeValidator(_read_basis),
    WithJsonSchema(
        {
            "anyOf": [
                {"enum": list(BASES)},
                {"type": "object", "additionalProperties": {"enum": list(BASES)}},
            ]
        }
    ),
]


def _exactly(low: int, high: int, what: str) -> Any:
    def read(value: object) -> object:
        whole = isinstance(value, int) and not isinstance(value, bool)
        if not whole or not low <= value <= high:  # type: ignore[operator]
            raise refuse(show(value), f"{what}, a whole number from {low} to {high}")
        return value

    return BeforeValidator(read)


def _listed(value: object) -> object:
    return tuple(value) if isinstance(value, list) else value


def _yes_no(value: object) -> object:
    if isinstance(value, str) and value.lower() in ("yes", "on", "no", "off"):
        return value.lower() in ("yes", "on")
    if not isinstance(value, bool):
        raise refuse(show(value), "true or false")
    return value


YesNo = Annotated[bool, BeforeValidator(_yes_no)]
Count = Annotated[int, _exactly(1, 1000, "a count")]
Emitters = Annotated[int, _exactly(1, 1000, "the number of LED packages behind one driver")]
Colours3or4 = Field(min_length=3, max_length=4)
_many = BeforeValidator(_listed)
Price = Annotated[float, Field(ge=0.0, le=1e6)]


class SinkLoad(Frozen):
    """A linear current sink for each colour; the classic chip inside a single 5 V or 12 V light."""

    law: Literal["sink"] = Field(alias="class", default="sink")
    current: Annotated[tuple[Current, ...], _many, Colours3or4]
    turn_on: Annotated[tuple[VoltageOrZero, ...], _many, Colours3or4]
    saturation: Voltage
    idle: CurrentOrZero = 0.0


class BallastLoad(Frozen):
    """LEDs in series behind a resistor, several such chains side by side."""

    law: Literal["ballast"] = Field(alias="class", default="ballast")
    series: Annotated[int, _exactly(1, 100, "LEDs in series")]
    parallel: Annotated[int, _exactly(1, 100, "chains side by side")]
    forward: Annotated[tuple[Voltage, ...], _many, Colours3or4]
    resistor: Annotated[tuple[Resistance, ...], _many, Colours3or4]
    idle: CurrentOrZero = 0.0


class BuckLoad(Frozen):
    """A switching driver: constant power while its voltage is at or above the cutoff."""

    law: Literal["buck"] = Field(alias="class", default="buck")
    power: Annotated[tuple[PowerOrZero, ...], _many, Colours3or4]
    efficiency: Annotated[Ratio, Field(gt=0.05)]
    cutoff: Voltage
    idle: CurrentOrZero = 0.0


Load = SinkLoad | BallastLoad | BuckLoad


class DataTiming(Frozen):
    """How the driver chip is clocked: one bit's time, bits for one node, and the pause that latches a frame."""

    bit_time: Time = 1.25e-6
    bits: Annotated[int, _exactly(8, 64, "data bits of one node")] | None = None
    reset: Time = 280e-6


class Chromaticity(Frozen):
    """Light of each colour at its full current: luminous flux and CIE 1931 chromaticity."""

    flux: Annotated[tuple[Flux, ...], _many, Colours3or4]
    xy: Annotated[tuple[Annotated[tuple[float, float], _many], ...], _many, Colours3or4]


class Light(Frozen):
    """One driver chip with its LED packages: one node of the data chain."""

    emitters: Emitters
    load: Load = Field(discriminator="law")
    voltage: Voltage | None = None
    minimum: Voltage | None = None
    data: DataTiming = DataTiming()
    colour: Chromaticity | None = None
    diameter: Length | None = None
    depth: Length | None = None
    beam: Angle | None = None

    @property
    def colours(self) -> int:
        """Return how many colours (and so slots) one cell of this light has."""
        load = self.load
        if isinstance(load, SinkLoad):
            return len(load.current)
        return len(load.forward) if isinstance(load, BallastLoad) else len(load.power)

    @model_validator(mode="after")
    def _same_colours(self) -> Light:
        n = self.colours
        load = self.load
        lists: dict[str, int] = {}
        if isinstance(load, SinkLoad):
            lists = {"load.turn_on": len(load.turn_on)}
        elif isinstance(load, BallastLoad):
            lists = {"load.resistor": len(load.resistor)}
        if self.colour is not None:
            lists |= {"colour.flux": len(self.colour.flux), "colour.xy": len(self.colour.xy)}
        for key, found in lists.items():
            if found != n:
                raise refuse(f"{found} values in {key}", f"{n} values, one for each colour of the load")
        return self


class Cable(Frozen):
    """A cable by the metre; size or resistance decides what it loses."""

    cores: Annotated[int, _exactly(2, 12, "cores")] = 3
    size: ConductorSize | None = None
    resistance: ResistancePerLength | None = None
    strand: Literal["stranded", "solid"] = "stranded"
    ampacity: Current | None = None
    diameter: Length | None = None

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
    mate: str | None = None


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

    voltage: Voltage
    rating: Power
    resistance: ResistanceOrZero = 0.0


class Gland(Frozen):
    """A cable gland: clamping range and the hole that it needs."""

    thread: str
    clamp: Annotated[tuple[Length, Length], _many]
    hole: Length
    thread_diameter: Length | None = None
    pitch: Length | None = None


class Hook(Frozen):
    """Something to hang a prop by."""

    holds: Mass
    metal: YesNo = True


class Plain(Frozen):
    """A small part that is only counted: sealant, ties, tape."""

    unit: str = "piece"


ROLES = ("light", "cable", "joint", "extension", "fuse", "supply", "gland", "hook", "plain")


class Part(Frozen):
    """One entry of the parts catalogue; it says exactly one of the roles."""

    about: str = ""
    price: Price | None = None
    mass: Mass | None = None
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
    plain: Plain | None = None

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
