"""The supplies seen from the mains, and against the numbers of Class 2."""

from strandwright.mains.circuits import Circuit, Mains, analyse
from strandwright.mains.class2 import Limited, class2
from strandwright.mains.judge import judge

__all__ = ["Circuit", "Limited", "Mains", "analyse", "class2", "judge"]
