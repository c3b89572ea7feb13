"""A picture is a list of frozen records in mm, y downwards, each with a meaning (its role), not a colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

Anchor = Literal["start", "middle", "end"]

Role = Literal[
    "across",
    "aim",
    "axis",
    "bore",
    "box",
    "cable",
    "cable_full",
    "cable_half",
    "carrier",
    "cut",
    "dark",
    "dimension",
    "edge",
    "feed",
    "footprint",
    "fuse",
    "glow",
    "grid",
    "joint",
    "label",
    "leader",
    "light",
    "limit",
    "mark",
    "minus",
    "night",
    "paper",
    "plus",
    "polar",
    "polar-two",
    "pool",
    "prop",
    "ray",
    "stop",
    "supply",
    "tick",
    "title",
    "coincident",
    "wall",
    "warn",
    "water",
    "was_across",
    "was_minus",
    "was_plus",
    "was_coincident",
]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line from (x1, y1) to (x2, y2), in mm."""

    x1: float
    y1: float
    x2: float
    y2: float
    role: Role


@dataclass(frozen=True, slots=True)
class Polyline:
    """Straight lines through `points`, in mm; `closed` joins the last to the first and fills the shape."""

    points: tuple[tuple[float, float], ...]
    role: Role
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle with its top left corner at (x, y) and corners rounded by `radius`, in mm."""

    x: float
    y: float
    width: float
    height: float
    role: Role
    radius: float = 0.0


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle about (x, y), in mm; `colour` (as #rrggbb) fills it in place of what its role says."""

    x: float
    y: float
    radius: float
    role: Role
    colour: str = ""


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text whose baseline starts, is centred or ends (`anchor`) at (x, y), in mm."""

    x: float
    y: float
    text: str
    size_mm: float
    role: Role
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Image:
    """A picture of its own colours, its top left corner at (x, y), stretched to `width` by `height` in mm.

    `pixels` holds red, green and blue (sRGB, one byte each) of `columns` pixels a row, row by row from the top.
    """

    x: float
    y: float
    width: float
    height: float
    columns: int
    pixels: bytes
    role: Role = "glow"

    def __post_init__(self) -> None:
        """Refuse pixels that do not make up whole rows."""
        if self.columns < 1 or not self.pixels or len(self.pixels) % (3 * self.columns):
            raise ValueError(
                f"an image has {len(self.pixels)} bytes in rows of {self.columns} pixels, expected whole rows of "
                "three bytes a pixel"
            )

    @property
    def rows(self) -> int:
        """Return the number of rows of pixels."""
        return len(self.pixels) // (3 * self.columns)


Record: TypeAlias = Line | Polyline | Rect | Circle | Text | Image


@dataclass(frozen=True, slots=True)
class Drawing:
    """One page: size in mm, title, records from back to front, a description for those who cannot see it."""

    width_mm: float
    height_mm: float
    title: str
    records: tuple[Record, ...]
    description: str = ""
