"""The supplies seen from the mains, and against the numbers of Class 2."""

from hollowglow.analysis.circuit.mains.circuits import Circuit, Mains, analyse
from hollowglow.analysis.circuit.mains.class2 import Limited, class2
from hollowglow.analysis.circuit.mains.judge import judge

__all__ = ["Circuit", "Limited", "Mains", "analyse", "class2", "judge"]
