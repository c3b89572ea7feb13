"""What a reading outside its band suggests; the band itself stands beside each spot."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hollowglow.analysis.circuit.commission.analyse import MeterBand

_LEAST_A = 0.05
BELOW_DARK, ABOVE_DARK = "below its band with the lights off", "above its band with the lights off"
BELOW_WHITE, ABOVE_WHITE = "below its band at full white only", "above its band at full white only"
ACROSS_FUSE = "more than 0.2 V across the fuse holder at full white"


@dataclass(frozen=True, slots=True)
class Hint:
    """What one sort of reading suggests: the reading in words, and what to look for."""

    reading: str
    suggests: str


def hints(reading: MeterBand) -> tuple[Hint, ...]:
    """Return what readings outside the bands of a spot suggest, the most urgent first."""
    spot = reading.spot
    # A supply that feeds nothing reads the same at full white as in the dark.
    idle = spot.sort == "supply" and reading.current_a <= 0.0
    if not math.isfinite(reading.white_v):
        return (Hint("any", "no steady voltage is known here; mend the findings first"),)
    made = [Hint("below 0 V", "V+ and V- are swapped between the supply and here: switch off at once")]
    before = "the mains side" if spot.sort == "supply" else "the fuse, then each joint back to the supply"
    made.append(Hint("0 V", f"V+ or V- does not arrive: check {before}"))
    if spot.sort == "fuse":
        made.append(Hint(ACROSS_FUSE, "the fuse is open, or its holder is loose or wet"))
    for name, volts in reading.without:
        made.append(
            Hint(f"about {volts:.2f} V at full white", f"nothing comes through {name}: check fuse and joints there")
        )
    if spot.sort == "supply":
        made.append(
            Hint(
                BELOW_DARK,
                "the supply is set too low, or a short or wet joint loads it: disconnect the strings and read again",
            )
        )
        if not idle:
            made.append(
                Hint(
                    BELOW_WHITE,
                    f"the supply limits its current or is overloaded; {reading.current_a:.2f} A are planned here",
                )
            )
    else:
        made.append(
            Hint(
                BELOW_DARK,
                "read at the supply first; where that is right, water or a short draws current between there and here",
            )
        )
        made.append(Hint(BELOW_WHITE, _contact(reading)))
    if not idle:
        made.append(
            Hint(
                ABOVE_WHITE,
                "less current flows than planned: part of the lights beyond is dark, or the level is lower than in the file",
            )
        )
    made.append(Hint(ABOVE_DARK, "the supply is set too high: turn it down before the lights stay on"))
    return tuple(made)


def _contact(reading: MeterBand) -> str:
    words = "a contact or a core between the supply and here has too much resistance"
    if reading.current_a < _LEAST_A:
        return words + "; read at the spots before this one to find where the volts are lost"
    return words + (
        f": each 0.1 V that is missing at {reading.current_a:.2f} A is {100.0 / reading.current_a:.0f} milliohms, and "
        f"{0.1 * reading.current_a:.2f} W of heat in it"
    )
