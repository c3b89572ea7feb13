"""Where things are: the plane that places are measured in, the picture behind it, how a string is set out in it."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema, model_validator

from hollowglow.file.model.fields import Frozen, Several, Title, whole
from hollowglow.file.model.keys import Assumed, Unit, key
from hollowglow.quantity import measures, units
from hollowglow.quantity.shown import refuse, show
from hollowglow.quantity.units import Length, LengthOrZero, Share

MOST_PLACED = 2_000_000
_MOST_PIXELS = 1e6


class DrawnMetres(float):
    """A length that the file leaves to the drawing; a plain number of metres in every other way."""

    straight: bool
    known: bool

    def __new__(cls, metres: float = 1.0, straight: bool = False, known: bool = False) -> DrawnMetres:
        """Return the length; what is not `known` yet stands for any."""
        made = super().__new__(cls, metres)
        made.straight, made.known = straight, known
        return made

    @property
    def word(self) -> str:
        """Return what the file says in place of a length."""
        return "straight" if self.straight else "drawn"


def _read_length(value: object) -> float:
    if value in ("drawn", "straight"):
        return DrawnMetres(straight=value == "straight")
    return value if isinstance(value, DrawnMetres) else units.parse(value, measures.LENGTH)


_LENGTH_SCHEMA = {
    "type": "string",
    "description": f"{measures.LENGTH.expected}; inside: m; or drawn (along the line), or straight (from place to place)",
}
DrawnLength = Annotated[float, measures.LENGTH, PlainValidator(_read_length), WithJsonSchema(_LENGTH_SCHEMA)]

Spot = tuple[float, float, float]
_SPOT = 'a place like ["1.8 m", "2.4 m"]: across and up (on a plan: ahead), and a third length if it is known'


def _read_spot(value: object) -> Spot:
    if isinstance(value, tuple) and len(value) == 3:
        return value
    if not isinstance(value, list) or len(value) not in (2, 3):
        raise refuse(f"a list of {len(value)}" if isinstance(value, list) else show(value), _SPOT)
    x, y, *rest = (units.parse(one, measures.SPOT) for one in value)
    return x, y, rest[0] if rest else 0.0


SpotField = Annotated[
    Spot,
    measures.SPOT,
    BeforeValidator(_read_spot),
    WithJsonSchema({"type": "array", "items": {"type": "string"}, "minItems": 2, "maxItems": 3, "description": _SPOT}),
]
Spots = tuple[SpotField, ...]


def _read_pixel(value: object) -> tuple[float, float]:
    expected = "a point of the picture like [412, 1180]: pixels from its left and from its top"
    if isinstance(value, tuple):
        return float(value[0]), float(value[1])
    if not isinstance(value, list) or len(value) != 2:
        raise refuse(f"a list of {len(value)}" if isinstance(value, list) else show(value), expected)
    for one in value:
        number = isinstance(one, (int, float)) and not isinstance(one, bool)
        if not number or not (math.isfinite(one) and abs(one) <= _MOST_PIXELS):
            raise refuse(f"[{', '.join(show(v) for v in value)}]", expected)
    return float(value[0]), float(value[1])


Pixel = Annotated[
    tuple[float, float],
    Unit("pixel"),
    BeforeValidator(_read_pixel),
    WithJsonSchema({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}),
]


class Backdrop(Frozen):
    """A picture, and what makes its pixels lengths: two points, or the corners of a rectangle on the wall."""

    picture: Title = key("its file, seen from the display file")
    points: Annotated[tuple[Pixel, ...], Several(2, 2)] | None = key(
        "two points of it, each `[from the left, from the top]`; the first is the place 0, 0", None
    )
    length: Length | None = key("how far apart they are", None)
    corners: Annotated[tuple[Pixel, ...], Several(4, 4)] | None = key(
        "bottom left, bottom right, top right and top left of a rectangle; the first is the place 0, 0", None
    )
    width: Length | None = key("how wide the rectangle is", None)
    height: Length | None = key("how high the rectangle is", None)

    @model_validator(mode="after")
    def _one_way(self) -> Backdrop:
        stated = [k for k in ("points", "length", "corners", "width", "height") if getattr(self, k) is not None]
        if stated not in (["points", "length"], ["corners", "width", "height"]):
            raise refuse(
                " and ".join(stated) if stated else "no scale",
                "points and length (two points of the picture and how far apart they are), or corners, width and height "
                "(bottom left, bottom right, top right and top left of a rectangle on the wall, and its size)",
            )
        return self


class Yard(Frozen):
    """What places are measured in."""

    plane: Literal["wall", "plan"] = key(
        "`wall` (seen from the front: across, up) or `plan` (seen from above: across, ahead)",
        "wall",
        assumed=Assumed(
            "places are across and up, as seen from the front", when=lambda yard, display: display.states_places
        ),
    )
    slack: Share = key(
        "how much longer a drawn length is than the way between places",
        0.0,
        assumed=Assumed(
            "drawn lengths are as long as the way between places", when=lambda yard, display: display.draws_lengths
        ),
    )
    backdrop: Backdrop | None = key("a photograph or plan behind the drawing", None)


class Moved(Frozen):
    """A prop that sits elsewhere than the line would have it."""

    prop: Annotated[int, whole(1, MOST_PLACED, "the number of a prop, counted from 1")] = key(
        "its number, counted from 1"
    )
    at: SpotField = key("where it is")


class SetOut(Frozen):
    """How the props of a string are set out: along a line, or each at a point of its own."""

    line: Annotated[Spots, Several(2, 100_000)] | None = key(
        "the points of a line, each `[across, up]`; on a plan `[across, ahead]`; a third length if it is known", None
    )
    pitch: Length | None = key(
        "distance between neighbours along the line; spread evenly over it where none is stated", None
    )
    start: LengthOrZero = key("distance from the beginning of the line to the first prop", 0.0)
    points: Annotated[Spots, Several(1, MOST_PLACED)] | None = key("instead of a line: one point for each prop", None)
    moved: Annotated[tuple[Moved, ...], Several(0, MOST_PLACED)] = key("props that sit elsewhere", ())
    sag: Length | None = key(
        "how far the longest stretch between two points of the line, which are hooks then, hangs down", None
    )
    hook: str | None = key("name of the hook part at each point of a line that sags", None)

    @model_validator(mode="after")
    def _sound(self) -> SetOut:
        if (self.line is None) == (self.points is None):
            found = "neither line nor points" if self.line is None else "line together with points"
            raise refuse(found, "a line along which the props are set out, or points, one for each prop")
        extra = [k for k in ("pitch", "start", "sag") if k in self.model_fields_set and self.line is None]
        if extra:
            raise refuse(f"{' and '.join(extra)} without a line", "a line, or points alone")
        if self.hook is not None and self.sag is None:
            raise refuse("hook without sag", "sag too: how far the longest stretch between two hooks hangs down")
        return self
