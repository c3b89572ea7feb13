"""What is seen when something breaks, what is likely behind it, and what to measure next."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.analysis.circuit.commission.analyse import Commissioning


@dataclass(frozen=True, slots=True)
class Repair:
    """One line of the repair page; `where` is a string, or empty where it holds for all.

    `measure` is what to measure or do next, `then` how to go on from there, empty where that is said.
    """

    where: str
    seen: str
    likely: str
    measure: str
    then: str = ""


_FOR_ALL = (
    Repair(
        "",
        "one prop shows wrong colours, all after it are right",
        "one LED or one colour of its driver has failed",
        "swap the prop for a spare of its kind; its address is that of its place, so nothing is typed anew",
    ),
    Repair(
        "",
        "all props from one on are dark or frozen, their voltage is right",
        "the data stops between the last prop that works and the first that does not",
        "look at the data core of the joint between the two; else the last good prop does not pass data on, or the first "
        "bad one does not take it: swap one, then the other",
    ),
    Repair(
        "",
        "props flicker or flash at random, worse when it is wet",
        "a joint lets water in, or the data core touches another",
        "dry and reseal the joint before the first prop that flickers",
    ),
    Repair(
        "",
        "a fuse opens again at once",
        "V+ and V- touch somewhere beyond it",
        "switch off, part the string in its middle, measure the ohms of each half, and go on with the half near 0 ohm; never "
        "fit a larger fuse",
    ),
    Repair(
        "",
        "the residual-current device trips",
        "water in a mains connection or in a supply",
        "unplug everything, dry it, plug in one supply after the other; mains wiring is for a licensed electrician",
    ),
)


def repairs(commissioning: Commissioning, strings: tuple[str, ...]) -> Iterator[Repair]:
    """Yield the lines of the repair page: those that hold everywhere, then those with the numbers of each string.

    Args:
        commissioning: what a meter should read.
        strings: names of the strings by row.
    """
    yield from _FOR_ALL
    for row, name in enumerate(strings):
        own = [r for r in commissioning.readings if r.spot.string == row]
        start = next((r for r in own if r.spot.sort == "lead"), None)
        end = next((r for r in own if r.spot.sort == "end"), None)
        fuse = next((r for r in own if r.spot.sort == "fuse"), None)
        if start is not None:
            first = f"{fuse.spot.id} first, then " if fuse is not None else ""
            yield Repair(
                name,
                "the whole string is dark",
                "no power, or no data at its first prop",
                f"{first}{start.spot.id}, which should read {start.off_v:.2f} V "
                f"({start.off_low_v:.2f} to {start.off_high_v:.2f} V) with the lights off",
                "where the voltage is right it is the data",
            )
        if end is not None and end.white_v == end.white_v:
            yield Repair(
                name,
                "the far end is dim or pink at full white",
                "volts are lost in a contact, or a feed is dead",
                f"{end.spot.id}, which should read {end.white_v:.2f} V ({end.white_low_v:.2f} to {end.white_high_v:.2f} V) "
                "at full white",
                "where it reads less, go back towards the supply until a reading is right: the fault lies just beyond",
            )
            for feed, volts in end.without:
                yield Repair(
                    name,
                    f"its end reads about {volts:.2f} V at full white",
                    f"nothing comes through {feed}",
                    "the fuse there, then the joints of that run",
                )
