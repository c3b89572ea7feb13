"""What the scatter of real parts makes of a Build: chances to stay within limits, and which parts matter most."""

from hollowglow.analysis.circuit.tolerance.analyse import analyse
from hollowglow.analysis.circuit.tolerance.probes import Drawn, drawn_volts
from hollowglow.analysis.circuit.tolerance.result import Chance, Influence, Scatter, StringScatter, ThingScatter

__all__ = ["Chance", "Drawn", "Influence", "Scatter", "StringScatter", "ThingScatter", "analyse", "drawn_volts"]
