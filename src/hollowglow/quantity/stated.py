"""A value as a display file states it, in the unit that makes its number a handy one."""

from __future__ import annotations

from collections.abc import Mapping

from hollowglow.quantity.measures import EFFICIENCY, RATIO, Measure

# Unit inside -> the units that a file states it in, each with its size, the largest first.
_STATED: Mapping[str, tuple[tuple[float, str], ...]] = {
    "m": ((1.0, "m"), (1e-3, "mm")),
    "s": ((3600.0, "h"), (60.0, "min"), (1.0, "s"), (1e-3, "ms"), (1e-6, "us")),
    "A": ((1.0, "A"), (1e-3, "mA")),
    "ohm": ((1.0, "ohm"), (1e-3, "mohm")),
    "K": ((1.0, "degC"),),
    "degree": ((1.0, "deg"),),
    "lumen": ((1.0, "lm"),),
}


def stated(value: object, measure: Measure | None = None) -> str:
    """Return a value as the file states it; without a measure it is a number, a word, yes or no, or nothing.

    >>> from hollowglow.quantity import measures
    >>> stated(0.015, measures.SHORT_LENGTH), stated(0.0, measures.LENGTH), stated(0.1, measures.SHARE)
    ('15 mm', '0 m', '10 %')
    >>> stated(90.0, measures.TIME), stated(0.8, measures.RATIO), stated(False), stated(None)
    ('1.5 min', '0.8', 'false', 'none')
    """
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "true" if value else "false"
    if not isinstance(value, float):
        return str(value)
    if measure is None or measure in (RATIO, EFFICIENCY):
        return f"{value:g}"
    if measure.unit == "":
        return f"{100.0 * value:g} %"
    units = _STATED.get(measure.unit, ((1.0, measure.unit),))
    size, unit = next((one for one in units if abs(value or 1.0) >= one[0]), units[-1])
    return f"{value / size:g} {unit}"
