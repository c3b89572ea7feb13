"""Published values of fuses, hot cables and limited supplies beside ours."""

from __future__ import annotations

from hollowglow.analysis.circuit.mains.class2 import limits_at
from hollowglow.physics.fuses import opening_times_s
from hollowglow.physics.shorts import adiabatic_c
from tools.agreement_rows import EXACT, Group, Row

_POINT = "a point of the standard's own curve"


def opening_times() -> Group:
    """Return the points of the time-current curves of blade fuses."""
    blade = (("135", "0.75", "600"), ("160", "0.25", "50"), ("200", "0.15", "5"), ("350", "0.08", "0.5"))
    rows = []
    for percent, shortest, longest in blade:
        after, within = opening_times_s(float(percent) / 100.0, 10.0)
        rows += [
            Row(f"10 A blade at {percent} %, shortest time to open", shortest, "s", float(after), _POINT),
            Row(f"10 A blade at {percent} %, longest time to open", longest, "s", float(within), _POINT),
        ]
    rows.append(
        Row("10 A blade at 600 %, longest time to open", "0.15", "s", float(opening_times_s(6.0, 10.0)[1]), _POINT)
    )
    return Group("Blade fuses", "ISO 8820-3, time-current points of type C", tuple(rows))


def heat_of_shorts() -> Group:
    """Return the temperature of copper after I² t = k² S², with the factors k that the standard gives."""
    reason = "the published k is rounded"
    rows = (
        Row("PVC from 70 °C with k = 115", "160", "°C", float(adiabatic_c((115.0 * 1.5) ** 2, 1.5)), reason),
        Row(
            "XLPE or EPR from 90 °C with k = 143", "250", "°C", float(adiabatic_c(143.0**2, 1.0, start_c=90.0)), reason
        ),
    )
    return Group("Heat of a short", "IEC 60364-4-43, factors k of copper", rows)


def class_two() -> Group:
    """Return the ratings of Class 2 sources of direct current."""
    table = (("5", "25", "5"), ("12", "60", "5"), ("20", "100", "5"), ("24", "100", "4.1667"), ("30", "100", "3.3333"))
    rows = []
    for volts, watts, amps in table:
        power_w, current_a = limits_at(float(volts))
        rows += [
            Row(f"{volts} V, greatest power", watts, "W", power_w, EXACT),
            Row(f"{volts} V, greatest current", amps, "A", current_a),
        ]
    return Group("Class 2 sources", "NEC chapter 9 table 11(B), dc", tuple(rows))
