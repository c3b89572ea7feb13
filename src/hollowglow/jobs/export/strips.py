"""The strip that is wrapped round a shell to mark its holes."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.making import HoleMark, KindMaking, girth_m
from hollowglow.analysis.prop.making.marks import marks
from hollowglow.draw.prop.strip import Strip, StripMark, wrap_strip
from hollowglow.draw.sheet.records import Drawing
from hollowglow.quantity.quantities import extent, tell
from hollowglow.quantity.reader import Reader, Units


def wrap_strips(made: KindMaking, units: Units = "both") -> Iterator[Drawing]:
    """Yield the sheets of the strip that is wrapped round a kind's shell, nothing where it has no holes to mark.

    Lengths are told in `units`.
    """
    found = list(marks(made))
    if made.frame is None or not found:
        return
    middle = made.frame.widest_height_m
    table = [_mark_words(mark, units) for mark in found]
    on_it = tuple(StripMark(m.what, m.angle_deg, m.height_m - middle, m.diameter_m) for m in found if m.radius_m > 1e-9)
    yield from wrap_strip(Strip(f"{made.name}: holes of the shell", girth_m(made.frame), on_it, tuple(table), units))


def _mark_words(mark: HoleMark, units: Units) -> str:
    turn = "on the axis" if mark.radius_m < 1e-6 else f"{mark.angle_deg:.1f}°"
    hole = "" if mark.diameter_m is None else f", hole {tell(extent(mark.diameter_m), Reader(units))}"
    way = f"{tell(extent(mark.along_m), Reader(units))} along the wall from the middle of the base"
    return f"{mark.what}: {turn}, {tell(extent(mark.height_m), Reader(units))} above the base, {way}{hole}"
