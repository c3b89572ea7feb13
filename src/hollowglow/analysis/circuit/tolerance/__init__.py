"""What the scatter of real parts makes of an Assembly: chances to stay within limits, and which parts matter most."""

from hollowglow.analysis.circuit.tolerance.analyse import analyse
from hollowglow.analysis.circuit.tolerance.probes import Drawn, drawn_volts
from hollowglow.analysis.circuit.tolerance.result import (
    Chance,
    Influence,
    StringTolerance,
    ThingTolerance,
    ToleranceAnalysis,
)

__all__ = [
    "Chance",
    "Drawn",
    "Influence",
    "StringTolerance",
    "ThingTolerance",
    "ToleranceAnalysis",
    "analyse",
    "drawn_volts",
]
