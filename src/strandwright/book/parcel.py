"""What the chapters hand to the page: plain data and pictures, and the context that all of them share."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from strandwright.book.measures import Measures
from strandwright.draw import Drawing, to_svg
from strandwright.findings import Finding
from strandwright.plan import Plan

FONT = "Libertinus Serif"
Row = dict[str, Any]


@dataclass(frozen=True)
class Parcel:
    """A plan on its way to paper; `pictures` collects the SVG of every picture by its file name.

    `stops` holds the stop findings, which mark every sheet that they touch.
    """

    plan: Plan
    measures: Measures
    pictures: dict[str, bytes] = field(default_factory=dict)

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Return the stop findings."""
        return tuple(f for f in self.plan.findings if f.severity == "stop")

    def picture(self, drawing: Drawing | None) -> Row | None:
        """Take a picture along and return what the page needs to place it, None for none."""
        if drawing is None:
            return None
        name = f"p{len(self.pictures):05d}.svg"
        self.pictures[name] = to_svg(drawing, print_font=FONT).encode("utf-8")
        return {
            "file": name,
            "width": drawing.width_mm,
            "height": drawing.height_mm,
            "alt": drawing.description or drawing.title,
        }

    def marks(self, *names: str) -> list[str]:
        """Return why what goes by these names must not be built yet: the stop findings that touch them."""
        return [f.message for f in self.stops if any(_touches(place, name) for place in f.where for name in names)]


def _touches(place: str, name: str) -> bool:
    return place == name or place.startswith((f"{name}/", f"{name}:"))
