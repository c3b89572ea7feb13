"""Scales, ticks in steps of 1, 2 or 5, and axes with their labels and units."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from hollowglow.draw.sheet.records import Line, Record, Text
from hollowglow.quantity.reader import Reader, Units
from hollowglow.quantity.sizes import FOOT_M

TICK_MM = 1.3
TICK_TEXT_MM = 2.7


@dataclass(frozen=True, slots=True)
class Scale:
    """A straight mapping of values `low`..`high` onto places `start`..`end` on the page, in mm."""

    low: float
    high: float
    start: float
    end: float

    def __post_init__(self) -> None:
        """Refuse a scale that maps nothing."""
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low < self.high):
            raise ValueError(f"a scale from {self.low} to {self.high} was asked for, expected finite and rising values")

    def at(self, value: float) -> float:
        """Return the place of `value` on the page, in mm."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def tick_step(span: float, parts: int = 6) -> float:
    """Return the smallest step of 1, 2 or 5 times a power of ten that cuts `span` into at most `parts` steps.

    Raises ValueError if `span` is not finite and above zero or `parts` is below 1.
    """
    factor, exponent = _step(span, parts)
    return float(f"{factor}e{exponent}")


def ticks(low: float, high: float, parts: int = 6) -> tuple[float, ...]:
    """Return the multiples of the step for `parts` from `low` to `high`, both included within rounding.

    Raises ValueError if the two are not finite and rising or `parts` is below 1.
    """
    factor, exponent = _step(high - low, parts)
    step = float(f"{factor}e{exponent}")
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(float(f"{count * factor}e{exponent}") for count in range(first, last + 1))


def tick_label(value: float, step: float) -> str:
    """Return `value` with as many decimals as a tick `step` needs, and a true minus sign."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    text = f"{value:.{decimals}f}"
    return (text[1:] if float(text) == 0 and text[0] == "-" else text).replace("-", "−")


def domain(values: Iterable[float], least_span: float, pad: float = 0.08) -> tuple[float, float]:
    """Return the ends of a scale that holds all finite `values` with a margin of `pad` of their span.

    The span is at least `least_span`, so equal values stand in its middle. Raises ValueError if no value is
    finite.
    """
    finite = [value for value in values if math.isfinite(value)]
    if not finite:
        raise ValueError("a scale was asked for without a finite value, expected at least one")
    low, high = min(finite), max(finite)
    margin = max(pad * (high - low), (least_span - (high - low)) / 2)
    return low - margin, high + margin


def x_axis(scale: Scale, y: float, label: str, *, parts: int = 8, line: bool = True) -> tuple[Record, ...]:
    """Return a level axis at height `y`, ticks and numbers below it, its label to their right."""
    step = tick_step(scale.high - scale.low, parts)
    records: list[Record] = [Line(scale.start, y, scale.end, y, "axis")] if line else []
    text_y = y + TICK_MM + 1.15 * TICK_TEXT_MM
    for value in ticks(scale.low, scale.high, parts):
        x = scale.at(value)
        records.append(Line(x, y, x, y + TICK_MM, "axis"))
        records.append(Text(x, text_y, tick_label(value, step), TICK_TEXT_MM, "tick", "middle"))
    records.append(Text(scale.end + 8.5, text_y, label, TICK_TEXT_MM, "label"))
    return tuple(records)


def y_axis(scale: Scale, left: float, right: float, label: str, *, parts: int = 6) -> tuple[Record, ...]:
    """Return a value axis at `left` with grid lines to `right`, its numbers to the left and its label above.

    The scale runs upwards: its `start` is the bottom of the panel and its `end` the top, in mm.
    """
    step = tick_step(scale.high - scale.low, parts)
    records: list[Record] = []
    for value in ticks(scale.low, scale.high, parts):
        y = scale.at(value)
        records.append(Line(left, y, right, y, "grid"))
        records.append(Text(left - 1.8, y + 0.35 * TICK_TEXT_MM, tick_label(value, step), TICK_TEXT_MM, "tick", "end"))
    records.append(Line(left, scale.start, left, scale.end, "axis"))
    if label:
        records.append(Text(left, scale.end - 2.2, label, 3.0, "label"))
    return tuple(records)


def distance_axes(along: Scale, y: float, units: Units) -> tuple[list[Record], float]:
    """Return the axes of distance from the supply end, in m, in ft or one under the other, and where they end, in mm.

    Args:
        along: the distance, m.
        y: height of the first of them on the page, mm.
        units: those that distances are told in.
    """
    in_feet = Scale(0.0, along.high / FOOT_M, along.start, along.end)
    axes = Reader(units).pick((along, "m"), (in_feet, "ft"))
    records: list[Record] = []
    for row, (scale, unit) in enumerate(axes):
        records += x_axis(scale, y + 7.5 * row, unit if row else f"{unit} from supply end")
    return records, y + 1.0 + 7.5 * len(axes)


def _step(span: float, parts: int) -> tuple[int, int]:
    if not (math.isfinite(span) and span > 0 and parts >= 1):
        raise ValueError(f"{parts} tick steps over a span of {span} were asked for, expected both above zero")
    raw = span / parts
    exponent = math.floor(math.log10(raw))
    for factor, power in ((1, exponent), (2, exponent), (5, exponent), (1, exponent + 1)):
        if float(f"{factor}e{power}") >= raw * (1 - 1e-9):
            return factor, power
    return 2, exponent + 1
