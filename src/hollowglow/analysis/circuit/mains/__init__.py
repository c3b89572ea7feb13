"""The supplies seen from the mains, and against the numbers of Class 2."""

from hollowglow.analysis.circuit.mains.circuits import LoadedCircuit, Mains, analyse
from hollowglow.analysis.circuit.mains.class2 import Class2Numbers, class2
from hollowglow.analysis.circuit.mains.judge import judge

__all__ = ["Class2Numbers", "LoadedCircuit", "Mains", "analyse", "class2", "judge"]
