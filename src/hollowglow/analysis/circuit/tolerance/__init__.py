"""What the tolerances of real parts make of an Assembly: chances to stay within limits, and which parts matter most."""

from hollowglow.analysis.circuit.tolerance.analyse import analyse
from hollowglow.analysis.circuit.tolerance.probes import SampledVolts, sampled_volts
from hollowglow.analysis.circuit.tolerance.result import (
    Chance,
    Influence,
    StringTolerance,
    ThingTolerance,
    ToleranceAnalysis,
)

__all__ = [
    "Chance",
    "Influence",
    "SampledVolts",
    "StringTolerance",
    "ThingTolerance",
    "ToleranceAnalysis",
    "analyse",
    "sampled_volts",
]
