"""What the scatter of real parts makes of a Build: chances to stay within limits, and which parts matter most."""

from strandwright.scatter.analyse import analyse
from strandwright.scatter.places import Drawn, drawn_volts
from strandwright.scatter.result import Chance, Influence, Scatter, StringScatter, ThingScatter

__all__ = ["Chance", "Drawn", "Influence", "Scatter", "StringScatter", "ThingScatter", "analyse", "drawn_volts"]
