"""What the person stated: the display file as frozen models, every quantity already in SI."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from hollowglow.file.model.fields import (
    ChromaticityShift,
    Colours,
    Currency,
    Frozen,
    Price,
    Several,
    Title,
    YesNo,
    one_or_more,
    whole,
)
from hollowglow.file.model.kind import DEFAULT_CABLE, Kind
from hollowglow.file.model.mains import MainsCircuit, Season
from hollowglow.file.model.orders import ColourOrder, OutputNumber
from hollowglow.file.model.parts import Part
from hollowglow.file.model.setting import LINEAR, CurveField, Steps
from hollowglow.file.model.site import DrawnLength, SetOut, SpotField, Yard
from hollowglow.file.model.storage import Packing, Spares
from hollowglow.file.model.tolerances import Tolerances
from hollowglow.quantity import measures, units
from hollowglow.quantity.shown import refuse, show
from hollowglow.quantity.units import (
    Burst,
    Current,
    Efficiency,
    Inrush,
    Leakage,
    Length,
    LengthOrZero,
    Power,
    Rate,
    Ratio,
    ResistanceOrZero,
    Share,
    ShareNotZero,
    SupplyVoltage,
    Temperature,
    Time,
    Voltage,
)

LAST_UNIVERSE = 63999
# Typical of generic data sheets: overload protection at 110 to 150 % of the rating; 60 A of inrush at 240 V cold.
DEFAULT_LIMIT = 1.3
INRUSH_A_PER_V = 0.25
MOST_PROPS = 2_000_000
MOST_NODES = 5_000_000


@dataclass(frozen=True, slots=True)
class Run:
    """So many props of one kind, one after the other."""

    count: int
    kind: str


@dataclass(frozen=True, slots=True)
class OutputRef:
    """One data connector: controller and number from 1."""

    controller: str
    number: int

    def __str__(self) -> str:
        return f"{self.controller}/{self.number}"


@dataclass(frozen=True, slots=True)
class FuseRef:
    """A fuse as stated: a bare rating in ampere, or the name of a part."""

    rating_a: float | None = None
    part: str | None = None


_RUN = re.compile(r"\s*(?:(\d+)\s*[*x×]\s*)?(\S(?:.*\S)?)\s*")
_RUN_WORDS = 'a kind, or a count and a kind like "12 * float"'
_MOST_IN_RUN = 100_000


def read_run(value: object) -> Run:
    """Return what "float" or "12 * float" means; raises PydanticCustomError for anything else."""
    match = _RUN.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse(show(value), _RUN_WORDS)
    count = 1 if match.group(1) is None else int(match.group(1)[:12])
    if not 1 <= count <= _MOST_IN_RUN:
        raise refuse(show(value), f"a count from 1 to {_MOST_IN_RUN:,} before the kind")
    return Run(count, match.group(2))


_OUTPUT = re.compile(r"\s*([^/]+?)\s*/\s*(\d{1,6})\s*")


def read_output(value: object) -> OutputRef:
    """Return what "box/1" means; raises PydanticCustomError for anything else."""
    match = _OUTPUT.fullmatch(value) if isinstance(value, str) else None
    if match is None:
        raise refuse(show(value), 'a controller and an output number like "box/1"')
    return OutputRef(match.group(1), int(match.group(2)))


RATING_START = re.compile(r"\s*[\d.+-]")


def _read_fuse(value: object) -> FuseRef:
    if isinstance(value, str) and value.strip() and not RATING_START.match(value):
        return FuseRef(part=value)
    if isinstance(value, (dict, list)):
        raise refuse(show(value), 'a rating like "5 A", or the name of a fuse part like "blade-5a"')
    return FuseRef(rating_a=units.parse(value, measures.CURRENT))


_RUN_SCHEMA = {"type": "string", "description": _RUN_WORDS}
Props = Annotated[
    tuple[Annotated[Run, BeforeValidator(read_run)], ...],
    one_or_more('at least one prop, like "12 * float"'),
    WithJsonSchema({"anyOf": [_RUN_SCHEMA, {"type": "array", "items": _RUN_SCHEMA, "minItems": 1}]}),
]
Output = Annotated[
    OutputRef, BeforeValidator(read_output), WithJsonSchema({"type": "string", "pattern": "^[^/]+/[ 0-9]+$"})
]
FuseField = Annotated[
    FuseRef,
    BeforeValidator(_read_fuse),
    WithJsonSchema({"type": "string", "description": 'a rating like "5 A", or the name of a fuse part'}),
]
Lengths = Annotated[
    tuple[DrawnLength, ...],
    one_or_more("one length, or one for each gap between props"),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}, "minItems": 1}]}),
]


class Supply(Frozen):
    """A supply that exists once: what it is, or the catalogue part that it is."""

    part: str | None = None
    voltage: SupplyVoltage | None = None
    rating: Power | None = None
    resistance: ResistanceOrZero | None = None
    limit: Literal["hiccup", "constant", "foldback"] = "hiccup"
    limit_current: Current | None = None
    limit_at_zero: Share = 0.40
    limit_on: Burst = 0.2
    limit_off: Burst = 2.0
    circuit: str | None = None
    efficiency: Efficiency = 0.87
    power_factor: Efficiency = 0.60
    leakage: Leakage = 0.75e-3
    inrush: Inrush | None = None
    price: Price | None = None
    at: SpotField | None = None

    @model_validator(mode="after")
    def _known(self) -> Supply:
        if self.part is None:
            missing = [k for k in ("voltage", "rating") if getattr(self, k) is None]
            if missing:
                raise refuse("no " + " and no ".join(missing), "voltage and rating, or part: a supply of the catalogue")
        return self


class Controller(Frozen):
    """A pixel controller and the limits of its outputs."""

    outputs: Annotated[int, whole(1, 100_000, "how many outputs it has")]
    nodes_per_output: Annotated[int, whole(1, 1_000_000, "how many nodes one output can drive")] = 600
    rate: Rate = 40.0
    first_universe: Annotated[int, whole(1, LAST_UNIVERSE, "an E1.31 universe")] = 1
    universes: Annotated[int, whole(1, LAST_UNIVERSE, "how many universes it can receive")] | None = None
    gangs: YesNo = False
    each_output: Literal["next slot", "new universe"] = "next slot"
    steps: Steps = 100
    curve: CurveField = LINEAR
    orders: dict[OutputNumber, ColourOrder] = Field(default_factory=dict)
    price: Price | None = None
    at: SpotField | None = None


class Lead(Frozen):
    """The cable from the output to the first prop."""

    cable: str = DEFAULT_CABLE
    length: DrawnLength
    joint: str | None = None


class Span(Frozen):
    """The cable between neighbours: by the metre with a joint at each end, or a ready-made extension."""

    cable: str | None = None
    length: Lengths | None = None
    joint: str | None = None
    extension: str | None = None

    @model_validator(mode="after")
    def _one_way(self) -> Span:
        if self.extension is not None:
            extra = [k for k in ("cable", "length", "joint") if getattr(self, k) is not None]
            if extra:
                raise refuse(
                    "extension together with " + " and ".join(extra),
                    "either extension alone, or cable, length and joint",
                )
        elif self.length is None:
            raise refuse("neither length nor extension", 'length like "1.8 m", or extension: a part of the catalogue')
        return self


class Feed(Frozen):
    """Power brought in elsewhere: where the in-pigtail of prop `before` begins."""

    before: Annotated[int, whole(1, MOST_PROPS, "the number of a prop, counted from 1")]
    supply: str
    cable: str = DEFAULT_CABLE
    length: DrawnLength
    joint: str | None = None
    fuse: FuseField | None = None
    cut: YesNo = False


class String(Frozen):
    """Props sharing one data line, in data order."""

    about: str = ""
    output: Output
    supply: str | None = None
    props: Props
    lead: Lead
    span: Span | None = None
    fuse: FuseField | None = None
    feeds: Annotated[tuple[Feed, ...], Several(0, MOST_PROPS)] = ()
    place: SetOut | None = None

    @property
    def prop_count(self) -> int:
        """Return how many props hang on the string."""
        return sum(run.count for run in self.props)

    @property
    def supplies(self) -> tuple[str, ...]:
        """Return the names of all that power it, each once: its lead's supply, then those of its feeds."""
        return tuple(dict.fromkeys(n for n in (self.supply, *(f.supply for f in self.feeds)) if n is not None))


class Limits(Frozen):
    """Where the tool begins to complain."""

    light_loss: Share = 0.10
    chromaticity_shift: ChromaticityShift = 0.006
    lowest_voltage: Voltage | None = None
    supply_load: ShareNotZero = 0.80
    fuse_load: ShareNotZero = 0.75


class Feeding(Frozen):
    """How much longer a feed is than the way along its string: a share of it, and a length for its two ends."""

    detour: Share = 0.10
    reserve: LengthOrZero = 1.0


class Labour(Frozen):
    """How long one operation takes a practised pair of hands, and what an hour is worth."""

    open_shell: Time = 180.0
    fit_light: Time = 90.0
    fit_gland: Time = 120.0
    fit_pigtail: Time = 180.0
    fit_hook: Time = 60.0
    close_and_test: Time = 180.0
    cut_piece: Time = 60.0
    splice: Time = 360.0
    plug: Time = 20.0
    fit_plug: Time = 300.0
    terminal: Time = 120.0
    seal_end: Time = 120.0
    fit_fuse: Time = 240.0
    hang_prop: Time = 240.0
    run_feed: Time = 900.0
    hour: Price = 0.0


class Display(Frozen):
    """A whole display as its builder states it."""

    display: Title
    about: str = ""
    ambient: Temperature = 20.0
    currency: Currency = "USD"
    drip_loop: LengthOrZero = 0.0
    viewing: Length = 10.0
    place: Yard = Yard()
    supplies: dict[str, Supply] = Field(default_factory=dict)
    mains: dict[str, MainsCircuit] = Field(default_factory=dict)
    season: Season = Season()
    controllers: dict[str, Controller] = Field(default_factory=dict)
    parts: dict[str, Part] = Field(default_factory=dict)
    kinds: dict[str, Kind] = Field(default_factory=dict)
    strings: dict[str, String] = Field(default_factory=dict)
    levels: dict[str, Share] = Field(default_factory=dict)
    trims: dict[str, Annotated[tuple[Ratio, ...], Colours]] = Field(default_factory=dict)
    limits: Limits = Limits()
    feeding: Feeding = Feeding()
    labour: Labour = Labour()
    tolerances: Tolerances = Tolerances()
    spares: Spares = Spares()
    packing: Packing = Packing()

    @property
    def states_mains(self) -> bool:
        """Return whether the file says anything about the mains side."""
        return bool(self.mains) or "season" in self.model_fields_set

    def level(self, kind: str) -> float:
        """Return the level of a kind as a fraction; 1.0 where none is stated."""
        return self.levels.get(kind, 1.0)

    def duties(self, kind: str, colours: int) -> tuple[float, ...]:
        """Return the duty of each colour of a kind at full white: its level times the trim of the colour."""
        return tuple(self.level(kind) * trim for trim in self.trims.get(kind, (1.0,) * colours))
