"""Published values of hung cables and of the eye beside ours."""

from __future__ import annotations

import math

from hollowglow.analysis.site.placement.spacing import line_from_m
from hollowglow.physics.catenary import length_m, parameter_from_sag, pulls_n
from tools.agreement_rows import Group, Row

_WHOLE = "the published value is rounded to whole feet or pounds"
_BEER = "F. P. Beer and E. R. Johnston, Vector Mechanics for Engineers: Statics, 7.10"


def hung_cables() -> Group:
    """Return the worked examples of two textbooks on cables hung between two hooks at one height."""
    c = parameter_from_sag(20.0, 6.0)
    level, most, _ = pulls_n(c, 20.0, 5.0)
    wide = parameter_from_sag(500.0, 100.0)
    level_lb, most_lb, _ = pulls_n(wide, 500.0, 3.0)
    rows = [
        Row("5 N/m over 20 m, sag 6 m: level pull (Hibbeler)", "45.9", "N", level),
        Row("the same: length of the cable", "24.2", "m", length_m(c, 20.0)),
        Row("the same: greatest pull", "75.9", "N", most),
        Row("3 lb/ft over 500 ft, sag 100 ft: parameter c (Beer and Johnston)", "328", "ft", wide, _WHOLE),
        Row("the same: level pull", "984", "lb", level_lb, _WHOLE),
        Row("the same: greatest pull", "1284", "lb", most_lb, _WHOLE),
        Row("the same: length of the cable", "550", "ft", length_m(wide, 500.0), _WHOLE),
    ]
    return Group("Hung cables", f"R. C. Hibbeler, Statics, 7.4; {_BEER}, sample problem", tuple(rows))


def lengths() -> Group:
    """Return the exercises that tie a cable's length to its sag and the distance of its supports."""
    made = (("7.127", "25", 10.0, 12.36), ("7.128", "500", 125.0, 412.0), ("7.130", "50", 1.642, 49.86))
    rows = [
        Row(
            f"exercise {number}: length with a sag of {sag:g} ft between supports {apart:g} ft apart",
            cable,
            "ft",
            length_m(parameter_from_sag(apart, sag), apart),
            "the published distance is rounded",
        )
        for number, cable, sag, apart in made
    ]
    for number, cable_ft, sag, weight, most in (
        ("7.127", 25.0, 10.0, 1.2, "15.38"),
        ("7.128", 500.0, 125.0, 2.8, "875"),
    ):
        c = ((cable_ft / 2.0) ** 2 - sag**2) / (2.0 * sag)
        pull = pulls_n(c, 2.0 * c * math.asinh(cable_ft / 2.0 / c), weight)[1]
        rows.append(Row(f"exercise {number}: greatest pull", most, "lb", pull))
    return Group("Lengths and pulls of hung cables", f"{_BEER}, exercises", tuple(rows))


def eye() -> Group:
    """Return the distance at which one arcminute is a millimetre wide."""
    row = Row("distance at which 1 mm fills one arcminute, 1 / tan 1'", "3.4377", "m", line_from_m(0.101, 0.1))
    return Group("What the eye resolves", "one arcminute, foveal vision of 20/20", (row,))
