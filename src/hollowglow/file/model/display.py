"""What the person stated: the display file as frozen models, every quantity already in SI."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, WithJsonSchema, model_validator

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
from hollowglow.file.model.keys import Assumed, key
from hollowglow.file.model.kind import DEFAULT_CABLE, Kind
from hollowglow.file.model.mains import MainsCircuit, Season
from hollowglow.file.model.orders import ColourOrder, OutputNumber
from hollowglow.file.model.parts import Part
from hollowglow.file.model.setting import LINEAR, CurveField, Steps
from hollowglow.file.model.site import DrawnLength, DrawnMetres, SetOut, SpotField, Yard
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
    """One supply: an ideal source behind a resistance, all V− common."""

    part: str | None = key("the catalogue supply that it is; what is stated beside it counts before the part's", None)
    voltage: SupplyVoltage | None = key("voltage without load", None)
    rating: Power | None = key("power that it may deliver for hours", None)
    resistance: ResistanceOrZero | None = key(
        "output resistance, in V+",
        None,
        assumed=Assumed(
            "a supply that holds its voltage under load", value="0 ohm", when=lambda supply, *_: supply.part is None
        ),
    )
    limit: Literal["hiccup", "constant", "foldback"] = key(
        "what it does in a short: `hiccup`, `constant` or `foldback`",
        "hiccup",
        assumed="in a short it switches off and tries again and again; its data sheet says",
    )
    limit_current: Current | None = key(
        "current above which it limits; 130 % of its rated current where none is stated",
        None,
        assumed=Assumed(
            "current above which it limits (typical)", value=f"{100.0 * DEFAULT_LIMIT:g} % of its rated current"
        ),
    )
    limit_at_zero: Share = key(
        "of a foldback limit: what still flows at 0 V, over `limit_current`",
        0.40,
        assumed=Assumed(
            "share of the limit that still flows at 0 V, in a straight line with the voltage (typical)",
            when=lambda supply, *_: supply.limit == "foldback",
        ),
    )
    limit_on: Burst = key(
        "of a hiccup limit: how long each try lasts",
        0.2,
        assumed=Assumed(
            "time that it delivers its limit in each try (typical)", when=lambda supply, *_: supply.limit == "hiccup"
        ),
    )
    limit_off: Burst = key(
        "of a hiccup limit: the pause between two tries",
        2.0,
        assumed=Assumed("pause between two tries (typical)", when=lambda supply, *_: supply.limit == "hiccup"),
    )
    circuit: str | None = key(
        "the mains circuit that it stands on",
        None,
        assumed=Assumed(
            "the mains circuit that it stands on is not known", when=lambda supply, display: display.states_mains
        ),
    )
    efficiency: Efficiency = key(
        "power delivered over power taken from the mains",
        0.87,
        assumed=Assumed(
            "power delivered over power taken from the mains (typical)",
            when=lambda supply, display: display.states_mains,
        ),
    )
    power_factor: Efficiency = key(
        "its power factor",
        0.60,
        assumed=Assumed(
            "a supply without power factor correction (typical)", when=lambda supply, display: display.states_mains
        ),
    )
    leakage: Leakage = key(
        "what it leaks to earth all the time",
        0.75e-3,
        assumed=Assumed(
            "what its filter leaks to earth all the time (typical limit)",
            when=lambda supply, display: display.states_mains,
        ),
    )
    inrush: Inrush | None = key(
        "peak current when it is switched on cold; 0.25 A a volt of its circuit where none is stated",
        None,
        assumed=Assumed(
            "peak when it is switched on cold: 30 A at 120 V, 57.5 A at 230 V (typical)",
            value=f"{INRUSH_A_PER_V:g} A for each volt of its circuit",
            when=lambda supply, display: display.states_mains,
        ),
    )
    price: Price | None = key("price of one piece", None)
    at: SpotField | None = key("where it is", None)

    @model_validator(mode="after")
    def _known(self) -> Supply:
        if self.part is None:
            missing = [k for k in ("voltage", "rating") if getattr(self, k) is None]
            if missing:
                raise refuse("no " + " and no ".join(missing), "voltage and rating, or part: a supply of the catalogue")
        return self


class Controller(Frozen):
    """One controller and the limits of its outputs."""

    outputs: Annotated[int, whole(1, 100_000, "how many outputs it has")] = key("how many outputs it has")
    nodes_per_output: Annotated[int, whole(1, 1_000_000, "how many nodes one output can drive")] = key(
        "how many nodes one output can drive", 600, assumed="nodes that one output drives"
    )
    rate: Rate = key("frames a second that the show sends", 40.0, assumed="frames a second that the show sends")
    first_universe: Annotated[int, whole(1, LAST_UNIVERSE, "an E1.31 universe")] = key(
        "E1.31 universe of its first slot", 1, assumed="E1.31 universe of its first slot"
    )
    universes: Annotated[int, whole(1, LAST_UNIVERSE, "how many universes it can receive")] | None = key(
        "how many universes it can receive",
        None,
        assumed=Assumed("it receives as many universes as its nodes need", value="all of E1.31"),
    )
    gangs: YesNo = key(
        "whether it can repeat one cell's colour over ganged nodes",
        False,
        assumed="it cannot repeat a cell, so every node takes slots of its own",
    )
    each_output: Literal["next slot", "new universe"] = key(
        "where an output's addresses begin: `next slot` or `new universe`",
        "next slot",
        assumed="slots run on from one output to the next",
    )
    steps: Steps = key(
        "in what its brightness is set: `percent` or `255`",
        100,
        assumed=Assumed("its brightness is set in whole percent", value="percent"),
    )
    curve: CurveField = key(
        "what duty a setting gives: `linear`, or a power like `gamma 2.2`",
        LINEAR,
        assumed="half the setting is half the duty",
    )
    orders: dict[OutputNumber, ColourOrder] = key(
        "by number of an output, the order of colours that it is told, like `{1: grb}`; that of its lights if unsaid",
        assumed=Assumed(
            "each output is told the order in which its lights take their colours", value="that of the lights"
        ),
        factory=dict,
    )
    price: Price | None = key("price of one piece", None)
    at: SpotField | None = key("where it is", None)


class Lead(Frozen):
    """A lead."""

    cable: str = key(
        "name of a cable part; `cable-3x18awg` where none is stated", DEFAULT_CABLE, assumed="a lead of the usual cable"
    )
    length: DrawnLength = key("length, its drip loop not included; or `drawn`")
    joint: str | None = key(
        "name of the joint part at the first prop", None, assumed="the lead runs into the prop without a joint"
    )


class Span(Frozen):
    """The spans: by the metre with a joint at each end, or ready-made."""

    cable: str | None = key(
        "name of a cable part; `cable-3x18awg` where none is stated",
        None,
        assumed=Assumed(
            "spans of the usual cable",
            value=DEFAULT_CABLE,
            when=lambda span, string, *_: span.extension is None and string.prop_count > 1,
        ),
    )
    length: Lengths | None = key(
        "length of every span, or a list with one for each; drip loops not included; or `drawn`, or `straight`", None
    )
    joint: str | None = key(
        "name of the joint part at both ends",
        None,
        assumed=Assumed(
            "spans run into the props without a joint",
            when=lambda span, string, *_: span.extension is None and string.prop_count > 1,
        ),
    )
    extension: str | None = key("name of the extension part; then none of the others is stated", None)

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
    """A feed."""

    before: Annotated[int, whole(1, MOST_PROPS, "the number of a prop, counted from 1")] = key(
        "number of the prop at whose in-pigtail it joins, counted from 1"
    )
    supply: str = key("name of the supply that it comes from")
    cable: str = key(
        "name of a cable part; `cable-3x18awg` where none is stated", DEFAULT_CABLE, assumed="a feed of the usual cable"
    )
    length: DrawnLength = key("length, its drip loop not included; or `drawn`")
    joint: str | None = key(
        "name of the joint part where it joins", None, assumed="the feed runs into the prop without a joint"
    )
    fuse: FuseField | None = key(
        "a fuse in V+ at the supply end: a rating such as `5 A`, or a fuse part",
        None,
        assumed="nothing protects the feed",
    )
    cut: YesNo = key(
        "whether V+ of the span before that prop is open; V− never is",
        False,
        assumed="V+ of the span before it stays joined",
    )


class String(Frozen):
    """One string: props on one data line, in data order."""

    about: str = key("what it is, in the builder's own words", "")
    output: Output = key("controller and output number, such as `box/1`")
    supply: str | None = key("name of the supply at its lead; none where only feeds bring power", None)
    props: Props = key("its props in order: `12 * float`, or a list")
    lead: Lead = key("the cable from the output to the first prop")
    span: Span | None = key("the cable between neighbours", None)
    fuse: FuseField | None = key(
        "a fuse in V+ at the supply end: a rating such as `5 A`, or a fuse part",
        None,
        assumed="nothing protects the lead",
    )
    feeds: Annotated[tuple[Feed, ...], Several(0, MOST_PROPS)] = key("power brought in elsewhere", ())
    place: SetOut | None = key("how its props are set out", None)

    @property
    def prop_count(self) -> int:
        """Return how many props hang on the string."""
        return sum(run.count for run in self.props)

    @property
    def lengths(self) -> tuple[float, ...]:
        """Return the lengths of its lead, feeds and spans as stated, m."""
        spans = self.span.length if self.span is not None else None
        return self.lead.length, *(feed.length for feed in self.feeds), *(spans or ())

    @property
    def supplies(self) -> tuple[str, ...]:
        """Return the names of all that power it, each once: its lead's supply, then those of its feeds."""
        return tuple(dict.fromkeys(n for n in (self.supply, *(f.supply for f in self.feeds)) if n is not None))


class Limits(Frozen):
    """Where findings begin."""

    light_loss: Share = key("loss of light", 0.10, assumed="loss of light that begins to show")
    chromaticity_shift: ChromaticityShift = key(
        "chromaticity shift Δu′v′ of white, CIE 1976",
        0.006,
        assumed="chromaticity shift Δu′v′ of white that begins to show",
    )
    lowest_voltage: Voltage | None = key(
        "voltage at a light; what each light needs where none is stated",
        None,
        assumed=Assumed("voltage below which a light is told to fail", value="that of each light"),
    )
    supply_load: ShareNotZero = key("load of a supply over its rating", 0.80, assumed="continuous load of a supply")
    fuse_load: ShareNotZero = key("current of a fuse over its rating", 0.75, assumed="continuous current of a fuse")


class Feeding(Frozen):
    """How much longer a feed is than the way along its string, used by `hollowglow feed` only."""

    detour: Share = key(
        "added to the way along lead and spans, because a feed does not run straight",
        0.10,
        assumed="added to the way along the string, because a feed does not run straight",
    )
    reserve: LengthOrZero = key(
        "added to each feed for its two ends", 1.0, assumed="added to each feed for its two ends"
    )


class Labour(Frozen):
    """How long one operation takes a practised pair of hands (estimates)."""

    open_shell: Time = key(
        "opening and cleaning one shell", 180.0, assumed="opening and cleaning one shell (an estimate)"
    )
    fit_light: Time = key("fixing one light in its prop", 90.0, assumed="fixing one light in its prop (an estimate)")
    fit_gland: Time = key(
        "drilling for one gland and closing it", 120.0, assumed="drilling for one gland and closing it (an estimate)"
    )
    fit_pigtail: Time = key("preparing one pigtail", 180.0, assumed="preparing one pigtail (an estimate)")
    fit_hook: Time = key("fixing one hook", 60.0, assumed="fixing one hook (an estimate)")
    close_and_test: Time = key(
        "closing and testing one prop", 180.0, assumed="closing and testing one prop (an estimate)"
    )
    cut_piece: Time = key(
        "measuring and cutting one piece of cable",
        60.0,
        assumed="measuring and cutting one piece of cable (an estimate)",
    )
    splice: Time = key("making one splice of all cores", 360.0, assumed="making one splice of all cores (an estimate)")
    plug: Time = key("mating one plug", 20.0, assumed="mating one plug (an estimate)")
    fit_plug: Time = key(
        "wiring one half of a plug to its cable", 300.0, assumed="wiring one half of a plug to its cable (an estimate)"
    )
    terminal: Time = key(
        "making one terminal joint of all cores", 120.0, assumed="making one terminal joint of all cores (an estimate)"
    )
    seal_end: Time = key(
        "sealing the bare out end of a string's last prop, core by core",
        120.0,
        assumed="sealing the bare cable end of a string's last prop, core by core (an estimate)",
    )
    fit_fuse: Time = key(
        "fitting one fuse with its holder into V+: two joints of one core",
        240.0,
        assumed="fitting one fuse with its holder: two joints of one core, a third of a splice each (an estimate)",
    )
    hang_prop: Time = key("hanging one prop", 240.0, assumed="hanging one prop (an estimate)")
    run_feed: Time = key("laying and joining one feed", 900.0, assumed="laying and joining one feed (an estimate)")
    hour: Price = key("price of an hour of work", 0.0, assumed="price of an hour of work: your own time is free")


class Display(Frozen):
    """The top of the file."""

    display: Title = key("name of the display; the only key that every file needs")
    about: str = key("what it is, in the builder's own words", "")
    ambient: Temperature = key(
        "conductor temperature at which resistances count",
        20.0,
        assumed="conductor temperature for all resistances; colder wire loses less",
    )
    currency: Currency = key(
        "what prices are in", "USD", assumed="catalogue prices are typical; put your own into parts"
    )
    drip_loop: LengthOrZero = key(
        "cable added to each lead, span and feed so that rain drips off before the gland",
        0.0,
        assumed=Assumed("stated lengths are lengths as cut, drip loops inside them", value="0 mm"),
    )
    viewing: Length = key("distance from which people look", 10.0, assumed="distance from which people look")
    place: Yard = key("the plane that places are measured in, and the picture behind it", Yard())
    supplies: dict[str, Supply] = key("the power supplies by name", factory=dict)
    mains: dict[str, MainsCircuit] = key("the mains circuits by name", factory=dict)
    season: Season = key("how long the display is lit, and what a kilowatt-hour costs", Season())
    controllers: dict[str, Controller] = key("the controllers by name", factory=dict)
    parts: dict[str, Part] = key("own parts by name; one of a catalogue part's name is laid over it", factory=dict)
    kinds: dict[str, Kind] = key("the kinds by name", factory=dict)
    strings: dict[str, String] = key("the strings by name", factory=dict)
    levels: dict[str, Share] = key("the level of each kind in percent; 100 % where none is stated", factory=dict)
    trims: dict[str, Annotated[tuple[Ratio, ...], Colours]] = key(
        "by kind, a factor from 0 to 1 for each colour under its level; 1 where none is stated", factory=dict
    )
    limits: Limits = key("where findings begin", Limits())
    feeding: Feeding = key("how long a feed is where planning has to guess", Feeding())
    labour: Labour = key("how long each operation takes", Labour())
    tolerances: Tolerances = key("how far real parts stray from what is stated", Tolerances())
    spares: Spares = key("the chance that spares shall last, and what fails in a season", Spares())
    packing: Packing = key("the boxes that the display is stored in", Packing())

    @property
    def states_mains(self) -> bool:
        """Return whether the file says anything about the mains side."""
        return bool(self.mains) or "season" in self.model_fields_set

    @property
    def states_places(self) -> bool:
        """Return whether any string has a place."""
        return any(string.place is not None for string in self.strings.values())

    @property
    def draws_lengths(self) -> bool:
        """Return whether any length of a string with a place is left to the drawing."""
        placed = (string for string in self.strings.values() if string.place is not None)
        return any(isinstance(run, DrawnMetres) for string in placed for run in string.lengths)

    def level(self, kind: str) -> float:
        """Return the level of a kind as a fraction; 1.0 where none is stated."""
        return self.levels.get(kind, 1.0)

    def duties(self, kind: str, colours: int) -> tuple[float, ...]:
        """Return the duty of each colour of a kind at full white: its level times the trim of the colour."""
        return tuple(self.level(kind) * trim for trim in self.trims.get(kind, (1.0,) * colours))
