"""What the chapters hand to the page: plain data and pictures, and the context that all of them share."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from hollowglow.book.letters import FONTS
from hollowglow.book.measures import Measures
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.yard import YardBackdrop
from hollowglow.file.reading.assumptions import keeping_assumptions
from hollowglow.messages import Finding
from hollowglow.plan import Plan
from hollowglow.quantity.reader import Reader

FONT = FONTS[0]
Row = dict[str, Any]


@dataclass(frozen=True)
class BookSource:
    """A plan on its way to paper; `pictures` collects the SVG of every picture by its file name, none unless `drawn`.

    `behind` is the backdrop of the yard, `behind_words` tell which it is, or why there is none although the file states one.
    `stops` holds the stop findings, which mark every sheet that they touch.
    """

    plan: Plan
    measures: Measures
    drawn: bool = True
    pictures: dict[str, bytes] = field(default_factory=dict)
    behind: YardBackdrop | None = None
    behind_words: str = ""

    @property
    def stops(self) -> tuple[Finding, ...]:
        """Return the stop findings."""
        return tuple(f for f in self.plan.findings if f.severity == "stop")

    def picture(self, drawing: Drawing | None) -> Row | None:
        """Take a picture along and return what the page needs to place it, None for none."""
        if drawing is None or not self.drawn:
            return None
        name = f"p{len(self.pictures):05d}.svg"
        self.pictures[name] = to_svg(drawing, print_font=FONT).encode("utf-8")
        return {
            "file": name,
            "width": drawing.width_mm,
            "height": drawing.height_mm,
            "alt": drawing.description or drawing.title,
        }

    @property
    def reader(self) -> Reader:
        """Return for whom findings are told."""
        return Reader(self.measures.units)

    def marks(self, *names: str) -> list[str]:
        """Return why what goes by these names must not be built yet: the stop findings that touch them."""
        return [
            f.told(self.reader) for f in self.stops if any(_touches(place, name) for place in f.where for name in names)
        ]


def assumed_of(source: BookSource, table: str) -> str:
    """Return what is assumed of the spares or the packing, in words for beside them; empty for nothing."""
    own = [one for one in keeping_assumptions(source.plan.assembly.display) if one.where.startswith(f"{table}.")]
    return ", ".join(f"{one.where.partition('.')[2]} {source.measures.stated(one.value, one.amount)}" for one in own)


def _touches(place: str, name: str) -> bool:
    return place == name or place.startswith((f"{name}/", f"{name}:"))
